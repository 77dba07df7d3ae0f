"""A bug met while the studio runs: its traceback goes into the log, the person gets a sentence.

Invariant: telling never raises.
"""

from __future__ import annotations

import traceback

from studio.basics.errors import StudioError
from studio.storage.log import log_trace


def sentence_for(problem: BaseException) -> str:
    """Return what to tell the person; a bug's traceback is logged on the way."""
    if isinstance(problem, StudioError):
        return str(problem)
    if isinstance(problem, MemoryError):
        return "Not enough memory. Use a lower resolution or a smaller picture."
    path = log_trace("".join(traceback.format_exception(problem)), "studio")
    where = f"Details are in {path}." if path else "It could not be logged anywhere."
    return f"Something went wrong ({type(problem).__name__}). Your sign is unchanged. {where}"
