"""The question before a list is made into a folder that holds a run already.

Invariant: Escape changes nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar, Literal, TypeAlias

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Static

Chosen: TypeAlias = Literal["go-on", "anew", "leave"]


class RunAgainScreen(ModalScreen[Chosen]):
    """Asks whether to go on with a run."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "choose('leave')", "Leave", show=False),
        Binding("g", "choose('go-on')", "Go on", show=False),
        Binding("a", "choose('anew')", "All anew", show=False),
        Binding("left", "app.focus_previous", show=False),
        Binding("right", "app.focus_next", show=False),
    ]

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = "Begun before"
            yield Static(
                f"{self._folder} holds signs of a list already.\n\n"
                "Going on keeps those that are whole and made from the same orders, and makes the rest. "
                "Making anew replaces them.",
                markup=False,
            )
            with Horizontal(classes="buttons"):
                yield Button("Go on (g)", id="go-on", variant="primary")
                yield Button("All anew (a)", id="anew", variant="warning")
                yield Button("Leave (Esc)", id="leave")

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Answer."""
        event.stop()
        self.action_choose(event.button.id or "leave")

    def action_choose(self, answer: str) -> None:
        """Answer."""
        answers: dict[str, Chosen] = {"go-on": "go-on", "anew": "anew"}
        self.dismiss(answers.get(answer, "leave"))
