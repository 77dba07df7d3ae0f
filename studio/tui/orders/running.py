"""Making a list: on a thread of its own, row by row, stopped at any moment and gone on with.

Invariant: the run engine is the one that the command line uses; a stopped run leaves nothing half made.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Final

from studio.basics.errors import OutputError, RunExistsError, StudioError
from studio.orders.order_row import OrderRow
from studio.tui.dialogs.question import RunAgainScreen
from studio.tui.error_text import sentence_for
from studio.tui.messages import MadeFound, Met, RunEnded, RunMoved
from studio.tui.orders.list_paper import ListPaper
from studio.tui.orders.made_before import made_before
from studio.tui.orders.order_book import OrderBook, fact_of
from studio.tui.orders.row_checker import ready_for_processes
from studio.tui.orders.row_table import RowTable
from studio.tui.orders.sheet_count import count_sheets
from studio.tui.preview.sign_screen import SignScreen
from studio.tui.status_lines import ToldLine

if TYPE_CHECKING:
    from studio.production.row_result import RunRow

_MADE: Final = frozenset({"made", "made-with-warnings"})
_JOBS: Final = 2
_FEW: Final = 8
"""Lists no longer than this are made without processes of their own, which take a moment to start."""


class Running(SignScreen):
    """The part of the list that makes it."""

    book: OrderBook | None = None
    _stop: threading.Event | None = None
    _done: tuple[int, int] = (0, 0)
    _began_s = 0.0

    @property
    def folder(self) -> Path:
        """Where the list is made into."""
        raise NotImplementedError

    @property
    def under_way(self) -> str:
        """What is told of a run that goes on; empty where none does."""
        if self._stop is None:
            return ""
        done, total = self._done
        return f"{done} of {total} signs are made, in {self.folder}. They stay; F9 and F10 resume the rest next time."

    def action_run(self) -> None:
        """Make all rows, or those that are marked."""
        if self.book is None:
            self.tell("No list is open. F2 opens one.", "warn")
        elif self._stop is not None:
            self.tell("The list is being made. Esc stops it.", "busy")
        else:
            self._run(resume=False, overwrite=False)

    def look_for_made(self) -> None:
        """Find out which rows an earlier run has made in the folder."""
        if self.book is None or self._stop is not None:
            return
        book, folder = self.book, self.folder
        self.run_worker(
            lambda: self._look_for_made(book, folder), thread=True, group="made", exclusive=True, exit_on_error=False
        )

    def _look_for_made(self, book: OrderBook, folder: Path) -> None:
        from studio.production.sign_source import ShopMakerSetup

        try:
            made = made_before(book.orders, ShopMakerSetup(self.studio.catalogue, self.house), folder)
        except Exception as problem:
            self.post_message(Met(f"Whether {folder} already holds a run is not known: {sentence_for(problem)}"))
            return
        self.post_message(MadeFound(book, folder, made))

    def on_made_found(self, event: MadeFound) -> None:
        """Show which rows are made; what is known by now of other folders is left alone."""
        if self.book is not event.book or self.folder != event.folder or self._stop is not None:
            return
        if not event.made and not self.book.made:
            return
        self.check_rows(self.book.take_made(event.made))
        self.query_one(RowTable).refresh()
        if event.made:
            total, count = len(self.book.rows), len(event.made)
            rest = "F10 resumes the rest." if count < total else "All are made."
            self.tell(f"{count} of {total} rows are made, in {event.folder}. {rest}", "good")

    def check_rows(self, rows: Sequence[OrderRow]) -> None:
        """Check rows anew; for the list to fill in."""
        raise NotImplementedError

    def action_list_sheets(self) -> None:
        """Tell how many sheets the marked rows take, or all of them."""
        if self.book is None:
            self.tell("No list is open. F2 opens one.", "warn")
            return
        self.tell("The sheets are being counted …", "busy")
        count_sheets(self, self.book, self.house)

    def recount_sheets(self) -> None:
        """Tell how many sheets the marked rows take now."""
        if self.book is not None and self.book.marked:
            count_sheets(self, self.book, self.house)

    def action_stop(self) -> None:
        """Stop after the rows under way; else go one step back."""
        if self._stop is not None:
            self._stop.set()
            self.tell("Stopping after the rows under way …", "busy")
        else:
            self.step_back()

    def step_back(self) -> None:
        """Go one step back; for the list to fill in."""
        raise NotImplementedError

    def _run(self, *, resume: bool, overwrite: bool) -> None:
        assert self.book is not None
        self._stop = threading.Event()
        total = len(self.book.marked) or len(self.book.rows)
        self._done, self._began_s = (0, total), monotonic()
        what = f"Making {total} marked rows" if self.book.marked else "Making the list"
        self.query_one(ToldLine).tell_progress(what, 0, total)
        book, folder, stop = self.book, self.folder, self._stop
        self.run_worker(
            lambda: self._run_in_thread(book, folder, stop, resume, overwrite),
            thread=True,
            group="run",
            exit_on_error=False,
        )

    def _run_in_thread(
        self, book: OrderBook, folder: Path, stop: threading.Event, resume: bool, overwrite: bool
    ) -> None:
        total = len(book.marked) or len(book.rows)
        try:
            sentence, is_well = self._made(book, folder, stop, resume, overwrite, total)
        except RunExistsError as problem:
            self.post_message(RunEnded(problem.message, "plain", asks=True))
        except OutputError as problem:
            self.post_message(RunEnded(str(problem), "bad"))
        except Exception as problem:
            self.post_message(RunEnded(f"The list was not finished. {sentence_for(problem)}", "bad"))
        else:
            self.post_message(RunEnded(sentence, "good" if is_well else "warn"))

    def _made(
        self, book: OrderBook, folder: Path, stop: threading.Event, resume: bool, overwrite: bool, total: int
    ) -> tuple[str, bool]:
        """Make the list, and return what came of it in a sentence and whether all went well."""
        from contextlib import closing

        from studio.production.row_result import SOUND
        from studio.production.run import RunOptions, run_orders
        from studio.production.same_size import same_sized
        from studio.production.sign_source import ShopMakerSetup

        ready_for_processes()
        chosen = frozenset(book.marked) or None
        options = RunOptions(
            folder,
            chosen,
            jobs=1 if total <= _FEW else _JOBS,
            resume=resume,
            overwrite=overwrite,
            list_name=str(book.file.absolute()),
        )
        done = kept = ill = warned = 0
        setup = ShopMakerSetup(self.studio.catalogue, self.house)
        habits = self.studio.habits
        paper = ListPaper(habits.list_paper, habits.list_pages, self.studio.catalogue)
        paper.check(book.orders, [row for row in book.rows if chosen is None or row.row in chosen], setup)
        rows: list[RunRow] = []
        with closing(run_orders(same_sized(book.orders, setup), setup, options)) as run:  # type: ignore[type-var]
            for finished in run:
                rows.append(finished.row)
                if chosen is not None and finished.row.row not in chosen:
                    continue
                done += 1
                kept += finished.kept
                ill += finished.row.state not in SOUND
                warned += finished.row.state.endswith("-with-warnings")
                fact = fact_of(finished.row.state, finished.row.findings)
                self.post_message(RunMoved(finished.row.row, fact, done, total))
                if stop.is_set():
                    break
        if stop.is_set() and done < total:
            return f"Stopped: {done} of {total} are done, in {folder}. F10 resumes.", False
        bad = f", {ill} could not be made (F5 to go to them)" if ill else ""
        weak = f", {warned} of them with warnings" if warned else ""
        again = f", {kept} of them before" if kept else ""
        made = f"{done - ill} signs are made{again}{weak}{bad}. They are in {folder}, with contact.png and report.csv."
        try:
            beside = paper.write(rows, book.orders, setup, folder)
        except StudioError as problem:
            return f"{made} The sheets and pages are not: {sentence_for(problem)}", False
        return f"{made} {beside}".strip(), not ill and not warned

    def on_run_moved(self, event: RunMoved) -> None:
        """Show what became of a row."""
        if self.book is None:
            return
        self.book.facts[event.number] = event.fact
        if event.fact.state in _MADE:
            self.book.made[event.number] = (self.book.rows[event.number - 1], event.fact)
        self.query_one(RowTable).refresh()
        if self._stop is not None and not self._stop.is_set():
            self._done = (event.done, event.total)
            left_s = (monotonic() - self._began_s) / event.done * (event.total - event.done)
            what = f"Making the list (Esc stops it), {_spoken_time(left_s)} left"
            self.query_one(ToldLine).tell_progress(what, event.done, event.total)

    def on_run_ended(self, event: RunEnded) -> None:
        """Tell what came of it, or ask what to do about an earlier run."""
        self._stop = None
        self.check_rows(())
        self.tell(event.sentence, event.tone)
        if not event.asks:
            return

        def chosen(answer: str | None) -> None:
            if answer in ("go-on", "anew"):
                self._run(resume=answer == "go-on", overwrite=answer == "anew")
            else:
                self.tell("Not made; the folder is as it was.")

        self.app.push_screen(RunAgainScreen(self.folder), chosen)


def _spoken_time(seconds: float) -> str:
    return f"{max(1, round(seconds))} s" if seconds < 90 else f"{round(seconds / 60)} min"
