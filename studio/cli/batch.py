"""`sapwood batch`: every sign of an order list, with progress, a summary and what to do next.

stdout gets the reports' paths, or the rows themselves with --json and in a dry run; the rest is said on stderr.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections import Counter
from collections.abc import Callable, Generator, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from studio.cli.arguments import option_values, parse_rows, whole_number
from studio.cli.diagnostics import ExitCode, let_go_of_stdout, log_trace, say
from studio.cli.list_questions import read_list
from studio.cli.output import write
from studio.cli.progress import ProgressLine
from studio.cli.sheets import gap_of, paper_wish, run_sheets_lines, values_for_paper
from studio.cli.stopping import Stopped, one_clean_stop
from studio.cli.summary import SAFETY
from studio.errors import SettingsError
from studio.model.options import merged_values, nearest
from studio.orders.order_list import OrderList
from studio.production.report import CSV_NAME, ReportColumns, json_line
from studio.production.row_result import SOUND
from studio.production.run import RowDone, RunOptions, RunRecord, run_orders
from studio.production.run_folder import has_run
from studio.production.run_sheets import lay_run
from studio.production.sheet_count import sheets_needed
from studio.production.sign_source import ShopMakerSetup
from studio.storage.assets import FileAssets
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.sheets.sign_on_paper import Wish

_MOST_JOBS: Final = 64
_USUAL_JOBS: Final = 4
_SHOWN_ROWS: Final = 12
_PROBE: Final = "A"
"""A text to try the run's own options on, before any row is made."""


def run(arguments: argparse.Namespace) -> int:
    """Make the list."""
    options = _run_options(arguments)
    shop = open_shop()
    wish, gap_mm = paper_wish(arguments, shop.catalogue), gap_of(arguments)
    values = values_for_paper(merged_values(shop.values, option_values(arguments)), shop.catalogue, wish)
    probe = build_sign(_PROBE, values, shop.catalogue)
    assets = FileAssets(shop.catalogue)
    for order in probe.letterings:
        assets.face(order.face)
    for remark in shop.remarks:
        say(f"note: {remark}")
    orders = read_list(arguments, shop)
    record = RunRecord()
    setup = ShopMakerSetup(shop.catalogue, values)
    made = run_orders(orders, setup, options, record=record)
    with one_clean_stop(), contextlib.closing(cast(Generator[RowDone, None, None], made)) as rows:
        if wish is None:
            return _follow(rows, orders, options, record, as_json=arguments.json)

        def lay(done: list[RowDone]) -> list[RowDone]:
            return _on_sheets(done, orders, setup, options, wish, gap_mm)

        return _follow(rows, orders, options, record, as_json=arguments.json, lay=lay)


def _run_options(arguments: argparse.Namespace) -> RunOptions:
    word = arguments.on_error.lower()
    if word not in ("stop", "continue"):
        hint = nearest(word, ("stop", "continue"), listed="it is stop or continue")
        raise SettingsError(f"--on-error: {arguments.on_error[:20]!r} is not known{hint}")
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
        list_name="" if arguments.orders == "-" else str(Path(arguments.orders).expanduser().absolute()),
    )


def _usual_jobs() -> int:
    """Return one process a core that this program may use, at most four, for the memory they take."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(cores, _USUAL_JOBS))


def _on_sheets(
    done: list[RowDone], orders: OrderList, setup: ShopMakerSetup, options: RunOptions, wish: Wish, gap_mm: float
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
    laid = lay_run([held.row for held in done], orders, setup(), options.folder, wish, gap_mm=gap_mm)
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
    finished: list[RowDone] = []
    counts: Counter[str] = Counter()
    kept = 0
    troubled: list[RowDone] = []
    total = len(orders.rows) if options.chosen is None else len(options.chosen)
    try:
        with ProgressLine(total) as progress:
            for done in rows:
                counts[done.row.state] += 1
                kept += done.kept
                if done.row.state not in SOUND:
                    troubled.append(done)
                if done.trace:
                    log_trace(done.trace)
                if lay is not None:
                    finished.append(done)
                if as_json and lay is None:
                    write(_json_of(done, orders))
                    sys.stdout.flush()
                elif options.dry_run and not as_json:
                    write(_row_line(done))
                progress.update(min(counts.total(), total))
    except Stopped as stop:
        say(f"Stopped after {counts.total()} of {total} signs. What is finished stays; go on with --resume.")
        return stop.code
    except BrokenPipeError:
        let_go_of_stdout()
        say(
            f"sapwood: Stopped after {counts.total()} of {total} signs, since nobody reads the results any longer. "
            "What is finished stays; go on with --resume."
        )
        return ExitCode.OUTPUT
    if lay is not None:
        finished = lay(finished)
        for done in finished if as_json else ():
            write(_json_of(done, orders))
    _tell_files(record, options)
    _tell(counts, kept, troubled, options, as_json=as_json)
    return ExitCode.SOME_REFUSED if troubled else ExitCode.OK


def _json_of(done: RowDone, orders: OrderList) -> str:
    """Return the row's line of JSON, as it stands in the report."""
    return json_line(ReportColumns(orders.passed_through, orders.option_columns).record_of(done.row)).decode()


def _row_line(done: RowDone) -> str:
    row = done.row
    size = "" if row.cap_height_mm is None else f", capitals {row.cap_height_mm:.1f} mm"
    codes = sorted({finding.code for finding in row.findings if finding.severity != "note"})
    told = f" ({', '.join(codes)})" if codes else ""
    return f"{row.row:>5}  {row.state:<19} {row.text!r}{size}{told}"


def _tell_files(record: RunRecord, options: RunOptions) -> None:
    """Name and count what was removed of an earlier run."""
    if record.began_anew:
        say(f"There was no run in {options.folder} to go on with; this one began with the first row.")
    for names, what in ((record.removed, "Removed"), (record.left, "Left, since somebody changed them")):
        if names:
            gone = f" ({record.rows_gone} finished rows are not in the list any longer)" if record.rows_gone else ""
            say(f"{what}: {len(names)} file{'s' * (len(names) != 1)} of the earlier run{gone}:")
            for place in range(0, len(names), 4):
                say(f"  {', '.join(names[place : place + 4])}")


def _tell(counts: Counter[str], kept: int, troubled: list[RowDone], options: RunOptions, *, as_json: bool) -> None:
    for done in troubled[:_SHOWN_ROWS]:
        reasons = [finding for finding in done.row.findings if finding.severity == "refuse"]
        told = f"{reasons[0].message} {reasons[0].remedy}".strip() if reasons else done.row.state
        say(f"row {done.row.row} (line {done.row.line}) {done.row.text[:40]!r}: {told}")
    if len(troubled) > _SHOWN_ROWS:
        say(f"... and {len(troubled) - _SHOWN_ROWS} more; see the report.")
    good = "fit" if options.dry_run else "made"
    parts = [f"{counts.total() - len(troubled)} {good}"]
    warned = counts["made-with-warnings"] + counts["fits-with-warnings"]
    for count, what in (
        (kept, "of them from before"),
        (warned, "of them with warnings"),
        (counts["refused"], "refused"),
        (counts["failed"], "failed"),
    ):
        if count:
            parts.append(f"{count} {what}")
    say(f"{', '.join(parts)}.")
    if options.dry_run:
        if not has_run(options.folder):
            say(f"Nothing was made. Report: {options.folder / CSV_NAME}")
        return
    if not as_json:
        write(str(options.folder / CSV_NAME))
        write(str(options.folder / "contact.png"))
    if counts.total() > len(troubled):
        say("The prints are already mirrored: leave the printer's own mirror off, and print at 100 %.")
        say(SAFETY)
    if troubled:
        say(f"Mend those rows and run again with --resume: the others are kept. Report: {options.folder / CSV_NAME}")
