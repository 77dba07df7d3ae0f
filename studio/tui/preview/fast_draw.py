"""Rows of one widget drawn at once, where the terminal app would wait for its next beat and look at every widget.

Invariant: what is drawn is what the app itself would draw there; where that cannot be told, it is left to the app.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.control import Control
from textual._compositor import CompositorUpdate
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget


class Rows(CompositorUpdate):
    """Rows of the screen, each from one column on."""

    def __init__(self, left: int, rows: Sequence[tuple[int, Strip]]) -> None:
        """Set up.

        Args:
            left: The column.
            rows: Each row of the screen with what stands there.
        """
        self.left = left
        self.rows = rows

    def render_segments(self, console: Console) -> str:
        """Return the rows as the terminal takes them."""
        move_to = Control.move_to
        return "".join(f"{move_to(self.left, y).segment.text}{strip.render(console)}" for y, strip in self.rows)


def draw_at_once(widget: Widget, rows: Sequence[int]) -> bool:
    """Draw rows of a widget anew; tell whether that could be done.

    The app gathers changes and draws them together, sixty times a second, each time putting the screen together from
    all widgets that the changes touch; a picture that a hand waits for would lose half a beat and some milliseconds.
    Where the screen is about to be drawn whole, is not the one in front, or where something lies over the widget or
    cuts it, the app's own way is left to it.
    """
    screen, app = widget.screen, widget.app
    if not screen.is_current or screen._repaint_required or app._batch_count:
        return False
    place = _place_of(widget)
    if place is None:
        return False
    down = widget.content_offset.y
    lines = [Region(0, row + down, place.width, 1) for row in rows if row + down < place.height]
    widget._styles_cache.set_dirty(*lines)
    drawn = Rows(place.x, [(place.y + line.y, widget.render_lines(line)[0]) for line in lines])
    app._display(screen, drawn)  # type: ignore[arg-type]  # every update of the compositor is taken
    return True


def _place_of(widget: Widget) -> Region | None:
    """Return where a widget stands on its screen; `None` unless all of it is in sight."""
    seen = widget.screen._compositor.visible_widgets
    if widget not in seen:
        return None
    place, clip = seen[widget]
    if place.size != widget.outer_size or not clip.contains_region(place):
        return None
    for other, (over, other_clip) in seen.items():  # from the front to the back
        if other is widget:
            return place
        if over.intersection(other_clip).overlaps(place):
            return None
    return None
