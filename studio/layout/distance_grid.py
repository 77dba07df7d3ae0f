"""Distances on a grid: how far each place of the blank is from a picture or from a text already placed.

Invariant: row 0 is the lowest row, so that a grid has the axes of the blank.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Contours, Points
from studio.layout.letter_ink import sampled_edge
from studio.layout.work import ASKED_MS, WORK
from studio.model.artwork import ArtworkSetting
from studio.model.blank import Blank

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


Rays: TypeAlias = NDArray[np.float32]
"""Points of a figure in em for quick looking, x and y apart, shape (2, m)."""

CELLS_ACROSS: Final = 512
"""Cells along the longer side of the blank: half a millimetre on a 10 in round."""

DENSE_MM: Final = 3.0
DENSE_SHARE: Final = 0.40
"""Where a picture begins to the eye: this opaque over this width."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Square cells over the blank's box: `rows` x `columns` of `pitch_mm`, lower left corner at `left`, `bottom`."""

    rows: int
    columns: int
    pitch_mm: float
    left_mm: float
    bottom_mm: float

    def centres(self) -> Points:
        """Return the middles of all cells, shape (rows, columns, 2)."""
        x = self.left_mm + (np.arange(self.columns) + 0.5) * self.pitch_mm
        y = self.bottom_mm + (np.arange(self.rows) + 0.5) * self.pitch_mm
        return np.stack(np.meshgrid(x, y), axis=-1)


@dataclass(frozen=True, eq=False)
class DistanceGrid:
    """A value in mm for every cell of a grid."""

    grid: Grid
    values: NDArray[np.float32]

    @cached_property
    def least_value(self) -> float:
        """The least value of any cell."""
        return float(self.values.min())

    def nearest(self, points: Points) -> NDArray[np.float32]:
        """Return the value of the cell each point falls in; beyond the grid, of the cell at its edge."""
        grid = self.grid
        columns = ((points[..., 0] - grid.left_mm) / grid.pitch_mm).astype(np.intp)
        rows = ((points[..., 1] - grid.bottom_mm) / grid.pitch_mm).astype(np.intp)
        np.clip(columns, 0, grid.columns - 1, out=columns)
        np.clip(rows, 0, grid.rows - 1, out=rows)
        rows *= grid.columns
        rows += columns
        value: NDArray[np.float32] = self.values.take(rows)
        return value

    def least_at(self, centre: NDArray[np.float64], size_mm: float, points: Rays) -> float:
        """Return the least value that a figure meets at one size: `least`, quicker."""
        WORK.done_ms += ASKED_MS
        grid = self.grid
        x, y = centre.tolist()
        moved = points * np.float32(size_mm / grid.pitch_mm)
        moved[0] += np.float32((x - grid.left_mm) / grid.pitch_mm)
        moved[1] += np.float32((y - grid.bottom_mm) / grid.pitch_mm)
        cells = moved.astype(np.int32)
        flat = cells[1]
        flat *= grid.columns
        flat += cells[0]
        return float(self.values.take(flat, mode="clip").min())

    def least(
        self, centre: NDArray[np.float64], sizes_mm: NDArray[np.float64] | float, points: Rays
    ) -> NDArray[np.float32]:
        """Return the least value that a figure meets at each size, shape as `sizes_mm`.

        Args:
            centre: Where the figure's origin stands, mm; shape (2,), or (n, 2) for one place after another at one size.
            sizes_mm: Sizes at which the figure is within the grid, shape (..., 1) or a number.
            points: Points of the figure in em, x and y apart, shape (2, m).
        """
        WORK.done_ms += ASKED_MS
        grid = self.grid
        scale = np.asarray(sizes_mm / grid.pitch_mm, np.float32)
        origin = ((centre - (grid.left_mm, grid.bottom_mm)) / grid.pitch_mm).astype(np.float32)
        columns = points[0] * scale + origin[..., :1]
        cells = (points[1] * scale + origin[..., 1:]).astype(np.int32)
        cells *= np.int32(grid.columns)
        cells += columns.astype(np.int32)
        value: NDArray[np.float32] = self.values.take(cells, mode="clip").min(axis=-1)
        return value


def grid_over(blank: Blank) -> Grid:
    """Return the grid that fittings on a blank share."""
    pitch_mm = max(blank.width_mm, blank.height_mm) / CELLS_ACROSS
    columns, rows = math.ceil(blank.width_mm / pitch_mm), math.ceil(blank.height_mm / pitch_mm)
    return Grid(rows, columns, pitch_mm, -columns * pitch_mm / 2, -rows * pitch_mm / 2)


def distance_to(covered: NDArray[np.bool_], grid: Grid) -> DistanceGrid:
    """Return the distance of every cell to the nearest covered cell, 0 in covered ones; infinite when none is."""
    if not covered.any():
        return DistanceGrid(grid, np.full(covered.shape, np.inf, np.float32))
    distance = np.sqrt(squared_distances(covered)) * grid.pitch_mm
    return DistanceGrid(grid, np.asarray(distance, np.float32))


def picture_cover(
    alpha: NDArray[np.uint8], setting: ArtworkSetting, blank: Blank, bleed_mm: float
) -> NDArray[np.bool_]:
    """Return which cells of the blank's grid the artwork covers, faint washes included.

    Args:
        alpha: The picture's opacity, rows running down, shape (rows, columns).
        setting: How it is laid on the blank; its threshold says from which opacity on it counts.
        blank: The blank.
        bleed_mm: How far the artwork runs past the rim.
    """
    grid = grid_over(blank)
    width_mm, height_mm = setting.printed_size_mm(blank.width_mm + 2 * bleed_mm, blank.height_mm + 2 * bleed_mm)
    blocks = _strongest(alpha, max(1, int(grid.pitch_mm * alpha.shape[1] / width_mm)))
    centres = grid.centres() - np.array([setting.x_mm, setting.y_mm])
    cos, sin = math.cos(-setting.turn_rad), math.sin(-setting.turn_rad)
    x = centres[..., 0] * cos - centres[..., 1] * sin
    y = centres[..., 0] * sin + centres[..., 1] * cos
    columns = np.floor((x / width_mm + 0.5) * blocks.shape[1]).astype(np.intp)
    rows = np.floor((0.5 - y / height_mm) * blocks.shape[0]).astype(np.intp)
    within = (columns >= 0) & (columns < blocks.shape[1]) & (rows >= 0) & (rows < blocks.shape[0])
    opacity = np.where(within, blocks[rows * within, columns * within], 0)
    return np.asarray(opacity >= max(1.0, setting.threshold_percent / 100 * 255), np.bool_)


def dense_cover(alpha: NDArray[np.uint8], setting: ArtworkSetting, blank: Blank, bleed_mm: float) -> NDArray[np.bool_]:
    """Return which cells of the blank's grid the artwork fills to the eye: `DENSE_SHARE` opaque over `DENSE_MM`.

    Faint washes, thin tips and spatter are left out; they may not be run over, but they take no air from a name.

    Args:
        alpha: The picture's opacity, rows running down, shape (rows, columns).
        setting: How it is laid on the blank.
        blank: The blank.
        bleed_mm: How far the artwork runs past the rim.
    """
    grid = grid_over(blank)
    width_mm, height_mm = setting.printed_size_mm(blank.width_mm + 2 * bleed_mm, blank.height_mm + 2 * bleed_mm)
    size = max(1, round(DENSE_MM / 2 * alpha.shape[1] / width_mm))
    blocks = _mean(alpha, size)
    centres = grid.centres() - np.array([setting.x_mm, setting.y_mm])
    cos, sin = math.cos(-setting.turn_rad), math.sin(-setting.turn_rad)
    x = centres[..., 0] * cos - centres[..., 1] * sin
    y = centres[..., 0] * sin + centres[..., 1] * cos
    pixels_mm = alpha.shape[1] / width_mm, alpha.shape[0] / height_mm
    columns = ((x + width_mm / 2) * pixels_mm[0] / size).astype(np.intp)
    rows = ((height_mm / 2 - y) * pixels_mm[1] / size).astype(np.intp)
    within = (np.abs(x) < width_mm / 2) & (np.abs(y) < height_mm / 2)
    np.clip(columns, 0, blocks.shape[1] - 1, out=columns)
    np.clip(rows, 0, blocks.shape[0] - 1, out=rows)
    return np.asarray(within & (blocks[rows, columns] >= DENSE_SHARE * 255), np.bool_)


def _mean(alpha: NDArray[np.uint8], size: int) -> NDArray[np.float32]:
    """Return the mean opacity about each block of `size` x `size` pixels, over twice its width."""
    rows, columns = -(-alpha.shape[0] // size), -(-alpha.shape[1] // size)
    padded = np.zeros((rows * size, columns * size), np.uint8)
    padded[: alpha.shape[0], : alpha.shape[1]] = alpha
    lines = padded.reshape(rows, size, -1).sum(axis=1, dtype=np.uint32)
    blocks = (lines.reshape(rows, columns, size).sum(axis=2) / (size * size)).astype(np.float32)
    for axis in (0, 1):
        edged = np.concatenate([np.take(blocks, [0], axis), blocks, np.take(blocks, [-1], axis)], axis)
        count = blocks.shape[axis]
        before, behind = (np.take(edged, range(start, start + count), axis) for start in (0, 2))
        blocks = (before + 2 * blocks + behind) / 4
    return np.asarray(blocks, np.float32)


def text_cover(contours: Contours, grid: Grid) -> NDArray[np.bool_]:
    """Return which cells a placed text takes, its counters filled: no other text may stand inside a letter."""
    covered = np.zeros((grid.rows, grid.columns), np.bool_)
    for contour in contours:
        points = sampled_edge(contour, grid.pitch_mm / 2)
        columns = np.clip(((points[:, 0] - grid.left_mm) / grid.pitch_mm).astype(np.intp), 0, grid.columns - 1)
        rows = np.clip(((points[:, 1] - grid.bottom_mm) / grid.pitch_mm).astype(np.intp), 0, grid.rows - 1)
        covered[rows, columns] = True
    return filled(covered)


def filled(taken: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the cells that are taken or shut in by taken ones, where a way leads from cell to cell by their sides."""
    rows, columns = (np.flatnonzero(taken.any(axis=axis)) for axis in (1, 0))
    if not len(rows):
        return taken.copy()
    part = (slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1))
    free = np.pad(~taken[part], 1, constant_values=True)
    open_ = np.zeros_like(free)
    open_[0], open_[-1], open_[:, 0], open_[:, -1] = True, True, True, True
    count = 0
    while count != (count := int(open_.sum())):
        for axis in (0, 1):
            open_ = _swept(open_, free, axis)
    whole = taken.copy()
    whole[part] |= ~open_[1:-1, 1:-1]
    return whole


def _swept(open_: NDArray[np.bool_], free: NDArray[np.bool_], axis: int) -> NDArray[np.bool_]:
    """Return the open cells with all free ones that lie in one run with an open one, both ways along an axis."""
    place = np.arange(free.shape[axis], dtype=np.int16)
    place = place[:, None] if axis == 0 else place[None, :]
    for step in (slice(None), slice(None, None, -1)):
        turned = (step, slice(None)) if axis == 0 else (slice(None), step)
        here, clear = open_[turned], free[turned]
        last_open = np.maximum.accumulate(np.where(here, place, np.int16(-1)), axis=axis)
        last_taken = np.maximum.accumulate(np.where(clear, np.int16(-1), place), axis=axis)
        open_ = (here | (clear & (last_open > last_taken)))[turned]
    return open_


def _strongest(alpha: NDArray[np.uint8], size: int) -> NDArray[np.uint8]:
    """Return the strongest opacity of each block of `size` x `size` pixels."""
    if size == 1:
        return alpha
    rows, columns = -(-alpha.shape[0] // size), -(-alpha.shape[1] // size)
    padded = np.zeros((rows * size, columns * size), np.uint8)
    padded[: alpha.shape[0], : alpha.shape[1]] = alpha
    lines = padded.reshape(rows, size, -1).max(axis=1)
    return np.asarray(np.maximum.reduce([lines[:, start::size] for start in range(size)]), np.uint8)
