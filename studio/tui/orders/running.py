"""Making a list: on a thread of its own, row by row, stopped at any moment and gone on with.

Invariant: the run engine is the one that the command line uses; a stopped run leaves nothing half made.
"""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Final

from studio.errors import OutputError
from studio.tui.dialogs.question import RunAgainScreen
from studio.tui.error_text import sentence_for
from studio.tui.messages import RunEnded, RunMoved
from studio.tui.orders.order_book import OrderBook, fact_of
from studio.tui.orders.row_checker import ready_for_processes
from studio.tui.orders.row_table import RowTable
from studio.tui.orders.sheet_count import count_sheets
from studio.tui.preview.sign_screen import SignScreen
from studio.tui.status_lines import ToldLine

_JOBS: Final = 2
_FEW: Final = 8
"""Lists no longer than this are made without processes of their own, which take a moment to start."""


class Running(SignScreen):
    """The part of the list that makes it."""

    book: OrderBook | None = None
    _stop: threading.Event | None = None

    @property
    def folder(self) -> Path:
        """Where the list is made into."""
        raise NotImplementedError

    def action_run(self) -> None:
        """Make all rows, or those that are marked."""
        if self.book is None:
            self.tell("No list is open. F2 opens one.", "warn")
        elif self._stop is not None:
            self.tell("The list is being made. Esc stops it.", "busy")
        else:
            self._run(resume=False, overwrite=False)

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
        self.query_one(ToldLine).tell_progress("Making the list", 0, total)
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
        except OutputError as problem:
            is_there = "holds a run already" in problem.message
            self.post_message(RunEnded(str(problem).replace(" with -o", ""), "bad", asks=is_there))
        except Exception as problem:
            self.post_message(RunEnded(f"The list was not made to its end. {sentence_for(problem)}", "bad"))
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
        done = kept = ill = 0
        setup = ShopMakerSetup(self.studio.catalogue, self.house)
        with closing(run_orders(same_sized(book.orders, setup), setup, options)) as run:  # type: ignore[type-var]
            for finished in run:
                if chosen is not None and finished.row.row not in chosen:
                    continue
                done += 1
                kept += finished.kept
                ill += finished.row.state not in SOUND
                fact = fact_of(finished.row.state, finished.row.findings)
                self.post_message(RunMoved(finished.row.row, fact, done, total))
                if stop.is_set():
                    break
        if stop.is_set() and done < total:
            return f"Stopped: {done} of {total} are done, in {folder}. F10 goes on with them.", False
        bad = f", {ill} could not be made (F5 leads to them)" if ill else ""
        again = f", {kept} of them before" if kept else ""
        return (
            f"{done - ill} signs are made{again}{bad}. They are in {folder}, with contact.png and report.csv.",
            not ill,
        )

    def on_run_moved(self, event: RunMoved) -> None:
        """Show what became of a row."""
        if self.book is None:
            return
        self.book.facts[event.number] = event.fact
        self.query_one(RowTable).show_row(event.number - 1)
        if self._stop is not None and not self._stop.is_set():
            self.query_one(ToldLine).tell_progress("Making the list (Esc stops it)", event.done, event.total)

    def on_run_ended(self, event: RunEnded) -> None:
        """Tell what came of it, or ask what to do about an earlier run."""
        self._stop = None
        self.tell(event.sentence, event.tone)
        if not event.asks:
            return

        def chosen(answer: str | None) -> None:
            if answer in ("go-on", "anew"):
                self._run(resume=answer == "go-on", overwrite=answer == "anew")
            else:
                self.tell("Nothing was made; the folder is as it was.")

        self.app.push_screen(RunAgainScreen(self.folder), chosen)
