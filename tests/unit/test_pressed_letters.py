"""Letters as spreading dye leaves them: what is measured of an outline, what is said of it, and when nothing is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.checks.pressed_letters import pressed_findings
from studio.model.dye import Mixing, bar_share, dot_share, kept
from studio.model.finding import Finding
from studio.model.sign import FaceChoice, Sign
from studio.model.surface import Surface
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.assets import pressed_file
from studio.storage.catalogue import read_catalogue
from studio.storage.sign_builder import build_sign
from studio.stroke.filled import filled
from studio.stroke.pressed_likeness import likenesses
from studio.stroke.pressed_shape import LADDER, pressed_shape
from studio.stroke.pressed_table import PressedTable, read_pressed, write_pressed
from tests.shared import assets, catalogue

Contours = tuple[NDArray[np.float64], ...]


def bar(width: float, height: float, left: float = 0.0, low: float = 0.0) -> NDArray[np.float64]:
    """Return a rectangle, counter-clockwise."""
    right, high = left + width, low + height
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def ring(radius: float, hole: float) -> Contours:
    """Return a disc with a round hole, outer edge counter-clockwise, inner clockwise."""
    turn = np.linspace(0, 2 * math.pi, 240, endpoint=False)
    circle = np.stack((np.cos(turn), np.sin(turn)), axis=-1)
    return radius * circle, (hole * circle)[::-1]


def planned(text: str, mixing: Mixing | None = None, density: float = 1.1, **values: str) -> Plan:
    """Return a sign on a surface that was measured so."""
    sign = build_sign(text, {"artwork": "none", "surface": "bare", **values}, catalogue())
    if mixing is not None:
        measured = replace(sign.surface, mixing=mixing, solid_density=density, measured="2026-05-31")
        sign = replace(sign, surface=measured)
    return plan(sign, assets(), remedies=False)


def codes_of(made: Plan) -> set[str]:
    """Return the codes of a plan's findings."""
    return {finding.code for finding in made.findings}


def test_a_square_is_filled_by_its_area() -> None:
    """Cells hold the share of ink that lies in them, holes left out."""
    square = (bar(2.5, 2.5, 1.0, 1.0), bar(1.0, 1.0, 1.5, 1.5)[::-1])

    cover = filled(square, (0.0, 0.0), 4.0, (20, 20))

    assert cover.sum() / 16 == pytest.approx(2.5**2 - 1.0, abs=1e-5)
    assert cover[5, 5] == 1 and cover[8, 8] == 0 and cover[0, 0] == 0


def test_a_bar_holds_what_the_closed_form_says() -> None:
    """The weakest stroke of a long bar keeps erf(k / (2 sqrt 2)) of its dye at every spread of the ladder."""
    shape = pressed_shape((bar(0.12, 20.0),), 1.0)

    for spread in LADDER:
        assert shape.stroke_amount(spread) == pytest.approx(bar_share(0.12, spread), abs=0.03), spread
    assert shape.counter_amounts(0.05) is None


def test_a_round_hole_is_left_what_the_closed_form_says() -> None:
    """A round hole in a wide disc is left 1 - (1 - exp(-k^2 / 8)) of dye at its middle at every spread it survives."""
    shape = pressed_shape(ring(1.5, 0.12), 1.0)

    for spread in LADDER[:8]:
        amounts = shape.counter_amounts(spread)
        assert amounts is not None
        assert amounts[0] == pytest.approx(1 - dot_share(0.24, spread), abs=0.03), spread
        assert amounts[1] == pytest.approx(1.0, abs=0.02)


def test_a_counter_runs_out_through_a_thin_wall() -> None:
    """A hole behind a thin wall keeps less contrast than the same hole in a wide disc: its wall gives way first."""
    surface = Surface("oak", 0.05, catalogue().surface("bare").base_colour, mixing="dye")
    wide, thin = pressed_shape(ring(1.5, 0.12), 1.0), pressed_shape(ring(0.16, 0.12), 1.0)
    kept_wide, kept_thin = (surface.hole_kept(*(shape.counter_amounts(0.05) or (0, 0))) for shape in (wide, thin))

    assert kept_wide == pytest.approx(kept("counter", 0.24, 0.05), abs=0.05)
    assert kept_thin < 0.6 * kept_wide


def test_more_spread_never_keeps_more() -> None:
    """Over the ladder strokes only lose and counters only fill, for every shipped letter of the alphabet."""
    for entry in catalogue().faces:
        face = assets().face(FaceChoice(entry.name))
        for shape in face.pressed.glyphs.values():
            assert all(after <= before + 1e-3 for before, after in zip(shape.strokes, shape.strokes[1:], strict=False))


@pytest.mark.parametrize("name", [entry.name for entry in read_catalogue().faces if entry.is_shipped])
def test_a_table_says_what_measuring_says(name: str) -> None:
    """Three glyphs of every shipped face, measured anew, come out as its table has them."""
    face = assets().face(FaceChoice(name))
    chosen = sorted(face.pressed.glyphs)[:: max(1, len(face.pressed.glyphs) // 3)][:3]
    assert len(chosen) == 3

    for glyph_id in chosen:
        known, fresh = face.pressed.glyphs[glyph_id], pressed_shape(face.glyph(glyph_id).contours, face.cap_height_em)
        for one, other in (
            (known.strokes, fresh.strokes),
            (known.counters, fresh.counters),
            (known.leaks, fresh.leaks),
        ):
            assert one == pytest.approx(other, abs=6e-4)


def test_a_table_reads_back_as_written() -> None:
    """Writing a table and reading it gives the same shapes; one of another file, or broken, gives none."""
    face = assets().face(FaceChoice("Lobster"))
    data = write_pressed(face.pressed, face.cap_height_em, face.sha256, face.weight)

    assert read_pressed(data, face.sha256, face.weight) == face.pressed
    assert read_pressed(data, "0" * 64, face.weight) == PressedTable()
    assert read_pressed(data[: len(data) // 2], face.sha256, face.weight) == PressedTable()
    entry = next(entry for entry in catalogue().faces if entry.name == "Lobster")
    assert pressed_file(entry).read_bytes() == data


def test_a_letter_that_loses_its_difference_is_its_neighbour() -> None:
    """A bar with a small spur turns into the plain bar from some spread on; the plain bar never turns into it."""
    plain = (bar(0.2, 1.0),)
    spurred = (np.array([[0, 0], [0.2, 0], [0.2, 0.9], [0.5, 0.9], [0.5, 1.0], [0, 1.0]], float),)

    found = likenesses({"a": plain, "b": spurred, "c": (bar(1.0, 0.2),)}, 1.0, 0.5)

    assert found["b"].other == "a"
    assert 0.02 < found["b"].spread < 0.2
    assert "a" not in found or found["a"].spread > found["b"].spread


def test_large_letters_are_said_nothing_of() -> None:
    """A name as large as its blank allows, in a sturdy face, has nothing faded, filled or alike."""
    assert not codes_of(planned("Tess", face="Nunito")) & {
        "stroke-fades",
        "stroke-fading",
        "counter-fills",
        "counter-closing",
        "looks-alike",
        "small-dot",
        "small-for-surface",
    }


def test_small_counters_fill_where_dye_spreads_and_not_where_light_does() -> None:
    """At 6 mm capitals Oswald's narrow counters fill where dye spreads; where light does the worst only begins to."""
    by_dye, by_cover = (planned("Bocce", mixing, face="Oswald", cap="6mm") for mixing in ("dye", "cover"))

    filled_by_dye = [finding for finding in by_dye.findings if finding.code == "counter-fills"]
    filled_by_cover = [finding for finding in by_cover.findings if finding.code == "counter-fills"]

    assert len(filled_by_dye) == 3
    assert {finding.where.letter for finding in filled_by_dye} <= set("Bocce")
    assert all(finding.severity == "warn" and finding.limit == 50.0 for finding in filled_by_dye)
    worst = min(finding.measured or 0 for finding in filled_by_dye)
    assert all((finding.measured or 0) > worst for finding in filled_by_cover)


def test_hairlines_fade_where_light_spreads() -> None:
    """A light weight at 9 mm capitals fades where light spreads and is held where dye does."""
    by_dye, by_cover = (planned("Ina", mixing, face="Nunito", weight="250", cap="9mm") for mixing in ("dye", "cover"))

    assert codes_of(by_cover) & {"stroke-fades", "stroke-fading", "thin-stroke"}
    assert not codes_of(by_dye) & {"stroke-fades", "stroke-fading"}


def test_both_letters_are_named_that_come_to_look_alike() -> None:
    """A letter that turns into another is told with that other, and with the size from which it does not."""
    made = planned("Olive", "dye", face="Oswald", cap="5mm", case="capitals")
    told = [finding for finding in made.findings if finding.code == "looks-alike"]

    assert any("“O”" in finding.message and "“D”" in finding.message for finding in told)
    needed = next(finding.limit for finding in told if "“O”" in finding.message)
    assert needed is not None
    again = planned("Olive", "dye", face="Oswald", cap=f"{needed * 1.05:.2f}mm", case="capitals")
    assert not any(f.code == "looks-alike" and "“O”" in f.message for f in again.findings)


def test_a_small_x_height_is_noted_from_thirteen_spreads() -> None:
    """Bare wood, 0.35 mm: letters under 4.55 mm of x-height are noted as small, capitals by their own height."""
    small, large = planned("Anna", face="Nunito", cap="6mm"), planned("Anna", face="Nunito", cap="10mm")
    capitals = planned("ANNA", face="Nunito", cap="5mm", spread="0.4mm")

    note = next(finding for finding in small.findings if finding.code == "small-for-surface")
    assert note.severity == "note" and note.limit == pytest.approx(4.55)
    assert "x-height" in note.message
    assert "small-for-surface" not in codes_of(large)
    assert "cap height is 5.0 mm" in next(f.message for f in capitals.findings if f.code == "small-for-surface")


def test_dots_need_four_spreads_where_nobody_measured() -> None:
    """An i's dot under 4 spreads is noted on an unmeasured surface; where dye spreads 2.05 are enough."""
    unmeasured = planned("Viki", face="Nunito", cap="7mm")
    by_dye = planned("Viki", "dye", face="Nunito", cap="7mm")

    note = next((finding for finding in unmeasured.findings if finding.code == "small-dot"), None)
    thin = any(finding.code == "thin-stroke" and finding.where.letter == "i" for finding in unmeasured.findings)
    assert note is not None or thin
    if note is not None:
        assert note.limit == pytest.approx(1.4)
    assert "small-dot" not in codes_of(by_dye)


def test_findings_say_where_their_figures_come_from() -> None:
    """A finding says 'starting value' on a shipped surface and 'measured' with its day on one that was measured."""
    guessed = planned("Bocce", face="Oswald", cap="6mm")
    measured = planned("Bocce", "dye", face="Oswald", cap="6mm")

    def told(made: Plan) -> str:
        return next(finding.message for finding in made.findings if finding.code == "counter-fills")

    assert "(starting value)" in told(guessed)
    assert "(measured 2026-05-31)" in told(measured)
    assert "will" not in told(measured)


def test_grown_outlines_are_measured_as_they_are() -> None:
    """Outlines moved outwards keep more of their strokes and less of their counters."""
    sign = build_sign("eBa", {"artwork": "none", "surface": "bare", "face": "Oswald", "cap": "9mm"}, catalogue())
    surface = replace(sign.surface, mixing="dye")

    def worst(offset_mm: float) -> dict[str, float]:
        grown: Sign = replace(sign, surface=surface, letterings=(replace(sign.letterings[0], offset_mm=offset_mm),))
        made = plan(grown, assets(), remedies=False)
        assert made.placement is not None
        findings: tuple[Finding, ...] = pressed_findings(made.placement.letterings[0], surface, 0)
        return {finding.code: finding.measured or 0.0 for finding in reversed(findings)}

    assert worst(0.15).get("counter-fills", 100.0) < worst(0.0).get("counter-fills", 100.0)


def test_a_thicker_stroke_that_fills_counters_is_never_offered() -> None:
    """Of all remedies offered for thin strokes none brings a counter that fills, or one that fills more."""
    tried = 0
    for text, face, weight in (
        ("Wilhelmina", "Nunito", "250"),
        ("Beebe", "Roboto Slab", "100"),
        ("Agnes", "Oswald", "200"),
    ):
        values = {"artwork": "none", "surface": "bare", "face": face, "weight": weight, "cap": "9mm"}
        sign = build_sign(text, values, catalogue())
        made = plan(sign, assets())
        had = _filling(made)
        for finding in made.findings:
            if finding.code != "thin-stroke":
                continue
            for offer in finding.offers:
                changed = {**values, **dict(offer.changes)}
                after = plan(
                    build_sign(text, {k: v for k, v in changed.items() if v}, catalogue()), assets(), remedies=False
                )
                tried += 1
                assert _filling(after) >= had * 0.98, offer.sentence
            break
    assert tried >= 3


def _filling(made: Plan) -> float:
    """Return what the weakest counter that fills keeps, 100 where none does."""
    return min((f.measured or 0.0 for f in made.findings if f.code == "counter-fills"), default=100.0)
