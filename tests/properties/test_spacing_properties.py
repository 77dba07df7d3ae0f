"""What even spacing promises for any word, radius and side."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from studio.geometry.shapes import Contours, hull
from studio.layout.arc_spacing import LONGEST_GAP_EM, EvenSpacing, even_steps_em, plain_steps_em
from studio.text.font import Face, GlyphOutline, open_face
from studio.text.shaping import Cluster, ShapedGlyph, shape_line

FONTS = Path(__file__).parents[2] / "fonts"
FILES = {
    "Nunito": "Nunito/Nunito[wght].ttf",
    "Oswald": "Oswald/Oswald[wght].ttf",
    "Alfa": "AlfaSlabOne/AlfaSlabOne-Regular.ttf",
}
WORDS = (
    st.text(alphabet="AVTHILOWaeglmnorstvwy&-'. ", min_size=2, max_size=8)
    .map(str.strip)
    .filter(lambda word: len(word) > 1)
)
FACES = st.sampled_from(sorted(FILES))
RADII = st.floats(1.6, 30)
SIDES = st.sampled_from([1, -1])


@cache
def face(name: str) -> Face:
    """Open a shipped face at weight 700."""
    return open_face((FONTS / FILES[name]).read_bytes(), name=name, weight=700)


@cache
def area(outline: GlyphOutline) -> shapely.Geometry:
    """Return an outline as an area, holes left out."""
    ring = [shapely.Polygon(contour).buffer(0) for contour in outline.contours]
    filled = shapely.Polygon()
    for one in ring:
        filled = filled.symmetric_difference(one)
    return filled


def outline_from(contours: Contours) -> GlyphOutline:
    """Return contours as a letter's outline; its curves are not needed here."""
    points = np.concatenate(contours) if contours else np.empty((0, 2))
    splits = tuple(int(start) for start in np.cumsum([len(contour) for contour in contours])[:-1])
    return GlyphOutline(contours, points, splits, hull(points), None)


def set_out(clusters: tuple[Cluster, ...], steps: np.ndarray, radius: float, side: int) -> list[shapely.Geometry]:
    """Turn each letter about its middle on the baseline circle, independently of the code under test."""
    places = np.concatenate([[0.0], np.cumsum(steps)])
    placed = []
    for cluster, place in zip(clusters, places, strict=True):
        if math.isinf(radius):
            placed.append(affinity.translate(area(cluster.outline), place - cluster.advance_em / 2, 0))
        else:
            upright = affinity.translate(area(cluster.outline), -cluster.advance_em / 2, side * radius)
            placed.append(affinity.rotate(upright, -side * place / radius, origin=(0, 0), use_radians=True))
    return placed


def neighbour_gaps(clusters: tuple[Cluster, ...], steps: np.ndarray, radius: float, side: int) -> list[float]:
    """Measure the distances between neighbouring letters."""
    placed = [letter for letter in set_out(clusters, steps, radius, side) if not letter.is_empty]
    return [left.distance(right) for left, right in pairwise(placed)]


def block(left: float, right: float, top: float, advance: float, model: Face) -> Cluster:
    """A letter that is one upright bar; its advance as given."""
    contour = np.array([[left, 0.0], [right, 0.0], [right, top], [left, top]])
    return as_cluster(outline_from((contour,)), advance, model)


def as_cluster(outline: GlyphOutline, advance: float, model: Face) -> Cluster:
    """Give an outline an advance."""
    glyph = ShapedGlyph(model, 1_000_000 + id(outline), 0.0, 0.0, advance, 1.0)
    return Cluster(0, "?", advance, (glyph,), outline, True)


@settings(max_examples=60, deadline=None)
@given(name=FACES, word=WORDS, side=SIDES, finest=st.floats(0, 0.2))
def test_an_infinite_radius_gives_the_shapers_advances(name: str, word: str, side: int, finest: float) -> None:
    """On an infinite radius the steps are exactly plain, and at 100 million ems within a millionth of an em."""
    clusters = shape_line(word, face(name)).clusters
    plain = plain_steps_em(clusters)
    infinite, vast, large = even_steps_em(clusters, np.array([np.inf, 1e8, 3e5]), side, finest)
    assert np.array_equal(infinite, plain)
    assert np.abs(vast - plain).max(initial=0) < 1e-6
    assert np.abs(large - plain).max(initial=0) < 2e-5


@settings(max_examples=80, deadline=None)
@given(name=FACES, word=WORDS, radius=RADII, side=SIDES, finest=st.floats(0.005, 0.12))
def test_no_pair_comes_under_the_floor(name: str, word: str, radius: float, side: int, finest: float) -> None:
    """No pair of letters is nearer than the finest gap, or than on a straight line where that is less."""
    clusters = shape_line(word, face(name)).clusters
    steps = even_steps_em(clusters, np.array([radius]), side, finest)[0]
    straight = neighbour_gaps(clusters, plain_steps_em(clusters), math.inf, side)
    for gap, before in zip(neighbour_gaps(clusters, steps, radius, side), straight, strict=True):
        assert gap >= min(before, finest) - 1e-3


@settings(max_examples=60, deadline=None)
@given(name=FACES, word=WORDS, radius=RADII, side=SIDES, finest=st.lists(st.floats(0, 0.3), min_size=2, max_size=4))
def test_a_larger_finest_gap_never_tightens(
    name: str, word: str, radius: float, side: int, finest: list[float]
) -> None:
    """Asking for a wider finest gap leaves every step as it was or makes it longer."""
    clusters = shape_line(word, face(name)).clusters
    gaps = np.array(sorted(finest))
    steps = even_steps_em(clusters, np.full(len(gaps), radius), side, gaps)
    assert np.all(np.diff(steps, axis=0) >= -1e-9)


@settings(max_examples=60, deadline=None)
@given(name=FACES, word=WORDS, radius=RADII, side=SIDES)
def test_mirrored_letters_are_set_at_mirrored_angles(name: str, word: str, radius: float, side: int) -> None:
    """Letters mirrored and in reversed order have the same steps in reversed order."""
    clusters = shape_line(word, face(name)).clusters
    turned = tuple(mirrored(cluster) for cluster in reversed(clusters))
    steps = even_steps_em(clusters, np.array([radius]), side, 0.02)[0]
    back = even_steps_em(turned, np.array([radius]), side, 0.02)[0]
    assert np.allclose(steps, back[::-1], atol=2e-4)


def mirrored(cluster: Cluster) -> Cluster:
    """Return a letter seen from behind."""
    contours = tuple((contour * [-1, 1] + [cluster.advance_em, 0])[::-1] for contour in cluster.outline.contours)
    outline = outline_from(contours)
    kept.append(outline)
    return as_cluster(outline, cluster.advance_em, cluster.glyphs[0].face)


kept: list[GlyphOutline] = []
"""Outlines made here stay alive, so that no two have one identity."""


@settings(max_examples=60, deadline=None)
@given(
    radius=st.floats(1.6, 30),
    side=SIDES,
    widths=st.tuples(st.floats(0.08, 0.5), st.floats(0.08, 0.5)),
    gap=st.floats(0.08, 0.3),
)
def test_stems_keep_their_mean_gap(radius: float, side: int, widths: tuple[float, float], gap: float) -> None:
    """The mean gap of two upright bars as tall as the capitals, averaged over circles, changes by less than 1 %."""
    model = face("Oswald")
    top = model.cap_height_em
    bars = tuple(block(gap / 2, gap / 2 + width, top, width + gap, model) for width in widths)
    kept.extend(bar.outline for bar in bars)
    step = float(even_steps_em(bars, np.array([radius]), side, 0.0)[0, 0])
    middle = np.linspace(0, top, 401)
    share = radius + side * middle
    level = (np.hypot(widths[0] / 2, share) + np.hypot(widths[1] / 2, share)) / 2
    arcs = level * (step / radius - np.arcsin(widths[0] / 2 / level) - np.arcsin(widths[1] / 2 / level))
    assume(arcs.max() < LONGEST_GAP_EM and arcs.min() > 0.005)
    assert abs(float(arcs.mean()) - gap) < 0.01 * gap


@settings(max_examples=30, deadline=None)
@given(word=WORDS, side=SIDES, radii=st.lists(RADII, min_size=1, max_size=5))
def test_many_radii_at_once_are_the_same_as_one_by_one(word: str, side: int, radii: list[float]) -> None:
    """Solving radii together changes nothing."""
    line = EvenSpacing(shape_line(word, face("Nunito")).clusters)
    together = line.steps_em(np.array(radii), side, 0.03)
    alone = np.concatenate([line.steps_em(np.array([radius]), side, 0.03) for radius in radii])
    assert np.allclose(together, alone, atol=1e-7)


@pytest.mark.parametrize("side", [1, -1])
def test_a_word_space_keeps_its_width_at_the_middle_of_the_capitals(side: int) -> None:
    """Between bars of equal width the space measured half-way up the capitals is the straight line's within 1 %."""
    model = face("Oswald")
    top = model.cap_height_em
    bar, space = block(0.05, 0.25, top, 0.3, model), Cluster(0, " ", 0.25, (), outline_from(()), True)
    kept.append(bar.outline)
    steps = even_steps_em((bar, space, bar), np.array([2.5]), side, 0.0)[0]
    level = np.hypot(0.1, 2.5 + side * top / 2)
    gap = level * (steps.sum() / 2.5 - 2 * math.asin(0.1 / level))
    assert abs(gap - 0.35) < 0.0035
