"""What ships with the program, opened once for all tests of a process: pictures and faces are read a single time."""

from __future__ import annotations

from functools import cache

from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue, read_catalogue


@cache
def catalogue() -> Catalogue:
    """Return what ships."""
    return read_catalogue()


@cache
def assets() -> FileAssets:
    """Return the shipped faces and pictures."""
    return FileAssets(catalogue())
