"""Rows of a list fitted and checked in the background: those in sight first, then all others.

Invariant: one row at a time, on a thread and a bench of its own; it ends as soon as it is told to.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from studio.errors import StudioError
from studio.files.catalogue import Catalogue
from studio.files.options import Value
from studio.files.order_list import OrderRow
from studio.tui.order_book import RowFact, fact_of
from studio.tui.trouble import sentence_for

if TYPE_CHECKING:
    from studio.run.shop_maker import ShopMaker

TELL_EVERY_S: Final = 0.1
_BREATH_S: Final = 0.004
"""A pause after each row, so that the interface always gets its turn."""

Told = Callable[[Sequence[tuple[int, RowFact]]], None]
_FITS: Final = {"ok": "fits", "warn": "fits-with-warnings", "refused": "refused"}


class RowChecker:
    """Checks rows until all are known."""

    def __init__(self, catalogue: Catalogue, values: Mapping[str, Value], tell: Told) -> None:
        """Set up.

        Args:
            catalogue: Where names are looked up.
            values: Option values under those of the rows.
            tell: Takes pairs of row number and fact, on the checker's thread.
        """
        self._catalogue = catalogue
        self._values = values
        self._tell = tell
        self._ready = threading.Condition()
        self._waiting: dict[int, OrderRow] = {}
        self._in_sight: tuple[int, int] = (1, 0)
        self._is_closed = False
        self._thread = threading.Thread(target=self._run, name="sapwood-checker", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def close(self) -> None:
        """End after the row under way."""
        with self._ready:
            self._is_closed = True
            self._ready.notify()
        if self._thread.is_alive():
            self._thread.join(2.0)

    def want(self, rows: Sequence[OrderRow]) -> None:
        """Add rows to what is to be checked; a row that waits is replaced."""
        with self._ready:
            self._waiting.update({row.row: row for row in rows})
            self._ready.notify()

    def forget(self) -> None:
        """Drop everything that waits."""
        with self._ready:
            self._waiting.clear()

    def look_at(self, first: int, last: int) -> None:
        """Check these row numbers before all others."""
        self._in_sight = (first, last)

    def _run(self) -> None:
        maker: ShopMaker | None = None
        found: list[tuple[int, RowFact]] = []
        told_at = time.monotonic()
        while True:
            with self._ready:
                if not self._waiting and found:
                    self._tell(found)
                    found = []
                self._ready.wait_for(lambda: self._is_closed or self._waiting)
                if self._is_closed:
                    return
                row = self._waiting.pop(self._next())
            if maker is None:
                from studio.run.shop_maker import ShopMaker

                maker = ShopMaker(self._catalogue, self._values)
            fact = _checked(row, maker)
            if self._is_superseded(row):
                continue
            found.append((row.row, fact))
            if time.monotonic() - told_at >= TELL_EVERY_S:
                self._tell(found)
                found, told_at = [], time.monotonic()
            time.sleep(_BREATH_S)

    def _next(self) -> int:
        first, last = self._in_sight
        for number in range(first, last + 1):
            if number in self._waiting:
                return number
        return next(iter(self._waiting))

    def _is_superseded(self, row: OrderRow) -> bool:
        return self._is_closed or row.row in self._waiting


def _checked(row: OrderRow, maker: ShopMaker) -> RowFact:
    """Return what is to be known of a row."""
    from studio.workshop import plan

    if row.faults:
        return RowFact("refused", " ".join(row.faults))
    try:
        planned = plan(maker.sign_of(row), maker.bench, remedies=False)
    except StudioError as problem:
        return RowFact("refused", str(problem))
    except Exception as problem:
        return RowFact("failed", sentence_for(problem))
    return fact_of(_FITS[planned.status], planned.findings)
