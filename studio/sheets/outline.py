"""The outline that sheets must cover: blank plus bleed, as how wide it is at each height."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Points, Rim

_TOLERANCE_MM = 0.001


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A convex outline, the same on both sides of either axis, centred on the origin.

    Attributes:
        width_mm: Along the seams that part it into bands.
        height_mm: Along the stack of bands.
        is_turned: Whether the rim's x runs along the stack, so that its seams are upright.
    """

    width_mm: float
    height_mm: float
    is_turned: bool
    _heights: NDArray[np.float64] = field(repr=False)
    _halves: NDArray[np.float64] = field(repr=False)

    def chord_mm(self, at_mm: float) -> float:
        """Return its width at a height; 0 outside."""
        if abs(at_mm) > self.height_mm / 2 + 1e-9:
            return 0.0
        return 2 * float(np.interp(abs(at_mm), self._heights, self._halves))

    def reach_mm(self, across_mm: float) -> float:
        """Return how high it reaches at a place along its width; 0 outside."""
        if abs(across_mm) > self.width_mm / 2 + 1e-9:
            return 0.0
        return float(np.interp(abs(across_mm), self._halves[::-1], self._heights[::-1]))

    def widest_mm(self, low_mm: float, high_mm: float) -> float:
        """Return its widest chord between two heights."""
        if low_mm <= 0 <= high_mm:
            return self.width_mm
        return self.chord_mm(min(abs(low_mm), abs(high_mm)))

    def widest_each_mm(self, lows_mm: NDArray[np.float64], high_mm: float) -> NDArray[np.float64]:
        """Return its widest chord between each of some heights and one above them."""
        at = np.where((lows_mm <= 0) & (high_mm >= 0), 0.0, np.minimum(np.abs(lows_mm), abs(high_mm)))
        chords: NDArray[np.float64] = 2 * np.interp(at, self._heights, self._halves)
        return chords


def outline_of(rim: Rim, bleed_mm: float, *, turned: bool = False) -> Outline:
    """Return the outline of a rim plus bleed, to be parted by level seams, or by upright ones where `turned`."""
    points = rim.contour(bleed_mm, _TOLERANCE_MM)
    if turned:
        points = points[:, ::-1]
    width_mm, height_mm = rim.width_mm + 2 * bleed_mm, rim.height_mm + 2 * bleed_mm
    if turned:
        width_mm, height_mm = height_mm, width_mm
    heights, halves = _right_upper(points)
    return Outline(width_mm, height_mm, turned, heights, halves)


def _right_upper(points: Points) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the corners of the quarter with x and y positive as rising heights with their half widths."""
    kept = points[(points[:, 0] >= -1e-9) & (points[:, 1] >= -1e-9)]
    order = np.lexsort((-kept[:, 0], kept[:, 1]))
    heights, halves = kept[order, 1], kept[order, 0]
    first = np.concatenate([[True], np.diff(heights) > 1e-9])  # at one height the widest counts
    heights, halves = heights[first], halves[first]
    if heights[0] > 0:
        heights, halves = np.concatenate([[0.0], heights]), np.concatenate([[halves.max()], halves])
    return heights, halves
