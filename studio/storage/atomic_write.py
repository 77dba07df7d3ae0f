"""Files written whole or not at all: no reader ever meets half of one, whatever kills the writer.

The bytes go to a hidden part file in the same folder, since a rename across disks would be a copy, and take the
target's name in one step once they are complete. A part file that a killed process left says in its name whose it was.
"""

from __future__ import annotations

import contextlib
import errno
import itertools
import os
import re
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import BinaryIO, Final, TypeAlias

from studio.basics.errors import VerificationError
from studio.storage.processes import host_tag, process_age_s, process_alive
from studio.storage.write_errors import output_error, taken

Data: TypeAlias = bytes | Sequence[bytes]
"""A file's bytes, in one piece or in several."""
Verify = Callable[[Path], None]
"""Reads a finished part file again; raises VerificationError where it is not what was meant."""

_PART_NAME: Final = re.compile(r"\.sapwood-(?P<host>[A-Za-z0-9_]+)-(?P<pid>\d{1,10})-\d+\.part")
_NO_HARD_LINKS: Final = frozenset(
    {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EACCES}
)
_STRANGER_IS_STALE_AFTER_S: Final = 24 * 3600.0
_CLOCK_STEP_S: Final = 5.0
"""By so much a file may look older than the process that wrote it, the clock being set meanwhile."""
_PIECE: Final = 1 << 19
"""Bytes written at a time: several megabytes in one go take two to four times as long."""
_READ_PIECE: Final = 1 << 17
_MOST_VIEWS: Final = 512
"""Pieces handed to the system in one call; it takes 1024 or more."""
_numbers = itertools.count()


def write_whole(
    target: Path, data: Data, *, verify: Verify | None = None, overwrite: bool = False, durable: bool = True
) -> None:
    """Write `data` to `target`, which afterwards holds all of it or is as it was.

    Args:
        target: The file to make; its folder must exist.
        data: All bytes of it, in one piece or in several.
        verify: Called with the finished part file before that takes the target's name.
        overwrite: Replace a file of that name.
        durable: Force the bytes to the disk before the rename, so that the promise outlives a power cut. Without it
            the promise holds against any death of the process; a run of many files saves a millisecond or more each
            and finds what a power cut spoiled by digest.

    Raises:
        OutputError: The folder cannot be written, the disk is full, the name cannot be had, or is taken.
        VerificationError: `verify` refused what was written; nothing is left of it.
    """
    try:
        if not overwrite and os.path.lexists(target):
            raise taken(target)
        parts = _parts(data)
        part = _write_part(target, parts, durable=durable)
    except (OSError, ValueError) as problem:
        raise output_error(problem, target) from problem
    try:
        _verified(part, target, sum(map(len, parts)), verify)
        _take_name(part, target, overwrite=overwrite)
        if durable:
            settle_folder(target.parent)
    except (OSError, ValueError) as problem:
        raise output_error(problem, target) from problem
    finally:
        part.unlink(missing_ok=True)


def write_stream(
    target: Path, write: Callable[[BinaryIO], None], *, verify: Verify | None = None, overwrite: bool = False
) -> None:
    """Make a file that is too large to stand in memory; afterwards it is whole or as it was, as with `write_whole`.

    Args:
        target: The file to make; its folder must exist.
        write: Writes it, to a stream that can be read and sought too.
        verify: Called with the finished part file before that takes the target's name.
        overwrite: Replace a file of that name.

    Raises:
        OutputError: The folder cannot be written, the disk is full, or the name is taken.
        VerificationError: `verify` refused what was written; nothing is left of it.
    """
    part: Path | None = None
    try:
        if not overwrite and os.path.lexists(target):
            raise taken(target)
        part = _write_part(target, (), durable=False)
        with part.open("r+b") as stream:
            write(stream)
            stream.flush()
            size = stream.seek(0, os.SEEK_END)
            os.fsync(stream.fileno())
        _verified(part, target, size, verify)
        _take_name(part, target, overwrite=overwrite)
        settle_folder(target.parent)
    except (OSError, ValueError) as problem:
        raise output_error(problem, target) from problem
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


@contextlib.contextmanager
def passing_file(folder: Path) -> Iterator[BinaryIO]:
    """Give an empty file in a folder to write to and read from, gone afterwards whatever happens.

    Raises:
        OutputError: The folder cannot be written, or the disk is full.
    """
    part: Path | None = None
    try:
        part = _write_part(folder / "passing", (), durable=False)
        with part.open("r+b") as stream:
            yield stream
    except OSError as problem:
        raise output_error(problem, folder) from problem
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


def holds(file: Path, data: Data) -> bool:
    """Return whether a file's contents are these bytes, in one piece or in several.

    Raises:
        OSError: It cannot be read.
    """
    with file.open("rb", buffering=0) as stream:
        for part in _parts(data):
            for start in range(0, len(part), _READ_PIECE):
                piece = part[start : start + _READ_PIECE]  # bytes: views would be compared item by item
                if stream.read(len(piece)) != piece:
                    return False
        return not stream.read(1)


def _parts(data: Data) -> Sequence[bytes]:
    return (data,) if isinstance(data, bytes) else data


def ready_folder(folder: Path) -> None:
    """Make a folder where there is none, and prove that files can be made in it without touching any that are there.

    Raises:
        OutputError: It cannot be made or written, or a file stands in its place.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _write_part(folder / "probe", (), durable=False).unlink()
    except (OSError, ValueError) as problem:
        raise output_error(problem, folder) from problem


def settle_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, where the system can."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    try:
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)


def settle_files(files: tuple[Path, ...]) -> None:
    """Force files that were written without `durable` to the disk; one that has gone meanwhile is passed over."""
    for file in files:
        try:
            with file.open("rb") as stream:
                os.fsync(stream.fileno())
        except OSError:
            continue
    for folder in sorted({file.parent for file in files}):
        settle_folder(folder)


def is_part(name: str) -> bool:
    """Return whether a file's name is that of a part file, which is no one's work."""
    return _PART_NAME.fullmatch(name) is not None


def stale_parts(folder: Path) -> tuple[Path, ...]:
    """Return the part files in a folder whose writers are dead, in order of name.

    A part of another machine (a shared disk) counts as stale after a day, since its writer cannot be asked after.
    """
    found = []
    try:
        names = sorted(entry.name for entry in folder.iterdir())
    except OSError:
        return ()
    for name in names:
        match = _PART_NAME.fullmatch(name)
        if match is None:
            continue
        part = folder / name
        if match["host"] == host_tag():
            stale = not _writer_lives(int(match["pid"]), part)
        else:
            stale = _age_s(part) > _STRANGER_IS_STALE_AFTER_S
        if stale:
            found.append(part)
    return tuple(found)


def remove_stale_parts(folder: Path) -> int:
    """Remove what dead writers left in a folder, and return how many files went."""
    removed = 0
    for part in stale_parts(folder):
        try:
            part.unlink()
        except OSError:
            continue
        removed += 1
    return removed


def _write_part(target: Path, parts: Sequence[bytes], *, durable: bool) -> Path:
    """Write all parts to a new hidden file beside the target; on any failure remove it."""
    while True:
        part = target.parent / f".sapwood-{host_tag()}-{os.getpid()}-{next(_numbers)}.part"
        try:
            stream = part.open("xb", buffering=0)
        except FileExistsError:
            continue
        break
    try:
        with stream:
            for group in _groups(parts):
                _write_group(stream.fileno(), group)
            if durable:
                os.fsync(stream.fileno())
            else:
                _hurry(stream.fileno())
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return part


def _groups(parts: Sequence[bytes]) -> Iterator[list[memoryview]]:
    """Yield the parts' bytes in groups of at most `_PIECE` bytes and `_MOST_VIEWS` views."""
    group: list[memoryview] = []
    room = _PIECE
    for part in parts:
        rest = memoryview(part)
        while rest:
            group.append(rest[:room])
            rest, room = rest[room:], room - len(group[-1])
            if not room or len(group) == _MOST_VIEWS:
                yield group
                group, room = [], _PIECE
    if group:
        yield group


def _write_group(handle: int, group: list[memoryview]) -> None:
    """Write all of a group's bytes."""
    if hasattr(os, "writev"):
        left = sum(map(len, group)) - os.writev(handle, group)
        if not left:
            return
        rest = memoryview(b"".join(group))[-left:]
    else:
        rest = memoryview(b"".join(group))
    while rest:
        rest = rest[os.write(handle, rest) :]


def let_go(file: Path) -> None:
    """Have the system give back the memory it keeps a written file in, where it can; a long run fills it otherwise."""
    with contextlib.suppress(OSError), file.open("rb", buffering=0) as stream:
        _hurry(stream.fileno())


def _hurry(handle: int) -> None:
    """Have the system begin to bring a file to the disk, without waiting: less is left to do at the end of a run.

    What is there already is dropped from memory.
    """
    if hasattr(os, "posix_fadvise"):
        with contextlib.suppress(OSError):
            os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)


def _verified(part: Path, target: Path, size: int, verify: Verify | None) -> None:
    """Raise unless the part file is as long as what was written and `verify` is content."""
    held = part.stat().st_size
    if held != size:
        raise VerificationError(
            f"{target} came out {held} bytes long in place of {size}, and was not kept.", advice="Check the disk."
        )
    if verify is None:
        return
    try:
        verify(part)
    except OSError as problem:
        raise VerificationError(
            f"{target} could not be read again after writing ({problem.strerror}), and was not kept.",
            advice="Check the disk, or choose a folder on another one.",
            ways=("out",),
        ) from problem


def _take_name(part: Path, target: Path, *, overwrite: bool) -> None:
    """Give the part file its name, without a moment in which another writer's file could be lost."""
    if overwrite:
        part.replace(target)
        return
    try:
        target.hardlink_to(part)
    except FileExistsError:
        raise taken(target) from None
    except OSError as problem:
        if problem.errno not in _NO_HARD_LINKS:
            raise
        if os.path.lexists(target):
            raise taken(target) from None
        part.rename(target)


def _writer_lives(pid: int, part: Path) -> bool:
    """Return whether the process that wrote a part file still runs, and not another that was given its number."""
    if not process_alive(pid):
        return False
    process_age = process_age_s(pid)
    return process_age is None or _age_s(part) <= process_age + _CLOCK_STEP_S


def _age_s(part: Path) -> float:
    try:
        return time.time() - part.stat().st_mtime
    except OSError:
        return 0.0


def read_back(data: bytes, verify: Callable[[bytes], None] | None = None) -> Verify:
    """Return a check that a file holds these bytes, and that they are what was ordered.

    Args:
        data: What was written.
        verify: Judges what was read; raises VerificationError where it is not what was meant.
    """

    def check(part: Path) -> None:
        held = part.read_bytes()
        if held != data:
            raise VerificationError(f"{part.parent}: a file did not read back as written.", advice="Check the disk.")
        if verify is not None:
            verify(held)

    return check
