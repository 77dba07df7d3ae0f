"""A bug met while the studio runs: its traceback goes into the log, the person gets a sentence.

Invariant: telling never raises.
"""

from __future__ import annotations

import tempfile
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from studio.errors import StudioError
from studio.files.places import log_file

_LARGEST_LOG_BYTES: Final = 2_000_000


def sentence_for(problem: BaseException) -> str:
    """Return what to tell the person; a bug's traceback is logged on the way."""
    if isinstance(problem, StudioError):
        return str(problem)
    if isinstance(problem, MemoryError):
        return "There is not memory enough for that. Use a lower density or a smaller picture."
    path = _logged(problem)
    where = f"What happened is in {path}." if path else "It could not be logged anywhere."
    return f"That met a bug in the program ({type(problem).__name__}); your sign is as it was. {where}"


def _logged(problem: BaseException) -> Path | None:
    trace = "".join(traceback.format_exception(problem))
    entry = f"--- {datetime.now(UTC).isoformat(timespec='seconds')} studio\n{trace}\n"
    for path in (log_file(), Path(tempfile.gettempdir()) / "sapwood.log"):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            mode = "w" if path.exists() and path.stat().st_size > _LARGEST_LOG_BYTES else "a"
            with path.open(mode, encoding="utf-8", errors="backslashreplace") as stream:
                stream.write(entry)
        except OSError:
            continue
        return path
    return None
