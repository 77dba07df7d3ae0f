"""A list to choose from, narrowed by typing; the sign shows each choice while one moves through it.

Invariant: nothing is taken over before Enter; Escape leaves all as it was.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.strip import Strip
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from studio.tui.editor.choices import ChoiceEntry
from studio.tui.editor.text_input import TextInput
from studio.tui.preview.picture import Lines
from studio.tui.wording import dropped_path


class Chooser(Vertical):
    """The list of a field."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
        Binding("pagedown", "move(8)", "Further down", show=False),
        Binding("pageup", "move(-8)", "Further up", show=False),
    ]
    HELP = """\
# Choosing

Move with the arrow keys: the sign shows each choice at once. Type to narrow the list. **Enter** takes the choice,
**Escape** leaves everything as it was.

For a file of your own, type its path or drop it on the terminal: `~/` or `./` begins a path, and folders open with
Enter.
"""

    class Tried(Message):
        """The cursor stands on a choice."""

        def __init__(self, key: str, value: str) -> None:
            super().__init__()
            self.key = key
            self.value = value

    class Taken(Message):
        """A choice was taken; `value` is `None` when the list was left."""

        def __init__(self, key: str, value: str | None) -> None:
            super().__init__()
            self.key = key
            self.value = value

    def __init__(self, key: str, title: str, hint: str, entries: Callable[[str], tuple[ChoiceEntry, ...]]) -> None:
        """Set up.

        Args:
            key: The field's key.
            title: What is chosen.
            hint: What can be typed, in a line.
            entries: Gives the entries for what is typed; may raise OSError.
        """
        super().__init__(classes="chooser")
        self.key = key
        self._hint = hint
        self._entries_for = entries
        self._entries: tuple[ChoiceEntry, ...] = ()
        self.border_title = f"{title} · Enter takes, Esc leaves"

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield TextInput(placeholder=self._hint, compact=True, select_on_focus=False, id="chooser-typed")
        yield OptionList(markup=False, compact=True, id="chooser-list")
        yield Static("", id="chooser-told", markup=False)
        if self.key == "artwork":
            yield Lines(id="chooser-small")

    @property
    def small_size(self) -> tuple[int, int] | None:
        """Columns and rows for the choice by itself; `None` where it is not shown."""
        shown = self.query(Lines)
        size = shown.first().size if shown else None
        return (size.width, size.height) if size else None

    def show_small(self, lines: list[Strip]) -> None:
        """Show the choice under the cursor by itself."""
        for shown in self.query(Lines):
            shown.show(lines)

    def begin(self, typed: str, current: str) -> None:
        """Fill the list and stand on the current value."""
        typing = self.query_one(Input)
        with typing.prevent(Input.Changed):
            typing.value = typed
            typing.cursor_position = len(typed)
        self.screen.set_focus(typing)
        typing.selection = type(typing.selection).cursor(len(typed))
        self._fill(typed, current)

    def type_on(self, typed: str) -> None:
        """Take what was typed before the list had the focus."""
        self.query_one(Input).insert_text_at_cursor(typed)

    def _fill(self, typed: str, current: str = "") -> None:
        told = self.query_one("#chooser-told", Static)
        try:
            self._entries = self._entries_for(typed)
            told.update("" if self._entries else "Nothing is called that. Type less, or a path such as ~/art/fern.png.")
        except OSError as problem:
            self._entries = ()
            told.update(f"{dropped_path(typed) or typed}: {(problem.strerror or 'cannot be read').lower()}.")
        listed = self.query_one(OptionList)
        listed.set_options([Option(_line(entry)) for entry in self._entries])
        if self._entries:
            names = [entry.value.casefold() for entry in self._entries]
            listed.highlighted = names.index(current.casefold()) if current.casefold() in names else 0

    @on(Input.Changed, "#chooser-typed")
    def _narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._fill(event.value)

    @on(OptionList.OptionHighlighted)
    def _tried(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_index < len(self._entries):
            entry = self._entries[event.option_index]
            if not entry.is_folder:
                self.post_message(self.Tried(self.key, entry.value))

    @on(Input.Submitted, "#chooser-typed")
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self._take(self.query_one(OptionList).highlighted)

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._take(event.option_index)

    def _take(self, place: int | None) -> None:
        if place is None or place >= len(self._entries):
            return
        entry = self._entries[place]
        if entry.is_folder:
            typing = self.query_one(Input)
            typing.value = entry.value
            typing.cursor_position = len(entry.value)
            return
        self.post_message(self.Taken(self.key, entry.value))

    def action_move(self, steps: int) -> None:
        """Move through the list while the typing goes on."""
        listed = self.query_one(OptionList)
        if self._entries:
            here = listed.highlighted or 0
            last = len(self._entries) - 1
            wraps = abs(steps) == 1
            listed.highlighted = (here + steps) % (last + 1) if wraps else min(max(here + steps, 0), last)

    def action_leave(self) -> None:
        """Leave all as it was."""
        self.post_message(self.Taken(self.key, None))


def _line(entry: ChoiceEntry) -> Content:
    line = Content(entry.title)
    return line + Content.styled(f"  {entry.detail}", "$text-muted") if entry.detail else line
