"""Gaps between letters on a sign: slits beside joints, letters that are no neighbours, and what is said of them."""

from __future__ import annotations

import pytest

from studio.checks.stroke_and_gap import thickness
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from studio.stroke.measure import narrowest_gap
from tests.shared import assets, catalogue


def planned(text: str, *, remedies: bool = False, **values: Value) -> Plan:
    """Return a sign on bare wood, fitted and checked."""
    return plan(
        build_sign(text, {"artwork": "none", "composition": "largest", **values}, catalogue()),
        assets(),
        remedies=remedies,
    )


def gap_mm(made: Plan) -> float:
    """Return the narrowest gap of the first text."""
    width_mm = made.thickness[0].thinnest_gap_mm
    assert width_mm is not None
    return width_mm


@pytest.mark.parametrize(
    ("text", "values", "wanted_mm"),
    [
        ("ll", {"cap": "14mm", "layout": "box"}, 0.287),
        ("Bella", {"blank": "round-4in", "artwork": "pine-ring"}, None),
        ("Holly", {"blank": "round-4in"}, 0.611),
    ],
)
def test_the_slit_beside_a_joint_is_told(text: str, values: dict[str, Value], wanted_mm: float | None) -> None:
    """Two loops that join below stand close above: the slit between them is told, by name, as a warning."""
    made = planned(text, **values)
    if wanted_mm is not None:
        assert gap_mm(made) == pytest.approx(wanted_mm, abs=0.001)
    warned = [one for one in made.findings if one.code == "narrow-gap"]

    assert warned and "between “ll”" in warned[0].message


@pytest.mark.parametrize("face", ["Pacifico", "Lobster", "Yellowtail"])
@pytest.mark.parametrize("text", ["Holly", "Gretchen", "Affleck", "Wrenna"])
def test_pairs_say_what_the_whole_line_says(face: str, text: str) -> None:
    """The narrowest gap found pair by pair is that of the whole line's outline, measured in one piece."""
    from studio.geometry.distance import edges_of, joined_ink
    from studio.geometry.paths import united

    made = planned(text, face=face, cap="20mm", layout="box")
    assert made.placement is not None
    lettering = made.placement.letterings[0]
    parts = lettering.letters[0].contours
    for letter in lettering.letters[1:]:
        parts = joined_ink(edges_of(parts), edges_of(letter.contours), 1e-6)
    whole = narrowest_gap(united(parts), cap_height=lettering.cap_height_mm)
    assert whole is not None

    assert gap_mm(made) == pytest.approx(whole.width, rel=0.03)


def test_a_gap_within_a_letter_is_told_as_one() -> None:
    """The gap between the dot of a j and its stem is in the letter, not between two letters."""
    made = planned("j", face="Alfa Slab One", cap="10mm", layout="box")
    (told,) = [one for one in made.findings if one.code == "narrow-gap"]

    assert "in “j”" in told.message


def test_letters_that_are_no_neighbours_count_where_they_come_close() -> None:
    """Crossbars that meet above a full stop are measured, though the stop stands between the letters."""
    made = planned("T.T", face="Pacifico", cap="12mm", layout="box")
    assert made.placement is not None

    assert any(weak.letter in ("TT", "T.", ".T") for weak in thickness(made.placement.letterings[0]).gaps)


def test_a_size_that_is_offered_clears_every_gap() -> None:
    """The size offered for a pair with upright sides clears all gaps when it is set."""
    made = planned("Jeff", face="Righteous", cap="14mm", layout="box", remedies=True)
    (told, *_) = [one for one in made.findings if one.code == "narrow-gap"]
    for offer in told.offers:
        changed = {key: value for key, value in offer.changes if value}
        if "cap" in changed:
            again = planned("Jeff", **{"face": "Righteous", "layout": "box", **changed})
            assert not [one for one in again.findings if one.code == "narrow-gap"]
            assert again.placement is not None
            assert gap_mm(again) >= again.sign.surface.finest_gap_mm * 0.995
