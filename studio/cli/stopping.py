"""A run told to stop: by Ctrl+C, a closed terminal or another program, once or many times, it is one clean stop."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections.abc import Iterator
from types import FrameType
from typing import Final

from studio.cli.diagnostics import ExitCode

_SIGNALS: Final = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
_CODES: Final = {"SIGTERM": ExitCode.TERMINATED, "SIGHUP": ExitCode.HUNG_UP}


class Stopped(KeyboardInterrupt):
    """Raised where a signal asks for the end, once."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.code = _CODES.get(signal.Signals(number).name, ExitCode.INTERRUPTED)


@contextlib.contextmanager
def one_clean_stop() -> Iterator[None]:
    """Turn the first signal that asks for the end into `Stopped`, and pass over those after it to the program's end."""
    before = {number: signal.getsignal(number) for number in _SIGNALS}
    is_stopping = False

    def stop(number: int, frame: FrameType | None) -> None:
        nonlocal is_stopping
        is_stopping = True
        for each in before:
            signal.signal(each, signal.SIG_IGN)
        raise Stopped(number)

    try:
        for number, handler in before.items():
            if handler is not signal.SIG_IGN:  # as under nohup
                signal.signal(number, stop)
    except ValueError:  # not in the main thread: whoever runs us takes care
        yield
        return
    try:
        yield
    finally:
        for number, handler in before.items():
            if not is_stopping:
                signal.signal(number, handler if handler is not None else signal.SIG_DFL)


def open_missing_streams() -> None:
    """Give a program started with closed streams some that lead nowhere.

    Otherwise the next file opened gets the number of the error stream, and complaints are written into it.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    if sys.stdout is None:
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)  # noqa: SIM115
