"""Fixes of the rows of a list, made where a row is shown: typed in its fields, or by a remedy.

Invariant: a fix is kept beside the list and taken back like any other change; the file is never written.
"""

from __future__ import annotations

from typing import Final

from textual.containers import Vertical
from textual.timer import Timer

from studio.orders.order_row import OrderRow
from studio.tui.editor.autosave import DRAFT_AFTER_S
from studio.tui.editor.choices import entries_for
from studio.tui.editor.draft import TEXT
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, Field, label_of
from studio.tui.editor.saving import folder_fault
from studio.tui.messages import Mended, Typed
from studio.tui.orders.list_paper import NO_SHEETS
from studio.tui.orders.order_book import QUANTITY
from studio.tui.orders.row_checker import RowChecker
from studio.tui.orders.row_order import RowOrder
from studio.tui.orders.row_table import RowTable
from studio.tui.orders.running import Running
from studio.tui.orders.saved_fixes import FixKeeper
from studio.tui.preview.findings import FindingsPane

MOST_EXTRA: Final = 6
"""Fields of a row beside text, face and layout; more would leave no room for the rows."""


class Fixing(Running):
    """The part of the list that mends its rows."""

    _checker: RowChecker
    _keeper: FixKeeper
    _keep_timer: Timer | None = None
    order: RowOrder

    @property
    def _place(self) -> int:
        """The place of the row under the cursor among all rows of the list."""
        cursor = self.query_one(RowTable).cursor
        return self.order.places[cursor] if cursor < len(self.order.places) else 0

    def go_to_row(self, place: int) -> None:
        """Put the cursor on a row of the list; all are shown again where it is hidden."""
        assert self.book is not None
        if place not in self.order.places:
            self.order = RowOrder(len(self.book.rows))
            self.query_one(RowTable).fill(len(self.order.places))
        self.query_one(RowTable).action_go_to(self.order.shown_at(place))

    def _show_extra(self, row: OrderRow) -> None:
        """Show a field for whatever else the row's own columns say of it, so that all of it can be fixed here."""
        options = {key: value for key, value in row.options if key not in ("face", "layout")}
        values = {QUANTITY: row.quantity_cell, **options} if row.quantity_cell else options
        box = self.query_one("#row-extra", Vertical)
        keys = tuple(values)[:MOST_EXTRA]
        if tuple(one.field.key for one in box.query(FieldRow)) != keys:
            box.remove_children()
            fields = (Field(key, _label(key), "typed", f"{_label(key)} of this row alone.") for key in keys)
            box.mount_all(FieldRow(field, values[field.key], tuple) for field in fields)
        else:
            for one in box.query(FieldRow):
                one.show_value(values[one.field.key])

    def _show_row(self) -> None:
        """Show the row under the cursor; for the list to fill in."""
        raise NotImplementedError

    def _title(self) -> None:
        """Tell how the list stands; for the list to fill in."""
        raise NotImplementedError

    def on_typed(self, event: Typed) -> None:
        """Take over a fix."""
        event.stop()
        if event.key == "list_folder":
            self.studio.keep_habits(list_folder=event.text.strip())
            self.query_one("#row-list_folder", FieldRow).show_fault(folder_fault(self.folder))
            self.look_for_made()
            return
        if event.key in ("list_paper", "list_pages"):
            self.query_one(f"#row-{event.key}", FieldRow).show_value(event.text)
            self.studio.keep_habits(**{event.key: event.text})
            if event.key == "list_paper" and event.text != NO_SHEETS:
                self.action_list_sheets()
            return
        if self.book is None:
            return
        value = event.text.replace("\\n", "\n") if event.key == TEXT else event.text
        value = "" if value == "as the sign" and event.key != TEXT else value
        if event.is_choice:
            self.query_one(f"#row-{event.key}", FieldRow).show_value(event.text)
        if self.book.fix(self._place, event.key, value):
            self._fixed(self._place)

    def _fixed(self, place: int) -> None:
        assert self.book is not None
        self._checker.want([self.book.rows[place]])
        self._keeper.note(self.book)
        if self._keep_timer is None:
            self._keep_timer = self.set_timer(DRAFT_AFTER_S, self._keep_fixes)
        self.query_one(RowTable).show_row(self.order.shown_at(place))
        self.ask()
        self._title()

    def _keep_fixes(self) -> None:
        """Keep the fixes for next time."""
        self._keep_timer = None
        self._keeper.write()

    def action_undo_fix(self) -> None:
        """Take the last fix back."""
        place = self.book.undo() if self.book is not None else None
        if place is None:
            self.tell("Nothing to undo.")
            return
        self.go_to_row(place)
        self._fixed(place)
        self._show_row()
        self.tell(f"Undone: the fix of row {place + 1}.")

    def on_mended(self, event: Mended) -> None:
        """Apply a remedy to the row."""
        told = self.query_one(FindingsPane).told
        if self.book is None or event.finding >= len(told):
            return
        changes = told[event.finding].remedies[event.remedy].changes
        changed = [self.book.fix(self._place, key, value) for key, value in changes if isinstance(value, str)]
        if any(changed):
            self._fixed(self._place)
            self._show_row()
            self.tell("The remedy is applied to this row. Ctrl+Z undoes it.", "good")

    def _values_of(self, key: str) -> tuple[str, ...]:
        if key == "layout":
            return ("as the sign", *FIELDS["layout"].choices)
        return ("as the sign", *(entry.value for entry in entries_for(key, "", self.studio.catalogue)))


def _label(key: str) -> str:
    return "Quantity" if key == QUANTITY else label_of(key)
