"""What tells one state of the program, and of the files that a sign is made from, from another.

Invariant: nothing is opened here, so that a stamp is had before anything heavy is loaded.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Final, TypeAlias

import numpy as np

import studio
from studio.model.options import Value
from studio.storage.catalogue import Catalogue
from studio.storage.paths import shipped_folder

FROM_FILES: Final = ("artwork", "face", "also_face")
"""Options that a file may be given for."""
FileStamp: TypeAlias = tuple[str, int, int]
"""Path, time of the last change, and size; -1 twice where there is no such file."""
_FONT_OF_COLLECTION: Final = re.compile(r"#\d{1,4}$")
_NOT_OURS: Final = "__pycache__"


@cache
def program_stamp() -> tuple[object, ...]:
    """Return what tells the program, and all that ships with it, from another; that of the first call ever after."""
    folders = (Path(studio.__file__).parent, shipped_folder("fonts"), shipped_folder("assets"))
    files = sorted({stamp for folder in folders for stamp in _stamps_in(str(folder))})
    return studio.__version__, np.__version__, tuple(files)


def file_stamp(file: Path) -> FileStamp:
    """Return a file's stamp, whether or not there is one."""
    try:
        found = file.stat()
    except (OSError, ValueError):
        return (str(file), -1, -1)
    return (str(file), found.st_mtime_ns, found.st_size)


def files_of(catalogue: Catalogue) -> list[Path]:
    """Return the files of all faces and pictures that can be chosen by name."""
    return [entry.file for entry in catalogue.faces] + [Path(artwork.source) for artwork in catalogue.artworks]


def files_named(values: Mapping[str, Value]) -> list[Path]:
    """Return the files that option values may stand for, with what is said beside a picture."""
    files = []
    for key in FROM_FILES:
        value = values.get(key, "")
        if isinstance(value, str) and value.strip():
            file = Path(_FONT_OF_COLLECTION.sub("", value.strip()))
            with contextlib.suppress(RuntimeError):  # ~ of somebody unknown stays as typed
                file = file.expanduser()
            files += [file, file.parent / f"{file.stem}.toml"]
    return files


def _stamps_in(folder: str) -> Iterator[FileStamp]:
    """Yield the stamps of all files in a folder and its folders; of none where it cannot be read."""
    try:
        entries = list(os.scandir(folder))
    except OSError:
        return
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            if entry.name != _NOT_OURS:
                yield from _stamps_in(entry.path)
        else:
            with contextlib.suppress(OSError):
                found = entry.stat()
                yield (entry.path, found.st_mtime_ns, found.st_size)
