"""How much work fitting a sign is, told beforehand, and the budget that all remedies of one sign share.

Work is counted by what the sign is, not by the clock, so that the same sign is told the same on every machine.

Invariant: what has been tried before costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from studio.model.sign import LetteringOrder, Sign
from studio.pipeline.types import Plan

MOST_EFFORT: Final = 1500.0
"""What a sign with all that is tried for it may come to: about 1.5 s on one core that nothing else uses."""
_TEXT: Final = 4.0
_LETTER: Final = 0.8
_GROUND: Final = 20.0
"""Milliseconds on a quiet core, measured: a text, each letter of it, and each map of room beside a text or a hole."""
_ON_RIM: Final = {"round": 1.0, "rect": 2.0, "oval": 3.0}
_AROUND_HOLES: Final = 4.0
_BESIDE: Final = 1.5
"""How many times as long a text takes on rims that are no circle, beside holes, and beside artwork or other texts."""
_COMPOSED: Final = 1.7
"""How many times as long beside holes where it is composed: each way to set it is tried."""


class OutOfBudgetError(Exception):
    """Nothing more may be tried for this sign: not told to anyone, what was found so far stands."""


def effort(sign: Sign) -> float:
    """About the milliseconds that fitting a sign takes on a quiet core."""
    maps = len(sign.letterings) - 1 + bool(sign.blank.holes)
    return _GROUND * maps + sum(_effort_of(order, sign) for order in sign.letterings)


def _effort_of(order: LetteringOrder, sign: Sign) -> float:
    work = _TEXT + _LETTER * len(order.text)
    if not sign.blank.rim.is_circle and order.layout != "box":
        work *= _ON_RIM[sign.blank.shape]
        work *= _BESIDE if sign.artwork is not None or len(sign.letterings) > 1 else 1.0
    if not sign.blank.holes:
        return work
    return work * _AROUND_HOLES * (_COMPOSED if sign.composing.composition != "largest" else 1.0)


def within_budget(sign: Sign, fitted: Callable[[Sign], Plan]) -> Callable[[Sign], Plan]:
    """A way to fit changed signs that keeps what it fitted and stops when the budget of a sign is spent.

    Args:
        sign: The sign as asked for, fitted already.
        fitted: Fits and checks a sign.

    Returns:
        A function like `fitted`; it raises `OutOfBudgetError`. The first change is always tried.
    """
    kept: dict[Sign, Plan] = {}
    spent = [min(effort(sign), MOST_EFFORT - 1.0)]

    def replan(changed: Sign) -> Plan:
        if changed not in kept:
            if spent[0] >= MOST_EFFORT:
                raise OutOfBudgetError
            spent[0] += effort(changed)
            kept[changed] = fitted(changed)
        return kept[changed]

    return replan
