"""The least distance between two outlines, for letters that stand beside each other.

Invariant: exact on the outlines as given; outlines that touch, cross or lie in one another are 0 apart.
"""

from __future__ import annotations

import numpy as np

from studio.lettering.chords import to_side
from studio.lettering.exact_width import foot
from studio.lettering.narrowest import Narrowest
from studio.lettering.rim import Contours, Floats, Indices

SCOUTS = 24
"""Points taken of each outline for the first guess, which bounds what must be looked at closely."""
STRETCH = 12
"""Sides that are kept or put aside together."""


def gap_between(contours_a: Contours, contours_b: Contours) -> Narrowest | None:
    """Return the narrowest place between two outlines.

    Args:
        contours_a: Closed contours, each (n, 2).
        contours_b: Closed contours in the same unit and place.

    Returns:
        A place of kind "between"; `length` is its width. None when either has no outline.
    """
    sides_a, sides_b = _sides(contours_a), _sides(contours_b)
    if not len(sides_a) or not len(sides_b):
        return None
    shared = _shared_place(sides_a, sides_b)
    if shared is not None:
        return Narrowest(0.0, float(shared[0]), float(shared[1]), "between", 0.0)
    bound = _first_guess(sides_a, sides_b)
    near_a, near_b = _facing(sides_a, sides_b, bound)
    width, here, there = _closest(near_a, near_b)
    if width > 0.0 and _overlap(sides_a, sides_b) and (_cross(near_a, near_b) or _holds(sides_a, sides_b)):
        width = 0.0
    middle = (here + there) / 2.0
    return Narrowest(width, float(middle[0]), float(middle[1]), "between", width)


def _sides(contours: Contours) -> Floats:
    """Return all sides of the contours, shape (n, 4): x, y of the start, x, y of the stop."""
    kept = [contour for contour in contours if len(contour) >= 2]
    if not kept:
        return np.zeros((0, 4))
    starts = np.concatenate(kept)
    sides = np.empty((len(starts), 4))
    sides[:, :2] = starts
    sides[:-1, 2:] = starts[1:]
    first = 0
    for contour in kept:
        sides[first + len(contour) - 1, 2:] = contour[0]
        first += len(contour)
    return sides


def _shared_place(sides_a: Floats, sides_b: Floats) -> Floats | None:
    """Return a corner of one outline that lies inside the other, from a few of them: quick where letters join."""
    low = np.maximum(sides_a[:, :2].min(axis=0), sides_b[:, :2].min(axis=0))
    high = np.minimum(sides_a[:, :2].max(axis=0), sides_b[:, :2].max(axis=0))
    if (low >= high).any():
        return None
    for one, other in ((sides_a, sides_b), (sides_b, sides_a)):
        corners = one[((one[:, :2] > low) & (one[:, :2] < high)).all(axis=1), :2]
        corners = corners[:: 1 + len(corners) // SCOUTS]
        inside = np.flatnonzero(_windings(other, corners))
        if len(inside):
            found: Floats = corners[inside[0]]
            return found
    return None


def _first_guess(sides_a: Floats, sides_b: Floats) -> float:
    """Return a distance that two points of the outlines are known to have."""
    some_a = sides_a[:: 1 + len(sides_a) // SCOUTS, :2]
    some_b = sides_b[:: 1 + len(sides_b) // SCOUTS, :2]
    right, up = some_a[:, None, 0] - some_b[:, 0], some_a[:, None, 1] - some_b[:, 1]
    scout = some_a[int(np.argmin(right * right + up * up)) // len(some_b)]
    # From the best scout to the other outline's nearest vertex and back: cheap, and nearly always close to the answer.
    there = sides_b[_nearest_vertex(sides_b, scout), :2]
    here = sides_a[_nearest_vertex(sides_a, there), :2]
    return float(np.hypot(*(here - there)))


def _nearest_vertex(sides: Floats, place: Floats) -> int:
    right, up = sides[:, 0] - place[0], sides[:, 1] - place[1]
    return int(np.argmin(right * right + up * up))


def _facing(sides_a: Floats, sides_b: Floats, bound: float) -> tuple[Floats, Floats]:
    """Return the sides of either outline in stretches whose box comes within `bound` of a stretch of the other."""
    (low_a, high_a), (low_b, high_b) = _stretches(sides_a), _stretches(sides_b)
    apart = np.maximum(low_a[:, None] - high_b, low_b - high_a[:, None]).clip(0.0)
    near = np.einsum("ijk,ijk->ij", apart, apart) <= bound * bound * (1.0 + 1e-12)
    kept_a = np.repeat(near.any(axis=1), STRETCH)[: len(sides_a)]
    kept_b = np.repeat(near.any(axis=0), STRETCH)[: len(sides_b)]
    return sides_a[kept_a], sides_b[kept_b]


def _stretches(sides: Floats) -> tuple[Floats, Floats]:
    """Return the low and the high corner of the box round each run of sides, shapes (n, 2)."""
    first = np.arange(0, len(sides), STRETCH)
    low = np.minimum.reduceat(sides, first, axis=0)
    high = np.maximum.reduceat(sides, first, axis=0)
    return np.minimum(low[:, :2], low[:, 2:]), np.maximum(high[:, :2], high[:, 2:])


def _closest(sides_a: Floats, sides_b: Floats) -> tuple[float, Floats, Floats]:
    """Return the least distance between two sets of sides, and the points it lies between.

    Two sides that do not cross are nearest at an end of one of them, so ends against sides, both ways, is exact.
    """
    best: tuple[float, Floats, Floats] | None = None
    for points, sides in ((_ends(sides_a), sides_b), (_ends(sides_b), sides_a)):
        distance = to_side(points[:, None, :], sides[None, :, :2], sides[None, :, 2:])
        row, column = divmod(int(np.argmin(distance)), len(sides))
        if best is None or distance[row, column] < best[0]:
            best = (float(distance[row, column]), points[row], foot(points[row], sides[column, :2], sides[column, 2:]))
    assert best is not None
    return best


def _ends(sides: Floats) -> Floats:
    """Return the starts of the sides, and those stops that are not another's start."""
    loose = np.append((sides[:-1, 2:] != sides[1:, :2]).any(axis=1), True)
    return np.concatenate((sides[:, :2], sides[loose, 2:]))


def _overlap(sides_a: Floats, sides_b: Floats) -> bool:
    """Return whether the boxes round the two outlines overlap."""
    low = np.maximum(sides_a[:, :2].min(axis=0), sides_b[:, :2].min(axis=0))
    high = np.minimum(sides_a[:, :2].max(axis=0), sides_b[:, :2].max(axis=0))
    return bool(np.all(low <= high))


def _holds(sides_a: Floats, sides_b: Floats) -> bool:
    """Return whether outlines that do not cross lie in one another."""
    return _winding(sides_a, sides_b[0, :2]) != 0 or _winding(sides_b, sides_a[0, :2]) != 0


def _winding(sides: Floats, place: Floats) -> int:
    """Return how often the outline runs round a place."""
    return int(_windings(sides, place[None])[0])


def _windings(sides: Floats, places: Floats) -> Indices:
    """Return how often the outline runs round each place, shapes (m, 4) and (n, 2) to (n,)."""
    y = places[:, 1, None]
    above, after = sides[:, 1] > y, sides[:, 3] > y
    row, column = np.nonzero(above != after)
    at, crossed = places[row], sides[column]
    turn = (crossed[:, 2] - crossed[:, 0]) * (at[:, 1] - crossed[:, 1]) - (at[:, 0] - crossed[:, 0]) * (
        crossed[:, 3] - crossed[:, 1]
    )
    upward = after[row, column]
    counts = np.where(upward, turn > 0.0, 0) - np.where(upward, 0, turn < 0.0)
    return np.bincount(row, weights=counts, minlength=len(places)).astype(np.intp)


def _cross(sides_a: Floats, sides_b: Floats) -> bool:
    """Return whether any side of one crosses a side of the other."""
    ax, ay, bx, by = (column[:, None] for column in sides_a.T)
    cx, cy, dx, dy = (column[None, :] for column in sides_b.T)
    first = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    second = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
    third = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)
    fourth = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx)
    return bool(np.any((first * second <= 0.0) & (third * fourth <= 0.0)))
