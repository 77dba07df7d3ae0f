"""A list opened: chosen, dropped or named; read off the interface's thread; asked about where it is a guess.

Invariant: a list that cannot be read leaves the one that is open as it is.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from textual import events

from studio.model.options import option_keys
from studio.orders.taken_for import Doubt, ListAnswer, TakenFor
from studio.orders.told import ListWishes
from studio.production.list_settings import keep_list, pasted_list
from studio.tui.dialogs.question import Choice, QuestionScreen
from studio.tui.editor.choices import entries_for
from studio.tui.editor.chooser import Chooser
from studio.tui.error_text import sentence_for
from studio.tui.messages import Dropped, ListOpened, Met
from studio.tui.orders.list_question import ListDoubted, ListQuestionScreen
from studio.tui.orders.order_book import OrderBook
from studio.tui.orders.row_table import RowTable
from studio.tui.orders.rows_shown import HINT, RowsShown
from studio.tui.orders.saved_fixes import fixed_again
from studio.tui.wording import dropped_file, taken_as

if TYPE_CHECKING:
    pass


NOTHING_SAID: Final = ListWishes()
"""Of a list about which nobody was asked."""


class OpensLists(RowsShown):
    """The part of the list that opens it."""

    _told = NOTHING_SAID

    def action_back(self) -> None:
        """Go back to the single sign; for the list to fill in."""
        raise NotImplementedError

    async def action_open_list(self) -> None:
        """Ask for a list."""
        await self._ask_for_list(str(self.book.file) if self.book else self.studio.habits.last_list)

    async def _ask_for_list(self, path: str) -> None:
        if self._chooser is not None:
            return
        self._chooser = Chooser(
            "list",
            "A list of names",
            "Path of a list: ./ or ~/",
            lambda typed: entries_for("list", typed, self.studio.catalogue),
        )
        self.query_one("#stations").display = False
        await self.query_one("#left").mount(self._chooser)
        self.hint("Choose a list (CSV, XLSX or ODS), type its path, or drop the file here. Esc goes back.")
        self._chooser.begin(path or "./", path)

    async def on_chooser_taken(self, event: Chooser.Taken) -> None:
        """Open the list that was chosen."""
        if self._chooser is None:
            return
        chooser, self._chooser = self._chooser, None
        self.query_one("#stations").display = True
        await chooser.remove()
        self.hint(HINT)
        if event.value is not None:
            self.open_file(event.value)
        elif self.book is None:
            self.action_back()
            return
        self.set_focus(self.query_one(RowTable))

    def open_file(self, path: str) -> None:
        """Read a list."""
        self.tell(f"Reading {path} …", "busy")
        self._read_again(Path(path).expanduser(), ListWishes())

    def _read_again(self, file: Path, told: ListWishes) -> None:
        self.run_worker(lambda: self._read(file, told), thread=True, group="read", exit_on_error=False)

    def _read(self, file: Path, told: ListWishes) -> None:
        from studio.orders.order_list import list_bytes, read_orders

        try:
            known = self.studio.known_lists
            orders = read_orders(list_bytes(file), option_names=option_keys(), told=told, known_lists=known)
        except Exception as problem:
            self.post_message(Met(sentence_for(problem)))
            return
        if orders.doubts:
            self.post_message(ListDoubted(file, orders, told))
            return
        book = OrderBook(file, orders)
        self.post_message(ListOpened(book, fixed_again(book), told))

    def on_list_doubted(self, event: ListDoubted) -> None:
        """Ask about what would be a guess, and read the list with the answer."""
        self._ask_about(event.file, event.orders.taken_for, event.orders.doubts[0], event.said)

    def action_columns(self) -> None:
        """Ask which column holds the text, and read the list again."""
        if self.book is not None and self._stop is None:
            taken_for = self.book.orders.taken_for
            self._ask_about(self.book.file, taken_for, which_text(taken_for), self._told)

    def _ask_about(self, file: Path, taken_for: TakenFor, doubt: Doubt, told: ListWishes) -> None:
        def answered(answer: ListWishes | None) -> None:
            if answer is not None:
                self._read_again(file, answer.over(told))
            elif self.book is None:
                self.tell(f"{file.name} was not opened. F2 opens a list.")

        self.app.push_screen(ListQuestionScreen(doubt, taken_for.table()), answered)

    def on_paste(self, event: events.Paste) -> None:
        """Open a list that was dropped elsewhere than on a field, or rows of a spreadsheet from the clipboard."""
        path = dropped_file(event.text)
        if path is not None:
            event.stop()
            event.prevent_default()
            self._take_dropped(path)
        elif self._chooser is None and "\n" in event.text.strip():
            event.stop()
            try:
                self.open_file(str(pasted_list(event.text)))
            except Exception as problem:
                self.tell(sentence_for(problem), "bad")

    def offer_to_keep(self, headers: Sequence[str], said: ListWishes) -> None:
        """Ask whether the answers hold for lists with the same headers from now on."""
        assert self.book is not None
        name = re.sub(r"[^A-Za-z0-9]+", "-", self.book.file.stem).strip("-")[:40] or "list"

        def answered(answer: str | None) -> None:
            if answer != "keep":
                return
            try:
                file = keep_list(name, said, headers)
            except Exception as problem:
                self.tell(sentence_for(problem), "bad")
            else:
                self.tell(f"Kept as [lists.{name}] in {file.name}.", "good")

        told = "Read lists with the same headers in the same way from now on?"
        self.app.push_screen(QuestionScreen("Keep the answers", told, (Choice("keep", "Keep", "k"),)), answered)

    def on_dropped(self, event: Dropped) -> None:
        """Open a list that was dropped on a field."""
        event.stop()
        self._take_dropped(event.path)

    def _take_dropped(self, path: str) -> None:
        if taken_as(path) == "list":
            self.open_file(path)
        else:
            file = path.rpartition("/")[2]
            self.tell(f"{file} was not used: only a list (CSV, XLSX or ODS) can be dropped here.", "warn")


def which_text(taken_for: TakenFor) -> Doubt:
    """Return the question which column holds the text, with every column as an answer, that of now first."""
    columns = sorted(taken_for.columns, key=lambda one: one.use != "text")
    answers = tuple(
        ListAnswer(
            f"{one.header or f'column {one.number}'}: {one.example}",
            ListWishes(columns=(("text", (("", one.header or f"#{one.number}"),)),)),
        )
        for one in columns
    )
    return Doubt("text", "Which column holds what is to stand on the signs?", answers)
