"""True pictures as part of a screen: asked for when the hand rests, shown while the screen is in front and unchanged.

Invariant: the picture is taken away before the sign changes, before another screen comes, and before the room changes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from studio.tui.preview.looking import Looking
from studio.tui.preview.picture import Picture
from studio.tui.preview.true_picture import TruePainter

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from studio.tui.engine.engine import Answer


class TrueLooking(Looking):
    """The part of a screen that shows its sign as a true picture."""

    _asked = 0
    _painter: TruePainter | None = None

    def _draw_true(self) -> None:
        """Draw the true picture of what is shown, on a thread, where the terminal takes one."""
        answer = self.answer
        if answer is not None and self.studio.overlay.is_on and self.is_current:
            self.run_worker(
                lambda: self._true_in_thread(answer), thread=True, group="true", exclusive=True, exit_on_error=False
            )

    def _true_painter(self) -> TruePainter:
        if self._painter is None:
            self._painter = TruePainter()
        return self._painter

    def _true_in_thread(self, answer: Answer) -> None:
        pixels = self._true_painter().pixels(answer, self.studio.shared.get())
        if pixels is not None:
            self.app.call_from_thread(self._show_true, answer.ask.number, pixels)

    def _show_true(self, number: int, pixels: NDArray[np.uint8]) -> None:
        """Show a true picture, unless anything has changed or lies over it meanwhile."""
        picture = self.query_one(Picture)
        view = None if self.answer is None else self.answer.ask.view
        is_newest = number == self._asked and view is not None and picture.size == (view.columns, view.rows)
        if is_newest and self.is_current and self.studio.overlay.is_on:
            place = picture.content_region
            self.studio.overlay.show(pixels, place.x, place.y, place.width, place.height)

    def on_screen_suspend(self) -> None:
        """Take the true picture away from under what comes."""
        self.studio.overlay.remove()

    def on_screen_resume(self) -> None:
        """Show it again."""
        self._draw_true()
