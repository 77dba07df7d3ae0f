"""Joined letters on an arc: the straight line's outline led along a baseline, so that joins stay joined.

A point's way along the line becomes its way along the baseline, its height stays along the normal. Letters are bent a
little by it; turned one by one they would tear at their joins.

Invariant: contours stay closed and keep their turning direction while no ink reaches past the baseline's centre.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final, TypeAlias

import numpy as np
from fontTools.unicodedata import script
from numpy.typing import NDArray

from studio.geometry.shapes import Contours
from studio.text.graphemes import graphemes
from studio.text.shaping import Cluster

Frames: TypeAlias = Callable[
    [NDArray[np.float64]], tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]
]
"""Gives x, y (mm) and turn (radians) of the baseline at distances (mm) from the arc's middle; shapes as given."""

LONGEST_LIGATURE_RAD: Final = math.radians(15)
"""A ligature that spans more of the arc than this lifts off it visibly."""
_MOST_PIECES: Final = 512


def led_along(contours_mm: Contours, frames: Frames, tolerance_mm: float) -> Contours:
    """Lead straight ink along a baseline.

    Args:
        contours_mm: Ink on a straight baseline: x along it from the arc's middle, y above it.
        frames: The baseline; its normal, to which y goes, is the turn plus a quarter turn.
        tolerance_mm: How far a chord may leave the curve that a straight edge becomes.

    Returns:
        As many contours, in the same order; long edges are cut into chords.
    """
    if not contours_mm:
        return ()
    points = np.concatenate(contours_mm)
    ends = np.cumsum([len(contour) for contour in contours_mm])
    following = np.arange(1, len(points) + 1)
    following[ends - 1] = np.concatenate([[0], ends[:-1]])
    count = _pieces(points, points[following], frames(points[:, 0])[2], following, tolerance_mm)
    edge = np.repeat(np.arange(len(points)), count)
    before = np.cumsum(count) - count
    share = ((np.arange(len(edge)) - before[edge]) / count[edge])[:, None]
    cut = points[edge] + share * (points[following] - points)[edge]
    x, y, turn = frames(cut[:, 0])
    led = np.stack([x - cut[:, 1] * np.sin(turn), y + cut[:, 1] * np.cos(turn)], axis=1)
    return tuple(np.split(led, np.cumsum(count)[ends[:-1] - 1]))


def ligature_lifts(cluster: Cluster, radius_em: float) -> bool:
    """Whether a cluster is a Latin ligature of several letters that spans more than 15 degrees of an arc.

    Args:
        cluster: A cluster of the line.
        radius_em: Radius of the baseline, in ems.
    """
    if cluster.advance_em <= LONGEST_LIGATURE_RAD * radius_em:
        return False
    letters = graphemes(cluster.letter)
    return len(letters) > 1 and all(script(letter[0]) == "Latn" for letter in letters)


def _pieces(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    turn: NDArray[np.float64],
    following: NDArray[np.intp],
    tolerance_mm: float,
) -> NDArray[np.intp]:
    """Return into how many chords each edge is cut, shape (n,).

    Led along, an edge becomes a curve that leaves its chord by an eighth of its second derivative: the turn times the
    way it travels, and twice the turn times what it climbs meanwhile.
    """
    turned = np.abs(turn[following] - turn)
    way, climb = np.abs(end[:, 0] - start[:, 0]), np.abs(end[:, 1] - start[:, 1])
    height = np.maximum(np.abs(start[:, 1]), np.abs(end[:, 1]))
    bulge = turned * np.hypot(way + height * turned, 2 * climb) / 8
    count: NDArray[np.intp] = np.clip(np.ceil(np.sqrt(bulge / tolerance_mm)), 1, _MOST_PIECES).astype(np.intp)
    return count
