"""Tiles of a run kept beside its journal, so that a resumed run's contact sheet needs no sign drawn again."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Final, TypeAlias

from studio.files.write_errors import output_error
from studio.run.contact_tile import Tile, unpacked
from studio.run.lock import RUN_FOLDER

TILES_NAME: Final = "tiles.bin"
_LONGEST: Final = 1_000_000

TilePlace: TypeAlias = tuple[int, int]
"""Where a tile stands in the store: its first byte and its length."""


class TileStore:
    """A run's tiles, one after the other; a context manager."""

    def __init__(self, folder: Path, *, resume: bool = False) -> None:
        """Open the store.

        Args:
            folder: The run's folder; it must exist.
            resume: Add to an earlier run's tiles; otherwise start afresh.

        Raises:
            OutputError: It cannot be written.
        """
        self._file = folder / RUN_FOLDER / TILES_NAME
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            self._stream = self._file.open("r+b" if resume and self._file.exists() else "w+b")
        except OSError as problem:
            raise output_error(problem, self._file) from problem

    def __enter__(self) -> TileStore:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stream.close()

    def add(self, tile: bytes) -> TilePlace:
        """Put a tile at the end and return its place; it is on its way to the disk before the journal names it.

        Raises:
            OutputError: The disk does not take it.
        """
        try:
            start = self._stream.seek(0, 2)
            self._stream.write(tile)
            self._stream.flush()
        except OSError as problem:
            raise output_error(problem, self._file) from problem
        return (start, len(tile))

    def get(self, place: TilePlace | None) -> Tile | None:
        """Return the tile at a place; `None` where there is none whole."""
        if place is None or not (place[0] >= 0 and 0 < place[1] <= _LONGEST):
            return None
        try:
            self._stream.seek(place[0])
            return unpacked(self._stream.read(place[1]))
        except OSError:
            return None
