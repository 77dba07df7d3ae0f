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

from studio.basics.kept import KeptValue
from studio.geometry.shapes import Points
from studio.layout.arc_spacing import EvenSpacing, plain_steps_em
from studio.layout.letter_ink import LED_STEP_EM, SAMPLE_STEP_EM, LineInk
from studio.layout.placement import FollowUsed
from studio.layout.scaling import EdgePoints, Figure
from studio.model.sign import LARGEST_TURN_RAD, Spacing

LARGEST_INWARD_SHARE: Final = 0.8
"""Letters may reach at most this share of the radius towards the centre, where an arc closes on itself."""
_TABLE: Final = 12
_ALIKE_EM: Final = 2e-4
_EVENED_TO_PLAIN: Final = 1.6
"""Evened letters may stand closer than plain ones, and so allow a sharper bend: never this much."""


class LetterSteps:
    """The ways from middle to middle of a line's clusters, spaces included, in em along the baseline.

    Attributes:
        plain: On a straight line, shape (C - 1,).
        shown: Which clusters show.
        ends: From the outer ends of the advance to the middles of the first and the last cluster.
    """

    def __init__(self, ink: LineInk, side: int, spacing: Spacing, finest_gap_em: float) -> None:
        self.ink, self.side, self.spacing, self.finest_gap_em = ink, side, spacing, finest_gap_em
        clusters = ink.line.clusters
        self.plain = plain_steps_em(clusters)
        self.shown = np.array([index for index, cluster in enumerate(clusters) if cluster.has_ink], dtype=np.intp)
        self.ends = (clusters[0].advance_em / 2, clusters[-1].advance_em / 2)
        self.is_even = spacing == "even" and len(self.plain) > 0
        self._bends: NDArray[np.float64] = np.zeros(0)
        self._table: NDArray[np.float64] | None = None

    def sharpest_plain(self, sweep_rad: float) -> float:
        """Return the largest bend of plainly spaced letters whose sweep, turn and inward reach are within limits."""
        step = float(self.plain.max()) if len(self.plain) else 0.0
        turn = LARGEST_TURN_RAD / step if step > 0 else math.inf
        return min(sweep_rad / max(self.ink.advance_em, 1e-9), turn, self.sharpest_inward())

    def sharpest_inward(self) -> float:
        """Return the largest bend at which letters reach towards the centre no further than they may."""
        return LARGEST_INWARD_SHARE / float(max((-self.side * self.ink.hull[:, 1]).max(), 1e-6))

    def table_end(self, sweep_rad: float) -> float:
        """Return the sharpest bend that evened letters may need."""
        return min(self.sharpest_plain(sweep_rad) * _EVENED_TO_PLAIN, self.sharpest_inward())

    def prepare(self, sweep_rad: float) -> None:
        """Work out the table for all bends that a sweep allows."""
        if self.is_even and self._table is None:
            self._bends = np.linspace(0, self.table_end(sweep_rad), _TABLE)
            self._table = self._solved(self._bends)

    def looked_up(self, bends: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the steps at U bends from the table, shape (U, C - 1), right to about a thousandth."""
        if not self.is_even:
            return np.broadcast_to(self.plain, (len(bends), len(self.plain)))
        assert self._table is not None
        place = np.clip(bends / self._bends[1], 0, _TABLE - 1 - 1e-9)
        low = place.astype(np.intp)
        part = (place - low)[:, None]
        looked: NDArray[np.float64] = self._table[low] * (1 - part) + self._table[low + 1] * part
        return looked

    def looked_up_each(self, bends: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the steps from the table, each at a bend of its own, shapes (C - 1,)."""
        if not self.is_even:
            return self.plain
        assert self._table is not None
        place = np.clip(bends / self._bends[1], 0, _TABLE - 1 - 1e-9)
        low, each = place.astype(np.intp), np.arange(len(self.plain))
        part = place - low
        looked: NDArray[np.float64] = self._table[low, each] * (1 - part) + self._table[low + 1, each] * part
        return looked

    def solved(self, bend: float) -> NDArray[np.float64]:
        """Return the steps at one bend, solved, shape (C - 1,)."""
        return self._solved(np.array([bend]))[0] if self.is_even else self.plain

    def solved_each(self, bends: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the steps solved, each at a bend of its own, shapes (C - 1,)."""
        if not self.is_even:
            return self.plain
        if np.ptp(bends) == 0:
            return self.solved(float(bends[0]))
        with np.errstate(divide="ignore"):
            radii = 1 / bends
        return self._spacing().steps_em_each(radii, self.side, self.finest_gap_em)

    def floored_alike(self, bends: NDArray[np.float64], other_gap_em: float) -> bool:
        """Whether another finest gap gives the same steps at some bends: the floor does not bind there."""
        if not self.is_even:
            return True
        radii = 1 / np.maximum(bends, 1e-9)
        gaps = np.repeat([self.finest_gap_em, other_gap_em], len(bends))
        both = self._spacing().steps_em(np.concatenate([radii, radii]), self.side, gaps)
        return bool(np.abs(both[: len(bends)] - both[len(bends) :]).max() < _ALIKE_EM)

    def _solved(self, bends: NDArray[np.float64]) -> NDArray[np.float64]:
        with np.errstate(divide="ignore"):
            radii = 1 / bends
        return self._spacing().steps_em(radii, self.side, np.full(len(bends), self.finest_gap_em))

    def _spacing(self) -> EvenSpacing:
        """Return the line's spacing, kept with its ink: both sides share it."""
        return _SPACINGS.of(self.ink, lambda: EvenSpacing(self.ink.line.clusters))


_BENDS: Final = 96
_CORRECTIONS: Final = 3
_SAME_BEND: Final = 1.5e-3
"""Bends within this share of one another have the same steps, to a few millionths of an em."""
_NEAR_END_EM: Final = 1.0
"""How near to either end the ink must come for a letter to be outermost once the line is bent and evened."""
_SLACK: Final = 1e-9


_SPACINGS: Final = KeptValue[LineInk, EvenSpacing]()
_OUTER_HULLS: Final = KeptValue[LineInk, tuple[Points, NDArray[np.intp]]]()


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
            every = ink.edges(LED_STEP_EM if self.follow == "outline" else SAMPLE_STEP_EM)
            return self.figure(every.points, every.owner), every.following

        return Figure(
            lambda: self.figure(ink.hull, ink.hull_owner),
            self.figure(ink.samples[ink.scouts], ink.sample_owner[ink.scouts]),
            lambda: self.figure(ink.samples, ink.sample_owner),
            edges,
        )


class Pitches:
    """The pitches of one line on one side: looked up while a bend is sought, solved for the one that is kept."""

    def __init__(self, steps: LetterSteps, follow: FollowUsed = "letters") -> None:
        self.steps = steps
        self.ink, self.side, self.spacing = steps.ink, steps.side, steps.spacing
        self.follow = follow
        self._is_centred_on_advance = self.spacing == "plain" and follow == "letters"
        self._kept: dict[float, Pitch] = {}

    def at(self, bend: float) -> Pitch:
        """Return the pitch at a bend, solved."""
        if bend not in self._kept:
            self._kept[bend] = self._pitch(bend, self.steps.solved(bend))
        return self._kept[bend]

    def about(self, bends: NDArray[np.float64], sweep_rad: float) -> list[Pitch]:
        """Return pitches at bends, looked up: right to about a thousandth."""
        self.steps.prepare(sweep_rad)
        steps, ends = self.steps.looked_up(bends), self.steps.ends
        places = np.zeros((len(bends), steps.shape[1] + 1))
        np.cumsum(steps, axis=1, out=places[:, 1:])
        mids, length = places[:, self.steps.shown], places[:, -1] + sum(ends)
        if self._is_centred_on_advance:
            middles = length / 2 - ends[0]
        else:
            low, high = self.ink.extents
            middles = ((mids + low).min(axis=1) + (mids + high).max(axis=1)) / 2
        turns = steps.max(axis=1) * bends if steps.shape[1] else np.zeros(len(bends))
        rows = zip(bends.tolist(), mids - middles[:, None], (length * bends).tolist(), turns.tolist(), strict=True)
        return [Pitch(bend, self.side, self.follow, centred, sweep, turn) for bend, centred, sweep, turn in rows]

    def scouts(self, pitches: list[Pitch]) -> Points:
        """Return the line's scouts at many pitches, shape (pitches, scouts, 2), about the circle's centre."""
        points, owner = self.ink.samples[self.ink.scouts], self.ink.sample_owner[self.ink.scouts]
        bends = np.array([pitch.bend for pitch in pitches])[:, None]
        mids = np.stack([pitch.mids for pitch in pitches])
        radial = 1 / bends + self.side * points[:, 1]
        if self.follow == "outline":
            angle = (mids[:, owner] + points[:, 0]) * bends
            return np.stack([radial * np.sin(angle), self.side * radial * np.cos(angle)], axis=-1)
        cos, sin = np.cos(mids * bends)[:, owner], np.sin(mids * bends)[:, owner]
        across = points[:, 0]
        return np.stack([radial * sin + across * cos, self.side * (radial * cos - across * sin)], axis=-1)

    def sharpest_bend(self, sweep_rad: float) -> float:
        """Return the largest bend whose sweep, turn and inward reach are within their limits."""
        steps = self.steps
        if not steps.is_even:
            return steps.sharpest_plain(sweep_rad) * (1 - _SLACK)
        steps.prepare(sweep_rad)
        bends = np.linspace(0, steps.table_end(sweep_rad), _BENDS + 1)[1:]
        looked = steps.looked_up(bends)
        spans = looked.sum(axis=1) + sum(steps.ends)
        over = np.maximum(bends * spans / sweep_rad, bends * looked.max(axis=1) / LARGEST_TURN_RAD)
        allowed = np.flatnonzero(over <= 1)
        bend = float(bends[allowed[-1]]) if len(allowed) else float(bends[0] / over[0])
        if len(allowed) and allowed[-1] + 1 < len(bends):
            rise = (1 - over[allowed[-1]]) / (over[allowed[-1] + 1] - over[allowed[-1]])
            bend += float(rise * (bends[1] - bends[0]))
        steps_here = steps.solved(bend)
        for _ in range(_CORRECTIONS):
            pitch = self._pitch(bend, steps_here)
            excess = self._excess(pitch, sweep_rad)
            corrected = min(bend / (1 + excess) * (1 - _SLACK), steps.sharpest_inward())
            if abs(corrected / bend - 1) < _SAME_BEND:
                # So near by, the same steps hold.
                self._kept[corrected] = self._pitch(corrected, steps_here)
                return corrected
            bend = corrected
            steps_here = steps.solved(bend)
        while self._excess(self._pitch(bend, steps_here), sweep_rad) > 0:
            bend *= 1 - _SAME_BEND
        self._kept[bend] = self._pitch(bend, steps_here)
        return bend

    def _excess(self, pitch: Pitch, sweep_rad: float) -> float:
        return max(pitch.sweep_rad / sweep_rad, pitch.turn_rad / LARGEST_TURN_RAD) - 1

    def _pitch(self, bend: float, steps: NDArray[np.float64]) -> Pitch:
        places = np.concatenate([[0.0], np.cumsum(steps)])
        ends = self.steps.ends
        start, end = places[0] - ends[0], places[-1] + ends[1]
        mids = places[self.steps.shown]
        middle = (start + end) / 2 if self._is_centred_on_advance else self._ink_middle(bend, mids)
        turn = float(steps.max()) * bend if len(steps) else 0.0
        return Pitch(bend, self.side, self.follow, mids - middle, float(end - start) * bend, turn)

    def _ink_middle(self, bend: float, mids: NDArray[np.float64]) -> float:
        """Return the middle of the ink along the arc, measured as angles about the centre."""
        hull, owner = self._outer_hull()
        if self.follow == "outline":
            along = mids[owner] + hull[:, 0]
            return float(along.min() + along.max()) / 2
        angle = mids[owner] * bend + np.arctan2(hull[:, 0], 1 / bend + self.side * hull[:, 1])
        return float(angle.min() + angle.max()) / 2 / bend

    def _outer_hull(self) -> tuple[Points, NDArray[np.intp]]:
        """Return the hull corners of the letters near either end, one of which is outermost on an arc as well."""
        return _OUTER_HULLS.of(self.ink, lambda: _outer_hull_of(self.ink))


def _outer_hull_of(ink: LineInk) -> tuple[Points, NDArray[np.intp]]:
    hull, owner = ink.hull, ink.hull_owner
    along = ink.mids_em[owner] + hull[:, 0]
    near = (along <= along.min() + _NEAR_END_EM) | (along >= along.max() - _NEAR_END_EM)
    chosen = np.isin(owner, owner[near])
    return hull[chosen], owner[chosen]
