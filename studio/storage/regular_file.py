"""A file read whole, if it is a regular one: a device or a pipe would never end, or never begin.

Invariant: nothing is opened before it is known to be a regular file, and no more than the limit is ever held.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import Final

from studio.basics.errors import StudioError

_CHUNK_BYTES: Final = 1 << 20
_KINDS: Final = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a named pipe"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISSOCK, "a socket"),
)


def regular_bytes(
    path: Path, *, most_bytes: int, what: str, error: type[StudioError], first: int | None = None
) -> bytes:
    """Bytes of a regular file.

    Args:
        path: The file; links are followed.
        most_bytes: The largest size that is read.
        what: What it should be, as in "order list"; for the message.
        error: The kind of error raised for a file that is refused.
        first: Read no more than so many bytes from the start; the size is not judged then.

    Raises:
        StudioError: Of the kind `error`: it is a folder, a pipe, a device or a socket, or larger than `most_bytes`.
        OSError: It is not there, or may not be read.
        ValueError: The path cannot be the name of a file.
    """
    _refuse_irregular(path, path.stat(), what, error)
    # The path may change between the two looks: opened without waiting, a pipe is refused here and not waited for.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb", buffering=0) as stream:
        found = os.fstat(stream.fileno())
        _refuse_irregular(path, found, what, error)
        if first is None and found.st_size > most_bytes:
            raise _too_large(path, found.st_size, most_bytes, what, error)
        wanted = min(first, most_bytes) if first is not None else most_bytes + 1
        parts: list[bytes] = []
        while wanted and (part := stream.read(min(wanted, max(_CHUNK_BYTES, found.st_size + 1)))):
            parts.append(part)
            wanted -= len(part)
    if first is None and not wanted:
        raise _too_large(path, most_bytes + 1, most_bytes, what, error)
    return b"".join(parts)


def refuse_irregular(path: Path, what: str, error: type[StudioError]) -> None:
    """Raise `error` where a path is a folder, a pipe, a device or a socket; OSError where there is nothing."""
    _refuse_irregular(path, path.stat(), what, error)


def _refuse_irregular(path: Path, found: os.stat_result, what: str, error: type[StudioError]) -> None:
    if stat.S_ISREG(found.st_mode):
        return
    kind = next((words for is_kind, words in _KINDS if is_kind(found.st_mode)), "no regular file")
    article = "an" if what[:1].lower() in "aeiou" else "a"
    raise error(f"{path} is {kind}, not {article} {what}.", advice=f"Name the {what}'s own file.")


def _too_large(path: Path, size: int, most: int, what: str, error: type[StudioError]) -> StudioError:
    shown = f"{size / 1e6:.1f} MB" if size > most + 1 else f"over {most / 1e6:g} MB"
    return error(f"{path} is {shown}; a {what} of at most {most / 1e6:g} MB is read.", advice="Make it smaller.")
