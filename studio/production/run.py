"""A list of orders made, stopped at any moment, and gone on with: the one engine behind both front ends.

Rows come out in list order whatever process made them. Whatever ends a run, each file in its folder is whole, and the
journal knows what is done; a resumed run ends with the same reports as one in a piece, but for the seconds.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from studio.errors import OutputError, SettingsError, StudioError
from studio.orders.order_list import OrderList, OrderRow
from studio.production.contact_sheet import ContactSheet
from studio.production.journal import JournalEntry, JournalWriter, TileStore, file_digest, read_journal
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
from studio.production.report import CSV_NAME, JSONL_NAME, ReportWriter
from studio.production.row_result import SOUND, RunRow
from studio.production.worker_pool import Broken, answers_in_order
from studio.storage.atomic_write import ready_folder, remove_stale_parts


@dataclass(frozen=True, slots=True)
class RunOptions:
    """How a list is made.

    Attributes:
        folder: Where everything goes; made when missing. A dry run writes its report there.
        chosen: Numbers of the rows to make; `None` for all. With `resume` the others stay listed while they are whole.
        jobs: Processes at work.
        overwrite: Replace what is there. With `resume` and `chosen`, make those rows anew.
        resume: Keep what an earlier run made of the same orders.
        stop_on_error: End after the first row that is refused or fails.
        contact: Draw the contact sheet.
        proofs: Draw the proofs.
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


def run_orders(orders: OrderList, maker: Callable[[], RowMaker], options: RunOptions) -> Iterator[RowDone]:
    """Make a list, yielding each row once it is in the reports.

    Close the iterator, or raise in the loop over it, to stop: rows under way end, nothing is left half made.

    Args:
        orders: The list.
        maker: Called once in each worker; must be fit to be sent there (see `ShopMakerSetup`).
        options: How.

    Raises:
        OutputError: The folder holds a run already, is in use, or cannot be written.
        StudioError: `maker` raised it.
        SettingsError: A row that was chosen is not in the list.
    """
    _refuse_missing_rows(orders, options)
    settings = RowSettings(
        options.folder, options.strict, options.dry_run, options.overwrite, options.contact, options.proofs
    )
    if options.dry_run:
        yield from _tried(orders, maker, settings, options)
        return
    with contextlib.ExitStack() as held:
        ready_folder(options.folder)
        tried_before = not has_run(options.folder)
        held.enter_context(RunLock(options.folder))
        earlier = _earlier(options, dry=tried_before)
        for name in (PRINTS, PROOFS):
            ready_folder(options.folder / name)
        for folder in (options.folder, options.folder / PRINTS, options.folder / PROOFS):
            remove_stale_parts(folder)
        going_on = options.resume and (options.folder / RUN_FOLDER).is_dir()
        settings = replace(settings, overwrite=options.overwrite or going_on)
        if tried_before:
            _remove_reports(options.folder)
        yield from _written(orders, maker, settings, options, earlier, held)


def _tried(
    orders: OrderList, maker: Callable[[], RowMaker], settings: RowSettings, options: RunOptions
) -> Iterator[RowDone]:
    """Fit and check rows, and write the report alone; where a run left one, that stays."""
    tasks = (RowTask(order) for order in orders.rows if _is_chosen(order, options))
    with contextlib.ExitStack() as held:
        report = None
        if not has_run(options.folder):
            ready_folder(options.folder)
            report = held.enter_context(ReportWriter(options.folder, orders.passed_through, overwrite=True))
        for done, _ in _finished(tasks, maker, settings, options):
            if report is not None:
                report.add(done.row)
            yield done


def _remove_reports(folder: Path) -> None:
    """Remove a dry run's reports."""
    for name in (CSV_NAME, JSONL_NAME):
        with contextlib.suppress(OSError):
            (folder / name).unlink()


def has_run(folder: Path) -> bool:
    """Return whether a folder holds a run, or a report that is not a dry run's."""
    if (folder / RUN_FOLDER).exists():
        return True
    try:
        states = {json.loads(line)["state"] for line in (folder / JSONL_NAME).read_bytes().splitlines()}
    except FileNotFoundError:
        return (folder / CSV_NAME).exists()
    except (OSError, ValueError, KeyError, TypeError):
        return True
    return not states <= {"fits", "fits-with-warnings", "refused"}


def _earlier(options: RunOptions, *, dry: bool) -> Mapping[int, JournalEntry]:
    """Return what an earlier run finished; refuse a folder that holds one when nothing was said about it."""
    if options.resume:
        return read_journal(options.folder)
    if options.overwrite:
        return {}
    for name in (CSV_NAME, JSONL_NAME):
        if not dry and (options.folder / name).exists():
            raise OutputError(
                f"{options.folder} holds a run already ({name} is there).",
                advice="Go on with it by --resume, replace it by --overwrite, or choose another folder with -o.",
            )
    return {}


def _written(
    orders: OrderList,
    maker: Callable[[], RowMaker],
    settings: RowSettings,
    options: RunOptions,
    earlier: Mapping[int, JournalEntry],
    held: contextlib.ExitStack,
) -> Iterator[RowDone]:
    """Make the rows and write journal, tiles, reports and contact sheet along the way."""
    folder, replaces = options.folder, settings.overwrite
    journal = held.enter_context(JournalWriter(folder, resume=options.resume))
    tiles = held.enter_context(TileStore(folder, resume=options.resume))
    report = held.enter_context(ReportWriter(folder, orders.passed_through, overwrite=replaces))
    sheet = held.enter_context(ContactSheet(folder, overwrite=replaces)) if options.contact else None
    tasks = _tasks(orders, options, earlier, tiles)
    for done, answer in _finished(tasks, maker, settings, options):
        place = tiles.add(answer.tile) if answer.tile is not None else answer.entry.tile
        if answer.entry.digest and (not answer.kept or answer.tile is not None):
            journal.add(replace(answer.entry, tile=place))
        if not answer.kept:
            remove_superseded(folder, earlier.get(done.row.row), done.row)
        report.add(done.row)
        if sheet is not None:
            sheet.add(done.row, tiles.get(place))
        yield done
    if sheet is not None:
        sheet.finish()
    if options.chosen is None:
        for row in earlier.keys() - {order.row for order in orders.rows}:
            remove_superseded(folder, earlier[row], None)
    journal.settle()
    _settle()


def _tasks(
    orders: OrderList, options: RunOptions, earlier: Mapping[int, JournalEntry], tiles: TileStore
) -> Iterator[RowTask]:
    """Yield what is to be done for each row that will be listed."""
    for order in orders.rows:
        entry, chosen = earlier.get(order.row), _is_chosen(order, options)
        if chosen and options.overwrite and options.chosen is not None:
            entry = None
        if not chosen and entry is None:
            continue
        wants_tile = entry is not None and options.contact and tiles.get(entry.tile) is None
        yield RowTask(order, entry, only_if_whole=not chosen, wants_tile=wants_tile)


def _finished(
    tasks: Iterator[RowTask], maker: Callable[[], RowMaker], settings: RowSettings, options: RunOptions
) -> Iterator[tuple[RowDone, RowAnswer]]:
    """Yield the rows in list order with what came of them; end the run where it cannot go on."""
    answers = answers_in_order(tasks, work_setup(maker, settings), jobs=options.jobs)
    with contextlib.closing(answers):
        for task, answer in answers:
            trace = ""
            if isinstance(answer, StudioError):
                raise answer
            if isinstance(answer, Broken):
                trace = answer.trace
                state = "refused" if options.dry_run else "failed"
                answer = bad_row(task.order, answer.message, state=state, code=FAILED)  # type: ignore[arg-type]
            if answer is None:
                continue
            row = replace(answer.entry.result, passed=task.order.extra)
            yield RowDone(row, answer.kept, trace), answer
            if options.stop_on_error and row.state not in SOUND:
                return


def remove_superseded(folder: Path, old: JournalEntry | None, row: RunRow | None) -> None:
    """Remove a row's earlier files where it has others now, lest they be printed; only files still as we left them."""
    if old is None:
        return
    now = (row.print, row.proof) if row is not None else ()
    for name, digest in ((old.result.print, old.result.sha256), (old.result.proof, old.proof_sha256)):
        if name is None or name in now or not _is_ours(name):
            continue
        if digest is not None and file_digest(folder / name) == digest:
            with contextlib.suppress(OSError):
                (folder / name).unlink()


def _is_ours(name: str) -> bool:
    """Return whether a journal's file name is one that a run makes, and leads nowhere else."""
    parts = PurePosixPath(name).parts
    return len(parts) == 2 and parts[0] in (PRINTS, PROOFS) and parts[1] not in ("..", ".")


def _refuse_missing_rows(orders: OrderList, options: RunOptions) -> None:
    beyond = sorted((options.chosen or frozenset()) - {order.row for order in orders.rows})
    if beyond:
        raise SettingsError(
            f"--rows: the list has no row {', '.join(map(str, beyond[:5]))}; it has {len(orders.rows)}.",
            advice=f"Choose from 1 to {len(orders.rows)}; blank lines do not count.",
        )


def _is_chosen(order: OrderRow, options: RunOptions) -> bool:
    return options.chosen is None or order.row in options.chosen


def _settle() -> None:
    """Force everything that was written to the disk, once for the whole run."""
    if hasattr(os, "sync"):
        os.sync()
