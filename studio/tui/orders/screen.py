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
from studio.tui.editor.draft import TEXT, SignDraft
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import Field, label_of
from studio.tui.editor.text_input import TextInput
from studio.tui.keys import IN_THE_LIST, UNDER_THE_LOUPE, Key, bindings, footer_keys
from studio.tui.messages import ListOpened, Met, RowsKnown
from studio.tui.orders.list_paper import NO_SHEETS, PAGES, PAPER, paper_names
from studio.tui.orders.opening import NOTHING_SAID, OpensLists
from studio.tui.orders.order_book import QUANTITY, RowFact
from studio.tui.orders.row_checker import RowChecker
from studio.tui.orders.row_order import RowOrder
from studio.tui.orders.row_table import Cell, RowTable
from studio.tui.orders.rows_shown import HINT
from studio.tui.orders.saved_fixes import FixKeeper
from studio.tui.preview.picture import Picture
from studio.tui.status_lines import HintLine, KeyLine, ToldLine

if TYPE_CHECKING:
    from studio.orders.order_list import OrderList
    from studio.orders.order_row import OrderRow
    from studio.tui.engine.engine import Answer

_USES: Final = ("text", "quantity")
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
    Field("layout", "Layout", "choice", "Another layout for this row alone."),
)


class NamesScreen(OpensLists):
    """The list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(IN_THE_LIST),
        Binding("ctrl+z", "undo_fix", "Undo", show=False),
    ]
    HELP = """\
# A list of names

A CSV with a column of names becomes signs in one go. Every row takes the wood, the picture and the look of the sign,
but for what its own columns say. Whole lists are made into a folder of their own, with a contact sheet and a report;
a run that was stopped can be resumed. Fixes are kept beside the list, not in it: they are there again next time.
"""

    def __init__(self, house: Mapping[str, Value], path: str | None, *, look: str = "", has_look: bool = True) -> None:
        """Set up.

        Args:
            house: The option values under those of the rows.
            path: The list to open, if any.
            look: What those are, in words.
            has_look: Whether they are those of the single sign, and not the house's own.
        """
        self._look_told = look
        self.has_look = has_look
        self.order = RowOrder(0)
        super().__init__({key: value for key, value in house.items() if value})
        self._path = path
        self._checker = RowChecker(self.studio.catalogue, self.house, self._facts_came)
        self._keeper = FixKeeper(lambda sentence: self.post_message(Met(sentence)))
        self._keep_timer: Timer | None = None

    @property
    def own_keys(self) -> tuple[Key, ...]:
        """The keys of this screen, for help and menu."""
        return (*IN_THE_LIST, *UNDER_THE_LOUPE)

    @property
    def text_in_hand(self) -> int | None:
        """The row's text, while its field has the focus."""
        return 0 if self.focused is not None and self.focused.id == "field-text" else None

    def on_descendant_focus(self) -> None:
        """Show the text large while it is typed."""
        if self._asked and self.query_one(Picture).lettering != self.text_in_hand:
            self.ask()

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
                yield Label(self._look_told, id="list-look", markup=False)
                yield TextInput(placeholder="Search", compact=True, id="search")
                yield RowTable(self._cells, id="rows")
                with Vertical(id="fixes"):
                    for field in _FIXED:
                        yield FieldRow(field, "", partial(self._values_of, field.key))
                    yield Vertical(id="row-extra")
                    folder = Field("list_folder", "Into", "typed", "The folder that this list is made into.")
                    yield FieldRow(folder, "", tuple)
                    habits, catalogue = self.studio.habits, self.studio.catalogue
                    yield FieldRow(PAPER, habits.list_paper or NO_SHEETS, partial(paper_names, catalogue))
                    yield FieldRow(PAGES, habits.list_pages or PAGES.choices[0], tuple)
            with Vertical(id="right"):
                yield from self.compose_sign()
        yield ToldLine()
        yield KeyLine(footer_keys(IN_THE_LIST), self.studio.keymap)

    def ready(self) -> None:
        """Open the list, or ask for one."""
        self._checker.start()
        self._keeper.start()
        self.query_one("#rows").border_title = "Rows"
        self.query_one("#search").display = False
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

    def on_list_opened(self, event: ListOpened) -> None:
        """Show a list that was read."""
        self.book = event.book
        self.studio.keep_habits(last_list=str(event.book.file.absolute()))
        self._checker.forget()
        table = self.query_one(RowTable)
        self.order = RowOrder(len(self.book.rows))
        table.fill(len(self.order.places))
        self.set_focus(table)
        folder = self.studio.habits.list_folder or f"{event.book.file.stem}-signs"
        self.query_one("#row-list_folder", FieldRow).show_value(folder)
        table.border_title = f"Rows of {event.book.file.name}"
        self._told = event.said
        self.tell(" ".join((_taken(event.book.orders), event.remark)).strip())
        if event.said != NOTHING_SAID and event.book.orders.taken_for.headers:
            self.offer_to_keep(event.book.orders.taken_for.headers, event.said)
        self._look()
        self._checker.want(self.book.rows)
        self._show_row()
        self._title()
        self.look_for_made()

    def check_rows(self, rows: Sequence[OrderRow]) -> None:
        """Check rows anew, and tell how the list stands."""
        self._checker.want(rows)
        self._title()

    # Rows

    def _cells(self, line: int, width: int) -> list[Cell]:
        """Return the cells of a row for the table."""
        assert self.book is not None
        place = self.order.places[line]
        row, fact = self.book.rows[place], self.book.fact(place)
        mark = "●" if row.row in self.book.marked else " "
        text = row.text.replace("\n", " / ")
        state = fact.word
        room = max(4, width - 8 - 14)
        shown = text if cell_len(text) <= room else f"{set_cell_size(text, room - 1)}…"
        return [
            (f"{mark}{row.row:>5}  ", "faint"),
            (set_cell_size(shown, room), ""),
            (f" {state:<13}", _STATE_STYLES.get(fact.state, "")),
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
            seen = self.order.places[first : last + 1] or (0,)
            self._checker.look_at(min(seen) + 1, max(seen) + 1)

    def _show_row(self) -> None:
        """Show the row under the cursor: its fields, its sign, and why it is as it is."""
        if self.book is None:
            return
        row, options = self.book.rows[self._place], dict(self.book.rows[self._place].options)
        self.query_one("#row-text", FieldRow).show_value(row.text.replace("\n", "\\n"))
        self._show_extra(row)
        for key in ("face", "layout"):
            self.query_one(f"#row-{key}", FieldRow).show_value(options.get(key, "as the sign"))
        self.query_one("#fixes").border_title = f"Row {row.row}, line {row.line}"
        self.ask()

    def answered(self, answer: Answer) -> None:
        """Tell what is wrong with the row."""
        if self.book is None:
            return
        row = self.book.rows[self._place]
        faults = dict(answer.faults)
        for sentence in row.faults:
            key = QUANTITY if row.quantity_cell and "quantity" in sentence else TEXT
            faults[key] = f"{faults.get(key, '')} {sentence}".strip()
        shown = {one.field.key: one for one in self.query(FieldRow)}
        here = {key: faults.pop(key) for key in tuple(faults) if key in shown}
        elsewhere = " ".join(f"{label_of(key)}: {sentence}" for key, sentence in faults.items())
        here[TEXT] = f"{here.get(TEXT, '')} {elsewhere}".strip()
        for key, one in shown.items():
            if not key.startswith("list_"):
                one.show_fault(here.get(key, ""))

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
                self.book.take_fact(number, fact)
                table.show_row(self.order.shown_at(number - 1))
        self._title()

    def _title(self) -> None:
        assert self.book is not None
        counts = self.book.counts()
        words = [
            f"{count} {word if count == 1 or word in ('to check', 'made') else f'{word}s'}"
            for count, word in (
                (counts.get("refused", 0) + counts.get("failed", 0), "error"),
                (counts.get("fits-with-warnings", 0) + counts.get("made-with-warnings", 0), "warning"),
                (counts.get("", 0), "to check"),
                (counts.get("made", 0) + counts.get("made-with-warnings", 0), "made"),
            )
            if count
        ]
        told = f": {', '.join(words)}" if words else ""
        rows = len(self.book.rows)
        count = f"{len(self.book.marked)} of {rows} marked" if self.book.marked else f"{rows} rows"
        title = f"{count}{told}"
        self.query_one("#list-title", Label).update(title, layout=False)

    # Ways about

    def action_rows(self) -> None:
        """Go to the rows."""
        self.set_focus(self.query_one(RowTable))

    def action_fix(self) -> None:
        """Go to the text of the row."""
        self.set_focus(self.query_one("#field-text"))

    def action_list_folder(self) -> None:
        """Go to the folder."""
        self.set_focus(self.query_one("#field-list_folder"))

    def action_turn_look(self) -> None:
        """Take the rows with the look of the single sign, or as the house's own settings have it."""
        if self.book is not None and self._stop is None:
            self._keeper.write()
            self.dismiss()
            self.studio.open_list(str(self.book.file), with_look=not self.has_look)

    def action_next_fault(self) -> None:
        """Go to the next row that will not come out well."""
        place = self.book.next_ill(self._place) if self.book is not None else None
        if place is None:
            self.tell("No problems found so far.")
            return
        assert self.book is not None
        self.go_to_row(place)
        why = self.book.fact(place).why or " ".join(self.book.rows[place].faults)
        self.tell(f"Row {self.book.rows[place].row}: {why}", "warn")

    def action_back(self) -> None:
        """Go back to the editor."""
        if self._stop is not None:
            self.tell("The list is being made. Esc stops it.", "busy")
            return
        self.dismiss()

    def step_back(self) -> None:
        """Go from the fields to the rows, and from there to the editor."""
        if self._end_search():
            return
        if self.loupe is not None:
            self.put_loupe_away()
            self.ask()
        elif self.is_printed:
            self.action_flip()
        elif isinstance(self.focused, RowTable) or self.book is None:
            self.action_back()
        else:
            self.action_rows()


def _taken(orders: OrderList) -> str:
    """Return what the list's columns were taken for, in a sentence."""
    used = [
        f"{one.use} from “{one.header or f'column {one.number}'}”"
        for one in orders.taken_for.columns
        if one.use in _USES
    ]
    said = f"{len(orders.rows)} rows: {', '.join(used)}. Alt+C changes that." if used else ""
    return " ".join((said, *orders.remarks)).strip()
