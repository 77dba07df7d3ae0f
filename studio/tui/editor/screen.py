"""The bench: five stations in the order of work on the left, the sign and its findings on the right.

Invariant: the fields mirror the workbench's state; nothing is kept in a widget alone.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from studio.tui.editor.choices import Entry, entries_for
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import TEXT, SignDraft, SignEditor
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, STATION_OF, STATIONS, label_of
from studio.tui.editor.other_ways import ShowingWays
from studio.tui.editor.station import FinerLine, StationPane, StationTitle, rows_of, with_room
from studio.tui.keys import ON_THE_BENCH, bindings, footer_keys, key_shown
from studio.tui.messages import Mended, Typed, WantsList
from studio.tui.preview.findings import FindingsPane
from studio.tui.preview.picture import Picture
from studio.tui.status_lines import HintLine, KeyLine, ToldLine
from studio.tui.wording import by_field, dropped_path, listed_value, taken_as

if TYPE_CHECKING:
    from studio.tui.engine.engine import Answer

_ROWS_ROUND = 3
"""Rows of the screen above and below the stations."""
WELCOME = "Type the customer's name, look at the sign, press F10 to make it. F1 helps."


class EditorScreen(ShowingWays):
    """One sign."""

    AUTO_FOCUS = "#field-text"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(ON_THE_BENCH),
        Binding("tab", "go(1)", show=False),
        Binding("shift+tab", "go(-1)", show=False),
        Binding("escape", "step_back", show=False),
    ]
    HELP = """\
# The bench

A sign is made from top to bottom: **wood**, **picture**, **name**, **look**, **make**. Each station has its key; Tab
goes on to the next field, and the sign on the right follows every key press.

Fields with ‹ › are stepped through with the arrow keys; Enter opens the list where there is one. What is wrong is told
beneath the field. Nothing is asked on quitting: the sign is here again next time.
"""

    def __init__(self, editor: SignEditor) -> None:
        self.editor = editor
        super().__init__(editor.house)
        self._is_welcome = True
        self._known_rows: dict[str, FieldRow] = {}

    @property
    def first_state(self) -> SignDraft:
        """The sign on the bench."""
        return self.editor.state

    @property
    def shown_state(self) -> SignDraft:
        """The sign on the bench, or the choice being tried."""
        return self.editor.state

    @property
    def nothing_found(self) -> str:
        """What stands in the findings when there are none."""
        return "Nothing will blur or fill in. F10 makes it."

    @property
    def mend_key(self) -> str:
        """The key that applies the first remedy."""
        return key_shown(next(key for key in ON_THE_BENCH if key.id == "mend"), self.studio.keymap)

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with Horizontal(id="work"):
            with Vertical(id="left"), VerticalScroll(id="stations", can_focus=False):
                keys = {key.id: key_shown(key, self.studio.keymap) for key in ON_THE_BENCH}
                open_first = self._open_at("name", {station.name: rows_of(station) for station in STATIONS})
                for station in STATIONS:
                    yield StationPane(
                        station,
                        keys[station.name],
                        self._summary_of(station.name),
                        self._text_of,
                        self._values_of,
                        is_open=station.name in open_first,
                    )
                yield Static("", id="made", markup=False)
            with Vertical(id="right"):
                yield from self.compose_sign()
        yield ToldLine()
        yield KeyLine(footer_keys(ON_THE_BENCH), self.studio.keymap)

    def ready(self) -> None:
        """Show the state and stand in the name."""
        self._show_folder()
        self.query_one(FindingsPane).show((), "… The sign is being checked.", is_well=False)
        self.query_one("#field-text").focus()
        self.hint(WELCOME)

    def laid_out(self) -> None:
        """Lay the stations out for the room there is."""
        self._open_stations()

    # What is typed and chosen

    def on_typed(self, event: Typed) -> None:
        """Take over what a field holds."""
        event.stop()
        if event.key == "folder":
            self.studio.keep_habits(folder=event.text.strip())
            self._show_folder()
            return
        path = dropped_path(event.text) if event.key == TEXT and len(event.text) > 4 else None
        if path is not None and self.take_file(path):
            return
        editor = self.editor
        changed = editor.choose(event.key, event.text) if event.is_choice else editor.type(event.key, event.text)
        if event.is_choice:
            self._row(event.key).show_value(editor.shown(event.key))
        if changed:
            self.state_changed(typed=None if event.is_choice else event.key)

    def state_changed(self, typed: str | None = None) -> None:
        """Show a changed state everywhere but in the field that is being typed in."""
        self.ask()
        if typed in (TEXT, "also_text"):
            self._pane(STATION_OF[typed]).show_summary(self.editor.summary(STATION_OF[typed]))
        else:
            self.refresh_fields(but=typed)
        self.keep_soon()

    def refresh_fields(self, but: str | None = None) -> None:
        """Show the state in every field."""
        for key, row in self._rows().items():
            if key not in (but, "folder"):
                row.show_value(self._text_of(key))
        for pane in self.query(StationPane):
            pane.show_summary(self._summary_of(pane.station.name))
        self._show_folder()

    def _text_of(self, key: str) -> str:
        return self.folder_text if key == "folder" else self.editor.shown(key)

    def _summary_of(self, station: str) -> str:
        return self.folder_summary if station == "make" else self.editor.summary(station)

    def answered(self, answer: Answer) -> None:
        """Tell what is wrong beside the fields."""
        super().answered(answer)
        faults = by_field(answer.faults)
        rows = self._rows()
        for key, row in rows.items():
            if key != "folder":
                row.show_fault(faults.get(key, ""))
        for key in faults.keys() - rows.keys():
            self._pane(STATION_OF[key]).show_finer(True)

    def take(self, key: str, value: str) -> None:
        """Take over a choice made elsewhere than in its field."""
        if self.editor.choose(key, value):
            self.state_changed()
            self.tell(f"{FIELDS[key].label}: {value}. Ctrl+Z takes it back.")

    def on_paste(self, event: events.Paste) -> None:
        """Take a file that was dropped on the terminal, wherever the focus is."""
        path = dropped_path(event.text)
        if path is not None and self.take_file(path):
            event.stop()
            event.prevent_default()

    def take_file(self, path: str) -> bool:
        """Take a picture as artwork, a font as face, a list as list; tell whether it was one of those."""
        key = taken_as(path)
        if key is None:
            return False
        if key == "list":
            self.studio.open_list(path)
        else:
            self.editor.choose(key, path)
            self.state_changed()
            self.tell(f"{path} is the {FIELDS[key].label.lower()} now. Ctrl+Z takes it back.", "good")
        self._row(TEXT).show_value(self.editor.shown(TEXT))
        return True

    # Lists to choose from

    async def on_wants_list(self, event: WantsList) -> None:
        """Open a field's list in place of the stations."""
        event.stop()
        if self._chooser is not None:
            self._chooser.type_on(event.typed)
            return
        field = FIELDS[event.key]
        also = {"artwork": ", or a path", "face": ", or a path", "blank": ", or oval:300mmx200mm"}
        hint = f"Type to narrow{also.get(event.key, '')}"
        self._chooser = Chooser(event.key, field.label, hint, partial(self._entries, event.key))
        self.query_one("#stations").display = False
        await self.query_one("#left").mount(self._chooser)
        self.hint(field.hint)
        self._chooser.begin(event.typed, self.editor.shown(event.key))

    def on_chooser_tried(self, event: Chooser.Tried) -> None:
        """Show the choice under the cursor."""
        if self._chooser is not None:
            self.editor.try_out(event.key, event.value)
            self.ask()

    async def on_chooser_taken(self, event: Chooser.Taken) -> None:
        """Take the choice, or leave all as it was; go back to the stations."""
        if self._chooser is None:
            return
        chooser, self._chooser = self._chooser, None
        self.editor.stop_trying()
        if event.value is not None:
            self.editor.choose(event.key, event.value)
        self.query_one("#stations").display = True
        self._row(event.key).control.focus()
        await chooser.remove()
        self.state_changed()

    def _entries(self, key: str, typed: str) -> tuple[Entry, ...]:
        return entries_for(key, typed, self.studio.catalogue)

    def _values_of(self, key: str) -> tuple[str, ...]:
        return tuple(entry.value for entry in self._entries(key, ""))

    # Ways about

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Open the station of the field that has the focus, and say what may stand there."""
        widget = event.widget
        pane = next((one for one in widget.ancestors if isinstance(one, StationPane)), None)
        for other in self.query(StationPane):
            other.set_class(other is pane, "here")
        if pane is not None:
            self._open_stations(pane)
            self.call_after_refresh(widget.scroll_visible, animate=False)
        self.editor.history.close_step()
        self._hint_for(widget)

    def _hint_for(self, widget: Widget) -> None:
        key = (widget.id or "").removeprefix("field-")
        if key == TEXT and self._is_welcome:
            self._is_welcome = False
            self.hint(WELCOME)
        elif key in FIELDS:
            self.hint(FIELDS[key].hint)
        elif isinstance(widget, FinerLine):
            self.hint("Enter shows the finer points of this station, and hides them.")
        elif isinstance(widget, FindingsPane):
            self.hint("Enter applies the remedy under the cursor, F8 the first one; Ctrl+Z takes it back.")
        elif isinstance(widget, Picture):
            self.hint("F7 looks closely, F6 shows it as it prints, Ctrl+L draws the limits, F12 other cells.")

    def _open_stations(self, here: StationPane | None = None) -> None:
        """Open the station in use, and as many others as there is room for, the most used first."""
        panes = {pane.station.name: pane for pane in self.query(StationPane)}
        if here is None:
            here = next((pane for pane in panes.values() if pane.has_class("here")), panes["name"])
        opened = self._open_at(here.station.name, {name: pane.row_count for name, pane in panes.items()})
        for name, pane in panes.items():
            pane.open(name in opened)

    def _open_at(self, here: str, rows: dict[str, int]) -> set[str]:
        """Return which stations there is room for; `rows` are how many each takes."""
        gap = 1 if self.has_class("tall") else 0
        return with_room(here, rows, self.app.size.height - _ROWS_ROUND - len(rows) * (1 + gap))

    def action_station(self, name: str) -> None:
        """Go to a station's first field."""
        self._pane(name).open(True)
        self._go_to(self._pane(name).controls()[0])

    def on_station_title_chosen(self, event: StationTitle.Chosen) -> None:
        """Go to a station that was clicked."""
        self.action_station(event.station)

    def action_go(self, steps: int) -> None:
        """Go to the next field in the order of work, then picture and findings, and round."""
        if self._chooser is not None:
            return
        every = [control for pane in self.query(StationPane) for control in pane.controls()]
        every += [self.query_one(Picture), self.query_one(FindingsPane)]
        here = every.index(self.focused) if self.focused in every else -1
        self._go_to(every[(here + steps) % len(every)])

    def _go_to(self, widget: Widget) -> None:
        pane = next((one for one in widget.ancestors if isinstance(one, StationPane)), None)
        if pane is not None:
            pane.open(True)
        widget.focus()

    def action_findings(self) -> None:
        """Go to the findings."""
        self.query_one(FindingsPane).focus()

    def action_step_back(self) -> None:
        """Leave the loupe, the print, and at last go back to the name."""
        if self.loupe is not None:
            self.put_loupe_away()
            self.title_picture()
            self.ask()
        elif self.is_printed:
            self.action_flip()
        else:
            self.action_station("name")

    # Changes

    def action_undo(self) -> None:
        """Take the last change back."""
        self._told_step(self.editor.undo(), "Taken back: {}.", "There is nothing to take back.")

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        self._told_step(self.editor.redo(), "Done again: {}.", "There is nothing to do again.")

    def _told_step(self, what: str | None, done: str, nothing: str) -> None:
        if what is None:
            self.tell(nothing)
            return
        self.state_changed()
        self.tell(done.format(what))

    def action_fresh(self) -> None:
        """Lay a fresh sign on the bench."""
        if self.editor.history.change(SignDraft(), "a fresh sign"):
            self.state_changed()
        self.tell("A fresh sign lies on the bench. Ctrl+Z brings the one before back.", "good")
        self.action_station("name")

    def action_mend(self) -> None:
        """Apply the first remedy of the chosen finding."""
        chosen = self.query_one(FindingsPane).chosen()
        if chosen is not None:
            self._mend(*chosen)
        elif self.answer is None:
            self.tell("The sign is still being checked. Press F8 again in a moment.", "busy")
        elif not self.answer.is_final:
            self.tell("The remedies are still being tried. Press F8 again in a moment.", "busy")
        else:
            self.tell("No finding here has a remedy that one key can apply.")

    def on_mended(self, event: Mended) -> None:
        """Apply a remedy that was chosen."""
        self._mend(event.finding, event.remedy)

    def _mend(self, finding: int, remedy: int) -> None:
        told = self.query_one(FindingsPane).told
        if finding >= len(told) or remedy >= len(told[finding].remedies):
            return
        chosen = told[finding].remedies[remedy]
        if self.editor.put(dict(chosen.changes), "the remedy"):
            self.state_changed()
            set_to = [f"{label_of(key).lower()} {listed_value(value)}" for key, value in chosen.changes if value]
            self.tell(f"Applied: {', '.join(set_to)}. Ctrl+Z takes it back.", "good")

    def action_names(self) -> None:
        """Go to the list of names."""
        self.studio.open_list(None)

    def on_station_pane_grown(self) -> None:
        """Fill the fields that are there now."""
        self._known_rows = {}
        self.refresh_fields()
        self._open_stations()
        if self.answer is not None:
            self.answered(self.answer)

    def _pane(self, name: str) -> StationPane:
        return self.query_one(f"#station-{name}", StationPane)

    def _row(self, key: str) -> FieldRow:
        return self._rows()[key]

    def _rows(self) -> dict[str, FieldRow]:
        """Return the fields by key; they are the same as long as the screen lives."""
        if not self._known_rows:
            self._known_rows = {row.field.key: row for row in self.query(FieldRow)}
        return self._known_rows
