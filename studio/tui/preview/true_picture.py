"""The true picture of a sign over its cells, where the terminal shows one: drawn at rest, gone before any change.

Invariant: cells are always there beneath; what is not the newest sign, or is covered by anything, is taken away first.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from textual import events
from textual.app import SuspendNotSupported

from studio.terminal.graphics import REMOVED, ask, may_be_asked, shown
from studio.tui.preview.painter import Painter

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray
    from textual.app import App

    from studio.pipeline.types import Assets
    from studio.tui.engine.engine import Answer


class TruePainter:
    """Draws true pictures, on whichever thread it is called."""

    def __init__(self) -> None:
        self._painter: Painter | None = None

    def pixels(self, answer: Answer, assets: Assets) -> NDArray[np.uint8] | None:
        """Return the picture of an answer in pixels; `None` where there is none."""
        if answer.planned is None or answer.painted is None or answer.ask.view.is_empty:
            return None
        self._painter = self._painter or Painter(assets)
        return self._painter.paint_true(answer.planned.sign, answer.planned, answer.ask.view)


class Overlay:
    """What lies over the cells of one app's terminal.

    Attributes:
        is_on: Whether the terminal said that it shows true pictures, and they are wanted.
    """

    def __init__(self, app: App[None], environment: Mapping[str, str]) -> None:
        self._app = app
        self._environment = environment
        self._is_there = False
        self._typed = ""
        self.is_on = False

    def find(self) -> bool:
        """Ask the terminal whether it shows true pictures; nobody else may read its keys meanwhile."""
        stdin, screen = sys.__stdin__, sys.__stderr__
        if not may_be_asked(self._environment) or stdin is None or screen is None:
            return False

        def write(text: str) -> None:
            screen.write(text)
            screen.flush()

        try:
            self.is_on, self._typed = ask(write, stdin.fileno())
        except (ImportError, OSError, ValueError):  # no terminal of this kind
            self.is_on = False
        return self.is_on

    def find_while_running(self) -> bool:
        """Ask the terminal while the app rests for a moment."""
        if not may_be_asked(self._environment) or self._app.is_headless:
            return False
        try:
            with self._app.suspend():
                self.find()
        except SuspendNotSupported:
            return False
        self.type_again()
        return self.is_on

    def type_again(self) -> None:
        """Let the app have the letters that were typed while the terminal was asked."""
        typed, self._typed = self._typed, ""
        for letter in typed:
            self._app.post_message(events.Key("space" if letter == " " else letter, letter))

    def turn_off(self) -> None:
        """Show cells alone."""
        self.remove()
        self.is_on = False

    def show(self, pixels: NDArray[np.uint8], column: int, row: int, columns: int, rows: int) -> None:
        """Show a picture over cells."""
        self._write(shown(pixels, column, row, columns, rows))
        self._is_there = True

    def remove(self) -> None:
        """Take it away; nothing is written where nothing is there."""
        if self._is_there:
            self._is_there = False
            self._write(REMOVED)

    def _write(self, text: str) -> None:
        driver = self._app._driver
        if driver is not None:
            driver.write(text)
