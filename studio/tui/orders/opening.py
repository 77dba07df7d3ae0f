"""A list opened on the screen: read off the interface's thread, asked about where it would be a guess, or pasted."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from textual.events import Paste
from textual.widgets import Input

from studio.model.options import option_keys
from studio.orders.told import Told
from studio.production.list_settings import keep_list, known_lists, pasted_list
from studio.storage.workspace import open_shop
from studio.tui.dialogs.question import Choice, QuestionScreen
from studio.tui.error_text import sentence_for
from studio.tui.messages import ListOpened, Met
from studio.tui.orders.list_question import ListDoubted, ListQuestionScreen
from studio.tui.orders.order_book import OrderBook
from studio.tui.orders.running import Running
from studio.tui.orders.saved_fixes import fixed_again

NOTHING_SAID: Final = Told()


class OpensLists(Running):
    """The part of the list's screen that opens lists."""

    @property
    def chooser_is_open(self) -> bool:
        """Whether a list is being chosen; for the list to fill in."""
        raise NotImplementedError

    def open_file(self, path: str, said: Told = NOTHING_SAID) -> None:
        """Read a list, with what somebody said of it."""
        self.tell(f"Reading {path} …", "busy")
        file = Path(path).expanduser()
        self.run_worker(lambda: self._read(file, said), thread=True, group="read", exit_on_error=False)

    def _read(self, file: Path, said: Told) -> None:
        from studio.orders.order_list import list_bytes, read_orders

        try:
            known = known_lists(open_shop().settings)
            orders = read_orders(list_bytes(file), option_names=option_keys(), told=said, known_lists=known)
        except Exception as problem:
            self.post_message(Met(sentence_for(problem)))
            return
        if orders.doubts:
            self.post_message(ListDoubted(file, orders, said))
            return
        book = OrderBook(file, orders)
        self.post_message(ListOpened(book, fixed_again(book), said))

    def on_list_doubted(self, event: ListDoubted) -> None:
        """Ask about what would be a guess, and read the list with the answer."""

        def answered(answer: Told | None) -> None:
            if answer is None:
                self.tell(f"{event.file.name} was not opened. F2 opens a list.")
                return
            self.open_file(str(event.file), answer.over(event.said))

        question = ListQuestionScreen(event.orders.doubts[0], event.orders.taken_for.table())
        self.app.push_screen(question, answered)

    def on_paste(self, event: Paste) -> None:
        """Take rows of a spreadsheet from the clipboard as a list."""
        if self.chooser_is_open or "\n" not in event.text.strip() or isinstance(self.focused, Input):
            return
        event.stop()
        try:
            file = pasted_list(event.text)
        except Exception as problem:
            self.tell(sentence_for(problem), "bad")
            return
        self.open_file(str(file))

    def offer_to_keep(self, headers: Sequence[str], said: Told) -> None:
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

        told = "Are lists with the same headers to be read in the same way from now on?"
        self.app.push_screen(QuestionScreen("Keep the answers", told, (Choice("keep", "Keep", "k"),)), answered)
