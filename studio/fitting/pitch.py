"""How far apart the letters of an arc stand, and how sharply it may turn.

Everything is in em units: a baseline radius of `1 / bend` ems. At one bend an arc of any size is the same figure, so
the size is found apart from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.figure import EdgePoints, Figure
from studio.fitting.ink import LineInk
from studio.fitting.placement import FollowUsed
from studio.fitting.spacing import even_steps_em, plain_steps_em
from studio.geometry import Points
from studio.sign import LARGEST_TURN_RAD, Spacing

LARGEST_INWARD_SHARE: Final = 0.8
"""Letters may reach at most this share of the radius towards the centre, where an arc closes on itself."""
_BENDS: Final = 12
_SLACK: Final = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Pitch:
    """The letters of a line on an arc of one bend.

    Attributes:
        bend: Radians of the circle per em of baseline.
        mids: Where each letter's mid-advance point stands, em along the baseline, 0 in the middle of the arc.
        sweep_rad: From the outer edge of the first letter's advance to the last's.
        turn_rad: The sharpest turn between neighbouring clusters.
    """

    bend: float
    side: int
    follow: FollowUsed
    mids: NDArray[np.float64]
    sweep_rad: float
    turn_rad: float

    def figure(self, points: Points, owner: NDArray[np.intp]) -> Points:
        """Return points of the letters as they stand on the arc, em, about the circle's centre.

        Args:
            points: Shape (n, 2), x from the letter's own mid-advance.
            owner: Which letter each belongs to, shape (n,).
        """
        radial = 1 / self.bend + self.side * points[:, 1]
        if self.follow == "outline":
            angle = (self.mids[owner] + points[:, 0]) * self.bend
            return np.stack([radial * np.sin(angle), self.side * radial * np.cos(angle)], axis=-1)
        angle = self.mids * self.bend
        cos, sin = np.cos(angle)[owner], np.sin(angle)[owner]
        across = points[:, 0]
        return np.stack([radial * sin + across * cos, self.side * (radial * cos - across * sin)], axis=-1)

    def on_arc(self, ink: LineInk) -> Figure:
        """Return a line's ink as it stands on the arc, about the circle's centre."""

        def edges() -> EdgePoints:
            every = ink.edges()
            return self.figure(every.points, every.owner), every.following

        return Figure(
            self.figure(ink.hull, ink.hull_owner),
            self.figure(ink.samples[ink.scouts], ink.sample_owner[ink.scouts]),
            lambda: self.figure(ink.samples, ink.sample_owner),
            edges,
        )


class Pitches:
    """All the pitches of one line on one side, each worked out once."""

    def __init__(
        self, ink: LineInk, side: int, spacing: Spacing, finest_gap_em: float, follow: FollowUsed = "letters"
    ) -> None:
        self.ink = ink
        self.side = side
        self.spacing = spacing
        self.follow = follow
        self.finest_gap_em = finest_gap_em
        clusters = ink.line.clusters
        self._plain = plain_steps_em(clusters)
        shown = [index for index, cluster in enumerate(clusters) if cluster.has_ink]
        self._shown = np.array(shown, dtype=np.intp)
        self._ends = (clusters[0].advance_em / 2, clusters[-1].advance_em / 2)
        self._kept: dict[float, Pitch] = {}

    def at(self, bend: float) -> Pitch:
        """Return the pitch at a bend."""
        if bend not in self._kept:
            steps = self._plain if self.spacing == "plain" else self._even(np.array([1 / bend]))[0]
            self._kept[bend] = self._pitch(bend, steps)
        return self._kept[bend]

    def prepare(self, bends: NDArray[np.float64]) -> None:
        """Work out many bends at once."""
        fresh = [float(bend) for bend in bends if float(bend) not in self._kept]
        if self.spacing == "plain" or not fresh:
            return
        for bend, steps in zip(fresh, self._even(1 / np.array(fresh)), strict=True):
            self._kept[bend] = self._pitch(bend, steps)

    def sharpest_bend(self, sweep_rad: float) -> float:
        """Return the largest bend whose sweep, turn and inward reach are within their limits."""
        inward = float(max((-self.side * self.ink.hull[:, 1]).max(), 1e-6))
        step = float(self._plain.max()) if len(self._plain) else 0.0
        plain_sweep = sweep_rad / max(self.ink.advance_em, 1e-9)
        high = min(plain_sweep, LARGEST_TURN_RAD / step if step > 0 else math.inf, LARGEST_INWARD_SHARE / inward)
        if self.spacing == "plain":
            return high * (1 - _SLACK)
        return self._sharpest_even(sweep_rad, min(high * 1.6, LARGEST_INWARD_SHARE / inward))

    def _sharpest_even(self, sweep_rad: float, ceiling: float) -> float:
        low, high = ceiling / 8, ceiling
        for _ in range(3):
            bends = np.linspace(low, high, _BENDS)
            self.prepare(bends)
            over = [self._excess(self.at(float(bend)), sweep_rad) for bend in bends]
            allowed = [index for index, excess in enumerate(over) if excess <= 0]
            if not allowed:
                low, high = low / 8, low
                continue
            last = allowed[-1]
            if last + 1 == len(bends):
                return float(bends[last])
            low, high = float(bends[last]), float(bends[last + 1])
        return low

    def _excess(self, pitch: Pitch, sweep_rad: float) -> float:
        return max(pitch.sweep_rad / sweep_rad, pitch.turn_rad / LARGEST_TURN_RAD) - 1

    def _even(self, radii_em: NDArray[np.float64]) -> NDArray[np.float64]:
        gaps = np.full(len(radii_em), self.finest_gap_em)
        return even_steps_em(self.ink.line.clusters, radii_em, self.side, gaps)

    def _pitch(self, bend: float, steps: NDArray[np.float64]) -> Pitch:
        places = np.concatenate([[0.0], np.cumsum(steps)])
        start, end = places[0] - self._ends[0], places[-1] + self._ends[1]
        mids = places[self._shown]
        centred_on_advance = self.spacing == "plain" and self.follow == "letters"
        middle = (start + end) / 2 if centred_on_advance else self._ink_middle(bend, mids)
        turn = float(steps.max()) * bend if len(steps) else 0.0
        return Pitch(bend, self.side, self.follow, mids - middle, float(end - start) * bend, turn)

    def _ink_middle(self, bend: float, mids: NDArray[np.float64]) -> float:
        """Return the middle of the ink along the arc, measured as angles about the centre."""
        hull, owner = self.ink.hull, self.ink.hull_owner
        if self.follow == "outline":
            return float((mids[owner] + hull[:, 0]).min() + (mids[owner] + hull[:, 0]).max()) / 2
        angle = mids[owner] * bend + np.arctan2(hull[:, 0], 1 / bend + self.side * hull[:, 1])
        return float(angle.min() + angle.max()) / 2 / bend
