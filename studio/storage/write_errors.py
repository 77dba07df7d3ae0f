"""The system's complaints about writing, as sentences with a way out.

Every sentence names the file or folder, and says what to do.
"""

from __future__ import annotations

import errno
import os
from pathlib import Path

from studio.basics.errors import OutputError


def output_error(problem: OSError | ValueError, target: Path) -> OutputError:
    """Return the system's complaint about a file or folder as a sentence with a way out."""
    number = problem.errno if isinstance(problem, OSError) else None
    folder = target.parent
    if number == errno.ENOSPC or number == getattr(errno, "EDQUOT", -1):
        return OutputError(
            f"The disk is full: {target} could not be written, and nothing was left of it.",
            advice="Make room and run again, resuming a run; or write into a folder on another disk.",
            ways=("resume", "out"),
        )
    if number == errno.EFBIG:
        return OutputError(
            f"{target} is larger than this disk or account allows.", advice="Write to another disk.", ways=("out",)
        )
    if number == errno.ENAMETOOLONG:
        return OutputError(
            f"The name {target.name[:40]}... is too long for this disk.", advice="Use a shorter name.", ways=("out",)
        )
    if number == errno.EROFS:
        return OutputError(
            f"{folder} is on a disk that can only be read.", advice="Choose another folder.", ways=("out",)
        )
    if number in (errno.EACCES, errno.EPERM):
        return OutputError(
            f"You don't have permission to write {target}.",
            advice="Choose a folder of your own, or change the folder's permissions.",
            ways=("out",),
        )
    if number in (errno.ENOTDIR, errno.EEXIST):
        return OutputError(
            f"{_file_in_the_way(target)} is a file, not a folder.", advice="Choose another folder.", ways=("out",)
        )
    if number == errno.EISDIR:
        return OutputError(
            f"{target} is a folder, where a file should go.",
            advice="Move it away, or choose another folder.",
            ways=("out",),
        )
    if number == errno.ENOENT and not folder.is_dir():
        return OutputError(
            f"The folder {folder} is not there.", advice="Make it first, or choose another.", ways=("out",)
        )
    if number is None:
        return OutputError(
            f"{str(target)!r} cannot be the name of a file.", advice="Choose another name.", ways=("out",)
        )
    return OutputError(
        f"{target} could not be written: {os.strerror(number)}.", advice="Choose another folder.", ways=("out",)
    )


def taken(target: Path) -> OutputError:
    """Return the error for a name that is in use."""
    kind = "a folder" if target.is_dir() else "there already"
    if target.is_dir():
        return OutputError(
            f"{target} is {kind}, where a file should go.", advice="Choose another folder.", ways=("out",)
        )
    return OutputError(
        f"{target} is {kind}.", advice="Replace it, or choose another folder.", ways=("overwrite", "out")
    )


def _file_in_the_way(target: Path) -> Path:
    """Return the nearest part of a path that is a file."""
    for place in (target, *target.parents):
        if place.is_file():
            return place
    return target
