"""The rows of a list found, sorted, narrowed to those with warnings, and marked.

Invariant: none of this changes a row.
"""

from __future__ import annotations

from typing import Final

from textual.widgets import Input

from studio.tui.editor.text_input import TextInput
from studio.tui.orders.fixing import Fixing
from studio.tui.orders.row_order import RowOrder
from studio.tui.orders.row_table import RowTable

HINT: Final = "Arrows move, F4 fixes a row, F7 marks, F10 makes them, F9 goes back."


class RowsShown(Fixing):
    """The part of the list that says which rows are seen, and in which order."""

    def _look(self) -> None:
        """Have the rows in sight checked first; for the list to fill in."""
        raise NotImplementedError

    def action_rows(self) -> None:
        """Go to the rows; for the list to fill in."""
        raise NotImplementedError

    def action_mark_all(self) -> None:
        """Mark every row, or take all marks off when every row is marked."""
        if self.book is not None:
            every = {row.row for row in self.book.rows}
            self.book.marked = set() if self.book.marked == every else every
            self._marks_changed()

    def action_mark_others(self) -> None:
        """Mark the rows that are not marked, and no others."""
        if self.book is not None:
            self.book.marked = {row.row for row in self.book.rows} - self.book.marked
            self._marks_changed()

    def _marks_changed(self) -> None:
        assert self.book is not None
        self.query_one(RowTable).refresh()
        self._title()
        self.recount_sheets()
        count = len(self.book.marked)
        self.tell(f"{count} rows are marked; F10 makes those." if count else "No row is marked; F10 makes all.")

    def action_search(self) -> None:
        """Ask for a part of a row's text."""
        if self.book is None:
            return
        box = self.query_one("#search", TextInput)
        box.display = True
        self.set_focus(box)
        self.hint("Type a part of a name. Enter goes to the next such row, Esc ends the search.")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Go to the first row with what is typed."""
        if event.input.id == "search" and event.value:
            event.stop()
            self._find(event.value, self.order.shown_at(self._place))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next row with what is typed."""
        if event.input.id == "search":
            event.stop()
            self._find(event.value, self.order.shown_at(self._place) + 1)

    def _find(self, words: str, start: int) -> None:
        assert self.book is not None
        shown = self.order.find(self.book, words, start)
        if shown is None:
            self.tell(f"No row shown has “{words}” in its text.", "warn")
        else:
            self.query_one(RowTable).action_go_to(shown)

    def _end_search(self) -> bool:
        """Put the search away; tell whether there was one."""
        box = self.query_one("#search", TextInput)
        if not box.display:
            return False
        box.display = False
        self.hint(HINT)
        self.action_rows()
        return True

    def action_only_ill(self) -> None:
        """Show only rows with warnings or errors, or all again."""
        if self.book is not None:
            place = self._place
            self.order = self.order.filtered(self.book, only_ill=not self.order.is_only_ill)
            if not self.order.places:
                self.order = RowOrder(len(self.book.rows))
                self.tell("No row known so far has a warning or an error; all are shown.")
            self._shown_anew(place)

    def action_sort(self) -> None:
        """Sort the rows by the list, by text, or by what was found, in turn."""
        if self.book is not None:
            place = self._place
            self.order = self.order.sorted_next(self.book)
            self.tell(f"Rows are sorted by {self.order.by}.")
            self._shown_anew(place)

    def _shown_anew(self, place: int) -> None:
        table = self.query_one(RowTable)
        table.fill(len(self.order.places))
        table.border_title = self.order.title
        table.action_go_to(self.order.shown_at(place))
        self._look()
        self._show_row()

    def action_mark(self) -> None:
        """Mark the row and go on to the next."""
        if self.book is not None:
            self.book.turn_mark(self._place)
            self.query_one(RowTable).action_move(1)
            self.query_one(RowTable).refresh()
            self._title()
            self.recount_sheets()
