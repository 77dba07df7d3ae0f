"""A list of names: every row with its state, the sign of the row under the cursor, and what mends it there and then.

Invariant: the list is read and checked off the interface's thread; rows in sight are known first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final

from rich.cells import cell_len, set_cell_size
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Input, Label

from studio.model.options import Value
from studio.tui.editor.autosave import DRAFT_AFTER_S
from studio.tui.editor.choices import entries_for
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import TEXT, SignDraft
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, Field
from studio.tui.editor.saving import folder_fault
from studio.tui.keys import IN_THE_LIST, bindings, footer_keys
from studio.tui.messages import ListOpened, Mended, Met, RowsKnown, Typed
from studio.tui.orders.opening import NOTHING_SAID, OpensLists
from studio.tui.orders.order_book import RowFact
from studio.tui.orders.row_checker import RowChecker
from studio.tui.orders.row_table import Cell, RowTable
from studio.tui.orders.saved_fixes import FixKeeper
from studio.tui.preview.findings import FindingsPane
from studio.tui.status_lines import HintLine, KeyLine, ToldLine

if TYPE_CHECKING:
    from studio.tui.engine.engine import Answer

_STATE_STYLES: Final = {
    "": "faint",
    "fits": "good",
    "made": "good",
    "fits-with-warnings": "weak",
    "made-with-warnings": "weak",
    "refused": "bad",
    "failed": "bad",
}
_FIXED: Final = (
    Field(TEXT, "Text", "typed", "What stands on the sign of this row; the file itself stays as it is."),
    Field("face", "Face", "choice", "Another face for this row alone: ← and → try them."),
    Field("layout", "Laid", "choice", "Another layout for this row alone."),
)
HINT: Final = "Arrows move, F4 mends a row, F7 marks, F10 makes them, F9 goes back."


class NamesScreen(OpensLists):
    """The list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(IN_THE_LIST),
        Binding("ctrl+z", "undo_fix", "Undo", show=False),
    ]
    HELP = """\
# A list of names

A CSV with a column of names becomes signs in one go. Every row takes the wood, the picture and the look of the bench,
but for what its own columns say. Whole lists are made into a folder of their own, with a contact sheet and a report;
a run that was stopped is gone on with. Fixes are kept beside the list, not in it: they are there again next time.
"""

    def __init__(self, house: Mapping[str, Value], path: str | None) -> None:
        """Set up.

        Args:
            house: The bench's option values, under those of the rows.
            path: The list to open, if any.
        """
        super().__init__({key: value for key, value in house.items() if value})
        self._path = path
        self._checker = RowChecker(self.studio.catalogue, self.house, self._facts_came)
        self._keeper = FixKeeper(lambda sentence: self.post_message(Met(sentence)))
        self._keep_timer: Timer | None = None

    @property
    def shown_state(self) -> SignDraft | None:
        """The sign of the row under the cursor."""
        if self.book is None:
            return None
        return self.book.state_of(self._place)

    @property
    def folder(self) -> Path:
        """Where the list is made into."""
        return Path(self.query_one("#field-list_folder", Input).value.strip() or "run").expanduser()

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with Horizontal(id="work", classes="list"):
            with Vertical(id="left"), Vertical(id="stations"):
                yield Label("", id="list-title", markup=False)
                yield RowTable(self._cells, id="rows")
                with Vertical(id="fixes"):
                    for field in _FIXED:
                        yield FieldRow(field, "", partial(self._values_of, field.key))
                    folder = Field("list_folder", "Into", "typed", "The folder that this list is made into.")
                    yield FieldRow(folder, "", tuple)
            with Vertical(id="right"):
                yield from self.compose_sign()
        yield ToldLine()
        yield KeyLine(footer_keys(IN_THE_LIST), self.studio.keymap)

    def ready(self) -> None:
        """Open the list, or ask for one."""
        self._checker.start()
        self._keeper.start()
        self.query_one("#rows").border_title = "Rows"
        path = self._path or self.studio.habits.last_list
        self.hint(HINT)
        if self._path:
            self.call_after_refresh(self.open_file, self._path)  # the screen first, then the work
        else:
            self.call_after_refresh(self._ask_for_list, path)

    def on_unmount(self) -> None:
        """End."""
        self._checker.close()
        self._keeper.close()
        if self._stop is not None:
            self._stop.set()

    # Opening

    @property
    def chooser_is_open(self) -> bool:
        """Whether a list is being chosen."""
        return self._chooser is not None

    async def action_open_list(self) -> None:
        """Ask for a list."""
        await self._ask_for_list(str(self.book.file) if self.book else self.studio.habits.last_list)

    async def _ask_for_list(self, path: str) -> None:
        if self._chooser is not None:
            return
        self._chooser = Chooser(
            "list",
            "A list of names",
            "Path of a CSV: ./ or ~/",
            lambda typed: entries_for("list", typed, self.studio.catalogue),
        )
        self.query_one("#stations").display = False
        await self.query_one("#left").mount(self._chooser)
        self.hint("Choose a CSV with a column of names, type its path, or drop the file here. Esc goes back.")
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
        self.query_one(RowTable).focus()

    def on_list_opened(self, event: ListOpened) -> None:
        """Show a list that was read."""
        self.book = event.book
        self.studio.keep_habits(last_list=str(event.book.file.absolute()))
        self._checker.forget()
        table = self.query_one(RowTable)
        table.fill(len(self.book.rows))
        table.focus()
        folder = self.studio.habits.list_folder or f"{event.book.file.stem}-signs"
        self.query_one("#row-list_folder", FieldRow).show_value(folder)
        self.tell(" ".join((*event.book.orders.assumed, event.remark)).strip())
        if event.said != NOTHING_SAID and event.book.orders.taken_for.headers:
            self.offer_to_keep(event.book.orders.taken_for.headers, event.said)
        self._look()
        self._checker.want(self.book.rows)
        self._show_row()
        self._title()

    # Rows

    @property
    def _place(self) -> int:
        return self.query_one(RowTable).cursor

    def _cells(self, place: int, width: int) -> list[Cell]:
        """Return the cells of a row for the table."""
        assert self.book is not None
        row, fact = self.book.rows[place], self.book.fact(place)
        mark = "●" if row.row in self.book.marked else " "
        text = row.text.replace("\n", " / ")
        state = fact.word
        room = max(4, width - 8 - 11)
        shown = text if cell_len(text) <= room else f"{set_cell_size(text, room - 1)}…"
        return [
            (f"{mark}{row.row:>5}  ", "faint"),
            (set_cell_size(shown, room), ""),
            (f" {state:<10}", _STATE_STYLES.get(fact.state, "")),
        ]

    def on_row_table_moved(self, event: RowTable.Moved) -> None:
        """Show the sign of another row."""
        self.loupe = None
        self._show_row()

    def on_row_table_scrolled(self) -> None:
        """Check what is in sight first."""
        self._look()

    def _look(self) -> None:
        if self.book is not None:
            first, last = self.query_one(RowTable).in_sight
            self._checker.look_at(first + 1, last + 1)

    def _show_row(self) -> None:
        """Show the row under the cursor: its fields, its sign, and why it is as it is."""
        if self.book is None:
            return
        row, options = self.book.rows[self._place], dict(self.book.rows[self._place].options)
        self.query_one("#row-text", FieldRow).show_value(row.text.replace("\n", "\\n"))
        for key in ("face", "layout"):
            self.query_one(f"#row-{key}", FieldRow).show_value(options.get(key, "as the bench"))
        self.query_one("#fixes").border_title = f"Row {row.row}, line {row.line}"
        self.ask()

    def answered(self, answer: Answer) -> None:
        """Tell what is wrong with the row."""
        if self.book is None:
            return
        faults = " ".join(self.book.rows[self._place].faults or answer.faults.values())
        self.query_one("#row-text", FieldRow).show_fault(faults)

    def _facts_came(self, facts: Sequence[tuple[int, RowFact]]) -> None:
        """Pass on what the checker found, from its thread."""
        self.post_message(RowsKnown(facts))

    def on_rows_known(self, event: RowsKnown) -> None:
        """Show what was found out."""
        if self.book is None:
            return
        table = self.query_one(RowTable)
        for number, fact in event.facts:
            if number not in self.book.facts:
                self.book.facts[number] = fact
                table.show_row(number - 1)
        self._title()

    def _title(self) -> None:
        assert self.book is not None
        counts = self.book.counts()
        words = [
            f"{counts.get(state, 0)} {word}"
            for state, word in (("fits-with-warnings", "WEAK"), ("refused", "CANNOT"), ("", "to check"))
            if counts.get(state)
        ]
        marked = f", {len(self.book.marked)} marked" if self.book.marked else ""
        told = f": {', '.join(words)}" if words else ""
        title = f"{self.book.file.name}, {len(self.book.rows)} rows{told}{marked}"
        self.query_one("#list-title", Label).update(title, layout=False)

    # Fixing

    def on_typed(self, event: Typed) -> None:
        """Take over a fix."""
        event.stop()
        if event.key == "list_folder":
            self.studio.keep_habits(list_folder=event.text.strip())
            self.query_one("#row-list_folder", FieldRow).show_fault(folder_fault(self.folder))
            return
        if self.book is None:
            return
        value = event.text.replace("\\n", "\n") if event.key == TEXT else event.text
        value = "" if value == "as the bench" and event.key != TEXT else value
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
        self.query_one(RowTable).show_row(place)
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
            self.tell("There is nothing to take back.")
            return
        self.query_one(RowTable).action_go_to(place)
        self._fixed(place)
        self._show_row()
        self.tell(f"The fix of row {place + 1} is taken back.")

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
            self.tell("The remedy is applied to this row. Ctrl+Z takes it back.", "good")

    def _values_of(self, key: str) -> tuple[str, ...]:
        if key == "layout":
            return ("as the bench", *FIELDS["layout"].choices)
        return ("as the bench", *(entry.value for entry in entries_for(key, "", self.studio.catalogue)))

    # Ways about

    def action_rows(self) -> None:
        """Go to the rows."""
        self.query_one(RowTable).focus()

    def action_fix(self) -> None:
        """Go to the text of the row."""
        self.query_one("#field-text").focus()

    def action_list_folder(self) -> None:
        """Go to the folder."""
        self.query_one("#field-list_folder").focus()

    def action_mark(self) -> None:
        """Mark the row and go on to the next."""
        if self.book is not None:
            self.book.turn_mark(self._place)
            self.query_one(RowTable).action_move(1)
            self.query_one(RowTable).refresh()
            self._title()
            self.recount_sheets()

    def action_next_fault(self) -> None:
        """Go to the next row that will not come out well."""
        place = self.book.next_ill(self._place) if self.book is not None else None
        if place is None:
            self.tell("No row known so far will come out badly.")
            return
        assert self.book is not None
        self.query_one(RowTable).action_go_to(place)
        why = self.book.fact(place).why or " ".join(self.book.rows[place].faults)
        self.tell(f"Row {self.book.rows[place].row}: {why}", "warn")

    def action_back(self) -> None:
        """Go back to the bench."""
        if self._stop is not None:
            self.tell("The list is being made. Esc stops it.", "busy")
            return
        self.dismiss()

    def step_back(self) -> None:
        """Go from the fields to the rows, and from there to the bench."""
        if self.loupe is not None:
            self.put_loupe_away()
            self.ask()
        elif self.is_printed:
            self.action_flip()
        elif isinstance(self.focused, RowTable) or self.book is None:
            self.action_back()
        else:
            self.action_rows()
