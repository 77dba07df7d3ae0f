"""Room for marks and words on a sheet: inside what the printer prints, off every blank with its bleed, off each other.

Invariant: nothing that room is given for reaches into blank plus bleed, where it would be pressed into the wood.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Box, Points, Rim

CLEARANCE_MM: Final = 0.5
"""Kept between any mark and blank plus bleed."""
_CELL_MM: Final = 0.5
_APART_MM: Final = 0.8
_EDGE_STEP_MM: Final = 0.25


@dataclass(frozen=True, slots=True)
class Pressed:
    """A blank on the sheet, where nothing but its print may stand.

    Attributes:
        x_mm: Its centre.
        reach_mm: Its bleed.
        is_turned: Whether it is turned a quarter.
    """

    rim: Rim
    x_mm: float
    y_mm: float
    reach_mm: float
    is_turned: bool = False

    def depth_mm(self, points: Points) -> NDArray[np.float64]:
        """Return how deep points, shape (..., 2), lie inside the rim."""
        own = points - np.array([self.x_mm, self.y_mm])
        return self.rim.depth_mm(own[..., ::-1] if self.is_turned else own)

    @property
    def box(self) -> Box:
        """The box of blank plus bleed plus clearance."""
        wide, high = self.rim.width_mm / 2, self.rim.height_mm / 2
        if self.is_turned:
            wide, high = high, wide
        more = self.reach_mm + CLEARANCE_MM
        return Box(self.x_mm - wide - more, self.y_mm - high - more, self.x_mm + wide + more, self.y_mm + high + more)


class SheetRoom:
    """The free room of a sheet; what is taken stays taken."""

    def __init__(self, field: Box, pressed: Iterable[Pressed]) -> None:
        """Find what is free.

        Args:
            field: What the printer prints of the sheet.
            pressed: The blanks on it.
        """
        self.field = field
        self.pressed = tuple(pressed)
        self.taken: list[Box] = []
        columns, rows = (max(1, math.floor(side / _CELL_MM)) for side in (field.width_mm, field.height_mm))
        self._x = field.left_mm + (np.arange(columns) + 0.5) * _CELL_MM
        self._y = field.bottom_mm + (np.arange(rows) + 0.5) * _CELL_MM
        self._blocked = np.zeros((rows, columns), dtype=bool)
        for blank in self.pressed:
            self._block_blank(blank)

    def _block_blank(self, blank: Pressed) -> None:
        across, along = self._cells(blank.box)
        if not len(self._x[across]) or not len(self._y[along]):
            return
        points = np.stack(np.meshgrid(self._x[across], self._y[along]), axis=-1)
        reach = blank.reach_mm + CLEARANCE_MM + _CELL_MM * math.sqrt(0.5)
        self._blocked[along, across] |= blank.depth_mm(points) > -reach

    def _cells(self, box: Box) -> tuple[slice, slice]:
        """Return the columns and rows of cells that a box touches."""
        left, bottom = box.left_mm - self.field.left_mm, box.bottom_mm - self.field.bottom_mm
        columns = slice(max(0, math.floor(left / _CELL_MM)), max(0, math.ceil((left + box.width_mm) / _CELL_MM)))
        rows = slice(max(0, math.floor(bottom / _CELL_MM)), max(0, math.ceil((bottom + box.height_mm) / _CELL_MM)))
        return columns, rows

    def has(self, box: Box) -> bool:
        """Tell whether a box is free: in the field, clear of every blank, and off what is taken."""
        field = self.field
        if box.left_mm < field.left_mm - 1e-6 or box.right_mm > field.right_mm + 1e-6:
            return False
        if box.bottom_mm < field.bottom_mm - 1e-6 or box.top_mm > field.top_mm + 1e-6:
            return False
        if any(_meet(box, other, _APART_MM / 4) for other in self.taken):
            return False
        edges = box.edge_points(_EDGE_STEP_MM)
        for blank in self.pressed:
            if _meet(box, blank.box, 0.0) and (blank.depth_mm(edges) > -(blank.reach_mm + CLEARANCE_MM)).any():
                return False
        return True

    def has_shape(self, corners: Points, box: Box) -> bool:
        """Tell whether a convex shape is free: its edges clear of every blank, its box in the field and not taken."""
        field = self.field
        if min(box.left_mm - field.left_mm, field.right_mm - box.right_mm) < -1e-6:
            return False
        if min(box.bottom_mm - field.bottom_mm, field.top_mm - box.top_mm) < -1e-6:
            return False
        if any(_meet(box, other, _APART_MM / 4) for other in self.taken):
            return False
        shares = np.linspace(0, 1, max(2, int(np.ptp(corners) / _EDGE_STEP_MM) + 2))[:, None, None]
        edges = (corners + shares * (np.roll(corners, -1, axis=0) - corners)).reshape(-1, 2)
        return all((blank.depth_mm(edges) <= -(blank.reach_mm + CLEARANCE_MM)).all() for blank in self.pressed)

    def take(self, box: Box) -> None:
        """Take a box, and a little round it."""
        self.taken.append(box)
        self._block(box)

    def give_back(self, box: Box) -> None:
        """Let go of a box that `place` took last."""
        self.taken.remove(box)
        across, along = self._cells(
            Box(box.left_mm - _APART_MM, box.bottom_mm - _APART_MM, box.right_mm + _APART_MM, box.top_mm + _APART_MM)
        )
        self._blocked[along, across] = False
        for blank in self.pressed:
            self._block_blank(blank)
        for other in self.taken:
            self._block(other)

    def _block(self, box: Box) -> None:
        across, along = self._cells(
            Box(box.left_mm - _APART_MM, box.bottom_mm - _APART_MM, box.right_mm + _APART_MM, box.top_mm + _APART_MM)
        )
        self._blocked[along, across] = True

    def place(self, width_mm: float, height_mm: float, near: tuple[float, float]) -> Box | None:
        """Take and return a free box of a size whose middle is nearest to a place; `None` when there is none."""
        wide, high = math.ceil(width_mm / _CELL_MM), math.ceil(height_mm / _CELL_MM)
        rows, columns = self._blocked.shape
        if wide > columns or high > rows:
            return None
        sums = np.zeros((rows + 1, columns + 1), dtype=np.int64)
        np.cumsum(np.cumsum(self._blocked, axis=0), axis=1, out=sums[1:, 1:])
        within = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
        free = np.argwhere(within == 0)
        if not len(free):
            return None
        lefts = self.field.left_mm + free[:, 1] * _CELL_MM
        bottoms = self.field.bottom_mm + free[:, 0] * _CELL_MM
        away = np.hypot(lefts + wide * _CELL_MM / 2 - near[0], bottoms + high * _CELL_MM / 2 - near[1])
        best = int(np.argmin(np.round(away, 6)))
        left, bottom = float(lefts[best]), float(bottoms[best])
        box = Box(left, bottom, left + width_mm, bottom + height_mm)
        self.take(box)
        return box


def _meet(box: Box, other: Box, apart_mm: float) -> bool:
    return (
        box.left_mm < other.right_mm + apart_mm
        and other.left_mm < box.right_mm + apart_mm
        and box.bottom_mm < other.top_mm + apart_mm
        and other.bottom_mm < box.top_mm + apart_mm
    )
