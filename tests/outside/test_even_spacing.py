"""Gaps of DejaVu Sans on arcs, against distances measured with shapely.

Sources: DejaVu Sans 2.37 (tests/outside/dejavu). The straight and plain columns were measured with shapely alone, and
so are the figures compared with them here. The solved columns come from an earlier trial of the same method with 24
bands and a floor of 0.6 times the straight gap; here the floor is the straight gap or the finest gap, whichever is
less, so where that trial's floor lifted a pair (each last pair on the convex arc) only the rule itself is checked.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import affinity

from studio.layout.arc_spacing import even_steps_em, plain_steps_em
from studio.text.font import Face, open_face
from studio.text.shaping import Cluster, shape_line

CONVEX, CONCAVE = 1, -1
PLAIN = {
    ("HIHOH", "straight"): (196, 196, 154, 154),
    ("HIHOH", CONVEX, "baseline"): (198, 198, 231, 231),
    ("HIHOH", CONVEX, "middle"): (141, 141, 142, 142),
    ("HIHOH", CONCAVE, "baseline"): (71, 71, 47, 47),
    ("HIHOH", CONCAVE, "middle"): (126, 126, 135, 135),
    ("AVATAR", "straight"): (215, 215, 163, 162, 106),
    ("AVATAR", CONVEX, "baseline"): (214, 218, 190, 189, 109),
    ("AVATAR", CONVEX, "middle"): (150, 153, 128, 123, 34),
    ("AVATAR", CONCAVE, "baseline"): (72, 71, 47, 36, 109),
    ("AVATAR", CONCAVE, "middle"): (135, 133, 107, 100, 204),
    ("Smith", "straight"): (146, 179, 121, 115),
    ("Smith", CONVEX, "baseline"): (190, 183, 174, 116),
    ("Smith", CONVEX, "middle"): (100, 115, 132, 60),
    ("Smith", CONCAVE, "baseline"): (84, 106, 60, 22),
    ("Smith", CONCAVE, "middle"): (157, 181, 98, 79),
}
SOLVED = {
    ("HIHOH", CONVEX): (143, 143, 143, 143),
    ("HIHOH", CONCAVE): (129, 129, 138, 137),
    ("AVATAR", CONVEX): (152, 153, 133, 128, None),
    ("AVATAR", CONCAVE): (135, 136, 103, 107, 201),
    ("Smith", CONVEX): (134, 133, 135, None),
    ("Smith", CONCAVE): (131, 161, 96, 81),
}


@cache
def dejavu() -> Face:
    """Open DejaVu Sans."""
    return open_face((Path(__file__).parent / "dejavu" / "DejaVuSans.ttf").read_bytes(), name="DejaVu Sans")


def ink(cluster: Cluster) -> shapely.Geometry:
    """Return a letter as an area, holes left out."""
    filled = shapely.Polygon()
    for contour in cluster.outline.contours:
        filled = filled.symmetric_difference(shapely.Polygon(contour).buffer(0))
    return filled


def gaps(text: str, steps: np.ndarray, radius: float, side: int) -> np.ndarray:
    """Turn letters about their middles on the baseline circle and measure neighbours, in 1/1000 em."""
    letters = []
    clusters = shape_line(text, dejavu()).clusters
    for cluster, place in zip(clusters, np.concatenate([[0.0], np.cumsum(steps)]), strict=True):
        if math.isinf(radius):
            letters.append(affinity.translate(ink(cluster), place - cluster.advance_em / 2, 0))
        else:
            upright = affinity.translate(ink(cluster), -cluster.advance_em / 2, side * radius)
            letters.append(affinity.rotate(upright, -side * place / radius, origin=(0, 0), use_radians=True))
    return np.array([1000 * left.distance(right) for left, right in pairwise(letters)])


def plain(text: str) -> np.ndarray:
    """Return the shaper's steps."""
    return plain_steps_em(shape_line(text, dejavu()).clusters)


def even(text: str, radius: float, side: int, finest: float) -> np.ndarray:
    """Return the evened steps at one radius."""
    return even_steps_em(shape_line(text, dejavu()).clusters, np.array([radius]), side, finest)[0]


@pytest.mark.parametrize("text", ["HIHOH", "AVATAR", "Smith"])
def test_straight_gaps_are_the_published_face_s(text: str) -> None:
    """Set straight, the gaps are those measured before, to the unit they are given in."""
    assert np.abs(gaps(text, plain(text), math.inf, 1) - PLAIN[text, "straight"]).max() <= 0.6


@pytest.mark.parametrize("side", [CONVEX, CONCAVE])
@pytest.mark.parametrize("text", ["HIHOH", "AVATAR", "Smith"])
def test_plain_advances_on_an_arc_open_and_close_gaps(text: str, side: int) -> None:
    """Advances laid on the baseline circle, or on the circle through mid-cap height, give the gaps measured before."""
    steps, middle = plain(text), 3 + side * dejavu().cap_height_em / 2
    assert np.abs(gaps(text, steps, 3, side) - PLAIN[text, side, "baseline"]).max() <= 0.6
    assert np.abs(gaps(text, steps * 3 / middle, 3, side) - PLAIN[text, side, "middle"]).max() <= 1.1


@pytest.mark.parametrize(("text", "side"), SOLVED)
def test_solved_gaps_are_near_the_earlier_trial(text: str, side: int) -> None:
    """At 3 em each pair that no floor touched has the trial's gap within 12/1000 em."""
    found = gaps(text, even(text, 3, side, 0.0), 3, side)
    for gap, trial in zip(found, SOLVED[text, side], strict=True):
        assert trial is None or abs(gap - trial) <= 12


def test_stems_shrink_and_grow_by_the_trial_s_ratio() -> None:
    """HIHOH at 3 em takes 0.895 of the baseline rule's angle on the convex arc and 1.144 on the concave one."""
    convex, concave = (even("HIHOH", 3, side, 0.0) / plain("HIHOH") for side in (CONVEX, CONCAVE))
    assert np.abs(convex - 0.895).max() <= 0.01
    assert np.abs(concave - 1.144).max() <= 0.015


@pytest.mark.parametrize("side", [CONVEX, CONCAVE])
@pytest.mark.parametrize("text", ["HIHOH", "AVATAR", "Smith"])
def test_a_flat_arc_is_the_straight_line(text: str, side: int) -> None:
    """At 1000 em every gap is the straight line's within a unit."""
    assert np.abs(gaps(text, even(text, 1000, side, 0.0), 1000, side) - PLAIN[text, "straight"]).max() <= 1


def test_pairs_that_the_baseline_rule_runs_together_stay_apart() -> None:
    """On the concave arc of 1.5 em plain advances make every pair of HIHOH touch; evened, none does."""
    assert gaps("HIHOH", plain("HIHOH"), 1.5, CONCAVE).max() == 0
    assert gaps("HIHOH", even("HIHOH", 1.5, CONCAVE, 0.03), 1.5, CONCAVE).min() >= 30


@pytest.mark.parametrize("finest", [0.03, 0.06, 0.09, 0.12])
@pytest.mark.parametrize("radius", [1.5, 3.0])
@pytest.mark.parametrize("side", [CONVEX, CONCAVE])
@pytest.mark.parametrize("text", ["HIHOH", "AVATAR", "Smith"])
def test_the_floor_is_the_finest_gap_or_the_straight_one(text: str, side: int, radius: float, finest: float) -> None:
    """No pair is nearer than the lesser of the two by over 0.5/1000 em; what would be nearer stands there within 2."""
    found = gaps(text, even(text, radius, side, finest), radius, side)
    floor = np.minimum(gaps(text, plain(text), math.inf, 1), 1000 * finest)
    free = gaps(text, even(text, radius, side, 0.0), radius, side)
    assert np.all(found >= floor - 0.5)
    assert np.allclose(found[free < floor], floor[free < floor], atol=2)
