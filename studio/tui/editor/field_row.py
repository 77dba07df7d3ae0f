"""One field of a station: its label, where it is typed or chosen, and beneath it what is wrong, in words.

Invariant: what is typed is never refused or changed; it is told beside the field when it will not do.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from rich.text import Text
from textual.app import ComposeResult
from textual.geometry import Size
from textual.reactive import Reactive, reactive
from textual.widget import Widget
from textual.widgets import Input, Static

from studio.tui.editor.fields import Field
from studio.tui.editor.stepper import Stepper
from studio.tui.messages import Typed

SWITCH: Final[tuple[str, ...]] = ("yes", "no")


class FieldInput(Input):
    """A typed field that tells the screen at once, without a layout for every key."""

    value: reactive[str] = reactive("", layout=False, init=False)
    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)

    def __init__(self, key: str, text: str) -> None:
        super().__init__(id=f"field-{key}", compact=True, select_on_focus=True)
        self.set_reactive(FieldInput.value, text)  # without the message that a change is told by
        self.cursor_position = len(text)
        self._key = key

    def validate(self, value: str) -> None:
        """Do nothing: what is typed is judged by the engine, and styles need not be looked up for every key."""

    def on_input_changed(self, event: Input.Changed) -> None:
        """Pass on what is typed, past all that lies between."""
        event.stop()
        self.screen.post_message(Typed(self._key, event.value))


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
        if control.value == text:
            return
        if isinstance(control, Stepper):
            control.value = text
            return
        with control.prevent(Input.Changed):
            control.value = text
            control.cursor_position = len(text)

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
