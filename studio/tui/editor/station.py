"""A station of the editor: closed it tells in a line what was chosen there, open it shows its fields.

Invariant: opening and closing never moves the focus.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar, Final

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import Field, Station

_OPENED_FIRST: Final = ("name", "look", "wood", "picture", "make")


class StationTitle(Widget):
    """The line of a station: its key, its name, and what was chosen there."""

    summary: reactive[str] = reactive("")
    is_open: reactive[bool] = reactive(False)

    class Chosen(Message):
        """A station was clicked."""

        def __init__(self, station: str) -> None:
            super().__init__()
            self.station = station

    def __init__(self, station: Station, key: str, summary: str, *, is_open: bool) -> None:
        super().__init__(classes="station-title")
        self._station = station
        self._key = key
        self.set_reactive(StationTitle.summary, summary)
        self.set_reactive(StationTitle.is_open, is_open)

    def render(self) -> Text:
        """Return the line."""
        width = self.size.width
        mark = "▾" if self.is_open else "▸"
        head = f"{mark} {self._station.title}"
        told = self._station.question if self.is_open else self.summary
        room = max(0, width - 14 - len(self._key))
        if len(told) > room:
            told = f"{told[: max(0, room - 1)]}…"
        line = Text(f"{head:<12}", no_wrap=True, end="", style="bold")
        line.append(f"{told:<{room}} ", style="not bold italic" if self.is_open else "not bold")
        line.append(self._key, style="reverse" if self.is_open else "not bold")
        return line

    def on_click(self) -> None:
        """Go there."""
        self.post_message(self.Chosen(self._station.name))


class FinerLine(Widget, can_focus=True):
    """The line that shows and hides a station's finer points."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "turn", "Show or hide", show=False),
        Binding("up", "screen.go(-1)", "Field above", show=False),
        Binding("down", "screen.go(1)", "Field below", show=False),
    ]
    are_shown: reactive[bool] = reactive(False)

    class Turned(Message):
        """The finer points are to be shown or hidden."""

    def __init__(self, station: str, labels: str) -> None:
        super().__init__(id=f"finer-{station}", classes="finer-line")
        self._labels = labels

    def render(self) -> Text:
        """Return the line."""
        told = "– fewer" if self.are_shown else f"+ {self._labels}"
        room = max(1, self.size.width)
        return Text(told if len(told) <= room else f"{told[: room - 1]}…", no_wrap=True, end="")

    def action_turn(self) -> None:
        """Show or hide."""
        self.post_message(self.Turned())

    def on_click(self) -> None:
        """Show or hide."""
        self.action_turn()


class StationPane(Vertical):
    """A station with its fields."""

    class Grown(Message):
        """A station has more fields now."""

    def __init__(
        self,
        station: Station,
        key: str,
        summary: str,
        shown: Callable[[str], str],
        values: Callable[[str], tuple[str, ...]],
        *,
        is_open: bool,
    ) -> None:
        """Set up.

        Args:
            station: Which station.
            key: The key that leads there, as shown.
            summary: What was chosen there, in a line.
            shown: Gives what a field of a key holds.
            values: Gives what a field of a key is stepped through.
            is_open: Whether the fields are shown at first.
        """
        super().__init__(id=f"station-{station.name}", classes="station open" if is_open else "station")
        self.station = station
        self._key = key
        self._title = StationTitle(station, key, summary, is_open=is_open)
        self._shown = shown
        self._values = values
        self._has_finer = False

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield self._title
        with Vertical(classes="station-fields"):
            fine = [field for field in self.station.fields if field.is_fine]
            for field in self.station.fields:
                if not field.is_fine:
                    yield self._row(field)
            if fine:
                yield FinerLine(self.station.name, ", ".join(field.label.lower() for field in fine))

    def open(self, is_open: bool) -> None:
        """Show the fields, or the line alone."""
        if self.has_class("open") == is_open:
            return
        self.set_class(is_open, "open")
        self._title.is_open = is_open

    @property
    def row_count(self) -> int:
        """How many rows the fields take when they are open."""
        return rows_of(self.station, are_finer_shown=self.has_class("finer"))

    def show_summary(self, summary: str) -> None:
        """Tell what was chosen here."""
        self._title.summary = summary

    def show_finer(self, are_shown: bool) -> None:
        """Show or hide the finer points; their fields are made when they are first wanted."""
        self.set_class(are_shown, "finer")
        for line in self.query(FinerLine):
            line.are_shown = are_shown
        if are_shown and not self._has_finer:
            self._has_finer = True
            fine = [self._row(field) for field in self.station.fields if field.is_fine]
            self.query_one(".station-fields").mount_all(fine)
            self.call_after_refresh(self.post_message, self.Grown())

    def controls(self) -> list[Widget]:
        """Return what can be focused here, in reading order, whether or not it is in sight."""
        found: list[Widget] = []
        for child in self.query("FieldRow, FinerLine").results(Widget):
            if isinstance(child, FieldRow):
                if not child.field.is_fine or self.has_class("finer"):
                    found.append(child.control)
            else:
                found.append(child)
        return found

    def on_finer_line_turned(self, event: FinerLine.Turned) -> None:
        """Show or hide the finer points."""
        event.stop()
        self.show_finer(not self.has_class("finer"))

    def _row(self, field: Field) -> FieldRow:
        return FieldRow(field, self._shown(field.key), lambda: self._values(field.key))


def rows_of(station: Station, *, are_finer_shown: bool = False) -> int:
    """Return how many rows a station's fields take when it is open."""
    fine = sum(field.is_fine for field in station.fields)
    return len(station.fields) - (0 if are_finer_shown else fine) + (fine > 0)


def with_room(here: str, rows: Mapping[str, int], room: int) -> set[str]:
    """Return the stations to open in so many rows of the screen: that in use, then the most used ones.

    Args:
        here: The station in use.
        rows: How many rows the fields of each take.
        room: Rows of the screen that the stations' titles leave.
    """
    opened = set()
    for name in dict.fromkeys((here, *_OPENED_FIRST)):
        if name == here or rows[name] <= room:
            opened.add(name)
            room -= rows[name]
    return opened
