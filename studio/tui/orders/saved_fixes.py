"""Fixes of a list's rows, kept from one time to the next: the list itself stays as it is.

Invariant: a fix comes back only to the row that it was made for, which must still read as it did then.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from studio.basics.errors import StudioError
from studio.orders.order_row import OrderRow
from studio.storage.paths import state_folder
from studio.tui.engine.service import Desk
from studio.tui.error_text import sentence_for
from studio.tui.orders.order_book import OrderBook
from studio.tui.saved.memory import SCHEMA, read_record, write_record

MOST_LISTS: Final = 20
"""Lists whose fixes are kept; those of the ones longest untouched are let go."""


def fixes_file(file: Path) -> Path:
    """Return where the fixes of a list are kept."""
    return state_folder() / "lists" / f"{hashlib.sha256(str(file.absolute()).encode()).hexdigest()[:32]}.json"


def fixes_of(book: OrderBook) -> dict[str, Any]:
    """Return the fixes of a list as they are kept: by row number, what the row was and what it is."""
    rows = {
        str(now.row): {"was": _mark(read), "text": now.text, "options": [list(pair) for pair in now.options]}
        for read, now in zip(book.as_read, book.rows, strict=True)
        if now != read
    }
    return {"schema": SCHEMA, "list": str(book.file.absolute()), "rows": rows}


def write_fixes(file: Path, fixes: dict[str, Any]) -> None:
    """Keep the fixes of a list. Raises OutputError when the disk does not take them."""
    kept = fixes_file(file)
    if not fixes["rows"] and not kept.exists():
        return
    write_record(kept, fixes)
    others = sorted(kept.parent.glob("*.json"), key=lambda other: other.stat().st_mtime_ns)
    for other in others[:-MOST_LISTS]:
        other.unlink(missing_ok=True)


def with_kept_fixes(book: OrderBook) -> tuple[int, int]:
    """Make the fixes of last time again, each to be taken back alone.

    Returns:
        How many were made again, and how many were not, since their rows are others now.

    Raises:
        StudioError: What was kept cannot be read.
    """
    record = read_record(fixes_file(book.file)) or {}
    rows = record.get("rows")
    made = left = 0
    for number, fix in rows.items() if isinstance(rows, dict) else ():
        place = int(number) - 1 if number.isdecimal() else -1
        row = book.rows[place] if 0 <= place < len(book.rows) else None
        changed = _fixed(row, fix) if row is not None else None
        if changed is None:
            left += 1
        else:
            book.put(place, changed)
            made += 1
    return made, left


def fixed_again(book: OrderBook) -> str:
    """Make the fixes of last time again, and return what became of them in words."""
    try:
        made, left = with_kept_fixes(book)
    except StudioError as problem:
        return str(problem)
    told = []
    if made:
        told.append(f"{made} row{'s' * (made != 1)} as fixed last time; Ctrl+Z undoes that.")
    if left:
        told.append(f"{left} fix{'es' * (left != 1)} left out, since the list has changed there.")
    return " ".join(told)


class FixKeeper:
    """Writes the fixes of the list that was fixed last, on a thread of its own, and at the end whatever is left."""

    def __init__(self, tell: Callable[[str], object]) -> None:
        """Set up.

        Args:
            tell: Takes a sentence when they cannot be kept, on any thread.
        """
        self._tell = tell
        self._fixed: OrderBook | None = None
        self._desk: Desk[tuple[Path, dict[str, Any]], None] = Desk(
            lambda fixes: write_fixes(*fixes), lambda _: None, self._not_kept, name="sapwood-fixes"
        )

    def start(self) -> None:
        """Begin."""
        self._desk.start()

    def note(self, book: OrderBook) -> None:
        """Take note that a list was fixed; one that was fixed before is written first."""
        if self._fixed is not None and self._fixed is not book:
            self.write()
        self._fixed = book

    def write(self) -> None:
        """Have the fixes written."""
        if self._fixed is not None:
            self._desk.ask((self._fixed.file, fixes_of(self._fixed)))
            self._fixed = None

    def close(self) -> None:
        """End, with all that was noted written."""
        self._desk.close()
        if self._fixed is not None:
            with contextlib.suppress(StudioError):
                write_fixes(self._fixed.file, fixes_of(self._fixed))

    def _not_kept(self, fixes: tuple[Path, dict[str, Any]], problem: Exception) -> None:
        self._tell(f"The fixes could not be saved for next time: {sentence_for(problem)}")


def _fixed(row: OrderRow, fix: object) -> OrderRow | None:
    """Return a row with its fix; `None` where the row is another now, or the fix is none."""
    if not isinstance(fix, dict) or fix.get("was") != _mark(row):
        return None
    text, options = fix.get("text"), fix.get("options")
    if not isinstance(text, str) or not isinstance(options, list):
        return None
    pairs = [tuple(pair) for pair in options if isinstance(pair, list) and all(isinstance(one, str) for one in pair)]
    if any(len(pair) != 2 for pair in pairs):
        return None
    faults = () if text.strip() and text != row.text else row.faults
    warnings = () if text != row.text else row.warnings
    options = tuple((name, value) for name, value in pairs)
    return replace(row, text=text, options=options, faults=faults, warnings=warnings)


def _mark(row: OrderRow) -> str:
    """Return what tells a row from what it may be changed to in the file."""
    return hashlib.sha256(repr((row.text, row.order, row.note, row.options)).encode()).hexdigest()[:16]
