"""`sapwood batch`: every sign of an order list, with progress, a summary and what to do next.

stdout gets the reports' paths, or the rows themselves with --json and in a dry run; the rest is said on stderr.
"""

from __future__ import annotations

import argparse
import contextlib
import os
from collections.abc import Callable, Generator, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from studio.basics.errors import SettingsError
from studio.cli.arguments import option_values, parse_rows, whole_number
from studio.cli.diagnostics import ExitCode, let_go_of_stdout, say
from studio.cli.list_questions import read_list
from studio.cli.output import write, write_utf8
from studio.cli.progress import ProgressLine
from studio.cli.run_tally import RunTally
from studio.cli.sheets import gap_of, paper_wish, run_sheets_lines, values_for_paper
from studio.cli.stopping import Stopped, one_clean_stop
from studio.model.options import merged_values, nearest
from studio.orders.order_list import OrderList
from studio.production.paperwork import Paperwork, parse_paperwork
from studio.production.report import ReportColumns, json_line
from studio.production.row_result import SOUND
from studio.production.run import RowDone, RunOptions, RunRecord, run_orders
from studio.production.run_pages import check_run_pages, write_run_pages
from studio.production.run_sheets import SHEETS_NAME, lay_run
from studio.production.same_size import same_sized
from studio.production.sheet_count import sheets_needed
from studio.production.sign_source import ShopMakerSetup
from studio.storage.assets import FileAssets
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.production.cluster import WorkCluster
    from studio.sheets.sign_on_paper import Wish

_MOST_JOBS: Final = 64
_USUAL_JOBS: Final = 4
_CAN_BE_LEFT_OUT: Final = ("proofs", "contact")
_PROBE: Final = "A"
"""A text to try the run's own options on, before any row is made."""


def run(arguments: argparse.Namespace) -> int:
    """Make the list."""
    options = _run_options(arguments)
    if arguments.cluster is not None:
        _refuse_no_cluster(arguments.cluster)
    shop = open_shop()
    wish, gap_mm = paper_wish(arguments, shop.catalogue), gap_of(arguments)
    if arguments.with_strip and wish is None:
        raise SettingsError(
            "--with-strip lays the test strip on a sheet, and there are none.", advice="Add --paper letter."
        )
    values = values_for_paper(merged_values(shop.values, option_values(arguments)), shop.catalogue, wish)
    wanted = _wanted_pages(arguments)
    probe = build_sign(_PROBE, values, shop.catalogue)
    assets = FileAssets(shop.catalogue)
    for order in probe.letterings:
        assets.face(order.face)
    for remark in shop.remarks:
        say(f"note: {remark}")
    record, setup = RunRecord(), ShopMakerSetup(shop.catalogue, values)
    orders = same_sized(read_list(arguments, shop), setup)
    if wanted is not None:
        check_run_pages(orders, setup(), wanted, shop.catalogue)
    with contextlib.ExitStack() as held:
        held.enter_context(one_clean_stop())
        answers = None
        if arguments.cluster is not None:
            answers = held.enter_context(_cluster(arguments.cluster, setup, orders, options.jobs))
        made = run_orders(orders, setup, options, record=record, answers=answers)
        rows = held.enter_context(contextlib.closing(cast(Generator[RowDone, None, None], made)))
        if wish is None and wanted is None:
            return _follow(rows, orders, options, record, as_json=arguments.json)

        def lay(done: list[RowDone]) -> list[RowDone]:
            placed = done
            if wish is not None:
                with_strip = arguments.with_strip
                placed = _on_sheets(done, orders, setup, options, wish, gap_mm, with_strip=with_strip)
            if wanted is not None and not options.dry_run:
                _write_pages(placed, orders, setup, options, wanted, wish)
            return placed

        return _follow(rows, orders, options, record, as_json=arguments.json, lay=lay)


def _wanted_pages(arguments: argparse.Namespace) -> Paperwork | None:
    """Return the pages that `--with` asks for; `None` without it."""
    text = getattr(arguments, "with")
    if text is None:
        return None
    wanted = parse_paperwork(text)
    if wanted.is_one_file:
        raise SettingsError(
            "--with: one-file is for a single sign; a list's pages are files of their own.", advice="Leave it out."
        )
    return wanted


def _write_pages(
    done: list[RowDone],
    orders: OrderList,
    setup: ShopMakerSetup,
    options: RunOptions,
    wanted: Paperwork,
    wish: Wish | None,
) -> None:
    """Write the pages that go with the rows that were made."""
    rows = [held.row for held in done]
    again = options.overwrite or options.resume
    files = write_run_pages(rows, orders, setup(), setup.catalogue, options.folder, wanted, wish, overwrite=again)
    for file in files:
        write(str(file))


def _refuse_no_cluster(address: str) -> None:
    """Raise SettingsError where `--cluster` names none, or its extra is not installed."""
    from studio.production.cluster import refuse_no_cluster

    refuse_no_cluster(address)


def _cluster(address: str, setup: ShopMakerSetup, orders: OrderList, workers: int) -> WorkCluster:
    """Return the cluster that `--cluster` names, with what the run needs there."""
    from studio.production.cluster import WorkCluster
    from studio.production.packages import packed

    return WorkCluster(address, packed(setup, orders.rows), workers=workers, tell=say)


def _run_options(arguments: argparse.Namespace) -> RunOptions:
    word = arguments.on_error.lower()
    if word not in ("stop", "continue"):
        hint = nearest(word, ("stop", "continue"), listed="use stop or continue")
        raise SettingsError(f"--on-error: {arguments.on_error[:20]!r} is not known{hint}")
    left_out = _left_out(arguments.without)
    stem = "" if arguments.orders == "-" else f"{Path(arguments.orders).stem}-"
    return RunOptions(
        folder=Path(arguments.output or f"{stem}signs").expanduser(),
        chosen=None if arguments.rows is None else parse_rows(arguments.rows),
        jobs=_usual_jobs() if arguments.jobs is None else whole_number(arguments.jobs, "--jobs", 1, _MOST_JOBS),
        strict=arguments.strict,
        dry_run=arguments.dry_run,
        overwrite=arguments.overwrite,
        resume=arguments.resume,
        stop_on_error=word == "stop",
        contact="contact" not in left_out,
        proofs="proofs" not in left_out,
        list_name="" if arguments.orders == "-" else str(Path(arguments.orders).expanduser().absolute()),
    )


def _left_out(text: str | None) -> frozenset[str]:
    """Return what `--without proofs,contact` leaves out. Raises SettingsError for anything else."""
    words = [word.strip().lower() for word in (text or "").split(",") if word.strip()]
    for word in words:
        if word not in _CAN_BE_LEFT_OUT:
            hint = nearest(word, _CAN_BE_LEFT_OUT, listed="use proofs, contact, or both with a comma between them")
            raise SettingsError(f"--without: {word[:20]!r} is not known{hint}")
    return frozenset(words)


def _usual_jobs() -> int:
    """Return one process a core that this program may use, at most four, for the memory they take."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(cores, _USUAL_JOBS))


def _on_sheets(
    done: list[RowDone],
    orders: OrderList,
    setup: ShopMakerSetup,
    options: RunOptions,
    wish: Wish,
    gap_mm: float,
    *,
    with_strip: bool,
) -> list[RowDone]:
    """Lay what was made on sheets, or tell how many it would take; return the rows with their places."""
    if options.dry_run:
        by_row = {order.row: order for order in orders.rows}
        maker = setup()
        wanted = [by_row[held.row.row] for held in done if held.row.state in SOUND]
        if wanted:
            count = sheets_needed(((maker.sign_of(order), order.quantity) for order in wanted), wish, gap_mm=gap_mm)
            say(f"They take {count} sheet{'' if count == 1 else 's'} of {wish.paper.told}.")
        return done
    rows = [held.row for held in done]
    laid = lay_run(rows, orders, setup(), options.folder, wish, gap_mm=gap_mm, with_strip=with_strip)
    if laid is None:
        say("No sheets: no sign was made.")
        return done
    for line in run_sheets_lines(laid, wish):
        say(line)
    write(str(laid.file))
    return [replace(held, row=row) for held, row in zip(done, laid.rows, strict=True)]


def _follow(
    rows: Iterator[RowDone],
    orders: OrderList,
    options: RunOptions,
    record: RunRecord,
    *,
    as_json: bool,
    lay: Callable[[list[RowDone]], list[RowDone]] | None = None,
) -> int:
    """Take the rows as they are finished, and tell what came of them; `lay` brings them on to sheets."""
    tally = RunTally()
    all_done: list[RowDone] = []
    total = len(orders.rows) if options.chosen is None else len(options.chosen)
    columns = ReportColumns(orders.passed_through, orders.option_columns)
    code: int | None = None
    try:
        with ProgressLine(total) as progress:
            for done in rows:
                tally.add(done)
                if lay is not None:
                    all_done.append(done)
                elif as_json:
                    write_utf8(json_line(columns.record_of(done.row)))
                if options.dry_run and not as_json:
                    write(_row_line(done))
                finished = min(tally.total, total)
                progress.update(finished, kept=len(tally.kept), ill=tally.ill, doubtful=tally.warned)
        code = tally.code
        if lay is not None:
            all_done = lay(all_done)
        for done in all_done if as_json else ():
            write_utf8(json_line(columns.record_of(done.row)))
        if as_json:
            write_utf8(json_line(tally.as_json(orders, options, record, code)))
    except Stopped as stop:
        say(f"Stopped after {tally.total} of {total} signs. What is finished stays; go on with --resume.")
        return stop.code
    except BrokenPipeError:
        let_go_of_stdout()
        if code is None:
            say(
                f"sapwood: Stopped after {tally.total} of {total} signs, since nothing reads the results any longer. "
                "What is finished stays; go on with --resume."
            )
        return ExitCode.OUTPUT
    if lay is None and not options.dry_run and (options.folder / SHEETS_NAME).exists():
        say(f"{options.folder / SHEETS_NAME} is from an earlier run; --paper lays the signs out again.")
    tally.tell(options, record, as_json=as_json)
    return code


def _row_line(done: RowDone) -> str:
    row = done.row
    size = "" if row.cap_height_mm is None else f", capitals {row.cap_height_mm:.1f} mm"
    codes = sorted({finding.code for finding in row.findings if finding.severity != "note"})
    told = f" ({', '.join(codes)})" if codes else ""
    return f"{row.row:>5}  {row.state:<19} {row.text!r}{size}{told}"
