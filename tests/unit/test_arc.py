"""The largest arc round a circle: in a bare disc against a search of its own, and beside things in the way."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from studio.layout.arc_pitch import LetterSteps, Pitches
from studio.layout.circle_arc import fit_circle
from studio.layout.fit import Fit, Limits
from studio.layout.letter_ink import LineInk, line_ink
from studio.layout.open_area import OpenArea, open_area
from studio.model.blank import Blank, Hole
from studio.model.sign import LARGEST_TURN_RAD
from studio.text.font import Face, open_face
from studio.text.shaping import shape_line

DEJAVU = Path(__file__).parents[1] / "outside" / "dejavu" / "DejaVuSans.ttf"
SWEEP = math.radians(160)
WIDE_OPEN = Limits(1e6, 1.0, SWEEP, 0.8)
SIDES = pytest.mark.parametrize("side", [1, -1])


@cache
def face() -> Face:
    """Open DejaVu Sans."""
    return open_face(DEJAVU.read_bytes(), name="DejaVu Sans")


def ink_of(text: str) -> LineInk:
    """Return a line's ink."""
    ink = line_ink(shape_line(text, face()))
    assert ink is not None
    return ink


def disc(radius_mm: float, *holes: Hole) -> OpenArea:
    """Return a round open area of a radius."""
    return open_area(Blank("disc", "round", 2 * radius_mm + 10, 2 * radius_mm + 10, holes=holes), 5.0)


def contour_points(fit: Fit) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return all outline points as they stand, by turning each letter here."""
    parts = []
    for line in fit.lines:
        for cluster, x, y, turn in zip(line.ink.letters, *line.frames, strict=True):
            local = (cluster.outline.points - np.array([cluster.advance_em / 2, 0])) * fit.em_mm
            parts.append(
                np.stack(
                    [
                        x + local[:, 0] * math.cos(turn) - local[:, 1] * math.sin(turn),
                        y + local[:, 0] * math.sin(turn) + local[:, 1] * math.cos(turn),
                    ],
                    axis=-1,
                )
            )
    return np.concatenate(parts)


@SIDES
@pytest.mark.parametrize("text", ["Ida", "Marlow & Tess", "Quinn", "The Birch Cabin by the lake"])
def test_in_a_disc_the_ink_touches_the_rim(text: str, side: int) -> None:
    """The largest plain arc's farthest point stands on the safe zone's edge."""
    fit = fit_circle(Pitches(LetterSteps(ink_of(text), side, "plain", 0.01)), disc(100), WIDE_OPEN)
    assert fit is not None
    assert np.hypot(*contour_points(fit).T).max() == pytest.approx(100, rel=2e-6)


@SIDES
@pytest.mark.parametrize("text", ["Ida", "Marlow & Tess", "The Birch Cabin by the lake"])
def test_in_a_disc_no_bend_gives_larger_letters(text: str, side: int) -> None:
    """Of 200 bends allowed by sweep and turn, each with its size in closed form, none beats the answer."""
    ink = ink_of(text)
    fit = fit_circle(Pitches(LetterSteps(ink, side, "plain", 0.01)), disc(100), WIDE_OPEN)
    assert fit is not None
    step = max(np.diff(ink.mids_em).max(), 1e-9)
    sharpest = min(SWEEP / ink.advance_em, LARGEST_TURN_RAD / step)
    pitches, best = Pitches(LetterSteps(ink, side, "plain", 0.01)), 0.0
    for bend in sharpest * np.linspace(0.02, 1, 200):
        figure = pitches.at(float(bend)).figure(ink.hull, ink.hull_owner)
        best = max(best, 100 / np.hypot(*figure.T).max())
    assert fit.em_mm >= best * (1 - 1e-5)
    assert fit.sweep_rad <= SWEEP + 1e-9


@SIDES
def test_a_size_asked_for_takes_the_flattest_arc(side: int) -> None:
    """At a fixed size the arc is as flat as the disc allows: the ink touches the rim, the sweep shrinks."""
    ink, limits = ink_of("Marlow"), Limits(20, 20 * (1 - 1e-6), SWEEP, 0.8)
    fit = fit_circle(Pitches(LetterSteps(ink, side, "plain", 0.01)), disc(100), limits)
    assert fit is not None
    assert fit.em_mm == pytest.approx(20, rel=2e-6)
    assert np.hypot(*contour_points(fit).T).max() == pytest.approx(100, abs=0.01)


@SIDES
def test_a_size_too_large_has_no_arc(side: int) -> None:
    """One per cent over the largest there is nothing."""
    ink = ink_of("Marlow & Tess")
    pitches = Pitches(LetterSteps(ink, side, "plain", 0.01))
    largest = fit_circle(pitches, disc(100), WIDE_OPEN)
    assert largest is not None
    em_mm = largest.em_mm * 1.01
    assert fit_circle(pitches, disc(100), Limits(em_mm, em_mm * (1 - 1e-6), SWEEP, 0.8)) is None


@SIDES
def test_a_smaller_sweep_gives_smaller_letters(side: int) -> None:
    """The sweep is kept, and costs size."""
    ink, sizes = ink_of("The Birch Cabin"), []
    for sweep_deg in (60.0, 100.0, 160.0, 330.0):
        limits = Limits(1e6, 1.0, math.radians(sweep_deg), 0.8)
        fit = fit_circle(Pitches(LetterSteps(ink, side, "plain", 0.01)), disc(100), limits)
        assert fit is not None
        assert math.degrees(fit.sweep_rad) <= sweep_deg + 1e-6
        sizes.append(fit.em_mm)
    assert sizes == sorted(sizes)
    assert sizes[0] < sizes[1] < sizes[2]


@SIDES
def test_holes_are_kept_clear(side: int) -> None:
    """With holes in the way of the largest arc the ink keeps its clearance, and is smaller."""
    holes = (Hole(-60, side * 60, 8, 5), Hole(60, side * 60, 8, 5))
    ink = ink_of("Marlow & Tess")
    free = fit_circle(Pitches(LetterSteps(ink, side, "plain", 0.01)), disc(100), WIDE_OPEN)
    fit = fit_circle(Pitches(LetterSteps(ink, side, "plain", 0.01)), disc(100, *holes), WIDE_OPEN)
    assert free is not None and fit is not None
    assert fit.em_mm <= free.em_mm
    points = contour_points(fit)
    assert np.hypot(*points.T).max() <= 100
    for hole in holes:
        assert np.hypot(points[:, 0] - hole.x_mm, points[:, 1] - hole.y_mm).min() >= 9 - 1e-3
