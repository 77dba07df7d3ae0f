"""Rows of a list fitted and checked in the background: those in sight first, then all others.

Invariant: a few rows at a time, with faces and pictures of their own; it ends as soon as it is told to.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from typing import TYPE_CHECKING, Final

from studio.basics.errors import StudioError
from studio.model.finding import Finding
from studio.model.options import Value
from studio.orders.order_row import OrderRow
from studio.storage.catalogue import Catalogue
from studio.tui.error_text import sentence_for
from studio.tui.orders.order_book import RowFact, fact_of

if TYPE_CHECKING:
    from studio.production.sign_source import ShopMaker


def ready_for_processes() -> None:
    """Start what Python needs to look after processes, with the real error stream in place.

    Raises:
        OSError: The system gives no processes.
    """
    from multiprocessing import resource_tracker

    with contextlib.redirect_stderr(sys.__stderr__):
        resource_tracker.ensure_running()


TELL_EVERY_S: Final = 0.1
FEW: Final = 40
"""Up to so many rows are checked on the thread itself, without a process of their own."""
AT_ONCE: Final = 3
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
        found: list[tuple[int, RowFact]] = []
        told_at = time.monotonic()
        with contextlib.closing(_Worker(self._catalogue, self._values)) as worker:
            while True:
                with self._ready:
                    if not self._waiting and found:
                        self._tell(found)
                        found = []
                    self._ready.wait_for(lambda: self._is_closed or self._waiting)
                    if self._is_closed:
                        return
                    many = len(self._waiting) > FEW
                    rows = [self._waiting.pop(self._next()) for _ in range(min(AT_ONCE, len(self._waiting)))]
                facts = worker.facts_of(rows, apart=many)
                found += [
                    (row.row, fact) for row, fact in zip(rows, facts, strict=True) if not self._is_superseded(row)
                ]
                if time.monotonic() - told_at >= TELL_EVERY_S and not self._is_closed:
                    self._tell(found)
                    found, told_at = [], time.monotonic()

    def _next(self) -> int:
        first, last = self._in_sight
        for number in range(first, last + 1):
            if number in self._waiting:
                return number
        return next(iter(self._waiting))

    def _is_superseded(self, row: OrderRow) -> bool:
        return self._is_closed or row.row in self._waiting


class _Worker:
    """Checks rows in a process of its own once there are many, so that the interface has this one to itself."""

    def __init__(self, catalogue: Catalogue, values: Mapping[str, Value]) -> None:
        self._catalogue = catalogue
        self._values = dict(values)
        self._maker: ShopMaker | None = None
        self._apart: ProcessPoolExecutor | None = None
        self._can_part = True

    def facts_of(self, rows: Sequence[OrderRow], *, apart: bool) -> list[RowFact]:
        """Return what is to be known of rows."""
        if self._can_part and (apart or self._apart is not None):
            try:
                return self._executor().submit(_facts, tuple(rows)).result()
            except (BrokenExecutor, OSError, RuntimeError, ValueError):
                self._can_part = False  # no processes here: go on without
        if self._maker is None:
            self._maker = _new_maker(self._catalogue, self._values)
        facts = []
        for row in rows:
            facts.append(checked(row, self._maker))
            time.sleep(_BREATH_S)
        return facts

    def close(self) -> None:
        """End the process after the rows under way."""
        if self._apart is not None:
            self._apart.shutdown(wait=False, cancel_futures=True)

    def _executor(self) -> ProcessPoolExecutor:
        if self._apart is None:
            ready_for_processes()
            context = multiprocessing.get_context("spawn")
            begun = (self._catalogue, self._values)
            self._apart = ProcessPoolExecutor(1, mp_context=context, initializer=_begin, initargs=begun)
        return self._apart


_makers: list[ShopMaker] = []
"""In a process of its own: the one maker."""


def _begin(catalogue: Catalogue, values: Mapping[str, Value]) -> None:
    """Make ready, in a process of its own; keys that stop the studio are none of its business."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _makers.append(_new_maker(catalogue, values))


def _facts(rows: tuple[OrderRow, ...]) -> list[RowFact]:
    return [checked(row, _makers[0]) for row in rows]


def _new_maker(catalogue: Catalogue, values: Mapping[str, Value]) -> ShopMaker:
    from studio.production.sign_source import ShopMaker

    return ShopMaker(catalogue, values)


def checked(row: OrderRow, maker: ShopMaker) -> RowFact:
    """Return what is to be known of a row."""
    from studio.pipeline.plan import plan

    if row.faults:
        return RowFact("refused", " ".join(row.faults))
    try:
        planned = plan(maker.sign_of(row), maker.assets, remedies=False)
    except StudioError as problem:
        return RowFact("refused", str(problem))
    except Exception as problem:
        return RowFact("failed", sentence_for(problem))
    doubtful = tuple(Finding(code, "warn", message) for code, message in row.warnings)
    status = "warn" if doubtful and planned.status == "ok" else planned.status
    return fact_of(_FITS[status], (*doubtful, *planned.findings))
