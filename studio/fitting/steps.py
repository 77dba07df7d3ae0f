"""How far apart neighbouring letters stand on a baseline of any curvature: looked up while searching, exact at the end.

Even spacing takes a solution for every radius. While a place and a size are sought it is read from a table over the
curvature, which is smooth; what is kept in the end is solved for its own radius.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.ink import LineInk
from studio.fitting.spacing import EvenSpacing, plain_steps_em
from studio.sign import LARGEST_TURN_RAD, Spacing

LARGEST_INWARD_SHARE: Final = 0.8
"""Letters may reach at most this share of the radius towards the centre, where an arc closes on itself."""
_TABLE: Final = 12
_ALIKE_EM: Final = 2e-4
_EVENED_TO_PLAIN: Final = 1.6
"""Evened letters may stand closer than plain ones, and so allow a sharper bend: never this much."""


class Steps:
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
        return np.diagonal(self._solved(bends))

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
        kept: EvenSpacing | None = self.ink.memory.get("spacing")
        if kept is None:
            kept = self.ink.memory["spacing"] = EvenSpacing(self.ink.line.clusters)
        return kept
