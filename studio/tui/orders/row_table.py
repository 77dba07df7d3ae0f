"""A table of any number of rows of which only those in sight are drawn.

Invariant: a line is asked for when it is drawn and never kept, so that opening a list costs nothing a row.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

Cell = tuple[str, str]
"""A text and the name of the component style that it is drawn in; empty for the plain one."""


class RowTable(ScrollView, can_focus=True):
    """Rows with a cursor."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "table--cursor",
        "table--good",
        "table--weak",
        "table--bad",
        "table--faint",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "go_to(0)", "First", show=False),
        Binding("end", "go_to(-1)", "Last", show=False),
        Binding("slash", "screen.search", "Search", show=False),
        Binding("space", "screen.mark", "Mark", show=False),
    ]
    HELP = """\
# The rows

Every order of the list, with what will become of it: **ok**, **warning** (it will blur or fill in
somewhere), **error** (no print can be made), and **made** once it is. The sign of the row under the
cursor is shown on the right.

**F4** goes to its text, face and layout; **F5** to the next row that will not come out well; **F7** marks a row, and
when rows are marked only those are made. **F10** makes them.
"""

    class Moved(Message):
        """The cursor stands on another row."""

        def __init__(self, place: int) -> None:
            super().__init__()
            self.place = place

    class Scrolled(Message):
        """Other rows are in sight."""

    def __init__(self, line: Callable[[int, int], list[Cell]], *, id: str | None = None) -> None:
        """Set up.

        Args:
            line: Gives a row's cells for its place and the width there is.
            id: The widget's id.
        """
        super().__init__(id=id)
        self._line = line
        self.count = 0
        self.cursor = 0

    def fill(self, count: int) -> None:
        """Show so many rows, the cursor on the first."""
        self.count, self.cursor = count, 0
        self.virtual_size = Size(1, count)
        self.scroll_to(y=0, animate=False)
        self.refresh()

    def show_row(self, place: int) -> None:
        """Draw a row anew."""
        y = place - round(self.scroll_offset.y)
        if 0 <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    @property
    def in_sight(self) -> tuple[int, int]:
        """The places of the first and the last row in sight."""
        first = round(self.scroll_offset.y)
        return first, min(self.count - 1, first + max(0, self.size.height - 1))

    def render_line(self, y: int) -> Strip:
        """Return one line."""
        width = self.size.width
        place = y + round(self.scroll_offset.y)
        plain = self.rich_style
        if place >= self.count:
            return Strip([Segment(" " * width, plain)], width)
        is_here = place == self.cursor
        here = self.get_component_rich_style("table--cursor") if is_here else Style()
        segments = [
            Segment(text, plain + (self.get_component_rich_style(f"table--{name}") if name and not is_here else here))
            for text, name in self._line(place, width)
        ]
        return Strip(segments).adjust_cell_length(width, plain + here)

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Tell that other rows are in sight."""
        super().watch_scroll_y(old_value, new_value)
        self.post_message(self.Scrolled())

    def action_go_to(self, place: int) -> None:
        """Put the cursor on a row; -1 is the last."""
        if self.count == 0:
            return
        before = self.cursor
        self.cursor = self.count - 1 if place < 0 else min(place, self.count - 1)
        self._show_cursor()
        self.show_row(before)
        self.show_row(self.cursor)
        if self.cursor != before:
            self.post_message(self.Moved(self.cursor))

    def _show_cursor(self) -> None:
        first, last = self.in_sight
        if self.count and not first <= self.cursor <= last:
            top = self.cursor if self.cursor < first else self.cursor - self.size.height + 1
            self.scroll_to(y=top, animate=False)

    def action_move(self, rows: int) -> None:
        """Move the cursor."""
        self.action_go_to(max(0, self.cursor + rows))

    def action_page(self, pages: int) -> None:
        """Move the cursor by what is in sight."""
        self.action_move(pages * max(1, self.size.height - 1))

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where the click was."""
        self.action_go_to(round(self.scroll_offset.y) + event.y)

    def on_resize(self) -> None:
        """Keep the cursor's row in sight."""
        self.virtual_size = Size(1, self.count)
        self._show_cursor()
