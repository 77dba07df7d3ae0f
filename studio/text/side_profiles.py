"""Side profiles of a letter: how far its ink reaches to the right and to the left at each height.

Invariant: every point of a profile is a point of the ink, so a gap measured between profiles is never less than the
gap between the letters, and exact at corners and on straight edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValues
from studio.geometry.shapes import Points
from studio.text.font import Face
from studio.text.shaping import Cluster

STEPS_PER_CAP: Final = 64
"""Heights from the baseline to the top of the capitals."""
STEPS_BELOW: Final = 32
STEPS_ABOVE: Final = 104
"""How many steps the heights reach below the baseline and above it: accents and descenders, in cap-height shares."""
_OUTERMOST: Final = 1e-7
"""Breaks ties among the points of a strip: the outermost one counts."""
_FLAT_END_EM: Final = 0.05
"""How much of a flat top or bottom belongs to a side."""
HEIGHTS: Final = STEPS_BELOW + STEPS_ABOVE + 1


@dataclass(frozen=True, slots=True, eq=False)
class SideProfile:
    """One side of a cluster's ink, in em units from the cluster's start on the baseline.

    Attributes:
        x_em: Outermost ink at each height of `heights_em`, shape (HEIGHTS,); NaN where there is none.
        filled_em: The same, heights without ink filled in between those that have some.
        chain_em: The side as a line from bottom to top, shape (2 * HEIGHTS - 1, 2), x and y: even places are the
            heights themselves, odd places the point between two heights that stands out most from the line joining
            them, with its own y. Where ink begins or ends between two heights, the missing place holds that end. NaN
            where there is no ink.
    """

    x_em: NDArray[np.float64]
    filled_em: NDArray[np.float64]
    chain_em: Points


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """Both sides of a cluster."""

    right: SideProfile
    left: SideProfile


def heights_em(cap_height_em: float) -> NDArray[np.float64]:
    """Return the heights profiles are taken at, ascending, shape (HEIGHTS,)."""
    steps = np.arange(-STEPS_BELOW, STEPS_ABOVE + 1, dtype=np.float64)
    return steps * (cap_height_em / STEPS_PER_CAP)


def line_cap_height_em(clusters: tuple[Cluster, ...]) -> float:
    """Return the cap height that a line's profiles are stepped by; stand-in faces are scaled to the same one."""
    for cluster in clusters:
        for glyph in cluster.glyphs:
            return glyph.scale * glyph.face.cap_height_em
    return 1.0


_PROFILES: Final = KeptValues[Face, tuple[object, ...], Profile]()


def profile_of(cluster: Cluster, cap_height_em: float) -> Profile:
    """Return the profile of a cluster with ink; kept with its face.

    Args:
        cluster: A cluster whose `has_ink` is true.
        cap_height_em: What the heights are stepped by.
    """
    outline = cluster.outline
    return _PROFILES.get(
        cluster.glyphs[0].face,
        (round(cap_height_em, 6), cluster_key(cluster)),
        lambda: _measured(outline.points, outline.splits, cap_height_em / STEPS_PER_CAP),
    )


def cluster_key(cluster: Cluster) -> tuple[object, ...]:
    """Return what tells a cluster's ink from another's within one face."""
    first = cluster.glyphs[0]
    if len(cluster.glyphs) == 1:
        return (first.glyph_id, first.x_em, first.y_em, first.scale)
    return tuple((glyph.face.key, glyph.glyph_id, glyph.x_em, glyph.y_em, glyph.scale) for glyph in cluster.glyphs)


def _measured(points: Points, splits: tuple[int, ...], step_em: float) -> Profile:
    x, level, strip = _pieces(points, splits, step_em)
    right = _side(x, level, strip)
    left = _side(-x, level, strip)
    mirror, scale = np.array([-1.0, 1.0]), np.array([1.0, step_em])
    return Profile(
        SideProfile(right[0], _filled(right[0]), right[1] * scale),
        SideProfile(-left[0], _filled(-left[0]), left[1] * scale * mirror),
    )


def _filled(x: NDArray[np.float64]) -> NDArray[np.float64]:
    inked = np.flatnonzero(~np.isnan(x))
    return np.interp(np.arange(len(x)), inked, x[inked]) if len(inked) else np.zeros(len(x))


def _pieces(
    points: Points, splits: tuple[int, ...], step_em: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Cut every edge at the heights.

    Returns:
        The ends of the pieces: x and level (height in steps), each shape (2, m), and the strip between two heights
        that each piece lies in, shape (m,), counted from the lowest.
    """
    following = np.arange(1, len(points) + 1)
    starts = np.array([0, *splits])
    following[np.array([*splits, len(points)]) - 1] = starts
    x0, x1 = points[:, 0], points[following, 0]
    level = points[:, 1] / step_em
    level0, level1 = level, level[following]
    low, high = np.minimum(level0, level1), np.maximum(level0, level1)
    first = np.floor(low)
    count = np.maximum(np.ceil(high) - first, 1).astype(np.int64)
    edge = np.repeat(np.arange(len(points)), count)
    strip = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    rise = (level1 - level0)[edge]
    flat = rise == 0
    ends = np.stack([np.clip(strip, low[edge], high[edge]), np.clip(strip + 1, low[edge], high[edge])])
    share = (ends - level0[edge]) / np.where(flat, 1.0, rise)
    share[1, flat] = 1.0
    x = x0[edge] + share * (x1 - x0)[edge]
    strips = strip.astype(np.int64) + STEPS_BELOW
    inside = (strips >= 0) & (strips < HEIGHTS - 1)
    return x[:, inside], ends[:, inside], strips[inside]


def _side(
    x: NDArray[np.float64], level: NDArray[np.float64], strip: NDArray[np.int64]
) -> tuple[NDArray[np.float64], Points]:
    """Return the outermost x at each height and the chain, for the side of the greatest x; heights in steps."""
    at_height = np.full(HEIGHTS, -np.inf)
    on_low = level[0] == strip - STEPS_BELOW
    on_high = level[1] == strip - STEPS_BELOW + 1
    np.maximum.at(at_height, strip[on_low], x[0, on_low])
    np.maximum.at(at_height, strip[on_high] + 1, x[1, on_high])
    bare = ~np.isfinite(at_height)
    at_height[bare] = np.nan
    every_x, every_level, every_strip = x.ravel(), level.ravel(), np.concatenate([strip, strip])
    corners = np.column_stack([at_height, np.where(bare, np.nan, np.arange(-STEPS_BELOW, STEPS_ABOVE + 1))])
    inked = np.zeros(HEIGHTS - 1, dtype=bool)
    inked[strip] = True
    for outward, shift in ((-1.0, 0), (1.0, 1)):
        ending = np.flatnonzero(inked & bare[shift : HEIGHTS - 1 + shift])
        if len(ending):
            end = _farthest(outward * every_level + _OUTERMOST * every_x, every_strip)[ending]
            corners[ending + shift, 0] = _along_flat(x, level, every_x[end], every_level[end])
            corners[ending + shift, 1] = every_level[end]
    low, rise = corners[every_strip], np.diff(corners, axis=0)[every_strip]
    bulge = (every_x - low[:, 0]) * rise[:, 1] - (every_level - low[:, 1]) * rise[:, 0] + _OUTERMOST * every_x
    chain = np.full((2 * HEIGHTS - 1, 2), np.nan)
    chain[::2] = corners
    strips = np.flatnonzero(inked)
    between = _farthest(bulge, every_strip)[strips]
    chain[2 * strips + 1, 0], chain[2 * strips + 1, 1] = every_x[between], every_level[between]
    return at_height, chain


def _along_flat(
    x: NDArray[np.float64], level: NDArray[np.float64], end_x: NDArray[np.float64], end_level: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Move ends inwards along the level edge they are a corner of, if there is one; they stay ink."""
    flat = level[0] == level[1]
    outer, inner, height = x[:, flat].max(axis=0), x[:, flat].min(axis=0), level[0, flat]
    edge = (outer == end_x[:, None]) & (height == end_level[:, None])
    reached = np.where(edge, inner, end_x[:, None]).min(axis=1, initial=np.inf)
    moved: NDArray[np.float64] = np.clip(reached, end_x - _FLAT_END_EM, end_x)
    return moved


def _farthest(value: NDArray[np.float64], strip: NDArray[np.int64]) -> NDArray[np.intp]:
    """Return where the greatest value of each strip stands, shape (HEIGHTS - 1,); no matter in empty strips."""
    greatest = np.full(HEIGHTS - 1, -np.inf)
    np.maximum.at(greatest, strip, value)
    best = np.flatnonzero(value == greatest[strip])
    place = np.zeros(HEIGHTS - 1, dtype=np.intp)
    place[strip[best]] = best
    return place
