"""The room that lettering is composed in: how clear each place is, and how much white stands on each side of it.

Invariant: all maps are worked out once for an open area and kept with it. Where rim alone bounds the room its clearance
is exact; elsewhere it is read from a map of half the fitting's cells, on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValue
from studio.composing.prices import STATED_BOX_SHARE
from studio.layout.distance_grid import Grid, grid_over
from studio.layout.open_area import OpenArea

Floats = NDArray[np.floating[Any]]

_COARSER: Final = 2
_BLOCKED_MM: Final = -1e3
_UNLIKE_SHARE: Final = 0.06
"""Share of free cells that may differ from those across the axis in a room that counts as symmetric."""
_ROOMY_SHARE: Final = 0.45
"""From this share of the largest clearance on a place counts for the symmetry: not for every needle of a bough."""


@dataclass(frozen=True, slots=True, eq=False)
class Whites:
    """How far it is from each cell to the rim or to the picture, in mm: upwards, downwards, leftwards, rightwards."""

    up: NDArray[np.float32]
    down: NDArray[np.float32]
    left: NDArray[np.float32]
    right: NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class FreeRoom:
    """The room of one open area.

    Attributes:
        grid: Cells that the maps share.
        clear: Clearance of every cell from all that air is kept from, mm; far under 0 where no ink may stand.
        circle_mm: Diameter of the largest free circle.
        is_symmetric: Whether left and right are alike, so that lettering stands on the axis.
        spans_mm: Left, bottom, right and top of what is free.
        middle_mm: The middle of the largest free circle.
    """

    area: OpenArea
    grid: Grid
    clear: NDArray[np.float32]
    whites: Whites
    circle_mm: float
    is_symmetric: bool
    spans_mm: tuple[float, float, float, float]
    middle_mm: tuple[float, float]

    def clear_at(self, xs: Floats, ys: Floats, sizes_mm: Floats, points: Floats) -> Floats:
        """Return how clear a figure is at every one of some places and sizes, quickly, shape (places, sizes).

        Args:
            xs: Where its origin stands, shape (places,).
            ys: The same up and down.
            sizes_mm: Its sizes, shape (sizes,).
            points: Its points at a size of 1, shape (m, 2).
        """
        grid = self.grid
        unit = 1.0 if self.area.is_plain else 1 / grid.pitch_mm
        left, bottom = (0.0, 0.0) if self.area.is_plain else (grid.left_mm, grid.bottom_mm)
        scaled = (sizes_mm * unit).astype(np.float32)[:, None, None] * points.astype(np.float32)
        x = ((xs - left) * unit).astype(np.float32)[:, None, None] + scaled[..., 0]
        y = ((ys - bottom) * unit).astype(np.float32)[:, None, None] + scaled[..., 1]
        if self.area.is_plain:
            return np.asarray(_rim_clearance(self.area, x, y).min(axis=2), np.float64)
        np.clip(x, 0, grid.columns - 1, out=x)
        np.clip(y, 0, grid.rows - 1, out=y)
        cells = y.astype(np.int32)
        cells *= np.int32(grid.columns)
        cells += x.astype(np.int32)
        return np.asarray(self.clear.take(cells).min(axis=2), np.float64)

    def clearance_mm(self, x: Floats, y: Floats) -> Floats:
        """Return how clear places are, shapes alike."""
        if self.area.is_plain:
            return _rim_clearance(self.area, x, y)
        return np.asarray(self.clear.take(self._cells(x, y)), np.float64)

    def white_mm(self, which: NDArray[np.float32], x: Floats, y: Floats) -> Floats:
        """Return one of the white maps at places, shapes alike."""
        return np.asarray(which.take(self._cells(x, y)), np.float64)

    def _cells(self, x: Floats, y: Floats) -> NDArray[np.int64]:
        grid = self.grid
        columns = ((x - grid.left_mm) / grid.pitch_mm).astype(np.int64)
        rows = ((y - grid.bottom_mm) / grid.pitch_mm).astype(np.int64)
        np.clip(columns, 0, grid.columns - 1, out=columns)
        np.clip(rows, 0, grid.rows - 1, out=rows)
        rows *= grid.columns
        rows += columns
        return rows


_ROOMS: Final = KeptValue[OpenArea, FreeRoom]()


def room_of(area: OpenArea) -> FreeRoom:
    """Return the room of an area, worked out once."""
    return _ROOMS.of(area, lambda: _room(area))


def _room(area: OpenArea) -> FreeRoom:
    fine = grid_over(area.blank)
    rows, columns = -(-fine.rows // _COARSER), -(-fine.columns // _COARSER)
    grid = Grid(rows, columns, fine.pitch_mm * _COARSER, fine.left_mm, fine.bottom_mm)
    x = grid.left_mm + (np.arange(columns) + 0.5) * grid.pitch_mm
    y = grid.bottom_mm + (np.arange(rows) + 0.5) * grid.pitch_mm
    x, y = np.meshgrid(x, y)
    clear = _rim_clearance(area, x, y)
    blocked = clear < -area.margin_mm
    for hole in area.blank.holes:
        away = np.hypot(x - hole.x_mm, y - hole.y_mm) - hole.diameter_mm / 2
        clear = np.minimum(clear, away - hole.clearance_mm)
        blocked |= away < 0
    if area.dense is not None:
        dense = _least(area.dense.values, rows, columns)
        clear = np.minimum(clear, dense)
        blocked |= dense <= 0
    if area.texts is not None:
        texts = _least(area.texts.values, rows, columns)
        clear = np.minimum(clear, texts)
        blocked |= texts <= 0
    circle = clear
    if area.box is not None:
        box = area.box
        depth = np.minimum(np.minimum(x - box.left_mm, box.right_mm - x), np.minimum(y - box.bottom_mm, box.top_mm - y))
        circle = np.minimum(clear, depth)
        clear = np.where(depth < 0, _BLOCKED_MM, np.minimum(clear, depth / STATED_BOX_SHARE))
    if area.approximate is not None:
        clear = np.where(_least(area.approximate.values, rows, columns) < 0, _BLOCKED_MM, clear)
        circle = np.where(clear < 0, _BLOCKED_MM, circle)
    most = max(float(circle.max()), 0.0)
    free = clear >= 0
    spans = (float(x[free].min()), float(y[free].min()), float(x[free].max()), float(y[free].max())) if most else ()
    roomy = circle >= _ROOMY_SHARE * most
    unlike = float((roomy != roomy[:, ::-1]).sum()) / max(float(roomy.sum()), 1.0)
    near = circle >= most - grid.pitch_mm
    middle = (float(x[near].mean()), float(y[near].mean())) if near.any() else (0.0, 0.0)
    return FreeRoom(
        area,
        grid,
        np.asarray(clear, np.float32),
        _whites(blocked, grid.pitch_mm),
        2 * most,
        unlike <= _UNLIKE_SHARE,
        spans or (0.0, 0.0, 0.0, 0.0),
        middle,
    )


def _rim_clearance(area: OpenArea, x: Floats, y: Floats) -> Floats:
    """Return the depth within the safe zone; quick, and right to a micrometre."""
    rim = area.blank.rim
    if rim.is_circle:
        return np.asarray(rim.width_mm / 2 - area.margin_mm - np.sqrt(x * x + y * y))
    if rim.shape == "rect":
        return np.asarray(rim.depth_mm(np.stack([x, y], axis=-1)) - area.margin_mm, np.float64)
    return _oval_clearance(area, x, y)


def _oval_clearance(area: OpenArea, x: Floats, y: Floats) -> Floats:
    """Return about the depth within an oval's safe zone: right to first order near its edge, else a little much."""
    a, b = area.blank.rim.width_mm / 2 - area.margin_mm, area.blank.rim.height_mm / 2 - area.margin_mm
    u, v = x / a, y / b
    reach = np.sqrt(u * u + v * v)
    slope = np.maximum(np.sqrt((u / a) ** 2 + (v / b) ** 2), 1e-9)
    outwards = (1 - reach) * np.maximum(reach, 1e-6) / slope
    upwards = b * np.sqrt(np.maximum(1 - u * u, 0)) - np.abs(y)
    sideways = a * np.sqrt(np.maximum(1 - v * v, 0)) - np.abs(x)
    inside = np.minimum(np.where(reach < 1e-3, b, outwards), np.minimum(upwards, sideways))
    return np.asarray(np.where(reach > 1, outwards, inside))


def _least(values: NDArray[np.float32], rows: int, columns: int) -> Floats:
    """Return the least value of each block of cells."""
    padded = np.pad(
        values, ((0, rows * _COARSER - values.shape[0]), (0, columns * _COARSER - values.shape[1])), mode="edge"
    )
    down = np.minimum(padded[::2], padded[1::2])
    return np.asarray(np.minimum(down[:, ::2], down[:, 1::2]), np.float64)


def _whites(blocked: NDArray[np.bool_], pitch_mm: float) -> Whites:
    return Whites(
        _way(blocked, pitch_mm),
        _way(blocked[::-1], pitch_mm)[::-1].copy(),
        _way(blocked.T[::-1], pitch_mm)[::-1].T.copy(),
        _way(blocked.T, pitch_mm).T.copy(),
    )


def _way(blocked: NDArray[np.bool_], pitch_mm: float) -> NDArray[np.float32]:
    """Return how far each cell is from the first blocked one of a higher row, mm; 0 in blocked cells."""
    rows = blocked.shape[0]
    place = np.arange(rows, dtype=np.float32)[:, None]
    ahead = np.where(blocked, place, np.float32(rows))
    first = np.minimum.accumulate(ahead[::-1], axis=0)[::-1]
    return np.asarray((first - place) * np.float32(pitch_mm), np.float32)
