"""One field of a station: its label, where it is typed or chosen, and beneath it what is wrong, in words.

Invariant: what is typed is never refused or changed; it is told beside the field when it will not do.
"""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.geometry import Size
from textual.reactive import Reactive, reactive
from textual.widgets import Input, Label, Static

from studio.tui.fields import Field
from studio.tui.messages import Typed
from studio.tui.widgets.stepper import Stepper

SWITCH: tuple[str, ...] = ("yes", "no")


class FieldInput(Input):
    """A typed field that tells the screen at once, without a layout for every key."""

    value: reactive[str] = reactive("", layout=False, init=False)
    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)

    def __init__(self, key: str) -> None:
        super().__init__(id=f"field-{key}", compact=True, select_on_focus=True)
        self._key = key

    def on_input_changed(self, event: Input.Changed) -> None:
        """Pass on what is typed, past all that lies between."""
        event.stop()
        self.screen.post_message(Typed(self._key, event.value))


class FieldRow(Vertical):
    """A field."""

    def __init__(self, field: Field, values: Callable[[], tuple[str, ...]]) -> None:
        """Set up.

        Args:
            field: Which field.
            values: Gives what a chosen field is stepped through.
        """
        super().__init__(id=f"row-{field.key}", classes="fine" if field.is_fine else "")
        self.field = field
        self._values = values
        self._fault = ""

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Horizontal(classes="field-line"):
            yield Label(self.field.label, classes="field-label")
            yield self._control()
        yield Static("", classes="fault", markup=False)

    @property
    def control(self) -> Input | Stepper:
        """Where it is typed or chosen."""
        found = self.query_one(f"#field-{self.field.key}")
        assert isinstance(found, Input | Stepper)
        return found

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
        if sentence == self._fault:
            return
        self._fault = sentence
        self.query_one(".fault", Static).update(f"✗ {sentence}" if sentence else "")
        self.set_class(bool(sentence), "faulty")

    def _control(self) -> Input | Stepper:
        field = self.field
        if field.kind == "typed":
            return FieldInput(field.key)
        values = self._values if field.kind == "list" else (lambda: SWITCH if field.kind == "switch" else field.choices)
        return Stepper(field.key, values, opens_list=field.kind == "list")
