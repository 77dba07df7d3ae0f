"""A rectangle of pixels laid over millimetres: where rows begin to run down.

Invariant: pixel (row r, column c) covers x from left_mm + c / px_per_mm and y down from top_mm - r / px_per_mm; the
window is never mirrored.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from studio.geometry.shapes import Points


@dataclass(frozen=True, slots=True)
class PixelBox:
    """A block of pixels inside a window: rows running down, one past the last not included."""

    top_px: int
    left_px: int
    height_px: int
    width_px: int

    @property
    def is_empty(self) -> bool:
        """Whether it holds no pixel."""
        return self.height_px <= 0 or self.width_px <= 0

    @property
    def rows(self) -> slice:
        """The rows, to index an array with."""
        return slice(self.top_px, self.top_px + self.height_px)

    @property
    def columns(self) -> slice:
        """The columns, to index an array with."""
        return slice(self.left_px, self.left_px + self.width_px)

    def meets(self, other: PixelBox) -> bool:
        """Tell whether two boxes share a pixel."""
        return (
            self.top_px < other.top_px + other.height_px
            and other.top_px < self.top_px + self.height_px
            and self.left_px < other.left_px + other.width_px
            and other.left_px < self.left_px + self.width_px
        )

    def joined(self, other: PixelBox) -> PixelBox:
        """Return the smallest box that holds both."""
        top, left = min(self.top_px, other.top_px), min(self.left_px, other.left_px)
        bottom = max(self.top_px + self.height_px, other.top_px + other.height_px)
        right = max(self.left_px + self.width_px, other.left_px + other.width_px)
        return PixelBox(top, left, bottom - top, right - left)


@dataclass(frozen=True, slots=True)
class PixelWindow:
    """A rectangle of square pixels; `left_mm` and `top_mm` are its outer edges, y up."""

    px_per_mm: float
    left_mm: float
    top_mm: float
    width_px: int
    height_px: int

    def cut(self, box: PixelBox) -> PixelWindow:
        """Return the window of a block of this window's pixels."""
        return PixelWindow(
            self.px_per_mm,
            self.left_mm + box.left_px / self.px_per_mm,
            self.top_mm - box.top_px / self.px_per_mm,
            box.width_px,
            box.height_px,
        )

    def pixels_of(self, points_mm: Points) -> Points:
        """Return points, shape (n, 2), as columns and rows from the window's top left corner."""
        return np.column_stack(
            (
                (points_mm[:, 0] - self.left_mm) * self.px_per_mm,
                (self.top_mm - points_mm[:, 1]) * self.px_per_mm,
            )
        )


def centred_window(width_px: int, height_px: int, px_per_mm: float) -> PixelWindow:
    """Return a window whose middle is the origin."""
    return PixelWindow(px_per_mm, -width_px / 2 / px_per_mm, height_px / 2 / px_per_mm, width_px, height_px)


def inked_box(contours: Iterable[Points], window: PixelWindow) -> PixelBox:
    """Return the block of the window's pixels that contours may ink; empty when they miss it."""
    outlines = [contour for contour in contours if len(contour)]
    if not outlines:
        return PixelBox(0, 0, 0, 0)
    points = np.concatenate(outlines)
    across, along = points[:, 0], points[:, 1]  # one column at a time is five times faster than along axis 0
    left = max(0, math.floor((float(across.min()) - window.left_mm) * window.px_per_mm))
    top = max(0, math.floor((window.top_mm - float(along.max())) * window.px_per_mm))
    right = min(window.width_px, math.ceil((float(across.max()) - window.left_mm) * window.px_per_mm))
    bottom = min(window.height_px, math.ceil((window.top_mm - float(along.min())) * window.px_per_mm))
    if right <= left or bottom <= top:
        return PixelBox(0, 0, 0, 0)
    return PixelBox(top, left, bottom - top, right - left)
