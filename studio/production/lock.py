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
from typing import Final

from studio.errors import OutputError
from studio.storage.atomic_write import write_whole
from studio.storage.processes import host_tag, process_alive
from studio.storage.write_errors import output_error

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

RUN_FOLDER: Final = ".sapwood"
"""Inside a run's folder: what the run needs to stop and go on."""
LOCK_NAME: Final = "lock"
HOLDER_NAME: Final = "holder.json"
_TRIES: Final = 20
_held: set[int] = set()


def _close_inherited() -> None:
    """In a forked worker, let go of the lock's handle: the worker may outlive the run that holds it."""
    for handle in tuple(_held):
        with contextlib.suppress(OSError):
            os.close(handle)
    _held.clear()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_close_inherited)


class RunLock:
    """Holds a run's folder; a context manager, not to be entered twice."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._handle: int | None = None
        self._holder_file: Path | None = None

    def __enter__(self) -> RunLock:
        """Take the folder.

        Raises:
            OutputError: Another run holds it, or it cannot be written.
        """
        home = self._folder / RUN_FOLDER
        try:
            home.mkdir(parents=True, exist_ok=True)
            locked = fcntl is not None and self._lock(home / LOCK_NAME)
        except OSError as problem:
            raise output_error(problem, home / LOCK_NAME) from problem
        if not locked:
            self._write_holder(home / HOLDER_NAME)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let the folder go, and leave no trace of the lock."""
        if self._handle is not None:
            with contextlib.suppress(OSError):
                (self._folder / RUN_FOLDER / LOCK_NAME).unlink()
            _held.discard(self._handle)
            os.close(self._handle)
            self._handle = None
        if self._holder_file is not None:
            with contextlib.suppress(OSError):
                self._holder_file.unlink()
            self._holder_file = None

    def _lock(self, file: Path) -> bool:
        """Lock a file; return False where the disk knows no locks."""
        for _ in range(_TRIES):
            handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o666)
            kept = False
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                if _same_file(handle, file):
                    os.ftruncate(handle, 0)
                    os.write(handle, _about_us())
                    kept = True
            except (BlockingIOError, PermissionError) as problem:
                raise _busy(self._folder, _read_holder(file)) from problem
            except OSError:
                return False
            finally:
                if not kept:
                    os.close(handle)
            if kept:
                self._handle = handle
                _held.add(handle)
                return True
        raise _busy(self._folder, _read_holder(file))

    def _write_holder(self, file: Path) -> None:
        """Take the folder by a file that says who we are; take over from a dead process of this machine."""
        for _ in range(_TRIES):
            try:
                write_whole(file, _about_us(), durable=False)
            except OutputError:
                if not os.path.lexists(file):
                    raise
            else:
                self._holder_file = file
                return
            holder = _read_holder(file)
            if not _dead(holder):
                raise _busy(self._folder, holder, file)
            _set_aside(file, holder)
        raise _busy(self._folder, _read_holder(file), file)


def _about_us() -> bytes:
    return json.dumps({"pid": os.getpid(), "host": host_tag(), "since": time.strftime("%Y-%m-%d %H:%M")}).encode()


def _read_holder(file: Path) -> Mapping[str, object]:
    try:
        held = json.loads(file.read_bytes())
    except (OSError, ValueError):
        return {}
    return held if isinstance(held, dict) else {}


def _dead(holder: Mapping[str, object]) -> bool:
    pid = holder.get("pid")
    return holder.get("host") == host_tag() and isinstance(pid, int) and not process_alive(pid)


def _set_aside(file: Path, holder: Mapping[str, object]) -> None:
    """Remove a dead holder's file, unless another run has just taken its place."""
    aside = file.with_name(f"{file.name}.{os.getpid()}")
    try:
        file.rename(aside)
        if _read_holder(aside) != holder:
            aside.rename(file)
        else:
            aside.unlink()
    except OSError:
        return


def _same_file(handle: int, file: Path) -> bool:
    """Return whether the name still leads to the open file; a run that just ended may have removed it."""
    try:
        there = file.stat()
    except OSError:
        return False
    ours = os.fstat(handle)
    return (ours.st_ino, ours.st_dev) == (there.st_ino, there.st_dev)


def _busy(folder: Path, holder: Mapping[str, object], file: Path | None = None) -> OutputError:
    who = (
        f"process {holder['pid']} on {holder.get('host')}, since {holder.get('since')}"
        if "pid" in holder
        else "process unknown"
    )
    remove = f" If no run is going on, delete {file}." if file else ""
    return OutputError(
        f"Another run is writing into {folder} ({who}).",
        advice=f"Let it finish, or choose another folder with -o.{remove}",
    )
