"""How far a run has come: one line on stderr that renews itself on a terminal, nothing where that is piped."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Final

_EVERY_S: Final = 0.1


class ProgressLine:
    """A count of finished signs; a context manager that leaves the line clean."""

    def __init__(self, total: int) -> None:
        self._total = total
        self._done = 0
        self._shown_s = 0.0
        self._began_s = time.monotonic()
        self._live = sys.stderr.isatty()

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._live and self._shown_s:
            self._put("\r\x1b[K")

    def update(self, done: int) -> None:
        """Show that `done` of all signs are finished."""
        self._done = done
        now = time.monotonic()
        if self._live and (now - self._shown_s >= _EVERY_S or done == self._total):
            self._shown_s = now
            self._put(f"\r\x1b[K{self.line(now - self._began_s)}")

    def line(self, seconds: float) -> str:
        """Return the line after so many seconds."""
        text = f"{self._done} of {self._total} signs"
        if 0 < self._done < self._total and seconds > 1:
            left_s = seconds / self._done * (self._total - self._done)
            text += f", about {left_s:.0f} s left" if left_s < 120 else f", about {left_s / 60:.0f} min left"
        return text

    @staticmethod
    def _put(text: str) -> None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except (OSError, ValueError):
            return
