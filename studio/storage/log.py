"""The log that a bug's traceback goes into.

Invariant: logging never raises; where no log can be written, that is told by `None`.
"""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from studio.storage.paths import log_file

_LARGEST_BYTES: Final = 2_000_000


def log_trace(trace: str, met_in: str) -> Path | None:
    """Write a traceback into the log, and return its path.

    Args:
        trace: The traceback.
        met_in: What was being done, in a few words.
    """
    entry = f"--- {datetime.now(UTC).isoformat(timespec='seconds')} {met_in}\n{trace}\n"
    for path in (log_file(), Path(tempfile.gettempdir()) / "sapwood.log"):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            mode = "w" if path.exists() and path.stat().st_size > _LARGEST_BYTES else "a"
            with path.open(mode, encoding="utf-8", errors="backslashreplace") as stream:
                stream.write(entry)
        except OSError:
            continue
        return path
    return None
