"""How the interpreter spends its time while the studio runs: turns of its threads, and when it looks for garbage.

Invariant: nothing is ever left uncollected; it is looked for while the hand rests, and not among what lives as long as
the app.
"""

from __future__ import annotations

import gc
import sys
from typing import Final

_TURN_S: Final = 0.001
"""How long another thread may go on while the interface waits for its turn; a fifth of the usual."""
_YOUNG: Final = 100_000
"""New objects after which they are looked through, whatever is being done; `tidy` comes first where a hand rests."""

_held: list[bool] = []


def begin_start() -> None:
    """Look for no garbage until the first picture stands: loading makes next to none, and looking is a tenth of it."""
    gc.disable()


def set_pace() -> None:
    """Give threads short turns and look for garbage less often."""
    sys.setswitchinterval(_TURN_S)
    gc.set_threshold(_YOUNG, *gc.get_threshold()[1:])


def tidy() -> None:
    """Look for garbage among what is new, while nothing else is to be done."""
    gc.collect(1)


def hold_what_stands() -> None:
    """End the start: what was loaded and built for it is left out of every later search; once in a process."""
    if not _held:
        _held.append(True)
        gc.freeze()
        gc.enable()
