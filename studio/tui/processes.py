"""Made ready for processes of its own: while the app draws, the error stream is not the system's, which they need.

Invariant: may be called any number of times, from any thread.
"""

from __future__ import annotations

import contextlib
import sys


def ready_for_processes() -> None:
    """Start what Python needs to look after processes, with the real error stream in place.

    Raises:
        OSError: The system gives no processes.
    """
    from multiprocessing import resource_tracker

    with contextlib.redirect_stderr(sys.__stderr__):
        resource_tracker.ensure_running()
