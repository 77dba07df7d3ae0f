"""Work counted as it is done, in about milliseconds of a quiet core: the same for the same sign on every machine.

What costs most in laying a text adds to it wherever it is done; what is remembered from before counts all the same, so
that the count depends on the sign alone.
"""

from __future__ import annotations

import threading
from typing import Final


class Work(threading.local):
    """What a thread has done so far."""

    done_ms = 0.0


WORK: Final = Work()
ALONG_MS: Final = 0.11
"""A line of letters placed along a rim at one size."""
STEP_MS: Final = 0.027
"""One step between two letters, evened at one bend."""
BESIDE_TEXT_MS: Final = 60.0
"""A map of the room beside a text."""
DRAWN_IN_MS: Final = 15.0
"""A map of room drawn in."""
ASKED_MS: Final = 0.1
"""A figure asked for its room in a map."""
ZONE_MS: Final = 0.2
"""A figure asked for its largest size in the safe zone."""
STRAIGHT_MS: Final = 10.0
"""A text weighed in straight lines."""
STAND_MS: Final = 3.0
"""A block looked over for its best place."""
