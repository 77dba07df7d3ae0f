"""What a run has finished, line by line, so that it can go on after any end.

A line holds the digest of the order it was made from and those of the files made: what is whole is known by its
content, never by its name. Whatever cannot be read in a journal counts as not done.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType
from typing import Final, TypeAlias

from studio.production.contact_tile import ContactTile, unpacked
from studio.production.lock import RUN_FOLDER
from studio.production.report import append_line, json_line
from studio.production.row_result import MADE, RunRow, row_from_json
from studio.storage.atomic_write import write_whole
from studio.storage.write_errors import output_error

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

    def get(self, place: TilePlace | None) -> ContactTile | None:
        """Return the tile at a place; `None` where there is none whole."""
        if place is None or not (place[0] >= 0 and 0 < place[1] <= _LONGEST):
            return None
        try:
            self._stream.seek(place[0])
            return unpacked(self._stream.read(place[1]))
        except OSError:
            return None


JOURNAL_NAME: Final = "journal.jsonl"


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One finished row.

    Attributes:
        digest: Of all that the sign depends on, from `order_digest`.
        proof_sha256: Of the proof file; `None` when there is none.
        result: What goes into the report; its `sha256` is the print file's.
        tile: Where its tile stands among the run's tiles; `None` when there is none.
        key: What tells it from the folder's other entries as long as it lasts; 0 for its row number.
        is_gone: Whether the list has it no longer, and its files are removed.
    """

    digest: str
    proof_sha256: str | None
    result: RunRow
    tile: tuple[int, int] | None = None
    key: int = 0
    is_gone: bool = False


def order_digest(parts: Mapping[str, object]) -> str:
    """Return one digest of everything a sign depends on: options, text, versions, digests of faces and pictures.

    Args:
        parts: Plain values that JSON knows, in any order of keys.
    """
    spelled = json.dumps(parts, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(spelled.encode()).hexdigest()


def file_digest(file: Path) -> str | None:
    """Return a file's SHA-256; `None` when it is not there or cannot be read."""
    try:
        with file.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


def is_whole(entry: JournalEntry, folder: Path, *, digest: str, print_name: str, proof_name: str | None) -> bool:
    """Return whether a row need not be made again: same order, and its files hold what was written then.

    Args:
        entry: What the journal says of the row.
        folder: The run's folder.
        digest: Of the order as it is now.
        print_name: Where the print would go now, from the run's folder.
        proof_name: Where the proof would go now; `None` where none is wanted.
    """
    result = entry.result
    if entry.digest != digest or result.state not in MADE | {"refused"}:
        return False
    if result.state == "refused":
        return result.print is None and result.proof is None
    return (
        result.print == print_name
        and (proof_name is None or result.proof == proof_name)
        and result.sha256 is not None
        and file_digest(folder / print_name) == result.sha256
        and (proof_name is None or _is_file(folder / proof_name, entry.proof_sha256))
    )


def _is_file(file: Path, digest: str | None) -> bool:
    return digest is not None and file_digest(file) == digest


def read_journal(folder: Path) -> dict[int, JournalEntry]:
    """Return the last good entry of each key; nothing where there is no journal."""
    entries: dict[int, JournalEntry] = {}
    try:
        lines = (folder / RUN_FOLDER / JOURNAL_NAME).read_bytes().split(b"\n")
    except OSError:
        return entries
    for line in lines[:-1]:
        entry = _entry(line)
        if entry is not None:
            key = entry.key or entry.result.row
            if entry.is_gone:
                entries.pop(key, None)
            else:
                entries[key] = entry
    return entries


class JournalWriter:
    """A run's journal, open for the next entry; a context manager."""

    def __init__(self, folder: Path, *, resume: bool = False) -> None:
        """Open the journal.

        Args:
            folder: The run's folder; it must exist.
            resume: Add to what an earlier run wrote; otherwise start afresh.

        Raises:
            OutputError: It cannot be written.
        """
        self._file = folder / RUN_FOLDER / JOURNAL_NAME
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            if resume:
                _cut_torn_line(self._file)
            self._stream = self._file.open("ab" if resume else "wb", buffering=0)
        except OSError as problem:
            raise output_error(problem, self._file) from problem

    def __enter__(self) -> JournalWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def add(self, entry: JournalEntry) -> None:
        """Write one finished row.

        Raises:
            OutputError: The disk does not take it.
        """
        append_line(self._stream, _line(entry), self._file)

    def keep_only(self, keys: Iterable[int]) -> None:
        """Write the journal anew with the latest entries of these keys alone; a kill leaves the old one or the new one.

        Raises:
            OutputError: The disk does not take it.
        """
        self._stream.close()
        try:
            latest: dict[int, bytes] = dict.fromkeys(keys, b"")
            with self._file.open("rb") as stream:
                for line in stream:
                    key = _key_of(line)
                    if key in latest:
                        latest[key] = line
            write_whole(self._file, list(filter(None, latest.values())), overwrite=True, durable=False)
            self._stream = self._file.open("ab", buffering=0)
        except OSError as problem:
            raise output_error(problem, self._file) from problem

    def settle(self) -> None:
        """Force the journal to the disk, where the system can."""
        with contextlib.suppress(OSError, ValueError):
            os.fsync(self._stream.fileno())

    def close(self) -> None:
        """Close it; a second time does nothing."""
        self._stream.close()


def _key_of(line: bytes) -> int | None:
    """Return the key of an entry's line; `None` for anything that is none."""
    try:
        record = json.loads(line)
        return int(record.get("key") or record["result"]["row"])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _line(entry: JournalEntry) -> bytes:
    record: dict[str, object] = {"digest": entry.digest, "proof_sha256": entry.proof_sha256, "tile": entry.tile}
    if entry.key:
        record["key"] = entry.key
    if entry.is_gone:
        record["gone"] = True
    passed = [list(pair) for pair in entry.result.passed]
    result = entry.result.as_json() | {"options": [list(pair) for pair in entry.result.options]}
    if entry.result.quantity_cell:
        result["quantity_cell"] = entry.result.quantity_cell
    return json_line(record | {"passed": passed, "result": result})


def _cut_torn_line(file: Path) -> None:
    """Drop a last line without an end, so that the next entry does not stick to it."""
    if not file.exists():
        return
    data = file.read_bytes()
    if data and not data.endswith(b"\n"):
        os.truncate(file, data.rfind(b"\n") + 1)


def _entry(line: bytes) -> JournalEntry | None:
    """Return a line's entry; `None` for anything that is not one."""
    try:
        record = json.loads(line)
        digest, proof = record["digest"], record["proof_sha256"]
        if not isinstance(digest, str) or not isinstance(proof, str | None):
            return None
        tile = record.get("tile")
        place = (int(tile[0]), int(tile[1])) if isinstance(tile, list) and len(tile) == 2 else None
        key = record.get("key", 0)
        if not isinstance(key, int) or isinstance(key, bool):
            return None
        passed = tuple((str(name), str(value)) for name, value in record.get("passed", ()))
        result = replace(row_from_json(record["result"]), passed=passed)
        return JournalEntry(digest, proof, result, place, key, record.get("gone") is True)
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
