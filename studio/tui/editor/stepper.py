"""A field whose value is one of several: stepped through with the arrow keys, or chosen from a list.

Invariant: it shows its value as it is, known or not.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.widget import Widget

from studio.tui.messages import Typed, WantsList
from studio.tui.wording import file_shown


class Stepper(Widget, can_focus=True):
    """One line: `‹ value ›`."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Before", show=False),
        Binding("right", "step(1)", "Next", show=False),
        Binding("enter,space", "open", "Choose", show=False),
        Binding("up", "screen.go(-1)", "Field above", show=False),
        Binding("down", "screen.go(1)", "Field below", show=False),
    ]
    value: reactive[str] = reactive("")

    def __init__(self, key: str, value: str, values: Callable[[], tuple[str, ...]], *, opens_list: bool) -> None:
        """Set up.

        Args:
            key: The field's key.
            value: What it holds at first.
            values: Gives what is stepped through.
            opens_list: Whether Enter opens a list; otherwise it steps on.
        """
        super().__init__(id=f"field-{key}")
        self.set_reactive(Stepper.value, value)
        self.key = key
        self._values = values
        self._opens_list = opens_list

    def render(self) -> Text:
        """Return the line."""
        return Text(f"‹ {self._shown} ›", no_wrap=True, end="")

    @property
    def _shown(self) -> str:
        """The value as far as there is room; of a file its own name, not the way to it."""
        room = max(1, self.size.width - 4)
        value = file_shown(self.value) if len(self.value) > room else self.value
        return value if len(value) <= room else f"{value[: room - 1]}…"

    def action_step(self, steps: int) -> None:
        """Go on or back by some values; at the end it begins again."""
        values = self._values()
        if not values:
            return
        here = values.index(self.value) if self.value in values else -1 if steps > 0 else 0
        self.screen.post_message(Typed(self.key, values[(here + steps) % len(values)], is_choice=True))

    def action_open(self) -> None:
        """Open the list, or step on where there is none."""
        if self._opens_list:
            self.post_message(WantsList(self.key))
        else:
            self.action_step(1)

    def on_key(self, event: events.Key) -> None:
        """A letter opens the list, narrowed by it."""
        if self._opens_list and event.is_printable and event.character and event.character != " ":
            event.stop()
            event.prevent_default()
            self.post_message(WantsList(self.key, event.character))

    def on_click(self, event: events.Click) -> None:
        """A click on an arrow steps that way; elsewhere it does what Enter does."""
        if event.x <= 1:
            self.action_step(-1)
        elif event.x in (len(self._shown) + 2, len(self._shown) + 3):
            self.action_step(1)
        else:
            self.action_open()

    def on_paste(self, event: events.Paste) -> None:
        """A file dropped here opens the list with its path."""
        if self._opens_list:
            event.stop()
            self.post_message(WantsList(self.key, event.text.strip()))
