"""One widget drawn at once, where the terminal app would wait for its next beat.

Invariant: nothing but the widget's own changed lines is drawn; whatever else waits to be drawn goes on waiting.
"""

from __future__ import annotations

from textual.widget import Widget


def draw_at_once(widget: Widget) -> bool:
    """Draw what a widget has marked as changed; tell whether that could be done.

    The app gathers changes and draws them together, sixty times a second; a picture that a hand waits for would lose
    half a beat. Where the screen is about to be drawn whole, or is not the one in front, the app's own way is left to
    it.
    """
    screen, app = widget.screen, widget.app
    if not screen.is_current or screen._repaint_required or app._batch_count:
        return False
    waiting = screen._dirty_widgets - {widget}
    screen._compositor.update_widgets({widget})
    screen._compositor_refresh()
    screen._dirty_widgets.update(waiting)
    return True
