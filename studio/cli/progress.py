"""How far a run has come: one line on stderr that renews itself on a terminal, and a line a minute elsewhere."""

from __future__ import annotations

import sys
import time
from collections import deque
from collections.abc import Callable
from types import TracebackType
from typing import Final

_EVERY_S: Final = 0.1
_PLAIN_EVERY_S: Final = 60.0
_WINDOW_S: Final = 45.0
"""The time left is judged by the signs made within so long."""
_FEWEST: Final = 3


class ProgressLine:
    """A count of finished signs; a context manager that leaves the line clean."""

    def __init__(self, total: int, clock: Callable[[], float] = time.monotonic) -> None:
        """Set up for so many signs."""
        self._total = total
        self._clock = clock
        self._done = 0
        self._made = 0
        self._ill = self._doubtful = 0
        self._shown_s = 0.0
        self._marks: deque[tuple[float, int]] = deque([(clock(), 0)])
        self._live = sys.stderr.isatty()
        self._plain_s = clock()

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._live and self._shown_s:
            self._put("\r\x1b[K")

    def update(self, done: int, *, kept: int = 0, ill: int = 0, doubtful: int = 0) -> None:
        """Show how many of all signs are finished.

        Args:
            done: Finished ones, kept ones included.
            kept: Those that an earlier run made; they say nothing about the time that others take.
            ill: Those refused or failed.
            doubtful: Those with warnings.
        """
        now = self._clock()
        self._done, self._ill, self._doubtful = done, ill, doubtful
        made = done - kept
        if made > self._made:
            self._made = made
            self._marks.append((now, made))
        elif made == 0:
            self._marks = deque([(now, 0)])
        while (
            len(self._marks) > 2
            and (now - self._marks[1][0] > _WINDOW_S)
            and self._marks[-1][1] - self._marks[1][1] >= _FEWEST
        ):
            self._marks.popleft()
        if self._live and (now - self._shown_s >= _EVERY_S or done == self._total):
            self._shown_s = now
            self._put(f"\r\x1b[K{self.line(now)}")
        elif not self._live and now - self._plain_s >= _PLAIN_EVERY_S and done < self._total:
            self._plain_s = now
            self._put(f"{self.line(now)}\n")

    def line(self, now: float) -> str:
        """Return the line at a moment of the clock."""
        text = f"{self._done:,} of {self._total:,} signs"
        if self._ill:
            text += f", {self._ill:,} refused"
        if self._doubtful:
            text += f", {self._doubtful:,} with warnings"
        left_s = self._left_s()
        if left_s is not None and self._done < self._total:
            text += f", about {left_s:.0f} s left" if left_s < 120 else f", about {left_s / 60:.0f} min left"
        return text

    def _left_s(self) -> float | None:
        """Return the time left, by the signs made lately; `None` while too few are made."""
        (begun_s, before), (latest_s, made) = self._marks[0], self._marks[-1]
        if made - before < _FEWEST or latest_s <= begun_s:
            return None
        return (latest_s - begun_s) / (made - before) * (self._total - self._done)

    @staticmethod
    def _put(text: str) -> None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except (OSError, ValueError):
            return
