"""What spreading dye leaves of a letter: its weakest stroke and its weakest counter, over a ladder of spreads.

The letter is filled, spread as a Gaussian, and looked at along the middle lines of its strokes and in its counters. All
is in dye amounts, so that one measurement serves every density and both kinds of mixing of `model.dye`. It is a model;
a press may do otherwise.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.stroke.filled import filled
from studio.stroke.pressed_likeness import Likeness

LADDER: Final = (0.015, 0.02, 0.027, 0.036, 0.048, 0.064, 0.085, 0.113, 0.15, 0.2)
"""Spreads that a letter is measured at, in cap heights."""
_FINE_CELLS: Final = 150.0
"""Cells to a cap height where middle lines are looked for: a hairline of 1/50 is three cells wide."""
_CELLS_PER_SPREAD: Final = 2.2
_COARSEST_CELLS: Final = 44.0
_RIDGE_SLOPE: Final = 0.45
"""Middle lines are where the distance to the edge hardly changes; towards corners over 53 degrees it changes faster."""
_RIDGE_BLUR_CELLS: Final = 1.5
"""Evens that distance out, so that a stroke of an even number of cells has a middle line as well."""
_RIDGE_DEPTH_CELLS: Final = 1.5
"""Corners end in cells less deep than that, and a line of three cells is deeper."""
_LEAST_PART: Final = 0.02
"""Parts narrower than that, in cap heights, are slips of the drawing."""
_WEAKEST_PERCENT: Final = 5.0
_LEAST_HOLE: Final = 0.03
"""Holes narrower than that, in cap heights, are slips of the drawing, where strokes cross: real counters are wider."""
_LEAK_STEPS: Final = 9
_REACH_SPREADS: Final = 4.0


@dataclass(frozen=True, slots=True)
class PressedShape:
    """Dye amounts of one outline over the ladder of spreads, 0 for bare and 1 for solid.

    Attributes:
        cap: The cap height of its face, in the unit of the outline; the ladder counts in it.
        strokes: What the weakest stroke holds at each spread; empty without ink.
        stroke_at: Where that is, at the spread at which it first gets weak.
        counters: What is left in the middle of the weakest counter at each spread; empty where there is none.
        leaks: The least dye that still bounds that counter; below it the counter runs out through its wall.
        counter_at: Where that counter is.
        dye_likeness: From which spread on it is nearer to another letter, where dye of density 1.1 spreads.
        cover_likeness: The same where light spreads.
        spreads: What it was measured at, in cap heights.
    """

    cap: float
    strokes: tuple[float, ...] = ()
    stroke_at: tuple[float, float] = (0.0, 0.0)
    counters: tuple[float, ...] = ()
    leaks: tuple[float, ...] = ()
    counter_at: tuple[float, float] = (0.0, 0.0)
    dye_likeness: Likeness | None = None
    cover_likeness: Likeness | None = None
    spreads: tuple[float, ...] = LADDER

    def scaled(self, factor: float) -> PressedShape:
        """Return the measurement of the same outline drawn `factor` times as large."""
        return replace(
            self,
            cap=self.cap * factor,
            stroke_at=(self.stroke_at[0] * factor, self.stroke_at[1] * factor),
            counter_at=(self.counter_at[0] * factor, self.counter_at[1] * factor),
        )

    def moved(self, right: float, up: float) -> PressedShape:
        """Return the measurement of the same outline after it was moved."""
        return replace(
            self,
            stroke_at=(self.stroke_at[0] + right, self.stroke_at[1] + up),
            counter_at=(self.counter_at[0] + right, self.counter_at[1] + up),
        )

    def stroke_amount(self, spread: float) -> float | None:
        """Return the dye in the weakest stroke at a spread, in the outline's unit; `None` without ink."""
        return _between(self.strokes, self.spreads, spread / self.cap, 1.0) if self.strokes else None

    def counter_amounts(self, spread: float) -> tuple[float, float] | None:
        """Return the dye in the weakest counter and that which bounds it, at a spread; `None` where there is none."""
        if not self.counters:
            return None
        spread_caps = spread / self.cap
        inside = _between(self.counters, self.spreads, spread_caps, 0.0)
        bound = _between(self.leaks, self.spreads, spread_caps, 1.0)
        return inside, max(inside, bound)


def _between(values: tuple[float, ...], spreads: tuple[float, ...], spread: float, unspread: float) -> float:
    """Return a value at any spread, in cap heights: by the logarithm between steps, straight below the first."""
    if spread <= spreads[0]:
        return unspread + (values[0] - unspread) * spread / spreads[0]
    if spread >= spreads[-1]:
        return values[-1]
    at = bisect_right(spreads, spread)
    low, high = spreads[at - 1], spreads[at]
    return values[at - 1] + (values[at] - values[at - 1]) * math.log(spread / low) / math.log(high / low)


def pressed_shape(
    contours: Sequence[NDArray[np.float64]], cap: float, spreads: tuple[float, ...] = LADDER
) -> PressedShape:
    """Measure an outline.

    Args:
        contours: United contours, outer ones counter-clockwise.
        cap: The cap height of its face, in the same unit.
        spreads: What to measure it at, in cap heights, growing.
    """
    if not contours:
        return PressedShape(cap)
    looked = _Looked(contours, cap)
    spread = [looked.spread(spread_caps) for spread_caps in spreads]
    strokes, stroke_at = _weakest_strokes(looked, spread)
    counters, leaks, counter_at = _weakest_counters(looked, spread)
    return PressedShape(cap, strokes, stroke_at, counters, leaks, counter_at, spreads=spreads)


_Spread: TypeAlias = tuple[NDArray[np.float32], float, NDArray[np.float64]]
"""Dye, shape (rows, columns), its cells to a unit and its corner."""


class _Looked:
    """An outline's middle lines and counters, and its dye once it has spread."""

    def __init__(self, contours: Sequence[NDArray[np.float64]], cap: float) -> None:
        from scipy import ndimage  # loaded late: letters of shipped faces are measured ahead of time

        self._contours, self.cap = contours, cap
        points = np.concatenate(contours)
        self._low, self._high = points.min(axis=0), points.max(axis=0)
        fine, self._corner = self._drawn(_FINE_CELLS, 3)
        self.per_unit = _FINE_CELLS / cap
        ink = fine > 0.5
        parts, count = ndimage.label(ink, np.ones((3, 3)))
        inside = ndimage.distance_transform_edt(ink)
        even = ndimage.gaussian_filter(inside, _RIDGE_BLUR_CELLS)
        ridge = (inside > _RIDGE_DEPTH_CELLS) & (np.hypot(*np.gradient(even)) < _RIDGE_SLOPE)
        self.strokes = []
        for number in range(1, count + 1):
            part = parts == number
            places = self._places(np.argwhere(ridge & part))
            if len(places) and 2 * float(inside[part].max()) / _FINE_CELLS >= _LEAST_PART:
                self.strokes.append(places)
        bare, count = ndimage.label(~ink)
        outside = ndimage.distance_transform_edt(~ink)
        open_side = bare[0, 0]
        self.holes = []
        for number in range(1, count + 1):
            hole = bare == number
            widest = float(outside[hole].max())
            if number != open_side and 2 * widest / _FINE_CELLS >= _LEAST_HOLE:
                self.holes.append(self._places(np.argwhere(hole & (outside >= 0.7 * widest))))

    def spread(self, spread_caps: float) -> _Spread:
        """Return the dye spread by so many cap heights."""
        from scipy import ndimage

        cells = min(max(_CELLS_PER_SPREAD / spread_caps, _COARSEST_CELLS), _FINE_CELLS)
        deviation = spread_caps * cells
        drawn, corner = self._drawn(cells, math.ceil(_REACH_SPREADS * deviation) + 1)
        return ndimage.gaussian_filter(drawn, deviation, truncate=_REACH_SPREADS), cells / self.cap, corner

    def _drawn(self, cells: float, around: int) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
        per_unit = cells / self.cap
        corner = self._low - around / per_unit
        columns, rows = (np.ceil((self._high - self._low) * per_unit).astype(int) + 2 * around).tolist()
        return filled(self._contours, (float(corner[0]), float(corner[1])), per_unit, (rows, columns)), corner

    def _places(self, cells: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return where the middles of fine cells lie, x and y in the outline's unit, shape (n, 2)."""
        return (cells[:, ::-1] + 0.5) / self.per_unit + self._corner


def _sampled(
    dye: NDArray[np.float32], places: NDArray[np.float64], per_unit: float, corner: NDArray[np.float64]
) -> NDArray[np.float64]:
    from scipy import ndimage

    cells = (places - corner) * per_unit - 0.5
    return np.asarray(ndimage.map_coordinates(dye, cells[:, ::-1].T, order=1, mode="nearest"), np.float64)


def _weakest_strokes(looked: _Looked, spread: Sequence[_Spread]) -> tuple[tuple[float, ...], tuple[float, float]]:
    """Return what the weakest stroke holds at each spread, and where it is when it first holds under 0.7."""
    amounts: list[float] = []
    place: tuple[float, float] = (0.0, 0.0)
    for dye, per_unit, corner in spread if looked.strokes else ():
        weakest, at = math.inf, place
        for places in looked.strokes:
            held = _sampled(dye, places, per_unit, corner)
            low = float(np.percentile(held, _WEAKEST_PERCENT))
            if low < weakest:
                weakest, nearest = low, places[int(np.argmin(np.abs(held - low)))]
                at = (float(nearest[0]), float(nearest[1]))
        if not amounts or amounts[-1] > 0.7:
            place = at
        amounts.append(min(weakest, amounts[-1] if amounts else 1.0))
    return tuple(amounts), place


def _weakest_counters(
    looked: _Looked, spread: Sequence[_Spread]
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, float]]:
    """Return the dye in the weakest counter and the dye that bounds it at each spread, and where that counter is."""
    inside: list[float] = []
    bounds: list[float] = []
    place = (0.0, 0.0)
    for dye, per_unit, corner in spread if looked.holes else ():
        weakest: tuple[float, float, float] | None = None
        at = place
        for places in looked.holes:
            held = _sampled(dye, places, per_unit, corner)
            least = int(np.argmin(held))
            cell = np.clip(((places[least] - corner) * per_unit).astype(int), 0, np.array(dye.shape[::-1]) - 1)
            leak = _leak(dye, (int(cell[1]), int(cell[0])))
            left = math.exp(-2.5 * held[least]) - math.exp(-2.5 * leak)  # in light, at a usual density
            if weakest is None or left < weakest[0]:
                weakest = (left, float(held[least]), leak)
                at = (float(places[least][0]), float(places[least][1]))
        assert weakest is not None
        if not inside or inside[-1] < 0.3:
            place = at
        inside.append(weakest[1])
        bounds.append(max(weakest[1], weakest[2]))
    return tuple(inside), tuple(bounds), place


def _leak(dye: NDArray[np.float32], cell: tuple[int, int]) -> float:
    """Return the least dye that a way from a cell out of the letter must pass: found by halving."""
    from scipy import ndimage

    low, high = float(dye[cell]), float(dye.max())
    for _ in range(_LEAK_STEPS):
        middle = (low + high) / 2
        parts, _ = ndimage.label(dye <= middle)
        if parts[cell] and parts[cell] == parts[0, 0]:
            high = middle
        else:
            low = middle
    return high
