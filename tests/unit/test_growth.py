"""Outlines grown outwards: Steiner's formula for convex ones, an independent geometry library for all others."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from studio.geometry.offset import offset
from studio.geometry.shapes import Contours, Points, circle, hull, signed_area

COORDINATES = st.floats(-40, 40, allow_nan=False).map(lambda value: round(value, 3))
TOLERANCE = 0.001


def area(contours: Contours) -> float:
    """Return the area of united contours."""
    return sum(signed_area(contour) for contour in contours)


def shape(contours: Contours) -> BaseGeometry:
    """Return united contours as the other library's shape."""
    whole: BaseGeometry = Polygon()
    for contour in sorted(contours, key=lambda contour: -abs(signed_area(contour))):
        part = Polygon(contour).buffer(0)
        whole = whole.union(part) if signed_area(contour) > 0 else whole.difference(part)
    return whole


def star(points: int, inner: float, outer: float) -> Points:
    """Return a star, its inner corners as sharp as asked for."""
    angle = np.arange(2 * points) * math.pi / points
    reach = np.where(np.arange(2 * points) % 2 == 0, outer, inner)
    return np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=-1)


def bar(left: float, bottom: float, right: float, top: float) -> Points:
    """Return an upright rectangle."""
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top)])


@given(st.lists(st.tuples(COORDINATES, COORDINATES), min_size=3, max_size=24), st.floats(0.05, 8))
def test_convex_outlines_grow_by_steiners_formula(points: list[tuple[float, float]], distance: float) -> None:
    """Area A and perimeter P become A + P d + pi d^2 (Steiner), within the corners' tolerance."""
    corners = hull(np.array(points))
    if len(corners) < 3 or abs(signed_area(corners)) < 1.0:
        return
    if signed_area(corners) < 0:
        corners = corners[::-1]
    edges = np.roll(corners, -1, axis=0) - corners
    perimeter = float(np.hypot(edges[:, 0], edges[:, 1]).sum())
    expected = signed_area(corners) + perimeter * distance + math.pi * distance**2
    grown = area(offset((corners,), distance, TOLERANCE))
    assert grown == pytest.approx(expected, abs=TOLERANCE * (perimeter + 2 * math.pi * distance) + 1e-3)


@given(st.integers(3, 9), st.floats(2, 18), st.floats(0.05, 9))
@settings(max_examples=60)
def test_concave_outlines_grow_as_elsewhere(points: int, inner: float, distance: float) -> None:
    """A star grows to the shape that the other library gives, its notches closing as they should."""
    contours = (star(points, inner, 20.0),)
    grown, expected = shape(offset(contours, distance, TOLERANCE)), shape(contours).buffer(distance, quad_segs=128)
    assert grown.symmetric_difference(expected).area <= 4 * TOLERANCE * expected.length + 1e-3


@pytest.mark.parametrize("distance", [0.3, 1.0, 2.9, 3.1, 6.0])
def test_holes_shrink_and_close(distance: float) -> None:
    """A ring's hole loses the distance all round; from its own radius on there is none."""
    ring = (circle(0, 0, 10.0, 0.0005), circle(0, 0, 3.0, 0.0005)[::-1])
    grown = offset(ring, distance, TOLERANCE)
    inner = max(3.0 - distance, 0.0)
    assert area(grown) == pytest.approx(math.pi * ((10 + distance) ** 2 - inner**2), rel=2e-4)
    assert len(grown) == (2 if distance < 3 else 1)


@pytest.mark.parametrize(("distance", "parts"), [(0.9, 2), (1.1, 1)])
def test_parts_that_meet_become_one(distance: float, parts: int) -> None:
    """Two bars 2 apart are two until each has grown by 1."""
    assert len(offset((bar(0, 0, 4, 9), bar(6, 0, 10, 9)), distance, TOLERANCE)) == parts


def test_overlapping_input_grows_as_its_union() -> None:
    """Overlapping bars grow as the cross that they make."""
    bars = (bar(-10, -2, 10, 2), bar(-2, -10, 2, 10))
    expected = Polygon(bars[0]).union(Polygon(bars[1])).buffer(1.5, quad_segs=128)
    assert shape(offset(bars, 1.5, TOLERANCE)).symmetric_difference(expected).area < 0.05


def test_no_distance_leaves_all_as_it_is() -> None:
    """A distance of 0, and nothing to grow, come back unchanged."""
    bars = (bar(0, 0, 1, 1),)
    assert offset(bars, 0.0, TOLERANCE) is bars
    assert offset((), 1.0, TOLERANCE) == ()
