"""The largest size of a figure at a place: closed forms in discs, plaques and ovals, scans round holes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.geometry.shapes import Points
from studio.layout.open_area import OpenArea, open_area
from studio.layout.scaling import GROWTH, KEPT_BACK, LADDER_STEP, fits, grown, largest_em, polygon_figure
from studio.model.blank import Blank, Hole

CENTRE = np.zeros(2)


def disc(radius_mm: float, *holes: Hole) -> OpenArea:
    """Return a round open area of a radius, its margin 5 mm."""
    return open_area(Blank("disc", "round", 2 * radius_mm + 10, 2 * radius_mm + 10, holes=holes), 5.0)


def box(width: float, height: float, y: float = 0.0) -> Points:
    """Return the corners of a box centred on (0, y)."""
    return np.array([(sx * width / 2, y + sy * height / 2) for sx in (-1, 1) for sy in (-1, 1)])


def largest(area: OpenArea, points: Points, centre: Points = CENTRE, most: float = 1e6, least: float = 0.0) -> float:
    """Return the largest em, 0 for none."""
    return largest_em(area, centre, polygon_figure(points), at_most_mm=most, at_least_mm=least) or 0.0


def test_one_line_in_a_disc() -> None:
    """A 4 x 0.7 em line in a disc of 100 mm takes an em of 100 / hypot(2, 0.35) = 49.2515 mm."""
    assert largest(disc(100), box(4, 0.7)) == pytest.approx(49.25152333 * KEPT_BACK, abs=1e-7)


def test_three_lines_in_a_disc() -> None:
    """Lines of 2, 3 and 2 em, 0.7 high, 1.2 apart: the outer corners at (1, 1.55) bind, 54.2127 mm."""
    points = np.concatenate([box(2, 0.7, 1.2), box(3, 0.7), box(2, 0.7, -1.2)])
    assert largest(disc(100), points) == pytest.approx(54.21268698 * KEPT_BACK, abs=1e-7)


def test_off_centre_in_a_disc() -> None:
    """From (60, 0) a point straight out has 40 mm to go, one straight up 80 mm."""
    place = np.array([60.0, 0.0])
    assert largest(disc(100), np.array([[1.0, 0.0]]), place) == pytest.approx(40, rel=2e-6)
    assert largest(disc(100), np.array([[0.0, 1.0]]), place) == pytest.approx(80, rel=2e-6)


def test_a_place_outside_holds_nothing() -> None:
    """Where the middle itself is beyond the safe zone no size fits."""
    assert largest(disc(100), box(1, 1), np.array([101.0, 0.0])) == 0.0


def test_in_a_plaque_and_an_oval() -> None:
    """In a 200 x 100 mm plaque, margin 10, height binds at 40 mm; in an oval the tips at 90 and 40 mm do."""
    for shape in ("rect", "oval"):
        area = open_area(Blank(shape, shape, 200, 100), 10.0)
        assert largest(area, np.array([[1.0, 0.0], [0.0, 1.0]])) == pytest.approx(40, rel=1e-5)
        assert largest(area, np.array([[1.0, 0.0], [0.0, 0.25]])) == pytest.approx(90, rel=1e-5)


def test_bounds_asked_for() -> None:
    """A most is kept, a least that does not fit gives nothing."""
    assert largest(disc(100), box(4, 0.7), most=20) == 20
    assert largest(disc(100), box(4, 0.7), least=49.3) == 0.0
    assert largest(disc(100), box(4, 0.7), most=20, least=20) == 20


@pytest.mark.parametrize(("most", "expected"), [(1e6, 100.0), (60.0, 35.0), (34.0, 34.0)])
def test_letters_may_straddle_a_hole(most: float, expected: float) -> None:
    """With 15 mm kept round (50, 0), a point at (em, 0) fits up to 35 mm, and again from 65 to 100 mm."""
    area = disc(100, Hole(50, 0, 20, 5))
    found = largest(area, np.array([[1.0, 0.0]]), most=most)
    assert expected * (1 - 4e-4) <= found <= expected


def test_nothing_between_the_gaps() -> None:
    """Sizes from 36 to 60 mm all hit the hole."""
    assert largest(disc(100, Hole(50, 0, 20, 5)), np.array([[1.0, 0.0]]), most=60, least=36) == 0.0


def test_no_larger_size_on_the_ladder_fits() -> None:
    """Beside holes no size larger by a step of the ladder or more fits, up to the most asked for."""
    area = disc(100, Hole(30, 20, 8, 5), Hole(-42, 5, 6, 5), Hole(0, -60, 10, 5))
    points = np.concatenate([box(0.9, 0.4), box(1.6, 0.2, 0.3)])
    found = largest(area, points)
    assert fits(area, CENTRE, polygon_figure(points), found)
    upper = largest(disc(100), points)
    for step in range(1, int(math.log(upper / found) / math.log(LADDER_STEP))):
        assert not fits(area, CENTRE, polygon_figure(points), upper / LADDER_STEP**step)


def test_grown_needs_a_real_gain() -> None:
    """A figure grows at a place only by more than `GROWTH`, and then to the next limit or one rung."""
    area, points = disc(100), np.array([[1.0, 0.0]])
    assert grown(area, CENTRE, polygon_figure(points), 100 / GROWTH * 1.0001, 1e6) is None
    assert grown(area, CENTRE, polygon_figure(points), 99, 1e6) == pytest.approx(100, rel=4e-4)
    assert grown(area, CENTRE, polygon_figure(points), 50, 1e6) == pytest.approx(50 * GROWTH * LADDER_STEP, rel=1e-9)
