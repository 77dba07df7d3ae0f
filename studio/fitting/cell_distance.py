"""Distances counted in cells of a grid: from every cell to the nearest one that is taken, and the largest free square.

Exact, in whole numbers. Quicker to load than a library that does the same, which is what the first sign waits for.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

_STEPS_BETWEEN: Final = 8
"""Steps across after which it is looked at again which rows and columns may still change."""


def squared_distances(taken: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Return the squared distance of every cell to the nearest taken one, in cells, shape of `taken`.

    Down each column first, then across each row: a cell so many steps away may be nearer than what is known, until the
    steps alone are farther. At least one cell must be taken.
    """
    rows, columns = taken.shape
    down = _down(taken)
    known = down * down
    nearest = known.copy()
    top, bottom, left, right = 0, rows, 0, columns
    for step in range(1, columns):
        square = np.int32(step * step)
        if step % _STEPS_BETWEEN == 1:
            is_open = nearest[top:bottom, left:right] > square
            if not is_open.any():
                break
            top, bottom = _within(np.asarray(is_open.any(axis=1)), top)
            left, right = _within(np.asarray(is_open.any(axis=0)), left)
        start, end = max(left, step), min(right, columns - step)
        if start < right:
            part = nearest[top:bottom, start:right]
            np.minimum(part, known[top:bottom, start - step : right - step] + square, out=part)
        if left < end:
            part = nearest[top:bottom, left:end]
            np.minimum(part, known[top:bottom, left + step : end + step] + square, out=part)
    return nearest


def _down(taken: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Return the distance of every cell to the nearest taken one of its column; farther than any where none is."""
    rows, far = taken.shape[0], np.int32(sum(taken.shape))
    place = np.arange(rows, dtype=np.int32)[:, None]
    before = np.maximum.accumulate(np.where(taken, place, -far), axis=0)
    behind = np.minimum.accumulate(np.where(taken, place, rows + far)[::-1], axis=0)[::-1]
    return np.minimum(place - before, behind - place)


def _within(is_open: NDArray[np.bool_], start: int) -> tuple[int, int]:
    places = np.flatnonzero(is_open)
    return start + int(places[0]), start + int(places[-1]) + 1


def largest_squares(free: NDArray[np.bool_]) -> tuple[int, NDArray[np.intp]]:
    """Return the reach of the largest squares of free cells, and their middle cells in reading order, shape (n, 2).

    A square of reach k is 2 k - 1 cells wide; the reach is 0, with no middles, where no cell is free.
    """
    sums = np.zeros((free.shape[0] + 1, free.shape[1] + 1), np.int32)
    np.cumsum(np.cumsum(free, axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
    low, high = 0, (min(free.shape) + 1) // 2
    while low < high:
        middle = (low + high + 1) // 2
        if _squares(sums, 2 * middle - 1).any():
            low = middle
        else:
            high = middle - 1
    if low == 0:
        return 0, np.zeros((0, 2), np.intp)
    return low, np.argwhere(_squares(sums, 2 * low - 1)) + (low - 1)


def _squares(sums: NDArray[np.int32], width: int) -> NDArray[np.bool_]:
    """Return where a square of free cells begins, by the sums of all cells above and to the left."""
    count = sums[width:, width:] - sums[:-width, width:] - sums[width:, :-width] + sums[:-width, :-width]
    return np.asarray(count == width * width, np.bool_)
