"""Outlines grown outwards by an exact distance, as a repair thickens letters and an outline is drawn round them.

Invariant: filled non-zero, what leaves here is the area itself joined with a disc of the distance about each of its
points: along every edge stands a strip, at every outer corner a sector, and all of them turn the same way.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry.paths import united
from studio.geometry.shapes import Contours, Points

_LEAST_EDGE: Final = 1e-9
_CORNER_RAD: Final = 0.2


def offset(contours: Contours, distance: float, tolerance: float) -> Contours:
    """Return the area grown by `distance` on every side, corners rounded: the exact Minkowski sum with a disc.

    Args:
        contours: Outers counter-clockwise, holes clockwise, any unit; parts may overlap.
        distance: How far outwards, the same unit; 0 or more.
        tolerance: How far the rounded corners may leave a true arc.
    """
    if not contours or distance <= 0:
        return contours
    return united(tuple(_grown(_thinned(contour, tolerance / 2), distance, tolerance / 2) for contour in contours))


def _thinned(contour: Points, tolerance: float) -> Points:
    """Return a finely flattened curve with as few of its points as the tolerance asks for; corners are kept."""
    ahead = np.roll(contour, -1, axis=0) - contour
    length = np.hypot(ahead[:, 0], ahead[:, 1])
    before, behind = np.roll(ahead, 1, axis=0), np.roll(length, 1)
    turn = np.abs(np.arctan2(before[:, 0] * ahead[:, 1] - before[:, 1] * ahead[:, 0], (before * ahead).sum(axis=1)))
    chords = np.floor(np.cumsum(np.sqrt(turn * (length + behind) / 2 / (8 * tolerance))))
    kept = (chords != np.roll(chords, 1)) | (turn >= _CORNER_RAD)
    return contour[kept] if kept.sum() > 2 else contour


def _grown(contour: Points, distance: float, tolerance: float) -> Points:
    """Return one contour's raw offset curve, which may cross itself but never turns about a point the wrong way."""
    edge = np.roll(contour, -1, axis=0) - contour
    long_enough = np.hypot(edge[:, 0], edge[:, 1]) > _LEAST_EDGE * max(distance, 1.0)
    corner = contour[long_enough]
    edge = np.roll(corner, -1, axis=0) - corner
    length = np.hypot(edge[:, 0], edge[:, 1])
    along = edge / length[:, None]
    normal = np.stack([along[:, 1], -along[:, 0]], axis=-1)
    before = np.roll(normal, 1, axis=0)
    turn = np.arctan2(before[:, 0] * normal[:, 1] - before[:, 1] * normal[:, 0], (before * normal).sum(axis=1))
    trim = distance * np.tan(np.abs(turn) / 2)
    plain = _mitred(turn, trim, length)
    most = 2 * np.arccos(max(1 - tolerance / distance, 0.0)) if tolerance < distance else np.pi / 2
    count = np.where(turn > 0, np.maximum(np.ceil(turn / most), 1), np.where(plain, 0, 2)).astype(np.intp)
    which = np.repeat(np.arange(len(corner)), count + 1)
    step = np.arange(len(which)) - np.repeat(np.cumsum(count + 1) - (count + 1), count + 1)
    return _corner_points(corner, before, turn, count, plain, which, step, distance)


def _mitred(turn: NDArray[np.float64], trim: NDArray[np.float64], length: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which inner corners are cut where the two strips meet: those whose edges outlast the cuts at both ends."""
    cut = np.where(turn <= 0, trim, 0.0)
    lasts = cut + np.roll(cut, -1) < length
    return (turn <= 0) & lasts & np.roll(lasts, 1)


def _corner_points(
    corner: Points,
    before: Points,
    turn: NDArray[np.float64],
    count: NDArray[np.intp],
    plain: NDArray[np.bool_],
    which: NDArray[np.intp],
    step: NDArray[np.intp],
    distance: float,
) -> Points:
    """Return the points at each corner: an arc outside, one point where strips meet, or by way of the corner itself."""
    share = step / np.maximum(count[which], 1)
    angle = np.where(plain[which], turn[which] / 2, turn[which] * share)
    reach = np.where(plain[which], distance / np.cos(np.where(plain, turn, 0.0)[which] / 2), distance)
    reach = np.where((turn[which] <= 0) & ~plain[which] & (step == 1), 0.0, reach)
    cos, sin = np.cos(angle), np.sin(angle)
    away = before[which]
    turned = np.stack([away[:, 0] * cos - away[:, 1] * sin, away[:, 0] * sin + away[:, 1] * cos], axis=-1)
    grown: Points = corner[which] + reach[:, None] * turned
    return grown
