"""Equal rounds in stretched rows: spread over the whole width, so that the rows lie closer together.

Source of the bound in the tests: Groemer's and Oler's inequality. The rows themselves follow from Pythagoras.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

_SLACK: Final = 1e-9


@dataclass(frozen=True, slots=True)
class StretchedRows:
    """Rows of centres, from the lower left.

    Attributes:
        counts: How many stand in each row; rows repeat this pattern.
        pitch_mm: From one to the next in a row.
        step_mm: From row to row.
        shift_mm: How far every other row begins further right.
    """

    counts: tuple[int, int]
    pitch_mm: float
    step_mm: float
    shift_mm: float

    def points(self, count: int, rows: int) -> Iterator[tuple[float, float]]:
        """Yield up to `count` centres, row by row."""
        left = count
        for row in range(rows):
            here = min(self.counts[row % 2], left)
            for place in range(here):
                yield place * self.pitch_mm + (row % 2) * self.shift_mm, row * self.step_mm
            left -= here
            if not left:
                return

    def rows_for(self, count: int) -> int:
        """Return how many rows hold `count`."""
        pair = sum(self.counts)
        rows, rest = 2 * (count // pair), count % pair
        return rows + (0 if not rest else 1 if rest <= self.counts[0] else 2)


def best_rows(across_mm: float, along_mm: float, distance_mm: float, count: int) -> tuple[tuple[float, float], ...]:
    """Return centres for as many equal rounds as rows can hold, `count` at most, with the least length along.

    Args:
        across_mm: Width of the region that centres may lie in.
        along_mm: Its height.
        distance_mm: The least distance of two centres.
        count: How many are wanted.
    """
    if across_mm < -_SLACK or along_mm < -_SLACK or count < 1:
        return ()
    across_mm, along_mm = max(across_mm, 0.0), max(along_mm, 0.0)
    best: tuple[int, float, tuple[tuple[float, float], ...]] = (0, 0.0, ())
    for is_turned, (wide, high) in enumerate(((across_mm, along_mm), (along_mm, across_mm))):
        for rows in _patterns(wide, distance_mm):
            most = math.floor(high / rows.step_mm + _SLACK) + 1
            points = tuple(rows.points(count, min(most, rows.rows_for(count))))
            if is_turned:
                points = tuple((y, x) for x, y in points)
            length = max(y for _, y in points)
            if (len(points), -length) > (best[0], -best[1]):
                best = (len(points), length, points)
    return best[2]


def _patterns(wide_mm: float, distance_mm: float) -> Iterator[StretchedRows]:
    """Yield the plain grid, then rows of n and n - 1 and rows of n and n in turn, stretched over the width."""
    most = math.floor(wide_mm / distance_mm + _SLACK) + 1
    yield StretchedRows((most, most), wide_mm / (most - 1) if most > 1 else 0.0, distance_mm, 0.0)
    for count in range(1, most + 1):
        if count > 1:
            yield _stretched((count, count - 1), wide_mm / (count - 1), distance_mm)
        pitch = wide_mm / (count - 0.5)
        if count == 1 or pitch >= distance_mm - _SLACK:
            yield _stretched((count, count), pitch, distance_mm)


def _stretched(counts: tuple[int, int], pitch_mm: float, distance_mm: float) -> StretchedRows:
    apart = math.sqrt(max(distance_mm**2 - (pitch_mm / 2) ** 2, 0.0))
    return StretchedRows(counts, pitch_mm, max(apart, distance_mm / 2), pitch_mm / 2)
