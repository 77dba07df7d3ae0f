"""The editor: five stations in the order of work on the left, the sign and its findings on the right.

Invariant: the fields mirror the editor's state; nothing is kept in a widget alone.
"""

from __future__ import annotations

from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.await_remove import AwaitRemove
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from studio.tui.editor.changing import Changing
from studio.tui.editor.choices import ChoiceEntry, entries_for
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import TEXT, SignDraft, SignEditor
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, STATION_OF, STATIONS
from studio.tui.editor.station import FinerLine, StationPane, StationTitle, rows_of, with_room
from studio.tui.editor.text_input import TextInput
from studio.tui.keys import IN_THE_EDITOR, UNDER_THE_LOUPE, Key, bindings, footer_keys, key_shown
from studio.tui.messages import CaretMoved, Typed, WantsList
from studio.tui.preview.findings import FindingsPane
from studio.tui.preview.picture import Picture
from studio.tui.status_lines import HintLine, KeyLine, ToldLine
from studio.tui.wording import by_field, dropped_path

if TYPE_CHECKING:
    from studio.tui.engine.engine import Answer

_ROWS_ROUND = 3
"""Rows of the screen above and below the stations."""
STEP_ENDS_S = 1.0
"""After such a rest, what is typed next is a step of its own to undo."""
WELCOME = "Type the customer's name, look at the sign, press F10 to make it. F1 helps."


class EditorScreen(Changing):
    """One sign."""

    AUTO_FOCUS = "#field-text"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(IN_THE_EDITOR),
        Binding("tab", "go(1)", show=False),
        Binding("shift+tab", "go(-1)", show=False),
        Binding("escape", "step_back", show=False),
    ]
    HELP = """\
# The sign

A sign is made from top to bottom: **wood**, **picture**, **name**, **look**, **make**. Each station has its key; Tab
goes on to the next field, and the sign on the right follows every key press.

Fields with ‹ › are stepped through with the arrow keys; Enter opens the list where there is one. What is wrong is told
beneath the field. Nothing is asked on quitting: the sign is here again next time.
"""

    def __init__(self, editor: SignEditor) -> None:
        self.editor = editor
        super().__init__(editor.house)
        editor.unit = self.studio.habits.length_unit
        self._is_welcome = True
        self._typed_s = 0.0
        self._known_rows: dict[str, FieldRow] = {}

    @property
    def first_state(self) -> SignDraft:
        """The sign in the editor."""
        return self.editor.state

    @property
    def shown_state(self) -> SignDraft:
        """The sign in the editor, or the choice being tried."""
        return self.editor.state

    @property
    def own_keys(self) -> tuple[Key, ...]:
        """The keys of this screen, for help and menu."""
        return (*IN_THE_EDITOR, *UNDER_THE_LOUPE)

    @property
    def text_in_hand(self) -> int | None:
        """The text whose field has the focus, while no choice is being tried."""
        focused = self.focused.id if self.focused is not None else None
        return None if self.editor.is_trying else {"field-text": 0, "field-also_text": 1}.get(str(focused))

    @property
    def nothing_found(self) -> str:
        """What stands in the findings when there are none."""
        return "Nothing will blur or fill in. F10 makes it."

    @property
    def mend_key(self) -> str:
        """The key that applies the first remedy."""
        return key_shown(next(key for key in IN_THE_EDITOR if key.id == "mend"), self.studio.keymap)

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with Horizontal(id="work"):
            with Vertical(id="left"), VerticalScroll(id="stations", can_focus=False):
                keys = {key.id: key_shown(key, self.studio.keymap) for key in IN_THE_EDITOR}
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
        yield KeyLine(footer_keys(IN_THE_EDITOR), self.studio.keymap)

    def units_changed(self) -> None:
        """Show lengths in the other unit, in fields too."""
        super().units_changed()
        self.editor.unit = self.studio.habits.length_unit
        self.refresh_fields()

    def ready(self) -> None:
        """Show the state and stand in the name."""
        self._show_folder()
        self.query_one(FindingsPane).show((), "… The sign is being checked.", is_well=False)
        self.set_focus(self.query_one("#field-text"))
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
        now = monotonic()
        if now - self._typed_s > STEP_ENDS_S:
            editor.history.close_step()
        self._typed_s = now
        changed = editor.choose(event.key, event.text) if event.is_choice else editor.type(event.key, event.text)
        if event.is_choice:
            self._row(event.key).show_value(editor.shown(event.key))
        if changed:
            self.state_changed(typed=None if event.is_choice else event.key)

    def on_caret_moved(self, event: CaretMoved) -> None:
        """Let what is typed elsewhere in a field be a step of its own to undo."""
        event.stop()
        self.editor.history.close_step()

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
        self._mend_if_awaited(answer)

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
        await self._put_chooser_away(event.value)

    def _put_chooser_away(self, value: str | None) -> AwaitRemove:
        """Take the choice, or leave all as it was where it is `None`, and go back to the stations."""
        assert self._chooser is not None
        chooser, self._chooser = self._chooser, None
        self.editor.stop_trying()
        if value is not None:
            self.editor.choose(chooser.key, value)
        self.query_one("#stations").display = True
        self.set_focus(self._row(chooser.key).control)
        self.state_changed()
        return chooser.remove()

    def _entries(self, key: str, typed: str) -> tuple[ChoiceEntry, ...]:
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
        if self._asked and self.query_one(Picture).lettering != self.text_in_hand:
            self.ask()

    def _hint_for(self, widget: Widget) -> None:
        key = (widget.id or "").removeprefix("field-")
        if key == TEXT and self._is_welcome:
            self._is_welcome = False
            self.hint(WELCOME)
        elif key in FIELDS:
            self.hint(FIELDS[key].hint)
        elif isinstance(widget, FinerLine):
            self.hint("Enter shows more fields, and hides them.")
        elif isinstance(widget, FindingsPane):
            self.hint("Enter applies the remedy under the cursor, F8 the first one; Ctrl+Z undoes it.")
        elif isinstance(widget, Picture):
            self.hint(
                "F7 looks closely, F6 shows it as it prints, Ctrl+L draws the limits, F12 other cells."
                if self.loupe is None
                else "Arrows move, + and - set how large, n goes to the next weak place, Esc ends."
            )

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
        """Go to a station's first field; what is typed there next replaces what it holds."""
        if self._chooser is not None:
            self._put_chooser_away(None)
        self._pane(name).open(True)
        first = self._pane(name).controls()[0]
        self._go_to(first)
        if isinstance(first, TextInput):
            first.select_whole()

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
        self.set_focus(widget)

    def action_findings(self) -> None:
        """Go to the findings."""
        self.set_focus(self.query_one(FindingsPane))

    def action_step_back(self) -> None:
        """Leave the loupe, the print, and at last go back to the name."""
        if self.loupe is not None:
            self.put_loupe_away()
            self.title_picture()
            self.ask()
        elif self.is_printed:
            self.action_flip()
        else:
            self._go_to(self._row(TEXT).control)

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
