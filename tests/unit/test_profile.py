"""Side profiles against straight cuts of the outline made with shapely."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from studio.text.font import Face, open_face
from studio.text.shaping import Cluster, shape_line
from studio.text.side_profiles import HEIGHTS, STEPS_BELOW, STEPS_PER_CAP, heights_em, profile_of

FONTS = Path(__file__).parents[2] / "fonts"
LETTERS = pytest.mark.parametrize("letter", list("AgiTOS&é:"))


@cache
def face() -> Face:
    """Open Nunito."""
    return open_face((FONTS / "Nunito" / "Nunito[wght].ttf").read_bytes(), name="Nunito", weight=700)


def cluster(letter: str) -> Cluster:
    """Shape one letter."""
    return shape_line(letter, face()).clusters[0]


def ink(one: Cluster) -> shapely.Geometry:
    """Return a letter as an area, holes left out."""
    filled = shapely.Polygon()
    for contour in one.outline.contours:
        filled = filled.symmetric_difference(shapely.Polygon(contour).buffer(0))
    return filled


@LETTERS
def test_profiles_are_the_ends_of_level_cuts(letter: str) -> None:
    """At every height the outermost ink is where a level cut of the outline begins and ends, or there is none."""
    one = cluster(letter)
    profile = profile_of(one, face().cap_height_em)
    for index, height in enumerate(heights_em(face().cap_height_em)):
        cut = ink(one).intersection(shapely.LineString([(-2, height), (3, height)]))
        assert cut.is_empty == bool(np.isnan(profile.left.x_em[index])) == bool(np.isnan(profile.right.x_em[index]))
        if not cut.is_empty:
            assert np.allclose([profile.left.x_em[index], profile.right.x_em[index]], cut.bounds[::2], atol=1e-9)


@LETTERS
def test_every_place_of_a_chain_is_ink_and_the_highest_and_lowest_are_there(letter: str) -> None:
    """No chain point leaves the outline, and the chains reach from the letter's bottom to its top."""
    one = cluster(letter)
    edge = ink(one).boundary
    profile = profile_of(one, face().cap_height_em)
    for side in (profile.left, profile.right):
        places = side.chain_em[~np.isnan(side.chain_em[:, 0])]
        assert max(edge.distance(shapely.Point(place)) for place in places) < 1e-9
        assert np.isclose(places[:, 1].min(), one.outline.points[:, 1].min(), atol=1e-9)
        assert np.isclose(places[:, 1].max(), one.outline.points[:, 1].max(), atol=1e-9)


def test_the_heights_go_through_the_baseline_and_the_top_of_the_capitals() -> None:
    """One height is 0 and one is the cap height, whatever the face."""
    heights = heights_em(0.7)
    assert len(heights) == HEIGHTS and heights[STEPS_BELOW] == 0
    assert heights[STEPS_BELOW + STEPS_PER_CAP] == pytest.approx(0.7, abs=1e-12)


def test_a_profile_is_measured_once() -> None:
    """The same letter of the same face gives the same profile object."""
    assert profile_of(cluster("R"), face().cap_height_em) is profile_of(cluster("R"), face().cap_height_em)
