"""Outlines led along a baseline: where points go, what stays the same, and why joined letters need it."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import affinity

from studio.geometry.paths import united
from studio.geometry.shapes import Contours, Points, Rim, signed_area
from studio.layout.baselines import CircleTrack, rim_track
from studio.layout.bent_outline import led_along, ligature_lifts
from studio.text.font import Face, open_face
from studio.text.shaping import Cluster, shape_line

FONTS = Path(__file__).parents[2] / "fonts"
SIDES = pytest.mark.parametrize("side", [1, -1])


def upright(left: float, right: float, low: float, high: float) -> Points:
    """Return a counter-clockwise rectangle."""
    return np.array([[left, low], [right, low], [right, high], [left, high]])


@cache
def face(name: str) -> Face:
    """Open a shipped face."""
    return open_face(next((FONTS / name).glob("*.ttf")).read_bytes(), name=name)


@SIDES
def test_points_go_to_their_angle_and_their_radius(side: int) -> None:
    """Each corner stands at radius + height from the centre (less, where tops point inwards), at the angle x / r."""
    box = upright(-10, 25, -3, 12)
    (led,) = led_along((box,), CircleTrack(80, side).frames, 1e9)
    distance = 80 + side * box[:, 1]
    expected = np.stack([distance * np.sin(box[:, 0] / 80), side * distance * np.cos(box[:, 0] / 80)], axis=1)
    assert np.allclose(led, expected, atol=1e-12)


@SIDES
@pytest.mark.parametrize("tolerance", [0.05, 0.005, 0.0005])
def test_area_is_that_of_the_ring_sector(side: int, tolerance: float) -> None:
    """A led rectangle's area is (length / r) (r2^2 - r1^2) / 2, less at most the tolerance along its edges."""
    (led,) = led_along((upright(-30, 30, 2, 15),), CircleTrack(50, side).frames, tolerance)
    low, high = sorted((50 + side * 2, 50 + side * 15))
    exact = 60 / 50 * (high**2 - low**2) / 2
    assert abs(signed_area(led) - exact) <= tolerance * 60 / 50 * (high + low)


@SIDES
@pytest.mark.parametrize("tolerance", [0.05, 0.005])
def test_chords_stay_within_the_tolerance(side: int, tolerance: float) -> None:
    """Long level and slanting edges never leave the true curve by more than the tolerance."""
    slanting = np.array([[-40.0, 0.0], [0.0, -4.0], [40.0, 0.0], [35.0, 14.0], [-20.0, 9.0]])
    track = CircleTrack(45, side)
    (coarse,) = led_along((slanting,), track.frames, tolerance)
    (fine,) = led_along((slanting,), track.frames, tolerance / 400)
    line = shapely.LinearRing(coarse)
    assert max(line.distance(shapely.Point(point)) for point in fine) <= tolerance
    assert len(coarse) < len(fine)


@SIDES
def test_contours_stay_closed_and_keep_their_direction(side: int) -> None:
    """Outer contours stay counter-clockwise and holes clockwise, in their order, none with its first point repeated."""
    shapes: Contours = (upright(-20, 20, 0, 10), upright(-10, 10, 2, 8)[::-1], upright(25, 26, 0, 10))
    led = led_along(shapes, CircleTrack(30, side).frames, 0.01)
    assert [math.copysign(1, signed_area(contour)) for contour in led] == [1, -1, 1]
    assert all(np.any(contour[0] != contour[-1]) for contour in led)
    assert all(len(after) >= len(before) for after, before in zip(led, shapes, strict=True))


def test_a_straight_baseline_changes_nothing() -> None:
    """On a circle of ten thousand kilometres the outline keeps its points."""
    (led,) = led_along((upright(-5, 5, 0, 3),), CircleTrack(1e10, 1, -1e10).frames, 0.005)
    assert np.allclose(led, upright(-5, 5, 0, 3), atol=1e-5)


def test_an_empty_line_stays_empty() -> None:
    """No contours in, no contours out."""
    assert led_along((), CircleTrack(30, 1).frames, 0.01) == ()


@SIDES
def test_on_an_oval_the_baseline_itself_is_kept(side: int) -> None:
    """Points of height 0 stand on the track, points above it at their height from it along the normal."""
    track = rim_track(Rim("oval", 300, 200), 30, side)
    assert track is not None
    (led,) = led_along((upright(-60, 60, 0, 12),), track.frames, 0.01)
    x, y, _ = track.frames(np.linspace(-70, 70, 4001))
    baseline = shapely.LineString(np.stack([x, y], axis=1))
    distances = np.array([baseline.distance(shapely.Point(point)) for point in led])
    on_baseline, above = distances < 6, distances >= 6
    assert distances[on_baseline].max() < 0.3 and np.isclose(distances[on_baseline], 0, atol=0.01).sum() > 10
    assert np.allclose(distances[above], 12, atol=0.3) and np.isclose(distances[above], 12, atol=0.01).sum() > 10


def joined_straight(text: str, em_mm: float) -> tuple[Contours, tuple[Cluster, ...], np.ndarray]:
    """Set a line straight, centred on its advance."""
    line = shape_line(text, face("Pacifico"))
    starts = (line.starts_em - line.advance_em / 2) * em_mm
    ink = tuple(
        contour * em_mm + [start, 0]
        for cluster, start in zip(line.clusters, starts, strict=True)
        for contour in cluster.outline.contours
    )
    return ink, line.clusters, starts


def pieces_of_ink(contours: Contours) -> int:
    """Count outer contours of the united ink."""
    return sum(signed_area(contour) > 0 for contour in united(contours))


@SIDES
@pytest.mark.parametrize("word", ["lemon", "amelia", "hannah"])
@pytest.mark.parametrize("radius_em", [1.0, 1.5, 3.0])
def test_joined_letters_stay_in_as_many_pieces_as_on_the_straight_line(word: str, radius_em: float, side: int) -> None:
    """Led along a tight arc, a word of a joined face has exactly as many pieces as it has straight."""
    ink, _, _ = joined_straight(word, 40)
    led = led_along(united(ink), CircleTrack(40 * radius_em, side).frames, 0.01)
    assert pieces_of_ink(led) == pieces_of_ink(ink)


def test_letters_turned_one_by_one_tear_where_the_led_outline_holds() -> None:
    """On a convex arc of one em the turned letters of "lemon" fall apart; the led outline is one piece."""
    em, radius = 40.0, 40.0
    ink, clusters, starts = joined_straight("lemon", em)
    turned = []
    for cluster, start in zip(clusters, starts, strict=True):
        middle = cluster.advance_em * em / 2
        letter = shapely.union_all([shapely.Polygon(contour * em).buffer(0) for contour in cluster.outline.contours])
        centred = affinity.translate(letter, -middle, radius)
        turned.append(affinity.rotate(centred, -(start + middle) / radius, origin=(0, 0), use_radians=True))
    assert len(shapely.get_parts(shapely.union_all(turned))) >= 4
    led = led_along(united(ink), CircleTrack(radius, 1).frames, 0.01)
    assert pieces_of_ink(led) == 1


def test_long_ligatures_lift_and_single_letters_do_not() -> None:
    """A ligature lifts where it spans more than 15 degrees; a wide single letter never counts as one."""
    model = shape_line("M", face("Pacifico")).clusters[0]
    ligature = Cluster(0, "ffi", 0.9, model.glyphs, model.outline, True)
    assert ligature_lifts(ligature, 3.0) and not ligature_lifts(ligature, 0.9 / math.radians(14.9))
    assert not ligature_lifts(Cluster(0, "M", 0.9, model.glyphs, model.outline, True), 1.0)
    assert not ligature_lifts(Cluster(0, "é", 0.9, model.glyphs, model.outline, True), 1.0)
    assert not ligature_lifts(Cluster(0, "لا", 0.9, model.glyphs, model.outline, False), 1.0)
