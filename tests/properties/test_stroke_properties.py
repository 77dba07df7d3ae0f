"""What must hold of the stroke measurement for any outline."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from studio.geometry.distance import gap_between
from studio.stroke.measure import measure, width_at

Contours = tuple[NDArray[np.float64], ...]

thicknesses = st.floats(0.03, 0.18)
angles = st.floats(0.0, 360.0)


def contours_of(area: shapely.Geometry) -> Contours:
    """Return the outlines of an area, outers counter-clockwise, holes clockwise."""
    found = []
    for part in shapely.get_parts(area):
        oriented = shapely.orient_polygons(part)
        found.extend(np.array(ring.coords)[:-1] for ring in (oriented.exterior, *oriented.interiors))
    return tuple(found)


@st.composite
def letters(draw: st.DrawFn) -> shapely.Geometry:
    """Stems, a crossbar, and perhaps a bowl: an area made of strokes of drawn thickness."""
    stem, crossbar = draw(thicknesses), draw(thicknesses)
    parts = [
        shapely.box(0.0, 0.0, stem, 1.0),
        shapely.box(0.8 - stem, 0.0, 0.8, 1.0),
        shapely.box(stem / 2.0, 0.45, 0.8 - stem / 2.0, 0.45 + crossbar),
    ]
    if draw(st.booleans()):
        bowl = shapely.Point(1.1, 0.4).buffer(0.38, quad_segs=48)
        parts.append(bowl.difference(shapely.Point(1.1, 0.4).buffer(0.38 - draw(thicknesses), quad_segs=48)))
    return shapely.union_all(parts)


def moved(contours: Contours, degrees: float, factor: float, right: float, up: float) -> Contours:
    """Return the contours turned, scaled, then moved."""
    angle = np.radians(degrees)
    turn = np.array(((np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))))
    return tuple(factor * contour @ turn + (right, up) for contour in contours)


@settings(max_examples=40, deadline=None)
@given(letters(), st.floats(0.01, 1000.0))
def test_twice_the_size_twice_the_figures(area: shapely.Geometry, factor: float) -> None:
    """Stroke and gap scale with the outline, whatever the unit."""
    contours = contours_of(area)
    small = measure(contours, cap_height=1.0)
    large = measure(moved(contours, 0.0, factor, 0.0, 0.0), cap_height=factor)
    for one, other in ((small.stroke, large.stroke), (small.gap, large.gap)):
        assert (one is None) == (other is None)
        if one is not None and other is not None:
            assert other.width == pytest.approx(factor * one.width, rel=0.005)


@settings(max_examples=60, deadline=None)
@given(letters(), angles, st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
def test_turning_and_moving_change_no_width(area: shapely.Geometry, degrees: float, right: float, up: float) -> None:
    """A stroke is as thick on an arc as on a line: within 1 % at any angle and place."""
    contours = contours_of(area)
    there = measure(contours, cap_height=1.0).stroke
    here = measure(moved(contours, degrees, 1.0, right, up), cap_height=1.0).stroke
    assert there is not None
    assert here is not None
    assert here.width == pytest.approx(there.width, rel=0.01)


@settings(max_examples=40, deadline=None)
@given(thicknesses, thicknesses, st.floats(0.005, 0.05))
def test_thickening_thickens_the_stroke_by_as_much(stem: float, crossbar: float, added: float) -> None:
    """An H whose outline moves out by d has a thinnest stroke 2 d thicker."""
    area = shapely.union_all(
        [shapely.box(0, 0, stem, 1), shapely.box(0.8 - stem, 0, 0.8, 1), shapely.box(0.01, 0.4, 0.79, 0.4 + crossbar)]
    )
    before = measure(contours_of(area), cap_height=1.0).stroke
    after = measure(contours_of(area.buffer(added, join_style="mitre")), cap_height=1.0).stroke
    assert before is not None
    assert after is not None
    assert before.width == pytest.approx(min(stem, crossbar), rel=0.01)
    assert after.width == pytest.approx(before.width + 2.0 * added, rel=0.01)


@settings(max_examples=40, deadline=None)
@given(letters(), st.floats(0.002, 0.04))
def test_more_ink_never_thins_a_stroke(area: shapely.Geometry, added: float) -> None:
    """Growing an outline all round never lowers its thinnest stroke."""
    before = measure(contours_of(area), cap_height=1.0).stroke
    after = measure(contours_of(area.buffer(added)), cap_height=1.0).stroke
    assert before is not None
    assert after is not None
    assert after.width >= before.width * 0.99


@settings(max_examples=40, deadline=None)
@given(letters())
def test_no_stroke_is_thicker_than_the_largest_disc(area: shapely.Geometry) -> None:
    """The figure lies between the thinnest part drawn and the largest disc that fits at all."""
    found = measure(contours_of(area), cap_height=1.0).stroke
    largest = shapely.length(shapely.maximum_inscribed_circle(area, tolerance=0.001)) * 2.0
    assert found is not None
    assert 0.0 < found.width <= largest * 1.01


@settings(max_examples=60, deadline=None)
@given(thicknesses, angles, st.floats(0.1, 0.9), st.floats(0.05, 0.95))
def test_the_width_of_a_bar_is_the_same_all_along(
    thickness: float, degrees: float, along: float, across: float
) -> None:
    """Anywhere in a bar but near its ends, the local width is the bar's."""
    bar = np.array(((0.0, 0.0), (3.0, 0.0), (3.0, thickness), (0.0, thickness)))
    place = np.array(((0.5 + 2.0 * along, across * thickness),))
    turned, at = moved((bar, place), degrees, 1.0, 0.0, 0.0)
    assert width_at((turned,), float(at[0, 0]), float(at[0, 1])) == pytest.approx(thickness, rel=1e-6)


@settings(max_examples=80, deadline=None)
@given(letters(), letters(), angles, angles, st.floats(-1.0, 2.5), st.floats(-1.5, 1.5))
def test_the_gap_is_what_another_geometry_library_finds(
    one: shapely.Geometry, other: shapely.Geometry, turn: float, counter: float, right: float, up: float
) -> None:
    """The distance between two outlines agrees with the area-to-area distance of shapely, both ways round."""
    a = moved(contours_of(one), turn, 1.0, 0.0, 0.0)
    b = moved(contours_of(other), counter, 1.0, right, up)
    areas = [
        shapely.union_all([shapely.Polygon(outer) for outer in contours[:1]])
        .difference(shapely.union_all([shapely.Polygon(hole) for hole in contours[1:] if _clockwise(hole)]))
        .union(shapely.union_all([shapely.Polygon(more) for more in contours[1:] if not _clockwise(more)]))
        for contours in (a, b)
    ]
    expected = areas[0].distance(areas[1])
    there, back = gap_between(a, b), gap_between(b, a)
    assert there is not None
    assert back is not None
    assert there.width == pytest.approx(expected, abs=1e-9)
    assert back.width == pytest.approx(expected, abs=1e-9)


def _clockwise(contour: NDArray[np.float64]) -> bool:
    following = np.roll(contour, -1, axis=0)
    return float(np.sum(contour[:, 0] * following[:, 1] - following[:, 0] * contour[:, 1])) < 0.0
