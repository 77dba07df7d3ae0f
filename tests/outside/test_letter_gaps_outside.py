"""Gaps between letters against shapely's distance of areas: neighbours of every shipped face.

The program measures from edge to edge; here outlines are made areas, by even-odd filling of rings, and their distance
is asked of the library on its own. Source: shapely (GEOS), a general-purpose geometry library.
"""

from __future__ import annotations

import itertools
import random
import string
from functools import cache

import numpy as np
import pytest
import shapely

from studio.checks.letter_gaps import edges
from studio.geometry.distance import gaps_of_pairs
from studio.model.sign import FaceChoice
from studio.text.font import Face
from studio.text.shaping import Cluster, shape_line
from tests.shared import assets, catalogue

FACES = [entry.name for entry in catalogue().faces if entry.is_shipped]
MARKS = "&-.,'’!?#+/0123456789"
LETTERS = string.ascii_letters + MARKS
KNOWN = {
    "Alfa Slab One": {"yj": 0.036, "Ej": 0.144, "fv": 0.432, "fr": 0.612, "LT": 0.972},
    "Righteous": {"fv": 0.244, "ff": 0.683},
    "Roboto Slab": {"Tx": 0.221, "vj": 0.587},
    "Lobster": {"Xr": 0.56, "zt": 0.653},
    "Grenze Gotisch": {"fz": 0.678},
}
"""Gaps in mm at 14 mm capitals, measured once by hand with readers of another make."""


@cache
def opened(name: str) -> Face:
    """Return a shipped face at its good weight."""
    return assets().face(FaceChoice(name))


@cache
def area(cluster_key: tuple[str, int]) -> shapely.Geometry:
    """Return a glyph of a face as an area."""
    name, glyph_id = cluster_key
    rings = [shapely.LinearRing(contour) for contour in opened(name).glyph(glyph_id).contours]
    return shapely.build_area(shapely.GeometryCollection(rings))


def pairs_of(face: Face, pairs: list[str]) -> list[tuple[Cluster, Cluster, float]]:
    """Return the pairs that stay two single glyphs with ink when shaped, and how far apart they start."""
    kept = []
    for pair in pairs:
        line = shape_line(pair, face)
        clusters = line.clusters
        if len(clusters) == 2 and all(len(one.glyphs) == 1 and one.outline.glyph_id >= 0 for one in clusters):
            kept.append((clusters[0], clusters[1], float(line.starts_em[1])))
    return [entry for entry in kept if entry[0].has_ink and entry[1].has_ink]


def compared(name: str, pairs: list[str]) -> int:
    """Compare the gaps of pairs of a face with the distances of their areas; return how many there were."""
    face = opened(name)
    kept = pairs_of(face, [pair for pair in pairs if all(map(face.covers, pair))])
    if not kept:
        return 0
    along = np.array([start for _, _, start in kept])
    lefts, rights = ([edges(entry[side].outline) for entry in kept] for side in (0, 1))
    widths, _ = gaps_of_pairs(lefts, rights, along, np.zeros(len(kept)), np.zeros(len(kept)))
    left_areas = np.array([area((name, left.outline.glyph_id)) for left, _, _ in kept])
    right_areas = np.array(
        [
            shapely.transform(area((name, right.outline.glyph_id)), lambda points, x=x: points + np.array([x, 0.0]))
            for _, right, x in kept
        ]
    )
    expected = shapely.distance(left_areas, right_areas)
    assert np.abs(widths - expected).max() < 1e-9
    return len(kept)


@pytest.mark.parametrize("name", FACES)
def test_gaps_of_neighbours_are_those_of_their_areas(name: str) -> None:
    """A hundred and fifty pairs of letters, digits and marks of each face are as far apart as their areas are."""
    every = ["".join(pair) for pair in itertools.product(LETTERS, LETTERS)]
    chosen = random.Random(name).sample(every, 150)

    assert compared(name, chosen) > 20 or "Devanagari" in name


@pytest.mark.slow
@pytest.mark.parametrize("name", FACES)
def test_gaps_of_all_neighbours_are_those_of_their_areas(name: str) -> None:
    """Every pair of letters, digits and marks of a face is as far apart as its areas are."""
    compared(name, ["".join(pair) for pair in itertools.product(LETTERS, LETTERS)])


@pytest.mark.parametrize("name", KNOWN)
def test_upright_sides_that_face_each_other_are_told(name: str) -> None:
    """Pairs whose facing sides are upright and parallel have the gaps that were measured by hand."""
    face = opened(name)
    for pair, wanted_mm in KNOWN[name].items():
        ((left, right, start),) = pairs_of(face, [pair])
        widths, _ = gaps_of_pairs(
            [edges(left.outline)], [edges(right.outline)], np.array([start]), np.zeros(1), np.zeros(1)
        )
        assert float(widths[0]) * 14 / face.cap_height_em == pytest.approx(wanted_mm, abs=0.01)
