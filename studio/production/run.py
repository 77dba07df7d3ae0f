"""A list of orders made, stopped at any moment, and gone on with: the one engine behind both front ends.

Rows come out in list order whatever process made them. Whatever ends a run, each file in its folder is whole, and the
journal knows what is done; a resumed run ends with the same reports as one in a piece, but for the seconds.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from studio.basics.errors import SettingsError, StudioError
from studio.model.finding import Finding
from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.production.contact_sheet import ContactSheet, remove_sheets
from studio.production.journal import JournalEntry, JournalWriter, TileStore, read_journal
from studio.production.known_orders import KnownOrders, is_another_list, known_orders, stems
from studio.production.lock import RUN_FOLDER, RunLock
from studio.production.make_row import (
    FAILED,
    PRINTS,
    PROOFS,
    RowAnswer,
    RowMaker,
    RowSettings,
    RowTask,
    bad_row,
    work_setup,
)
from studio.production.report import ReportWriter
from studio.production.row_result import MADE, SOUND, RunRow
from studio.production.run_folder import (
    another_list,
    folder_state,
    has_run,
    keep_list_name,
    list_of,
    refuse_unless_told,
    remove_reports,
    remove_superseded,
)
from studio.production.worker_pool import Broken, answers_in_order
from studio.storage.atomic_write import ready_folder, remove_stale_parts


class AnswerSource(Protocol):
    """Where rows are made: takes tasks and what makes makers, gives each task with its answer, in order."""

    def __call__(
        self, tasks: Iterable[RowTask], maker: Callable[[], RowMaker], settings: RowSettings, *, jobs: int
    ) -> Generator[tuple[RowTask, RowAnswer | Broken | StudioError], None, None]:
        """Yield each task with its answer; closing the generator ends the work."""
        ...


@dataclass(frozen=True, slots=True)
class RunOptions:
    """How a list is made.

    Attributes:
        folder: Where everything goes; made when missing. A dry run writes its report there.
        chosen: Numbers of the rows to make; `None` for all. The others stay in the report as they were.
        jobs: Processes at work.
        overwrite: Replace what is there. With `resume` and `chosen`, make those rows anew.
        resume: Keep what an earlier run made of the same orders.
        stop_on_error: End after the first row that is refused or fails.
        contact: Draw the contact sheet.
        proofs: Draw the proofs.
        list_name: The list's absolute path, by which a folder knows which list it belongs to; empty when it has none.
    """

    folder: Path
    chosen: frozenset[int] | None = None
    jobs: int = 2
    strict: bool = False
    dry_run: bool = False
    overwrite: bool = False
    resume: bool = False
    stop_on_error: bool = False
    contact: bool = True
    proofs: bool = True
    list_name: str = ""


@dataclass(frozen=True, slots=True)
class RowDone:
    """A row as it goes into the report.

    Attributes:
        kept: Whether an earlier run made it.
        trace: The traceback of a bug, for the log; empty otherwise.
    """

    row: RunRow
    kept: bool = False
    trace: str = ""


@dataclass(slots=True)
class RunRecord:
    """What a run did beside making rows; filled in while it goes.

    Attributes:
        removed: Files of an earlier run that were removed, since their rows have others now or are gone.
        left: Such files that stay, since somebody changed them.
        rows_gone: How many finished rows of the earlier run the list has no longer.
        began_anew: Whether there was nothing to go on with though that was asked for.
        pages: The pages of the contact sheet, from the run's folder.
    """

    removed: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    rows_gone: int = 0
    began_anew: bool = False
    pages: list[str] = field(default_factory=list)


def run_orders(
    orders: OrderList,
    maker: Callable[[], RowMaker],
    options: RunOptions,
    *,
    record: RunRecord | None = None,
    answers: AnswerSource | None = None,
) -> Iterator[RowDone]:
    """Make a list, yielding each row once it is in the reports.

    Close the iterator, or raise in the loop over it, to stop: rows under way end, nothing is left half made.

    Args:
        orders: The list.
        maker: Called once in each worker; must be fit to be sent there (see `ShopMakerSetup`).
        options: How.
        record: Filled in with what else is done.
        answers: Where the rows are made; processes of this machine where nothing is said. See `elsewhere.by_executor`.

    Raises:
        OutputError: The folder holds a run already, is another list's, is in use, or cannot be written.
        StudioError: `maker` raised it.
        SettingsError: A row that was chosen is not in the list.
    """
    _refuse_missing_rows(orders, options)
    answers = answers or at_home
    settings = RowSettings(
        options.folder.absolute(), options.strict, options.dry_run, options.overwrite, options.contact, options.proofs
    )
    if options.dry_run:
        yield from _tried(orders, maker, settings, options, answers)
        return
    folder, record = options.folder, record or RunRecord()
    with contextlib.ExitStack() as held:
        refuse_unless_told(folder, folder_state(folder), resume=options.resume, overwrite=options.overwrite)
        ready_folder(folder)
        held.enter_context(RunLock(folder))
        state = folder_state(folder)
        refuse_unless_told(folder, state, resume=options.resume, overwrite=options.overwrite)
        entries = read_journal(folder) if state == "run" else {}
        known = known_orders(orders.rows, entries)
        same_name = bool(options.list_name) and list_of(folder) == options.list_name
        if is_another_list(orders.rows, entries, known, same_name=same_name):
            raise another_list(folder, sum(entry.result.state in MADE for entry in entries.values()))
        record.began_anew = options.resume and state != "run"
        for name in (PRINTS, PROOFS):
            ready_folder(folder / name)
        for place in (folder, folder / RUN_FOLDER, folder / PRINTS, folder / PROOFS):
            remove_stale_parts(place)
        going_on = state == "run" and (options.resume or options.overwrite)
        settings = replace(settings, overwrite=options.overwrite or going_on)
        if state == "dry":
            remove_reports(folder)
        keep_list_name(folder, options.list_name or list_of(folder))
        run = _Run(orders, options, entries, known, record, going_on=going_on)
        yield from run.rows(maker, settings, answers, held)


def _tried(
    orders: OrderList,
    maker: Callable[[], RowMaker],
    settings: RowSettings,
    options: RunOptions,
    answers: AnswerSource,
) -> Iterator[RowDone]:
    """Fit and check rows, and write the report alone; where a run or something else is, that stays."""
    tasks = (RowTask(order) for order in orders.rows if _is_chosen(order, options))
    with contextlib.ExitStack() as held:
        report = None
        if not has_run(options.folder):
            ready_folder(options.folder)
            writer = ReportWriter(options.folder, orders.passed_through, orders.option_columns, overwrite=True)
            report = held.enter_context(writer)
        for done, _, _ in _finished(tasks, maker, settings, options, answers):
            if report is not None:
                report.add(done.row)
            yield done


class _Run:
    """One run that writes: what the folder knows, and what of it is still to be listed."""

    def __init__(
        self,
        orders: OrderList,
        options: RunOptions,
        entries: Mapping[int, JournalEntry],
        known: KnownOrders,
        record: RunRecord,
        *,
        going_on: bool,
    ) -> None:
        self._orders = orders
        self._options = options
        self._entries = entries
        self._known = known
        self._record = record
        self._going_on = going_on
        self._listed: dict[int, None] = {}
        self._next_key = max((*entries, len(orders.rows)), default=0) + 1

    def rows(
        self, maker: Callable[[], RowMaker], settings: RowSettings, answers: AnswerSource, held: contextlib.ExitStack
    ) -> Iterator[RowDone]:
        """Make the rows and write journal, tiles, reports and contact sheet along the way."""
        folder, options, orders = self._options.folder, self._options, self._orders
        journal = held.enter_context(JournalWriter(folder, resume=self._going_on))
        tiles = held.enter_context(TileStore(folder, resume=self._going_on))
        report = held.enter_context(
            ReportWriter(folder, orders.passed_through, orders.option_columns, overwrite=settings.overwrite)
        )
        sheet = None
        if options.contact:
            title = Path(options.list_name).name
            total = self._wanted() + (0 if options.chosen is None else len(self._known.others))
            sheet = ContactSheet(folder, total=total, title=title, overwrite=settings.overwrite)
            held.enter_context(sheet)
        elif self._going_on:
            remove_sheets(folder)  # they would show the earlier run
        is_whole = False
        try:
            for done, answer, key in _finished(self._tasks(tiles), maker, settings, options, answers):
                place = tiles.add(answer.tile) if answer.tile is not None else answer.entry.tile
                entry = replace(answer.entry, tile=place, key=key, result=done.row)
                journal.add(entry)
                if not answer.kept:
                    self._remove(self._entries.get(key), done.row)
                self._listed[key] = None
                report.add(done.row)
                if sheet is not None:
                    sheet.add(done.row, tiles.get(place))
                yield done
            is_whole = not (options.stop_on_error and len(self._listed) < self._wanted())
            for entry in self._rest(gone_too=is_whole and options.chosen is None):
                journal.add(entry)
                report.add(entry.result)
                if sheet is not None:
                    sheet.add(entry.result, tiles.get(entry.tile))
                yield RowDone(entry.result, kept=True)
        except BaseException:
            with contextlib.suppress(Exception):  # what is not reached stays in the report as it was
                for entry in self._rest(gone_too=False):
                    report.add(entry.result)
            raise
        if sheet is not None:
            self._record.pages[:] = sheet.finish()
        if is_whole and options.chosen is None:
            self._take_leave()
        journal.keep_only(self._listed)
        journal.settle()
        _settle()

    def _tasks(self, tiles: TileStore) -> Iterator[RowTask]:
        """Yield what is to be done for each row that will be listed."""
        options = self._options
        names = stems(self._orders.rows, self._entries, self._known)
        for order in self._orders.rows:
            key = self._known.key_of(order.row)
            entry = self._entries.get(key) if key is not None else None
            if not _is_chosen(order, options):
                if entry is not None and key is not None:
                    yield RowTask(order, self._as_it_was(entry, order), as_it_was=True, key=key)
                continue
            if key is None:
                key = order.row if order.row not in self._entries else self._new_key()
            keeps = options.resume and not (options.overwrite and options.chosen is not None)
            wants_tile = keeps and entry is not None and options.contact and tiles.get(entry.tile) is None
            yield RowTask(order, entry, wants_tile=wants_tile, stem=names[order.row], key=key, keeps=keeps)

    def _as_it_was(self, entry: JournalEntry, order: OrderRow) -> JournalEntry:
        """Return the entry of a row that was not chosen, at its place of now; one whose file is gone says so."""
        result = replace(entry.result, row=order.row, line=order.line)
        if result.print is not None and not (self._options.folder / result.print).exists():
            lost = Finding(FAILED, "refuse", f"Its print {result.print} is gone.", remedy="Resume the run.")
            result = replace(result, state="failed", findings=(lost,), print=None, proof=None, sha256=None)
        return replace(entry, result=result)

    def _rest(self, *, gone_too: bool) -> Iterator[JournalEntry]:
        """Yield the entries that the run did not come to, as they were; those of no row only if they stay."""
        rows = {key: order for order in self._orders.rows if (key := self._known.key_of(order.row)) is not None}
        for key, entry in sorted(self._entries.items(), key=lambda pair: pair[1].result.row):
            if key in self._listed or (gone_too and key not in rows):
                continue
            self._listed[key] = None
            yield replace(self._as_it_was(entry, rows[key]) if key in rows else entry, key=key)

    def _take_leave(self) -> None:
        """Remove the files of rows that the list has no longer, and take note of each."""
        for key in self._known.others:
            entry = self._entries[key]
            self._record.rows_gone += entry.result.state in MADE
            self._remove(entry, None)

    def _remove(self, entry: JournalEntry | None, row: RunRow | None) -> None:
        removed, left = remove_superseded(self._options.folder, entry, row)
        self._record.removed += removed
        self._record.left += left

    def _wanted(self) -> int:
        """Return how many rows the run lists when it comes to its end."""
        return sum(
            _is_chosen(order, self._options) or self._known.key_of(order.row) is not None for order in self._orders.rows
        )

    def _new_key(self) -> int:
        self._next_key += 1
        return self._next_key - 1


def _finished(
    tasks: Iterator[RowTask],
    maker: Callable[[], RowMaker],
    settings: RowSettings,
    options: RunOptions,
    source: AnswerSource,
) -> Iterator[tuple[RowDone, RowAnswer, int]]:
    """Yield the rows in list order with what came of them; end the run where it cannot go on."""
    answers = source(tasks, maker, settings, jobs=options.jobs)
    with contextlib.closing(answers):
        for task, answer in answers:
            trace = ""
            if isinstance(answer, StudioError):
                raise answer
            if isinstance(answer, Broken):
                trace = answer.trace
                state = "refused" if options.dry_run else "failed"
                answer = bad_row(task.order, answer.message, state=state, code=FAILED)  # type: ignore[arg-type]
            row = answer.entry.result if task.as_it_was else replace(answer.entry.result, passed=task.order.extra)
            yield RowDone(row, answer.kept, trace), answer, task.key
            if options.stop_on_error and row.state not in SOUND and not task.as_it_was:
                return


def at_home(
    tasks: Iterable[RowTask], maker: Callable[[], RowMaker], settings: RowSettings, *, jobs: int
) -> Generator[tuple[RowTask, RowAnswer | Broken | StudioError], None, None]:
    """Yield each task with its answer, made by processes of this machine."""
    return answers_in_order(tasks, work_setup(maker, settings), jobs=jobs)


def _refuse_missing_rows(orders: OrderList, options: RunOptions) -> None:
    beyond = sorted((options.chosen or frozenset()) - {order.row for order in orders.rows})
    if beyond:
        raise SettingsError(
            f"The list has no row {', '.join(map(str, beyond[:5]))}; it has {len(orders.rows)}.",
            advice=f"Choose from 1 to {len(orders.rows)}; blank lines do not count.",
            option="rows",
        )


def _is_chosen(order: OrderRow, options: RunOptions) -> bool:
    return options.chosen is None or order.row in options.chosen


def _settle() -> None:
    """Force everything that was written to the disk, once for the whole run."""
    if hasattr(os, "sync"):
        os.sync()
