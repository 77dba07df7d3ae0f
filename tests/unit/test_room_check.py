"""Lettering that leaves its room is refused with the letter, the place and by how much; what stays is let be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from studio.checks.bounds import no_fit_finding, room_findings
from studio.geometry.shapes import circle
from studio.layout.placement import NoFit, Placement
from studio.model.finding import Finding
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def planned(text: str, **values: str) -> Plan:
    """Return a sign fitted and checked, without remedies; bare unless an artwork is asked for."""
    return plan(
        build_sign(text, {"artwork": "none", "face": "Nunito", "composition": "largest", **values}, catalogue()),
        assets(),
        remedies=False,
    )


def of_code(made: Plan, code: str) -> list[Finding]:
    """Return the findings of one code."""
    return [one for one in made.findings if one.code == code]


ROOMS = ("outside-safe-zone", "texts-collide", "covers-artwork", "no-room")


@pytest.mark.parametrize("blank", ["round-10in", "oval:300mmx180mm", "rect:200mmx120mm:12mm"])
@pytest.mark.parametrize("layout", ["box", "arc-top", "arc-bottom"])
def test_what_was_fitted_keeps_to_its_room(blank: str, layout: str) -> None:
    """Fitted lettering, two texts of it, has none of these findings."""
    made = planned("Marlow", blank=blank, layout=layout, also="box=1987", artwork="none")
    assert made.placement is not None
    assert [one.code for one in made.findings if one.code in ROOMS] == []


@pytest.mark.parametrize(("shift", "letter"), [("7mm,0mm", "s"), ("-7mm,0mm", "T")])
def test_a_shifted_text_leaves_the_safe_zone(shift: str, letter: str) -> None:
    """The letter furthest out is named, with the distance to the rim that is left and the margin it should have."""
    made = planned("Tess", blank="rect:200mmx120mm", shift=shift, layout="box")
    assert made.placement is not None
    (finding,) = of_code(made, "outside-safe-zone")
    points = np.concatenate(made.placement.letterings[0].contours)
    assert finding.severity == "refuse" and made.status == "refused"
    assert (finding.where.lettering, finding.where.letter, finding.limit) == (0, letter, 5.0)
    assert finding.measured == pytest.approx(100 - np.abs(points[:, 0]).max(), abs=1e-3)
    assert finding.where.x_mm == pytest.approx(points[np.abs(points[:, 0]).argmax(), 0], abs=1e-3)
    assert f"by {5 - (finding.measured or 0):.2f} mm" in finding.message


def test_a_shift_within_the_room_is_no_finding() -> None:
    """Small letters may be moved about."""
    assert of_code(planned("Tess", cap="12mm", shift="20mm,-15mm"), "outside-safe-zone") == []


def test_a_hole_keeps_its_clearance() -> None:
    """Lettering moved to a hole is refused with the distance left; beyond the clearance it is not."""
    far = planned("Tess", layout="box", cap="20mm", hole="0mm,60mm,8mm")
    assert of_code(far, "outside-safe-zone") == [] and far.placement is not None
    box = far.placement.letterings[0].ink_box
    shift = f"{-(box.left_mm + box.right_mm) / 2:.2f}mm,{58 - box.top_mm:.2f}mm"
    near = planned("Tess", layout="box", cap="20mm", hole="0mm,60mm,8mm", shift=shift)
    (finding,) = of_code(near, "outside-safe-zone")
    assert near.placement is not None
    points = np.concatenate(near.placement.letterings[0].contours)
    assert finding.limit == 5.0 and "hole at 0, 60 mm" in finding.message
    assert finding.measured == pytest.approx(np.hypot(points[:, 0], points[:, 1] - 60).min() - 4, abs=1e-3)


def test_texts_shifted_together_collide() -> None:
    """The name moved onto the year below it is refused, both texts named."""
    apart = planned("Tess", layout="box", cap="25mm", also="box=1987")
    assert of_code(apart, "texts-collide") == []
    assert apart.placement is not None
    down = apart.placement.letterings[0].ink_box.bottom_mm - apart.placement.letterings[1].ink_box.bottom_mm
    made = planned("Tess", layout="box", cap="25mm", also="box=1987", shift=f"0mm,{-down:.1f}mm")
    (finding,) = of_code(made, "texts-collide")
    assert finding.severity == "refuse"
    assert "“Tess”" in finding.message and "“1987”" in finding.message
    assert finding.where.x_mm is not None and finding.where.y_mm is not None


def test_a_text_within_another_collides() -> None:
    """Ink that lies wholly inside other ink touches no outline, and is found all the same; in a hole it is let be."""
    made = planned("Tess", also="box=1987")
    assert made.placement is not None and made.area is not None
    whole, part = made.placement.letterings
    inner = replace(part, contours=(circle(0, 0, 2),), ink_box=part.ink_box.__class__(-2, -2, 2, 2))
    disc = replace(whole, contours=(circle(0, 0, 20),), ink_box=part.ink_box.__class__(-20, -20, 20, 20))
    ring = replace(disc, contours=(circle(0, 0, 20), circle(0, 0, 10)[::-1]))
    assert [one.code for one in room_findings(Placement((disc, inner)), made.area)] == ["texts-collide"]
    assert [one.code for one in room_findings(Placement((inner, disc)), made.area)] == ["texts-collide"]
    assert room_findings(Placement((ring, inner)), made.area) == ()


def test_lettering_over_the_artwork_is_told() -> None:
    """Moved onto the pine boughs a letter is named; where it was fitted it is not."""
    assert of_code(planned("Tess", artwork="pine-ring"), "covers-artwork") == []
    (finding,) = of_code(planned("Tess", artwork="pine-ring", shift="0mm,25mm"), "covers-artwork")
    assert finding.severity == "warn"
    assert finding.where.letter in set("Tess")
    assert np.hypot(finding.where.x_mm or 0, finding.where.y_mm or 0) > 60


def test_an_outline_counts_as_ink() -> None:
    """The ring round the letters, not the letters alone, must stay inside."""
    made = planned("Tess", blank="rect:200mmx120mm", layout="box", outline="2mm:#aa0000", shift="1mm,0mm")
    assert made.placement is not None
    lettering = made.placement.letterings[0]
    assert np.concatenate(lettering.contours)[:, 0].max() < 95.0
    assert [one.where.letter for one in of_code(made, "outside-safe-zone")] == ["s"]


def test_no_room_tells_how_much_there_is() -> None:
    """The refusal names size had and size needed, never more than there is."""
    made = planned("Marlow & Tess", blank="round:60mm", min_cap="30mm")
    (finding,) = of_code(made, "no-room")
    assert made.placement is None and made.status == "refused"
    assert finding.limit == pytest.approx(30.0)
    assert finding.measured is not None and 5 < finding.measured < 30
    told = float(finding.message.split("at most ")[1].split(" mm")[0])
    assert finding.measured - 0.1 <= told <= finding.measured
    assert "60 x 60 mm blank" in finding.message


def test_no_room_at_any_size() -> None:
    """Where nothing fits at all, no size is named."""
    finding = no_fit_finding(NoFit(1, "box", 0.0, 5.0, "the room is taken"), "Ida\nBo")
    assert "at any size" in finding.message and "Ida / Bo" in finding.message
    assert (finding.where.lettering, finding.measured, finding.limit) == (1, 0.0, 5.0)


def test_what_holds_an_arc_back_is_said() -> None:
    """A short text on a small round turns too sharply; a long one goes round too far."""
    (sharp,) = of_code(planned("Bo", blank="round:60mm", layout="arc-top", min_cap="25mm"), "no-room")
    assert "turn at most 22.5 degrees" in sharp.message and "sweep" not in sharp.message
    (far,) = of_code(planned("Marlow and Tess of Birch Cabin", layout="arc-top", min_cap="40mm", sweep="90"), "no-room")
    assert "sweep at most 90 degrees" in far.message and "22.5" not in far.message
    (boxed,) = of_code(planned("Marlow", layout="box", min_cap="90mm"), "no-room")
    assert "sweep" not in boxed.message and "22.5" not in boxed.message
