"""One field of a station: its label, where it is typed or chosen, and beneath it what is wrong, in words.

Invariant: what is typed is never refused or changed; it is told beside the field when it will not do.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Final

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.reactive import Reactive, reactive
from textual.widget import Widget
from textual.widgets import Input, Static

from studio.tui.editor.fields import Field
from studio.tui.editor.stepper import Stepper
from studio.tui.editor.text_input import TextInput
from studio.tui.messages import CaretMoved, Dropped, Typed
from studio.tui.wording import dropped_file

SWITCH: Final[tuple[str, ...]] = ("yes", "no")
TEXTS: Final = frozenset({"text", "also_text"})
"""Fields that hold what stands on the sign, line by line."""
_PATHS: Final = frozenset({"folder", "list_folder"})
_MOVES: Final = frozenset({"left", "right", "home", "end", "ctrl+left", "ctrl+right", "ctrl+a", "ctrl+e"})
SHOWN_END: Final = "↵"
"""How a field of one line shows that another line begins."""
LINE_END: Final = "\\n"
"""The same as the command line takes it."""


class FieldInput(TextInput):
    """A typed field that tells the screen at once, without a layout for every key."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "screen.go(-1)", "Field above", show=False),
        Binding("down", "screen.go(1)", "Field below", show=False),
    ]
    value: reactive[str] = reactive("", layout=False, init=False)
    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)

    def __init__(self, key: str, text: str) -> None:
        super().__init__(id=f"field-{key}", compact=True, select_on_focus=True)
        text = text.replace(LINE_END, SHOWN_END) if key in TEXTS else text
        self.set_reactive(FieldInput.value, text)  # without the message that a change is told by
        self.cursor_position = len(text)
        self._key = key
        self._is_shown = False

    def validate(self, value: str) -> None:
        """Do nothing: what is typed is judged by the engine, and styles need not be looked up for every key."""

    async def _on_key(self, event: events.Key) -> None:
        """Tell that the caret moves; what the key does is done by the class below."""
        if event.key in _MOVES:
            self.screen.post_message(CaretMoved())

    def watch_value(self, value: str) -> None:
        """Pass on what is typed, past all that lies between and before any later key is on its way."""
        if not self._is_shown:
            self.screen.post_message(Typed(self._key, value.replace(SHOWN_END, LINE_END)))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Keep the library's own message from climbing through all that lies between."""
        event.stop()

    def _on_paste(self, event: events.Paste) -> None:
        """Put in what is pasted, all lines of it; a file that was dropped goes to the screen instead."""
        event.stop()
        event.prevent_default()
        file = None if self._key in _PATHS else dropped_file(event.text)
        if file is not None:
            self.screen.post_message(Dropped(file))  # behind what was typed before it
            return
        lines = [line.strip() for line in event.text.splitlines()]
        between = SHOWN_END if self._key in TEXTS else " "
        self.replace(between.join(line for line in lines if line), *self.selection)

    async def action_submit(self) -> None:
        """Begin a new line of the sign's text; elsewhere go on to the next field."""
        if self._key not in TEXTS:
            await self.app.run_action("screen.go(1)", self)
        elif self.is_all_selected:
            self.action_end()
        else:
            self.insert_text_at_cursor(SHOWN_END)

    def show(self, text: str) -> None:
        """Show a value that came from elsewhere."""
        if self._key in TEXTS:
            text = text.replace(LINE_END, SHOWN_END)
        self._is_shown = True
        with self.prevent(Input.Changed):
            self.value = text
            self.cursor_position = len(text)
        self._is_shown = False


class FieldRow(Widget):
    """A field. The label is drawn by the row itself, so that a row is two widgets and no more."""

    def __init__(self, field: Field, text: str, values: Callable[[], tuple[str, ...]]) -> None:
        """Set up.

        Args:
            field: Which field.
            text: What it holds at first.
            values: Gives what a chosen field is stepped through.
        """
        super().__init__(id=f"row-{field.key}", classes="fine" if field.is_fine else None)
        self.field = field
        self.control: Final[FieldInput | Stepper] = self._control(text, values)
        self.fault = ""
        """What is said to be wrong."""

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield self.control

    def render(self) -> Text:
        """Return the label."""
        return Text(self.field.label, no_wrap=True, end="")

    def show_value(self, text: str) -> None:
        """Show a value that came from elsewhere."""
        control = self.control
        if control.value == text or (self.field.key in TEXTS and control.value == text.replace(LINE_END, SHOWN_END)):
            return
        if isinstance(control, Stepper):
            control.value = text
            return
        control.show(text)

    def show_fault(self, sentence: str) -> None:
        """Show what is wrong; nothing when it is empty."""
        if sentence == self.fault:
            return
        self.fault = sentence
        shown = self.query(".fault")
        if not sentence:
            shown.remove()
        elif shown:
            shown.first(Static).update(f"✗ {sentence}")
        else:
            self.mount(Static(f"✗ {sentence}", classes="fault", markup=False))
        self.set_class(bool(sentence), "faulty")

    def _control(self, text: str, values: Callable[[], tuple[str, ...]]) -> FieldInput | Stepper:
        field = self.field
        if field.kind == "typed":
            return FieldInput(field.key, text)
        if field.kind == "switch":
            return Stepper(field.key, text, lambda: SWITCH, opens_list=False)
        if field.choices:
            return Stepper(field.key, text, lambda: field.choices, opens_list=False)
        return Stepper(field.key, text, values, opens_list=field.kind == "list")
