"""Mixed shapes on sheets, each as low and as far left as it goes: convex shapes, the same seen from either side.

Of two such shapes one number says how far apart their middles must be at each difference of height; so a line is swept
for the stretches that are taken, and the first free place is the answer. The search counts its lines, never the time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Rim

_STEPS_MM: Final = ((60, 0.5), (400, 1.0), (math.inf, 2.0))
"""How fine lines are swept, for up to so many pieces."""
_SLACK: Final = 1e-9
_ANGLES: Final = np.radians(np.linspace(0.0, 89.0, 90))
_COS: Final = np.cos(_ANGLES)
_SIN: Final = np.sin(_ANGLES)
_LINES: Final = 15_000
"""How many lines are swept before the best found is taken."""
_MOVES: Final = 200


@dataclass(frozen=True, slots=True)
class Footprint:
    """What a piece takes up: a rim and how far its bleed reaches beyond.

    Attributes:
        is_turned: Whether it lies turned a quarter.
    """

    rim: Rim
    reach_mm: float
    is_turned: bool = False

    @property
    def half_mm(self) -> tuple[float, float]:
        """Half its width and height as it lies."""
        wide, high = self.rim.width_mm / 2 + self.reach_mm, self.rim.height_mm / 2 + self.reach_mm
        return (high, wide) if self.is_turned else (wide, high)

    @property
    def area_mm2(self) -> float:
        """Its area, corners rounded by the bleed. Source: Steiner's formula; Ramanujan's perimeter of an ellipse."""
        rim, reach = self.rim, self.reach_mm
        if rim.shape == "rect":
            perimeter = 2 * (rim.width_mm + rim.height_mm) - (8 - 2 * math.pi) * rim.corner_radius_mm
        else:
            a, b = rim.width_mm / 2, rim.height_mm / 2
            perimeter = math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b)))
        return rim.area_mm2 + perimeter * reach + math.pi * reach**2

    @property
    def ways(self) -> tuple[Footprint, ...]:
        """The ways it may lie that differ."""
        if self.rim.is_circle or self.rim.width_mm == self.rim.height_mm:
            return (self,)
        return (self, Footprint(self.rim, self.reach_mm, not self.is_turned))

    def support_mm(self) -> NDArray[np.float64]:
        """Return how far it reaches in each of the directions that are looked at."""
        wide, high = self.rim.width_mm / 2, self.rim.height_mm / 2
        if self.is_turned:
            wide, high = high, wide
        if self.rim.shape == "rect":
            corner = self.rim.corner_radius_mm
            return (wide - corner) * _COS + (high - corner) * _SIN + corner + self.reach_mm
        support: NDArray[np.float64] = np.hypot(wide * _COS, high * _SIN) + self.reach_mm
        return support


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one piece lies.

    Attributes:
        piece: Its number in the list that was given.
        sheet: From 0.
        x_mm: Its middle, from the region's lower left corner.
    """

    piece: int
    sheet: int
    x_mm: float
    y_mm: float
    is_turned: bool


@dataclass(slots=True)
class _Sheet:
    x: list[float] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    kinds: list[int] = field(default_factory=list)
    reached: dict[Footprint, float] = field(default_factory=dict)
    """Footprint -> the height below which it no longer fits; infinite where it does not at all."""


class _Region:
    """Sheets of one size being filled, and how many lines were swept for it."""

    def __init__(self, width_mm: float, height_mm: float, gap_mm: float, pieces: int) -> None:
        self.width_mm, self.height_mm, self.gap_mm = width_mm, height_mm, gap_mm
        self.step_mm = next(step for most, step in _STEPS_MM if pieces <= most)
        self.lines = 0
        self._kinds: dict[Footprint, int] = {}
        self._supports: list[NDArray[np.float64]] = []
        self._highs: list[float] = []
        self._circles: list[float] = []

    def kind(self, shape: Footprint) -> int:
        """Return a shape's number."""
        if shape not in self._kinds:
            self._kinds[shape] = len(self._kinds)
            self._supports.append(shape.support_mm())
            self._highs.append(shape.half_mm[1])
            self._circles.append(shape.half_mm[0] if shape.rim.is_circle else 0.0)
        return self._kinds[shape]

    def first_place(self, shape: Footprint, sheet: _Sheet) -> tuple[float, float] | None:
        """Return the lowest, then the leftmost place of a shape on a sheet, or `None`."""
        half_wide, half_high = shape.half_mm
        low, high = half_high, self.height_mm - half_high
        if high < low - _SLACK or self.width_mm < 2 * half_wide - _SLACK:
            return None
        y = max(low, sheet.reached.get(shape, low))
        if y == math.inf:
            return None
        kind = self.kind(shape)
        x_placed, y_placed = np.array(sheet.x), np.array(sheet.y)
        touching = sorted(
            {at + self._highs[other] + half_high + self.gap_mm for at, other in zip(sheet.y, sheet.kinds, strict=True)}
        )
        for at in _heights(y, max(high, low), touching, self.step_mm):
            self.lines += 1
            x = self._free(kind, sheet.kinds, x_placed, np.abs(y_placed - at), half_wide)
            if x is not None:
                sheet.reached[shape] = at
                return x, at
        sheet.reached[shape] = math.inf
        return None

    def _free(
        self,
        kind: int,
        kinds: list[int],
        x_placed: NDArray[np.float64],
        apart: NDArray[np.float64],
        half_wide: float,
    ) -> float | None:
        """Return the leftmost free place on a line, or `None`."""
        x, most = half_wide, self.width_mm - half_wide
        if not len(kinds):
            return x
        sums = np.array([self._supports[other] for other in kinds]) + self._supports[kind] + self.gap_mm
        needed = ((sums - apart[:, None] * _SIN) / _COS).min(axis=1)
        if self._circles[kind]:  # of two rounds it is known exactly
            for index, other in enumerate(kinds):
                if self._circles[other]:
                    distance = self._circles[kind] + self._circles[other] + self.gap_mm
                    needed[index] = math.sqrt(max(distance**2 - apart[index] ** 2, 0.0))
        highs = np.array([self._highs[other] for other in kinds]) + self._highs[kind] + self.gap_mm
        blocked = apart < highs - _SLACK
        starts, ends = (x_placed - needed)[blocked].tolist(), (x_placed + needed)[blocked].tolist()
        for start, end in sorted(zip(starts, ends, strict=True)):
            if start >= x - _SLACK:
                break
            x = max(x, end)
        return x if x <= most + _SLACK else None


def _heights(start: float, stop: float, touching: Sequence[float], step_mm: float) -> Iterator[float]:
    """Yield rising heights: the first, every step after it, and those at which a shape rests on one that lies there."""
    at, others = start, [height for height in touching if start < height <= stop]
    while at <= stop + _SLACK:
        yield at
        following = at + step_mm
        while others and others[0] <= at + _SLACK:
            others.pop(0)
        at = min(following, others[0]) if others else following


def lay(
    shapes: Sequence[Footprint],
    width_mm: float,
    height_mm: float,
    gap_mm: float,
    *,
    is_roll: bool = False,
    most_lines: int = _LINES,
) -> tuple[Spot, ...]:
    """Return where pieces lie on the fewest sheets found, and on the last of them the lowest.

    Args:
        shapes: The pieces; each must fit the region by itself, one way or the other.
        width_mm: Width of the region on each sheet.
        height_mm: Its height.
        gap_mm: Kept between any two.
        is_roll: Whether the least length is sought, not the fewest sheets.
        most_lines: How many lines are swept before the best found is taken.
    """
    if not shapes:
        return ()
    least = 0 if is_roll else math.ceil(sum(shape.area_mm2 for shape in shapes) / (width_mm * height_mm) - _SLACK)
    swept, best = 0, None
    sides = [(max(shape.half_mm), min(shape.half_mm)) for shape in shapes]
    orders = [
        sorted(range(len(shapes)), key=lambda index: (-sides[index][0], -sides[index][1], index)),
        sorted(range(len(shapes)), key=lambda index: (-shapes[index].area_mm2, index)),
        sorted(range(len(shapes)), key=lambda index: (-sides[index][1], -sides[index][0], index)),
    ]
    for is_turned in (False,) if is_roll else (False, True):
        for order in orders:
            if best is not None and (best[0][0] <= least or swept > most_lines):
                break
            held, lines = _laid(shapes, order, width_mm, height_mm, gap_mm, is_turned)
            swept += lines
            if best is None or held[0] < best[0]:
                best = (held[0], held[1], order, is_turned)
    assert best is not None
    order, is_turned = best[2], best[3]
    for move in range(_MOVES):
        if best[0][0] <= least or swept > most_lines or len(shapes) < 3:
            break
        tried = _moved(order, move)
        held, lines = _laid(shapes, tried, width_mm, height_mm, gap_mm, is_turned)
        swept += lines
        if held[0] < best[0]:
            best, order = (held[0], held[1], tried, is_turned), tried
    return best[1]


def _moved(order: list[int], move: int) -> list[int]:
    """Return an order with one piece taken out and put in elsewhere; the same move always moves the same."""
    state = (move * 2_654_435_761 + 97) % 2**32
    taken, place = state % len(order), (state // 65_521) % len(order)
    moved = [*order[:taken], *order[taken + 1 :]]
    moved.insert(place, order[taken])
    return moved


def _laid(
    shapes: Sequence[Footprint], order: Sequence[int], width: float, height: float, gap: float, is_turned: bool
) -> tuple[tuple[tuple[int, float], tuple[Spot, ...]], int]:
    """Return sheets needed and height reached on the last, with the spots and the lines swept."""
    region = _Region(*((height, width) if is_turned else (width, height)), gap, len(shapes))
    sheets: list[_Sheet] = []
    spots = []
    for index in order:
        number = 0  # the first sheet that has room
        while True:
            if number == len(sheets):
                sheets.append(_Sheet())
            found = _lowest(region, shapes[index], sheets[number])
            if found is not None:
                break
            number += 1
            if number > len(shapes):
                raise ValueError("a piece does not fit the region")
        shape, x, y = found
        sheet = sheets[number]
        sheet.x.append(x)
        sheet.y.append(y)
        sheet.kinds.append(region.kind(shape))
        place = (y, x) if is_turned else (x, y)
        spots.append(Spot(index, number, *place, len(shape.ways) > 1 and shape.is_turned != is_turned))
    reached = max(
        spot.y_mm + _as_laid(shapes[spot.piece], spot.is_turned).half_mm[1]
        for spot in spots
        if spot.sheet == len(sheets) - 1
    )
    return ((len(sheets), round(reached, 6)), tuple(sorted(spots, key=lambda spot: spot.piece))), region.lines


def _as_laid(shape: Footprint, is_turned: bool) -> Footprint:
    return Footprint(shape.rim, shape.reach_mm, is_turned)


def _lowest(region: _Region, shape: Footprint, sheet: _Sheet) -> tuple[Footprint, float, float] | None:
    """Return the way and place whose upper edge lies lowest, or `None`."""
    best: tuple[float, float, int, Footprint, float, float] | None = None
    for number, way in enumerate(shape.ways):
        place = region.first_place(way, sheet)
        if place is not None:
            held = (round(place[1] + way.half_mm[1], 6), round(place[0], 6), number, way, *place)
            if best is None or held[:3] < best[:3]:
                best = held
    return None if best is None else (best[3], best[4], best[5])
