"""Settings of the whole suite: properties are tried on the same examples every time, so that a pass means the same."""

from __future__ import annotations

import signal

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("seeking", deadline=None)
settings.load_profile("steady")

signal.signal(signal.SIGINT, signal.default_int_handler)
"""A shell starts background jobs deaf to interrupts, and their children with them: tests that interrupt need ears."""
