"""One run to a folder at a time: a second one is told which is there, and stops.

The lock dies with its holder, however that ends. Where the disk knows no locks, a file says who holds the folder, and
counts for nothing once that process is dead.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Final

from studio.basics.errors import OutputError
from studio.storage.atomic_write import write_whole
from studio.storage.processes import host_tag
from studio.storage.write_errors import output_error

if TYPE_CHECKING:
    from filelock import BaseFileLock

RUN_FOLDER: Final = ".sapwood"
"""Inside a run's folder: what the run needs to stop and go on."""
LOCK_NAME: Final = "lock"
HOLDER_NAME: Final = "holder.json"


class RunLock:
    """Holds a run's folder; a context manager, not to be entered twice."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lock: BaseFileLock | None = None

    def __enter__(self) -> RunLock:
        """Take the folder.

        Raises:
            OutputError: Another run holds it, or it cannot be written.
        """
        home = self._folder / RUN_FOLDER
        try:
            home.mkdir(parents=True, exist_ok=True)
            self._lock = _held(self._folder)
        except OSError as problem:
            raise output_error(problem, home / LOCK_NAME) from problem
        about_us = {"pid": os.getpid(), "host": host_tag(), "since": time.strftime("%Y-%m-%d %H:%M")}
        write_whole(home / HOLDER_NAME, json.dumps(about_us).encode(), overwrite=True, durable=False)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let the folder go."""
        with contextlib.suppress(OSError):
            (self._folder / RUN_FOLDER / HOLDER_NAME).unlink()
        if self._lock is not None:
            self._lock.release()
            self._lock = None


def _held(folder: Path) -> BaseFileLock:
    """Return the folder's lock, taken."""
    from filelock import FileLock, SoftFileLock, Timeout  # slow to load, and wanted in a run only

    home = folder / RUN_FOLDER
    for kind, name in ((FileLock, LOCK_NAME), (SoftFileLock, f"{LOCK_NAME}-by-name")):
        lock = kind(home / name, timeout=0, thread_local=False)
        try:
            lock.acquire()
        except NotImplementedError:
            continue  # the disk knows no locks
        except Timeout as problem:
            raise _busy(folder, _read_holder(home / HOLDER_NAME), home / name) from problem
        return lock
    raise OutputError(f"{folder} cannot be locked against a second run.", advice="Choose a folder on another disk.")


def _read_holder(file: Path) -> Mapping[str, object]:
    try:
        held = json.loads(file.read_bytes())
    except (OSError, ValueError):
        return {}
    return held if isinstance(held, dict) else {}


def _busy(folder: Path, holder: Mapping[str, object], lock_file: Path) -> OutputError:
    who = "process unknown"
    if "pid" in holder:
        who = f"process {holder['pid']} on {holder.get('host')}, since {holder.get('since')}"
    return OutputError(
        f"Another run is writing into {folder} ({who}).",
        advice=f"Let it finish, or choose another folder. If no run is going on, delete {lock_file}.",
    )
