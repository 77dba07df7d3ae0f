"""An outline filled on a grid of cells: how much of each cell is ink.

Along the rows cover is exact; up and down it is averaged over a few lines to a cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

_LINES: Final = 4


def filled(
    contours: Sequence[NDArray[np.float64]], corner: tuple[float, float], cells_per_unit: float, shape: tuple[int, int]
) -> NDArray[np.float32]:
    """Return the ink's share of each cell, 0 to 1, shape `shape`; rows run up.

    Args:
        contours: United contours, outer ones counter-clockwise, each of shape (n, 2).
        corner: Left and lower edge of the grid.
        cells_per_unit: Cells to a unit of the outline.
        shape: Rows and columns.
    """
    rows, columns = shape
    starts = (np.concatenate(contours) - corner) * cells_per_unit
    ends = (np.concatenate([np.roll(contour, -1, axis=0) for contour in contours]) - corner) * cells_per_unit
    low, high = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
    first = np.clip(np.ceil(low * _LINES - 0.5), 0, rows * _LINES).astype(np.int64)
    counts = np.clip(np.ceil(high * _LINES - 0.5), 0, rows * _LINES).astype(np.int64) - first
    edge = np.repeat(np.arange(len(starts)), counts)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts) + first[edge]
    up = ends[edge, 1] - starts[edge, 1]
    along = ((line + 0.5) / _LINES - starts[edge, 1]) / up
    x = np.clip(starts[edge, 0] + along * (ends[edge, 0] - starts[edge, 0]), 0, columns)
    cell = np.minimum(x.astype(np.int64), columns - 1)
    sign = np.where(up < 0, 1.0, -1.0)  # ink lies on the left of its edges
    part = x - cell
    place = line // _LINES * (columns + 1) + cell
    size = rows * (columns + 1)
    steps = np.bincount(place, sign * (1 - part), size) + np.bincount(place + 1, sign * part, size + 1)[:size]
    cover = np.cumsum(steps.reshape(rows, columns + 1), axis=1)[:, :columns] / _LINES
    return np.clip(cover, 0, 1).astype(np.float32)
