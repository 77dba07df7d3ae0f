"""The picture of a sign in the terminal: lines that were painted elsewhere, changed line by line.

Invariant: drawing never waits; until a picture comes, the ground alone is shown.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import zip_longest
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from studio.tui.keys import UNDER_THE_LOUPE, bindings
from studio.tui.preview.fast_draw import draw_at_once


class Lines(Widget):
    """Shows painted lines."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._lines: list[Strip] = []

    def show(self, lines: list[Strip]) -> None:
        """Show other lines; only those that differ are drawn anew, and at once."""
        before, self._lines = self._lines, lines
        pairs = enumerate(zip_longest(before, lines))
        rows = [row for row, (old, new) in pairs if old is not new and old != new]
        if rows and not draw_at_once(self, rows):
            width = self.size.width
            self.refresh(*(Region(0, row, width, 1) for row in rows))

    def render_line(self, y: int) -> Strip:
        """Return one line, filled up to the width with the ground."""
        width = self.size.width
        line = self._lines[y] if y < len(self._lines) else Strip([])
        if line.cell_length == width:
            return line  # the ground's style takes longer to find out than a line to draw
        return line.adjust_cell_length(width, self.rich_style)


class Picture(Lines, can_focus=True):
    """The picture of a sign: passes on how much room there is, and where the loupe is led."""

    HELP = """\
# The sign

It is shown as the customer reads it. **F6** shows it as it prints, mirrored with its marks; **F7** shows the letters
large. Numbers in the picture are those of the findings below it.

Under the loupe the arrow keys move it, **+** and **-** set how large, **n** goes to the next weak place, and
**Escape** puts it away. **F12** draws with other characters: take the finest that shows no gaps; after the last
it asks the terminal for true pictures. **Ctrl+L** draws safe zone, open area and holes.
"""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(UNDER_THE_LOUPE)]

    class Resized(Message):
        """The picture has other room now."""

    class Typed(Message):
        """A letter was typed on the picture, which takes none."""

        def __init__(self, letter: str) -> None:
            super().__init__()
            self.letter = letter

    class Dragged(Message):
        """The picture was dragged by so many cells; it goes along with the hand.

        Attributes:
            right: Columns that the view goes to the right.
            up: Rows that it goes up.
        """

        def __init__(self, right: int, up: int) -> None:
            super().__init__()
            self.right = right
            self.up = up

    class Led(Message):
        """The loupe is to be moved, enlarged, or taken to the next weak place.

        Attributes:
            right: Steps to the right.
            up: Steps up.
            larger: Steps of enlargement.
            to_next: Whether the next weak place is meant.
        """

        def __init__(self, *, right: int = 0, up: int = 0, larger: int = 0, to_next: bool = False) -> None:
            super().__init__()
            self.right = right
            self.up = up
            self.larger = larger
            self.to_next = to_next

    def __init__(self, first: Callable[[Picture], list[Strip]], *, id: str | None = None) -> None:
        """Set up.

        Args:
            first: Gives the lines to begin with, once the picture's size and ground are known.
            id: The widget's id.
        """
        super().__init__(id=id)
        self.number = 0
        """Number of the question whose picture is shown."""
        self._held_at: tuple[int, int] | None = None
        self.lettering: int | None = None
        """The text that was asked for by itself; `None` for the whole sign."""
        self._first: Callable[[Picture], list[Strip]] | None = first

    def render_line(self, y: int) -> Strip:
        """Return one line; with the very first drawing come the lines to begin with."""
        if self._first is not None:
            first, self._first = self._first, None
            self._lines = self._lines or first(self)
        return super().render_line(y)

    def show_answer(self, lines: list[Strip], number: int) -> None:
        """Show the picture that answers a question."""
        self.number = number
        self.show(lines)

    def on_resize(self) -> None:
        """Tell that there is other room."""
        self.post_message(self.Resized())

    def on_key(self, event: events.Key) -> None:
        """Say why a letter goes nowhere."""
        if event.is_printable and event.character and event.character.isalnum() and event.character != "n":
            self.post_message(self.Typed(event.character))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Come closer."""
        event.stop()
        self.action_zoom(1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Show more of the sign."""
        event.stop()
        self.action_zoom(-1)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Take hold of the picture."""
        self._held_at = (event.x, event.y)
        self.capture_mouse()

    def on_mouse_up(self) -> None:
        """Let go of it."""
        self._held_at = None
        self.release_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Drag the picture, a cell's width at a time."""
        if self._held_at is None:
            return
        right, up = self._held_at[0] - event.x, event.y - self._held_at[1]
        if right or up:
            self._held_at = (event.x, event.y)
            self.post_message(self.Dragged(right, up))

    def action_pan(self, right: int, up: int) -> None:
        """Move the loupe."""
        self.post_message(self.Led(right=right, up=up))

    def action_zoom(self, steps: int) -> None:
        """Set how large the loupe shows."""
        self.post_message(self.Led(larger=steps))

    def action_next_weak(self) -> None:
        """Go to the next weak place."""
        self.post_message(self.Led(to_next=True))
