"""The work that fitting a sign takes, and the budget that all remedies of one sign share.

Work is counted as it is done, not by the clock, so that the same sign is told the same on every machine.

Invariant: what has been tried before costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from studio.layout.work import WORK
from studio.model.sign import Sign
from studio.pipeline.types import Plan

MOST_EFFORT: Final = 1000.0
"""What a sign with all that is tried for it may come to: about 1.5 s on one core that nothing else uses."""
_FIRST: Final = 1300.0
"""What it may come to with the first change, which is worth a little more."""
_TEXT: Final = 5.0
_LETTER: Final = 1.2
"""Milliseconds on a quiet core, measured: a text checked, and each letter of it."""


class OutOfBudgetError(Exception):
    """Nothing more may be tried for this sign: not told to anyone, what was found so far stands."""


class Effort:
    """What one sign has cost so far, with all that was tried for it."""

    def __init__(self, fitted: Callable[[Sign], Plan]) -> None:
        """Set up.

        Args:
            fitted: Fits and checks a sign.
        """
        self._fitted = fitted
        self._kept: dict[Sign, Plan] = {}
        self._first_ms = 0.0
        self.spent_ms = 0.0
        """About the milliseconds that it took on a quiet core."""

    def base(self, sign: Sign) -> Plan:
        """Return the sign as asked for, fitted; its cost tells what a change of it will cost."""
        planned = self._counted(sign)
        self._first_ms = self.spent_ms
        return planned

    def changed(self, sign: Sign) -> Plan:
        """Return a changed sign fitted; what was fitted before is given again.

        Raises:
            OutOfBudgetError: The budget is spent, or would be by another sign like the first.
        """
        if sign not in self._kept:
            most_ms = MOST_EFFORT if self._kept else _FIRST
            if self.spent_ms + self._first_ms > most_ms:
                raise OutOfBudgetError
            self._kept[sign] = self._counted(sign)
        return self._kept[sign]

    def _counted(self, sign: Sign) -> Plan:
        before_ms = WORK.done_ms
        planned = self._fitted(sign)
        self.spent_ms += WORK.done_ms - before_ms
        self.spent_ms += sum(_TEXT + _LETTER * len(order.text) for order in sign.letterings)
        return planned
