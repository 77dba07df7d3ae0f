"""The least distance between two outlines, for letters that stand beside each other.

Invariant: exact on the outlines as given; outlines that touch, cross or lie in one another are 0 apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.stroke.results import Narrowest
from studio.stroke.samples import Contours, Floats, Indices

SCOUTS = 24
"""Points taken of each outline for the first guess, which bounds what must be looked at closely."""
FIRST_SCOUTS = 6
"""Of these the first are asked whether they lie inside the other outline: enough where letters join."""
STRETCH = 8
"""Sides that are kept or put aside together."""


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """All sides of some closed contours.

    Attributes:
        ends: x, y of each side's start and x, y of its stop, shape (4, n).
        low: The low corner of the box round each run of `STRETCH` sides, shape (2, k).
        high: The high corner.
    """

    ends: Floats
    low: Floats
    high: Floats

    def __len__(self) -> int:
        return int(self.ends.shape[1])

    def moved(self, along: float, up: float, turn: float = 0.0) -> Sides:
        """Return the sides turned about the origin, then moved."""
        if turn == 0.0:
            way = np.array([[along], [up]])
            return Sides(self.ends + np.concatenate((way, way)), self.low + way, self.high + way)
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = self.ends[::2], self.ends[1::2]
        ends = np.empty_like(self.ends)
        ends[::2] = x * cos - y * sin + along
        ends[1::2] = x * sin + y * cos + up
        return _with_boxes(ends)


def sides_of(contours: Contours) -> Sides:
    """Return all sides of the contours."""
    kept = [contour for contour in contours if len(contour) >= 2]
    if not kept:
        return Sides(np.zeros((4, 0)), np.zeros((2, 0)), np.zeros((2, 0)))
    starts = np.concatenate(kept).T
    ends = np.empty((4, starts.shape[1]))
    ends[:2] = starts
    ends[2:, :-1] = starts[:, 1:]
    first = 0
    for contour in kept:
        ends[2:, first + len(contour) - 1] = contour[0]
        first += len(contour)
    return _with_boxes(ends)


def _with_boxes(ends: Floats) -> Sides:
    first = np.arange(0, ends.shape[1], STRETCH)
    low = np.minimum.reduceat(ends, first, axis=1)
    high = np.maximum.reduceat(ends, first, axis=1)
    return Sides(ends, np.minimum(low[:2], low[2:]), np.maximum(high[:2], high[2:]))


def gap_between(contours_a: Contours, contours_b: Contours) -> Narrowest | None:
    """Return the narrowest place between two outlines.

    Args:
        contours_a: Closed contours, each (n, 2).
        contours_b: Closed contours in the same unit and place.

    Returns:
        A place of kind "between"; `length` is its width. None when either has no outline.
    """
    return gap_of_sides(sides_of(contours_a), sides_of(contours_b))


def gap_of_sides(sides_a: Sides, sides_b: Sides) -> Narrowest | None:
    """Return the narrowest place between two outlines given as sides: see `gap_between`."""
    if not len(sides_a) or not len(sides_b):
        return None
    low = np.maximum(sides_a.low.min(axis=1), sides_b.low.min(axis=1))
    high = np.minimum(sides_a.high.max(axis=1), sides_b.high.max(axis=1))
    overlap = bool((low <= high).all())
    shared = _shared_place(sides_a, sides_b, low, high) if overlap else None
    if shared is not None:
        return Narrowest(0.0, float(shared[0]), float(shared[1]), "between", 0.0)
    near_a, near_b = _facing(sides_a, sides_b, _first_guess(sides_a.ends, sides_b.ends))
    width, here, there = _closest(near_a, near_b)
    if width > 0.0 and overlap and (_cross(near_a, near_b) or _lie_in_one_another(sides_a, sides_b)):
        width = 0.0
    return Narrowest(width, (here[0] + there[0]) / 2.0, (here[1] + there[1]) / 2.0, "between", width)


def windings(sides: Sides, places: Floats) -> Indices:
    """Return how often the outline runs round each place, shape (n, 2) to (n,)."""
    start_x, start_y, stop_x, stop_y = sides.ends
    y = places[:, 1, None]
    after = stop_y > y
    row, column = np.nonzero((start_y > y) != after)
    at_x, at_y = places[row].T
    from_x, from_y = start_x[column], start_y[column]
    turn = (stop_x[column] - from_x) * (at_y - from_y) - (at_x - from_x) * (stop_y[column] - from_y)
    upward = after[row, column]
    counts = np.where(upward, turn > 0.0, 0) - np.where(upward, 0, turn < 0.0)
    return np.bincount(row, weights=counts, minlength=len(places)).astype(np.intp)


def _shared_place(sides_a: Sides, sides_b: Sides, low: Floats, high: Floats) -> Floats | None:
    """Return a corner of one outline that lies inside the other, from a few of them: quick where letters join."""
    found: list[tuple[Sides, Floats]] = []
    for one, other in ((sides_a, sides_b), (sides_b, sides_a)):
        x, y = one.ends[:2]
        places = np.flatnonzero((x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1]))
        found.append((other, one.ends[:2, places].T))
    for most in (FIRST_SCOUTS, SCOUTS):
        for other, corners in found:
            asked = corners[:: 1 + len(corners) // most]
            inside = np.flatnonzero(windings(other, asked))
            if len(inside):
                shared: Floats = asked[inside[0]]
                return shared
    return None


def _first_guess(ends_a: Floats, ends_b: Floats) -> float:
    """Return a distance that two points of the outlines are known to have."""
    some_a = ends_a[:2, :: 1 + ends_a.shape[1] // SCOUTS]
    some_b = ends_b[:2, :: 1 + ends_b.shape[1] // SCOUTS]
    right, up = some_a[0][:, None] - some_b[0], some_a[1][:, None] - some_b[1]
    scout = some_a[:, int(np.argmin(right * right + up * up)) // some_b.shape[1]]
    # From the best scout to the other outline's nearest corner and back: cheap, and nearly always close to the answer.
    there = _nearest_corner(ends_b, scout)
    here = _nearest_corner(ends_a, there)
    return math.dist(here.tolist(), there.tolist())


def _nearest_corner(ends: Floats, place: Floats) -> Floats:
    right, up = ends[0] - place[0], ends[1] - place[1]
    nearest: Floats = ends[:2, int(np.argmin(right * right + up * up))]
    return nearest


def _facing(sides_a: Sides, sides_b: Sides, bound: float) -> tuple[Floats, Floats]:
    """Return the sides of either outline in stretches whose box comes within `bound` of a stretch of the other."""
    x = _apart(sides_a.low[0], sides_a.high[0], sides_b.low[0], sides_b.high[0])
    y = _apart(sides_a.low[1], sides_a.high[1], sides_b.low[1], sides_b.high[1])
    near = x * x + y * y <= bound * bound * (1.0 + 1e-12)
    kept_a = np.repeat(near.any(axis=1), STRETCH)[: len(sides_a)]
    kept_b = np.repeat(near.any(axis=0), STRETCH)[: len(sides_b)]
    return sides_a.ends[:, kept_a], sides_b.ends[:, kept_b]


def _apart(low_a: Floats, high_a: Floats, low_b: Floats, high_b: Floats) -> Floats:
    """Return how far apart spans of one axis lie, 0 where they overlap, shape (a, b)."""
    apart: Floats = np.maximum(low_a[:, None] - high_b, low_b - high_a[:, None])
    return np.maximum(apart, 0.0, out=apart)


def _closest(ends_a: Floats, ends_b: Floats) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Return the least distance between two sets of sides, and the points it lies between.

    Two sides that do not cross are nearest at an end of one of them, so ends against sides, both ways, is exact.
    """
    best = (math.inf, (0.0, 0.0), (0.0, 0.0))
    for points, ends in ((_corners(ends_a), ends_b), (_corners(ends_b), ends_a)):
        found = _nearest_on(points, ends)
        if found[0] < best[0]:
            best = found
    return best


def _nearest_on(points: Floats, ends: Floats) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Return the least distance of points, shape (2, m), from sides, and the two points it lies between."""
    start_x, start_y = ends[0], ends[1]
    along_x, along_y = ends[2] - start_x, ends[3] - start_y
    square = along_x * along_x + along_y * along_y
    square[square == 0.0] = 1.0
    from_x, from_y = points[0][:, None] - start_x, points[1][:, None] - start_y
    share = from_x * along_x
    share += from_y * along_y
    share /= square
    np.maximum(share, 0.0, out=share)
    np.minimum(share, 1.0, out=share)
    from_x -= share * along_x
    from_y -= share * along_y
    from_x *= from_x
    from_y *= from_y
    from_x += from_y
    row, column = divmod(int(np.argmin(from_x)), len(start_x))
    way = float(share[row, column])
    foot = (
        float(start_x[column]) + way * float(along_x[column]),
        float(start_y[column]) + way * float(along_y[column]),
    )
    return math.sqrt(float(from_x[row, column])), (float(points[0, row]), float(points[1, row])), foot


def _corners(ends: Floats) -> Floats:
    """Return the starts of the sides, and those stops that are not another's start, shape (2, m)."""
    loose: NDArray[np.bool_] = np.append((ends[2:, :-1] != ends[:2, 1:]).any(axis=0), True)
    return np.concatenate((ends[:2], ends[2:, loose]), axis=1)


def _lie_in_one_another(sides_a: Sides, sides_b: Sides) -> bool:
    """Return whether outlines that do not cross lie in one another."""
    return any(bool(windings(one, other.ends[:2, :1].T)[0]) for one, other in ((sides_a, sides_b), (sides_b, sides_a)))


def _cross(ends_a: Floats, ends_b: Floats) -> bool:
    """Return whether any side of one crosses a side of the other."""
    ax, ay, bx, by = (row[:, None] for row in ends_a)
    cx, cy, dx, dy = ends_b
    first = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    second = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
    third = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)
    fourth = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx)
    return bool(np.any((first * second <= 0.0) & (third * fourth <= 0.0)))
