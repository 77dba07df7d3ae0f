"""The one question that the studio asks: a file of that name is there already.

Invariant: Escape and the first focus are the answer that loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, Literal, TypeAlias

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Static

Chosen: TypeAlias = Literal["keep-both", "replace", "leave"]


class ReplaceScreen(ModalScreen[Chosen]):
    """Asks what to do about files that are in the way."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "choose('leave')", "Leave", show=False),
        Binding("k", "choose('keep-both')", "Keep both", show=False),
        Binding("r", "choose('replace')", "Replace", show=False),
        Binding("left", "app.focus_previous", show=False),
        Binding("right", "app.focus_next", show=False),
    ]

    def __init__(self, files: Sequence[Path]) -> None:
        super().__init__()
        self._files = tuple(files)

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = "There already"
            names = "\n".join(f"  {file.name}" for file in self._files[:5])
            yield Static(f"In {self._files[0].parent}:\n{names}", markup=False)
            with Horizontal(classes="buttons"):
                yield Button("Keep both (k)", id="keep-both", variant="primary")
                yield Button("Replace (r)", id="replace", variant="warning")
                yield Button("Leave (Esc)", id="leave")

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Answer."""
        event.stop()
        self.action_choose(event.button.id or "leave")

    def action_choose(self, answer: str) -> None:
        """Answer."""
        answers: dict[str, Chosen] = {"keep-both": "keep-both", "replace": "replace"}
        self.dismiss(answers.get(answer, "leave"))
