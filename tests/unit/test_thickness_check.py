"""Thin strokes and narrow gaps: told under the surface's limit, with the letter, and not above it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from studio.basics.colour import WHITE, Colour
from studio.checks.stroke_and_gap import BETWEEN_LETTERS, MOST_LISTED, between_letters, thickness, thickness_findings
from studio.geometry.distance import gap_between
from studio.layout.placement import PlacedLettering
from studio.model.finding import Finding
from studio.model.sign import Ring
from studio.model.surface import Surface
from studio.pipeline.plan import plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def lettering(
    text: str, face: str = "Nunito", offset_mm: float = 0.0, ring: Ring | None = None, **values: str
) -> PlacedLettering:
    """Return a bare sign's lettering, its outlines moved outwards when asked for."""
    sign = build_sign(text, {"artwork": "none", "face": face, **values}, catalogue())
    order = replace(sign.letterings[0], offset_mm=offset_mm, ring=ring)
    placement = plan(replace(sign, letterings=(order,)), assets(), remedies=False).placement
    assert placement is not None
    return placement.letterings[0]


def holding(limit_mm: float) -> Surface:
    """Return a surface whose finest stroke and gap are as given."""
    return Surface("test board", limit_mm / 3, WHITE)


def found(placed: PlacedLettering, limit_mm: float) -> list[Finding]:
    """Return the findings of a lettering on a surface that holds so much."""
    return list(thickness_findings(placed, thickness(placed), holding(limit_mm), 0))


@pytest.mark.parametrize(("face", "layout"), [("Nunito", "box"), ("Young Serif", "arc-top"), ("Pacifico", "arc-top")])
def test_a_stroke_is_told_under_the_limit_and_not_above(face: str, layout: str) -> None:
    """One per cent below its width nothing is told, one per cent above it the thinnest stroke is, in figures."""
    placed = lettering("Marlow", face, layout=layout, cap="12mm")
    thinnest = thickness(placed).thinnest_stroke_mm
    assert thinnest is not None
    assert "thin-stroke" not in [one.code for one in found(placed, thinnest * 0.99)]
    told = [one for one in found(placed, thinnest * 1.01) if one.code == "thin-stroke"]
    assert told[0].measured == pytest.approx(thinnest, abs=1e-4)
    assert told[0].limit == pytest.approx(thinnest * 1.01, abs=1e-4)
    assert told[0].where.letter is not None and told[0].where.letter in "Marlow"
    assert f"“{told[0].where.letter}”" in told[0].message and "test board" in told[0].message


@pytest.mark.parametrize(("face", "layout"), [("Nunito", "box"), ("Young Serif", "arc-top"), ("Pacifico", "arc-top")])
def test_a_gap_is_told_under_the_limit_and_not_above(face: str, layout: str) -> None:
    """The same for the narrowest gap, in a letter or between two."""
    placed = lettering("Marlow", face, layout=layout, cap="12mm")
    narrowest = thickness(placed).thinnest_gap_mm
    assert narrowest is not None
    assert "narrow-gap" not in [one.code for one in found(placed, narrowest * 0.99)]
    told = [one for one in found(placed, narrowest * 1.01) if one.code == "narrow-gap"]
    assert told[0].measured == pytest.approx(narrowest, abs=1e-4)
    assert told[0].severity == "warn"


def test_sizes_scale_widths() -> None:
    """Twice the cap height, twice the thinnest stroke and gap."""
    small, large = (thickness(lettering("Marlow", cap=cap, layout="box")) for cap in ("8mm", "16mm"))
    assert large.thinnest_stroke_mm == pytest.approx(2 * (small.thinnest_stroke_mm or 0), rel=1e-5)
    assert large.thinnest_gap_mm == pytest.approx(2 * (small.thinnest_gap_mm or 0), rel=1e-5)


def test_the_weak_place_lies_in_its_letter() -> None:
    """The place told is on the sign where that letter stands."""
    placed = lettering("Tess", "Young Serif", layout="arc-top", cap="12mm")
    told = next(one for one in found(placed, 3.0) if one.code == "thin-stroke")
    boxes = [np.concatenate(letter.contours) for letter in placed.letters if letter.letter == told.where.letter]
    assert told.where.x_mm is not None and told.where.y_mm is not None
    place = np.array([told.where.x_mm, told.where.y_mm])
    assert any((box.min(axis=0) <= place).all() and (place <= box.max(axis=0)).all() for box in boxes)


def test_no_more_than_three_are_listed_and_the_rest_counted() -> None:
    """Of eight thin letters three are named, the last one counting the others."""
    told = [one for one in found(lettering("Sandpine", "Young Serif", cap="8mm"), 9.0) if one.code == "thin-stroke"]
    assert len(told) == MOST_LISTED
    assert "more like it" in told[-1].message and "more like it" not in told[0].message
    assert [one.measured for one in told] == sorted(one.measured or 0 for one in told)
    assert told[-1].message.endswith("(and 5 more like it).")


def test_a_gap_between_letters_names_both() -> None:
    """Two upright strokes beside each other are measured between, to the exact distance."""
    placed = lettering("III", "Nunito", layout="box", cap="12mm")
    gaps = between_letters(placed)
    assert [gap.letter for gap in gaps] == ["II", "II"]
    left, right = placed.letters[0], placed.letters[1]
    exact = np.concatenate(right.contours)[:, 0].min() - np.concatenate(left.contours)[:, 0].max()
    assert gaps[0].width_mm == pytest.approx(exact, abs=1e-6)
    told = next(one for one in found(placed, exact * 1.1) if one.code == "narrow-gap")
    assert told.where.letter == "II" and "between “II”" in told.message


def test_letters_of_two_lines_count_where_they_come_close() -> None:
    """Of two lines one above the other the clear height between them is told; the end of a line has no neighbour."""
    placed = lettering("II\\nHH", layout="box", composition="largest")
    gaps = {gap.letter: gap.width_mm for gap in between_letters(placed)}
    above = min(float(contour[:, 1].min()) for contour in placed.letters[0].contours)
    below = max(float(contour[:, 1].max()) for contour in placed.letters[2].contours)

    assert set(gaps) == {"II", "HH", "IH"}
    assert gaps["IH"] == pytest.approx(above - below, abs=1e-6)


def test_joined_letters_have_no_gap_of_nothing() -> None:
    """Where a script joins, letters overlap; no gap of 0 is told, and no stroke where one runs into the next."""
    placed = lettering("nnn", "Pacifico", layout="box", cap="20mm")
    assert all(gap.width_mm > 0.5 for gap in between_letters(placed))
    assert (thickness(placed).thinnest_stroke_mm or 0) > 0.5


def test_tips_and_wedges_are_notes_told_once() -> None:
    """A tapering tip and an acute corner are one note each, with no promise of a remedy."""
    told = found(lettering("Matte", "Young Serif", cap="8mm"), 1.05)
    notes = [one for one in told if one.code in ("tapering-tip", "join-wedge")]
    assert {one.code for one in notes} == {"tapering-tip", "join-wedge"}
    assert len(notes) == 2
    assert all(one.severity == "note" and one.remedy == "" for one in notes)


@pytest.mark.parametrize("layout", ["box", "arc-top"])
@pytest.mark.parametrize("face", ["Nunito", "Pacifico"])
@pytest.mark.parametrize("offset_mm", [0.1, 0.25])
def test_an_offset_adds_twice_its_way_to_strokes(face: str, layout: str, offset_mm: float) -> None:
    """Outlines moved out by d: strokes are 2 d thicker, gaps 2 d narrower, at the same size."""
    drawn = thickness(lettering("Ida", face, layout=layout, cap="15mm"))
    grown = thickness(lettering("Ida", face, layout=layout, cap="15mm", offset_mm=offset_mm))
    assert grown.thinnest_stroke_mm == pytest.approx((drawn.thinnest_stroke_mm or 0) + 2 * offset_mm, abs=0.01)
    assert grown.thinnest_gap_mm == pytest.approx((drawn.thinnest_gap_mm or 0) - 2 * offset_mm, abs=0.02)


def test_the_gap_that_is_told_is_there_in_the_ink() -> None:
    """After an offset the gap told between two letters is that of their grown outlines."""
    placed = lettering("III", "Nunito", layout="box", cap="12mm", offset_mm=0.3)
    gap = gap_between(placed.letters[0].contours, placed.letters[1].contours)
    told = [weak for weak in thickness(placed).gaps if weak.kind == BETWEEN_LETTERS]
    assert gap is not None
    assert told[0].width_mm == pytest.approx(gap.width, abs=1e-4)


def test_a_gap_that_an_offset_closes_is_told() -> None:
    """Grown until letters touch, the gap is told as 0 rather than forgotten."""
    placed = lettering("III", "Nunito", layout="box", cap="12mm", offset_mm=2.5)
    told = [one for one in found(placed, 0.5) if one.code == "narrow-gap"]
    assert told and told[0].measured == 0.0


def test_an_outline_in_the_same_colour_thickens() -> None:
    """A ring in the lettering's own colour is one stroke with it; in another colour it is not."""
    plain = thickness(lettering("Ida", cap="15mm")).thinnest_stroke_mm or 0
    same = thickness(lettering("Ida", cap="15mm", ring=Ring(0.5))).thinnest_stroke_mm
    other = thickness(lettering("Ida", cap="15mm", ring=Ring(0.5, Colour(200, 0, 0)))).thinnest_stroke_mm
    assert same == pytest.approx(plain + 1.0, abs=1e-6)
    assert other == pytest.approx(plain, abs=1e-6)
