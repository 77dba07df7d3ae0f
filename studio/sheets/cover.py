"""The fewest sheets that cover an outline: bands one above the other, each of one sheet or of several side by side.

Not the outline's square is covered but the outline: a band near a round's rim is narrow, and one sheet may do.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.basics.errors import SettingsError
from studio.sheets.outline import Outline
from studio.sheets.seam_cost import Cost

OVERLAP_MM: Final = 10.0
LEAST_OVERLAP_MM: Final = 6.0
MARK_ROOM_MM: Final = 6.6
"""What the tick at a seam's end takes beyond blank plus bleed."""
_STEP_MM: Final = 1.0
_FINE_STEP_MM: Final = 0.1
_SLACK_MM: Final = 1e-6
_MOST_SHEETS: Final = 400
_TOO_MANY: Final = 1_000_000

Counts: TypeAlias = list[NDArray[np.int64]]
"""For each height of a ladder, sheets of the bands that end there: one row a size, one column a lower end."""
Size: TypeAlias = tuple[float, float]
"""What a sheet prints: along the seams between bands, and along their stack; mm."""
SeamCost: TypeAlias = Callable[[float, float, float], Cost]
"""Cost of a seam at some place, from and to."""


@dataclass(frozen=True, slots=True)
class Band:
    """One band of a cover.

    Attributes:
        low_mm: Its lower seam, or the outline's edge.
        high_mm: Its upper seam, or the outline's edge.
        size: Which of the sizes given its sheets are laid as, by index.
        cuts_mm: Seams across it, from left to right.
    """

    low_mm: float
    high_mm: float
    size: int
    cuts_mm: tuple[float, ...] = ()

    @property
    def sheets(self) -> int:
        """How many sheets it takes."""
        return len(self.cuts_mm) + 1


@dataclass(frozen=True, slots=True)
class Cover:
    """A whole outline in bands, from bottom to top, with what all its seams cost."""

    bands: tuple[Band, ...]
    cost: Cost
    off_middle_mm: float

    @property
    def sheets(self) -> int:
        """How many sheets it takes."""
        return sum(band.sheets for band in self.bands)


@dataclass(frozen=True, slots=True, eq=False)
class Covering:
    """What is covered with what.

    Attributes:
        sizes: Ways to lay a sheet; more than one may be mixed.
        overlap_mm: What neighbours both print, half on each side of their seam.
    """

    outline: Outline
    sizes: tuple[Size, ...]
    overlap_mm: float = OVERLAP_MM

    @property
    def edge_mm(self) -> float:
        """The outline's upper edge."""
        return self.outline.height_mm / 2

    def sheets_in(self, low_mm: float, high_mm: float, size: Size) -> int:
        """Return how many sheets of one size a band takes with its halves of the overlap; 0 when it is too tall."""
        low, high = self.reach(low_mm, high_mm)
        if high - low > size[1] + _SLACK_MM:
            return 0
        chord_mm = self.outline.widest_mm(low, high)
        if chord_mm <= size[0] + _SLACK_MM:
            return 1
        if size[0] - self.overlap_mm < _STEP_MM:
            return 0
        return math.ceil((chord_mm - self.overlap_mm) / (size[0] - self.overlap_mm) - 1e-9)

    def beyond_mm(self, chord_mm: float) -> float:
        """Return how much the sheets print past each end of a seam, where it is the longest they join along."""
        rooms = []
        for wide, _ in self.sizes:
            step = max(wide - self.overlap_mm, _STEP_MM)
            count = max(1, math.ceil((chord_mm - self.overlap_mm) / step - 1e-9))
            rooms.append((count, -(count * step + self.overlap_mm - chord_mm) / 2))
        return -min(rooms)[1]

    def lacking_mm(self, low_mm: float, high_mm: float, size: Size, cut_mm: float) -> float:
        """Return how much the ends of a seam across a band lack of room for the marks beyond them."""
        low, high = self.reach(low_mm, high_mm)
        ends = [end for end in (-low_mm, high_mm) if end > self.edge_mm - _SLACK_MM]
        if not ends:
            return 0.0
        room = (size[1] - (high - low)) / len(ends) + self.edge_mm - self.outline.reach_mm(cut_mm)
        return len(ends) * max(0.0, MARK_ROOM_MM - room)

    def reach(self, low_mm: float, high_mm: float) -> tuple[float, float]:
        """Return how far a band prints: half the overlap past each of its seams."""
        half = self.overlap_mm / 2
        low = low_mm - half if low_mm > -self.edge_mm + _SLACK_MM else -self.edge_mm
        high = high_mm + half if high_mm < self.edge_mm - _SLACK_MM else self.edge_mm
        return max(low, -self.edge_mm), min(high, self.edge_mm)


def fewest_sheets(covering: Covering) -> int:
    """Return the fewest sheets that cover the outline; 0 when none do."""
    last = int(_fewest_to_each(_counts(covering, _ladder(covering)))[-1])
    return last if last <= _MOST_SHEETS else 0


def best_cover(covering: Covering, seam_cost: SeamCost, cut_cost: SeamCost) -> Cover | None:
    """Return the cover of the fewest sheets whose seams cost least, or `None` when there is none.

    Args:
        covering: What is covered.
        seam_cost: Cost of a seam between bands: its height, from and to.
        cut_cost: Cost of a seam across a band.
    """
    ladder = _ladder(covering)
    counts = _counts(covering, ladder)
    whole = lru_cache(maxsize=None)(lambda at: _whole_seam(covering, seam_cost, at))
    best: list[tuple[tuple[float, ...], int, int] | None] = [((0.0,) * 6, -1, -1)]
    useful = _useful(counts)
    for end in range(1, len(ladder)):
        reached = None
        if end not in useful:
            best.append(None)
            continue
        seam = (Cost(), 0.0) if end == len(ladder) - 1 else None
        sizes_of, starts = np.nonzero(counts[end] < _TOO_MANY)
        for size, start in zip(sizes_of.tolist(), starts.tolist(), strict=True):
            before, count = best[start], int(counts[end][size, start])
            if before is None:
                continue
            sheets = before[0][0] + count
            if seam is None:
                seam = (whole(ladder[end]), abs(ladder[end]))
            held = (sheets, *(a + b for a, b in zip(before[0][1:], (*seam[0], seam[1]), strict=True)))
            if reached is None or held < reached[0]:
                reached = (held, start, size)
        best.append(reached)
    last = best[-1]
    if last is None or last[0][0] > _MOST_SHEETS:
        return None
    lines, sizes, at = [], [], len(ladder) - 1
    while at > 0:
        _, start, size = best[at] or ((), 0, 0)
        lines.append(ladder[at])
        sizes.append(size)
        at = start
    heights = [-covering.edge_mm, *reversed(lines)]
    return cover_at(covering, _refined(covering, heights, sizes[::-1], whole), seam_cost, cut_cost, sizes[::-1])


def cover_at(
    covering: Covering,
    heights_mm: Sequence[float],
    seam_cost: SeamCost,
    cut_cost: SeamCost,
    sizes: Sequence[int] | None = None,
) -> Cover:
    """Return the cover with its bands' limits at given heights, from edge to edge.

    Raises:
        SettingsError: A band is too tall for the sheet, however it is laid.
    """
    bands, cost, off = [], Cost(), 0.0
    for index, (low, high) in enumerate(itertools.pairwise(heights_mm)):
        size = sizes[index] if sizes is not None else _fewest_size(covering, low, high)
        cuts, cut = _cuts(covering, low, high, size, cut_cost)
        bands.append(Band(low, high, size, cuts))
        cost = cost.plus(cut)
        if index:
            cost = cost.plus(_whole_seam(covering, seam_cost, low))
            off += abs(low)
    return Cover(tuple(bands), cost, off)


def _fewest_size(covering: Covering, low: float, high: float) -> int:
    counts = [(covering.sheets_in(low, high, size), index) for index, size in enumerate(covering.sizes)]
    fitting = [held for held in counts if held[0]]
    if not fitting:
        tallest = max(size[1] for size in covering.sizes)
        reach = covering.reach(low, high)
        raise SettingsError(
            f"The piece from {low:.1f} to {high:.1f} mm prints {reach[1] - reach[0]:.1f} mm with its overlap, "
            f"and the sheet takes {tallest:.1f} mm.",
            advice="Move the seam, or give one more, as in 40mm,-40mm.",
            ways=("seam",),
            option="seam",
        )
    return min(fitting)[1]


def _fewest_to_each(counts: Counts) -> NDArray[np.int64]:
    """Return the fewest sheets that reach each height."""
    fewest = np.full(len(counts), _TOO_MANY)
    fewest[0] = 0
    for end in range(1, len(counts)):
        fewest[end] = min(_TOO_MANY, int((fewest[:end] + counts[end].min(axis=0)).min()))
    return fewest


def _useful(counts: Counts) -> frozenset[int]:
    """Return the heights at which a cover of the fewest sheets may have a seam, and its upper end."""
    fewest = _fewest_to_each(counts)
    useful = {len(counts) - 1}
    for end in range(len(counts) - 1, 0, -1):
        if end in useful:
            useful.update(np.flatnonzero(fewest[:end] + counts[end].min(axis=0) == fewest[end]).tolist())
    return frozenset(useful)


def _ladder(covering: Covering) -> list[float]:
    """Return the heights at which a seam may lie, from edge to edge, about the middle."""
    edge = covering.edge_mm
    inner = math.floor((edge - _SLACK_MM) / _STEP_MM)
    return [-edge, *(step * _STEP_MM for step in range(-inner, inner + 1)), edge]


def _counts(covering: Covering, ladder: list[float]) -> Counts:
    """Return, for each height, how many sheets bands take that end there."""
    places, half, edge = np.array(ladder), covering.overlap_mm / 2, covering.edge_mm
    lows = np.maximum(places - half, -edge)
    counts: Counts = [np.empty((len(covering.sizes), 0), np.int64)]
    for end in range(1, len(ladder)):
        high = min(ladder[end] + half, edge) if end < len(ladder) - 1 else edge
        low = lows[:end]
        chords = covering.outline.widest_each_mm(low, high)
        found = []
        for wide, tall in covering.sizes:
            several = wide - covering.overlap_mm >= _STEP_MM
            needed = np.ceil((chords - covering.overlap_mm) / max(wide - covering.overlap_mm, _STEP_MM) - 1e-9)
            needed = np.where(chords <= wide + _SLACK_MM, 1, needed if several else _TOO_MANY)
            found.append(np.where(high - low <= tall + _SLACK_MM, needed, _TOO_MANY).astype(np.int64))
        counts.append(np.array(found))
    return counts


def _whole_seam(covering: Covering, seam_cost: SeamCost, at_mm: float) -> Cost:
    half = covering.outline.chord_mm(at_mm) / 2
    lacking_mm = 2 * max(0.0, MARK_ROOM_MM - covering.beyond_mm(2 * half))
    return seam_cost(at_mm, -half, half)._replace(unmarked_mm=lacking_mm)


def _refined(covering: Covering, heights: list[float], sizes: list[int], whole: Callable[[float], Cost]) -> list[float]:
    """Return the seams moved by less than a step to where they cost least, each band still of as many sheets."""
    moved = list(heights)
    for index in range(1, len(moved) - 1):
        start, end = (sizes[index - 1], moved[index - 1]), (sizes[index], moved[index + 1])
        needed = (
            covering.sheets_in(start[1], moved[index], covering.sizes[start[0]]),
            covering.sheets_in(moved[index], end[1], covering.sizes[end[0]]),
        )
        around = round(_STEP_MM / _FINE_STEP_MM)
        choices = []
        for step in range(1 - around, around):
            at = round(heights[index] + step * _FINE_STEP_MM, 6)
            counts = (
                covering.sheets_in(start[1], at, covering.sizes[start[0]]),
                covering.sheets_in(at, end[1], covering.sizes[end[0]]),
            )
            if all(0 < count <= most for count, most in zip(counts, needed, strict=True)):
                choices.append((whole(at), abs(at), at))
        moved[index] = min(choices)[2] if choices else moved[index]
    return moved


def _cuts(
    covering: Covering, low_mm: float, high_mm: float, size: int, cut_cost: SeamCost
) -> tuple[tuple[float, ...], Cost]:
    """Return the seams across a band that cost least, and their cost."""
    count = covering.sheets_in(low_mm, high_mm, covering.sizes[size])
    if count <= 1:
        return (), Cost()

    def costing(at: float) -> Cost:
        lacking_mm = covering.lacking_mm(low_mm, high_mm, covering.sizes[size], at)
        return cut_cost(at, low_mm, high_mm)._replace(unmarked_mm=lacking_mm)

    low, high = covering.reach(low_mm, high_mm)
    edge, wide, half = covering.outline.widest_mm(low, high) / 2, covering.sizes[size][0], covering.overlap_mm / 2
    inner = math.floor(edge / _STEP_MM)
    ladder = [step * _STEP_MM for step in range(-inner, inner + 1)]
    costs = [(*costing(at), abs(at)) for at in ladder]
    reached: list[tuple[tuple[float, ...], tuple[float, ...]] | None] = [
        (cost, (at,)) if at + half + edge <= wide + _SLACK_MM else None for at, cost in zip(ladder, costs, strict=True)
    ]
    for _ in range(count - 2):
        after: list[tuple[tuple[float, ...], tuple[float, ...]] | None] = []
        for index, at in enumerate(ladder):
            first = max(0, index - math.floor((wide - 2 * half) / _STEP_MM + _SLACK_MM))
            before = [held for held in reached[first:index] if held is not None]
            best = min(before, default=None)
            own = costs[index]
            after.append(
                None if best is None else (tuple(a + b for a, b in zip(best[0], own, strict=True)), (*best[1], at))
            )
        reached = after
    fitting = [
        held
        for at, held in zip(ladder, reached, strict=True)
        if held is not None and edge - (at - half) <= wide + _SLACK_MM
    ]
    if not fitting:  # a step too coarse for a band that fits with hardly anything to spare: cut it evenly
        even = tuple(-edge + (index + 1) * 2 * edge / count for index in range(count - 1))
        cost = Cost()
        for at in even:
            cost = cost.plus(costing(at))
        return even, cost
    best_cost, cuts = min(fitting)
    return cuts, Cost(*best_cost[:4])
