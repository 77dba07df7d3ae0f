"""The step timer: one or two signs going through the steps of a press card, by whatever clock it is handed.

Invariant: no clock is read here; every question comes with the time, in seconds that only grow. One press holds one
sign: a step that takes the press cannot begin while the other sign's is under way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from studio.basics.errors import SettingsError
from studio.sheets.pressing.steps import PressCard, Step

State: TypeAlias = Literal["ready", "running", "paused", "over", "done"]


@dataclass(frozen=True, slots=True)
class SignAtPress:
    """How far one sign is.

    Attributes:
        name: What the sign is called.
        steps: Its steps.
        place: Which step it is at; `len(steps)` when all are done.
        spent_s: Seconds of this step before it was started last.
        started_s: When the clock was started last; `None` while it stands.
        is_rung: Whether the bell of this step has rung.
    """

    name: str
    steps: tuple[Step, ...]
    place: int = 0
    spent_s: float = 0.0
    started_s: float | None = None
    is_rung: bool = False

    @property
    def step(self) -> Step | None:
        """The step it is at; `None` when all are done."""
        return self.steps[self.place] if self.place < len(self.steps) else None

    @property
    def least_s(self) -> int | None:
        """Seconds that the step takes at least; `None` where it is not timed."""
        step = self.step
        return None if step is None or step.span is None else step.span.least_s

    def spent(self, now_s: float) -> float:
        """Return the seconds of this step so far."""
        return self.spent_s + (0.0 if self.started_s is None else max(0.0, now_s - self.started_s))

    def left(self, now_s: float) -> float | None:
        """Return the seconds until the bell, negative after it; `None` where the step is not timed."""
        return None if self.least_s is None else self.least_s - self.spent(now_s)

    def state(self, now_s: float) -> State:
        """Return how the step stands."""
        if self.step is None:
            return "done"
        left = self.left(now_s)
        if left is not None and left <= 0:
            return "over"
        if self.started_s is not None:
            return "running"
        return "paused" if self.spent_s else "ready"

    def holds_press(self, now_s: float) -> bool:
        """Whether the press is closed on this sign: its step takes the press, and has begun and not been left."""
        step = self.step
        return step is not None and step.takes_press and self.state(now_s) in ("running", "paused", "over")


@dataclass(frozen=True, slots=True)
class PressTimer:
    """All signs at the press, and which of them the keys speak to."""

    signs: tuple[SignAtPress, ...]
    chosen: int = 0

    @property
    def sign(self) -> SignAtPress:
        """The sign that is chosen."""
        return self.signs[self.chosen]

    def start(self, now_s: float) -> PressTimer:
        """Return the timer with the chosen sign's step under way; one that runs, or is not timed, stays as it is.

        Raises:
            SettingsError: The press is closed on the other sign.
        """
        sign = self.sign
        if sign.step is None or sign.started_s is not None or sign.least_s is None:
            return self
        if sign.step.takes_press:
            for other in self.signs:
                if other is not sign and other.holds_press(now_s):
                    left = other.left(now_s) or 0.0
                    when = f"for {clock_face(left)} more" if left > 0 else "and its time is up"
                    raise SettingsError(
                        f"The press is closed on {other.name} {when}.",
                        advice=f"Take {other.name} out first: choose it, then go to its next step.",
                    )
        return self._with(replace(sign, started_s=now_s))

    def pause(self, now_s: float) -> PressTimer:
        """Return the timer with the chosen sign's clock standing."""
        sign = self.sign
        if sign.started_s is None:
            return self
        return self._with(replace(sign, spent_s=sign.spent(now_s), started_s=None))

    def next_step(self) -> PressTimer:
        """Return the timer with the chosen sign at its next step, not yet started."""
        sign = self.sign
        if sign.step is None:
            return self
        return self._with(replace(sign, place=sign.place + 1, spent_s=0.0, started_s=None, is_rung=False))

    def previous_step(self) -> PressTimer:
        """Return the timer with the chosen sign at the step before, not yet started."""
        sign = self.sign
        return self._with(replace(sign, place=max(0, sign.place - 1), spent_s=0.0, started_s=None, is_rung=False))

    def choose(self, number: int) -> PressTimer:
        """Return the timer with another sign chosen, counted from 0."""
        return replace(self, chosen=number % len(self.signs))

    def rung(self, now_s: float) -> tuple[PressTimer, tuple[SignAtPress, ...]]:
        """Return the timer with every bell that is due rung, and the signs that it rings for, each step once."""
        due = tuple(sign for sign in self.signs if not sign.is_rung and sign.state(now_s) == "over")
        signs = tuple(replace(sign, is_rung=True) if sign in due else sign for sign in self.signs)
        return (replace(self, signs=signs), due) if due else (self, ())

    def _with(self, sign: SignAtPress) -> PressTimer:
        signs = (*self.signs[: self.chosen], sign, *self.signs[self.chosen + 1 :])
        return replace(self, signs=signs)


def timer_for(card: PressCard, names: Sequence[str]) -> PressTimer:
    """Return a timer with each sign before its first step."""
    return PressTimer(tuple(SignAtPress(name, card.steps) for name in names))


def clock_face(seconds: float) -> str:
    """Return a time as it stands on a clock: `0:50`, `1:02:00`; with a plus when it is over."""
    whole = -int(-seconds // 1) if seconds > 0 else int(-seconds // 1)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    face = f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"
    return face if seconds > 0 or not whole else f"+{face}"
