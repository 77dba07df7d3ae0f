"""Lines of different sizes set one under another: spaced for the surface, centred to the eye, led evenly."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.composing import prices
from studio.geometry.shapes import Points
from studio.layout.block import LINE_GAP_CAPS
from studio.layout.letter_ink import SAMPLE_STEP_EM, LineInk
from studio.layout.scaling import EdgePoints, Figure

LEAST_LEADING_CAPS: Final = 0.36
"""Clear height between a line's capitals and the baseline above, at least, in mean cap heights of the two."""
OPTICAL_SHARE: Final = 0.7
"""How much optical edges count for a line's middle; the ink box counts for the rest."""
INLET_CAPS: Final = 0.35
"""How deep an inlet of a line's edge counts, in cap heights."""
_ROWS: Final = 10
_COLUMN_CAPS: Final = 0.11
_TURNS: Final = np.linspace(0, 2 * np.pi, 24, endpoint=False)
_DIRECTIONS: Final = np.stack([np.cos(_TURNS), np.sin(_TURNS)])
_COLUMNS: Final = 36


@dataclass(frozen=True, slots=True, eq=False)
class SetLine:
    """A line as it will be set.

    Attributes:
        owner: Which text of the sign it belongs to.
        start: Index of its first character in that text.
        ink: Its ink at an em of 1.
        size: Its em against that of the name.
        level: Its cap height against that of the name: `size`, but for a face whose capitals are of another height.
        track_em: Space added between its letters, its own em.
        span: Its words, first and the one after the last.
    """

    owner: int
    start: int
    ink: LineInk
    size: float
    level: float
    track_em: float = 0.0
    span: tuple[int, int] = (0, 0)

    @property
    def mids_em(self) -> NDArray[np.float64]:
        """Middle of each letter's advance, its own em, letter-spacing included."""
        if self.track_em == 0:
            return self.ink.mids_em
        ranks = [index for index, cluster in enumerate(self.ink.line.clusters) if cluster.has_ink]
        return self.ink.mids_em + self.track_em * np.array(ranks, np.float64)

    def samples(self) -> Points:
        """Return points on all of its edges from its start, the name's em, shape (n, 2)."""
        if self.track_em == 0:
            return self.ink.straight_samples * self.size
        points = self.ink.samples.copy()
        points[:, 0] += self.mids_em[self.ink.sample_owner]
        return points * self.size

    def hull(self) -> Points:
        """Return points that bound it, from its start, the name's em, shape (n, 2)."""
        if self.track_em == 0:
            return self.ink.straight_hull * self.size
        points = self.ink.hull.copy()
        points[:, 0] += self.mids_em[self.ink.hull_owner]
        return points * self.size


class ComposedBlock:
    """Lines one under another about a middle: optical across, that of the ink box up and down. Lengths in name ems.

    Attributes:
        lines: From the top.
        origins: Where each line starts (x) and its baseline (y), shape (lines, 2).
        cap_em: The cap height of the name's face.
        widths: Of each line's ink.
        leadings_caps: Distance of neighbouring baselines, in mean cap heights of the two lines.
    """

    def __init__(self, lines: tuple[SetLine, ...], cap_em: float) -> None:
        self.lines, self.cap_em = lines, cap_em
        samples = [line.samples() for line in lines]
        self.widths = [float(np.ptp(part[:, 0])) for part in samples]
        self.origins = np.zeros((len(lines), 2))
        self.origins[:, 0] = [-_middle(part, line.level * cap_em) for part, line in zip(samples, lines, strict=True)]
        leadings = self._leadings(samples)
        self.origins[1:, 1] = -np.cumsum(leadings)
        caps = [line.level * cap_em for line in lines]
        self.leadings_caps = [2 * step / (caps[at] + caps[at + 1]) for at, step in enumerate(leadings)]
        points = np.concatenate([part + origin for part, origin in zip(samples, self.origins, strict=True)])
        middle = (float(points[:, 1].max()) + float(points[:, 1].min())) / 2
        self.origins[:, 1] -= middle
        points[:, 1] -= middle
        self.points = points
        self.low, self.high = points.min(axis=0), points.max(axis=0)

    def _leadings(self, samples: list[Points]) -> list[float]:
        """Return the distances of neighbouring baselines: of equal pairs the largest that any needs."""
        needed: dict[tuple[float, float], float] = {}
        keys = []
        for at in range(1, len(self.lines)):
            above, below = self.lines[at - 1], self.lines[at]
            key = (above.size, below.size)
            keys.append(key)
            mean = (above.level + below.level) / 2 * self.cap_em
            height = min(below.level * self.cap_em, float(samples[at][:, 1].max()))
            least = height + LEAST_LEADING_CAPS * mean
            upper = samples[at - 1] + np.array([self.origins[at - 1, 0], 0.0])
            lower = samples[at] + np.array([self.origins[at, 0], 0.0])
            apart = max(least, _meeting(upper, lower, _COLUMN_CAPS * self.cap_em) + LINE_GAP_CAPS * mean)
            needed[key] = max(needed.get(key, 0.0), apart)
        return [needed[key] for key in keys]

    @cached_property
    def hull(self) -> Points:
        """Points that bound the block."""
        return np.concatenate([line.hull() + origin for line, origin in zip(self.lines, self.origins, strict=True)])

    @cached_property
    def scouts(self) -> Points:
        """Few points that stand for the block where room is looked for: its outline above and below."""
        hull = self.hull
        outer = hull[np.unique((hull @ _DIRECTIONS).argmax(axis=0))]
        x, top, bottom = self.skyline
        return np.concatenate([outer, np.stack([x, top], axis=-1), np.stack([x, bottom], axis=-1)])

    @cached_property
    def figure(self) -> Figure:
        """The block as the fitting proves it."""
        points = self.points
        return Figure(lambda: self.hull, self.scouts, lambda: points, self._edges)

    def _edges(self) -> EdgePoints:
        points, following, start = [], [], 0
        for line, origin in zip(self.lines, self.origins, strict=True):
            every = line.ink.edges()
            along = np.stack([line.mids_em[every.owner], np.zeros(len(every.owner))], axis=-1)
            points.append((every.points + along) * line.size + origin)
            following.append(every.following + start)
            start += len(every.points)
        return np.concatenate(points), np.concatenate(following)

    @cached_property
    def skyline(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Columns across the ink with the highest and the lowest ink of each: x, top and bottom, shapes (m,)."""
        left, width = float(self.low[0]), float(self.high[0] - self.low[0])
        at = np.minimum(((self.points[:, 0] - left) / width * _COLUMNS).astype(np.intp), _COLUMNS - 1)
        top, bottom = np.full(_COLUMNS, -np.inf), np.full(_COLUMNS, np.inf)
        np.maximum.at(top, at, self.points[:, 1])
        np.minimum.at(bottom, at, self.points[:, 1])
        # Straight edges have samples at their ends and a step apart: what stands beside counts too.
        beside = int(np.ceil(SAMPLE_STEP_EM / 2 / (width / _COLUMNS)))
        top = np.max([np.roll(top, shift) for shift in range(-beside, beside + 1)], axis=0)
        bottom = np.min([np.roll(bottom, shift) for shift in range(-beside, beside + 1)], axis=0)
        shown = np.isfinite(top)
        x = left + (np.arange(_COLUMNS) + 0.5) * width / _COLUMNS
        return x[shown], top[shown], bottom[shown]

    def profile_price(self, is_exempt: list[bool]) -> float:
        """Return what the lengths of the lines cost, and leading that gapes.

        Args:
            is_exempt: Lines that may be short, such as a number.
        """
        price = 0.0
        for level in {line.level for line in self.lines}:
            alike = [at for at, line in enumerate(self.lines) if line.level == level]
            longest = max(self.widths[at] for at in alike)
            price += sum(_short_price(self.widths[at] / longest) for at in alike if not is_exempt[at])
        name = max(self.widths[at] for at, line in enumerate(self.lines) if line.level >= 1)
        smaller = [self.widths[at] for at, line in enumerate(self.lines) if line.level < 1]
        price += sum(prices.WIDE_SMALL_LINE * max(width / name - 1, 0.0) for width in smaller)
        over = sum(max(leading - prices.LOOSEST_CAPS, 0.0) for leading in self.leadings_caps)
        return price + prices.LOOSE_LEADING * over


def _short_price(share: float) -> float:
    if share >= prices.SHORT_SHARE:
        return 0.0
    if share >= prices.SHORTEST_SHARE:
        return prices.SHORT_LINE * (prices.SHORT_SHARE - share) / (prices.SHORT_SHARE - prices.SHORTEST_SHARE)
    return min(prices.SHORTER_LINE + (prices.SHORTEST_SHARE - share) * 0.5, prices.SHORTEST_LINE)


def _middle(samples: Points, cap: float) -> float:
    """Return the middle of a line to the eye: that of its edges row by row, inlets not counted in full."""
    x, y = samples[:, 0], samples[:, 1]
    left, right = float(x.min()), float(x.max())
    box = (left + right) / 2
    between = (y >= 0) & (y <= cap)
    if not between.any():
        return box
    row = np.minimum((y[between] / cap * _ROWS).astype(np.intp), _ROWS - 1)
    starts, ends = np.full(_ROWS, np.inf), np.full(_ROWS, -np.inf)
    np.minimum.at(starts, row, x[between])
    np.maximum.at(ends, row, x[between])
    shown = np.isfinite(starts)
    inlet = INLET_CAPS * cap
    edge = np.minimum(starts[shown], left + inlet).mean() + np.maximum(ends[shown], right - inlet).mean()
    return float(OPTICAL_SHARE * edge / 2 + (1 - OPTICAL_SHARE) * box)


def _meeting(above: Points, below: Points, column: float) -> float:
    """Return how far apart two baselines stand when the lines' ink just meets; far under 0 where none is above other.

    Args:
        above: Points of the upper line, its baseline at 0.
        below: Points of the lower line, its baseline at 0.
        column: Width within which letters count as above one another.
    """
    left = min(above[:, 0].min(), below[:, 0].min())
    columns = int((max(above[:, 0].max(), below[:, 0].max()) - left) / column) + 2
    floor = np.full(columns + 1, np.inf)
    np.minimum.at(floor, ((above[:, 0] - left) / column).astype(np.intp), above[:, 1])
    roof = np.full(columns + 1, -np.inf)
    np.maximum.at(roof, ((below[:, 0] - left) / column).astype(np.intp), below[:, 1])
    reach = roof.copy()
    np.maximum(reach[1:], roof[:-1], out=reach[1:])
    np.maximum(reach[:-1], roof[1:], out=reach[:-1])
    return float((reach - floor).max())
