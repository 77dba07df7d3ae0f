"""A question with a few answers, each with a key of its own.

Invariant: Escape leaves everything as it is; the first focus is the answer that loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, Final, Literal, NamedTuple, TypeAlias

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Button, Static

Variant: TypeAlias = Literal["default", "primary", "warning"]
LEAVE: Final = "leave"


class Choice(NamedTuple):
    """An answer: what it is known by, its words, its key, and how its button looks."""

    name: str
    label: str
    key: str
    variant: Variant = "default"


class QuestionScreen(ModalScreen[str]):
    """Asks; gives the name of the answer, `leave` for none."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", f"choose('{LEAVE}')", "Leave", show=False),
        Binding("left", "app.focus_previous", show=False),
        Binding("right", "app.focus_next", show=False),
    ]

    def __init__(self, title: str, told: str, choices: tuple[Choice, ...]) -> None:
        """Set up.

        Args:
            title: What it is about.
            told: What is asked.
            choices: The answers, the one that loses nothing first.
        """
        super().__init__()
        self._title = title
        self._told = told
        self._choices = choices

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = self._title
            yield Static(self._told, markup=False)
            with Horizontal(classes="buttons"):
                for choice in self._choices:
                    yield Button(f"{choice.label} ({choice.key})", id=choice.name, variant=choice.variant)
                yield Button("Cancel (Esc)", id=LEAVE)

    def on_key(self, event: Key) -> None:
        """Answer by an answer's key."""
        chosen = next((choice.name for choice in self._choices if choice.key == event.key), None)
        if chosen is not None:
            event.stop()
            self.action_choose(chosen)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Answer."""
        event.stop()
        self.action_choose(event.button.id or LEAVE)

    def action_choose(self, answer: str) -> None:
        """Answer."""
        self.dismiss(answer)


KEEP_BOTH = Choice("keep-both", "Keep both", "k", "primary")
REPLACE = Choice("replace", "Replace", "r", "warning")


class ReplaceScreen(QuestionScreen):
    """Asks what to do about files that are in the way."""

    def __init__(self, files: Sequence[Path]) -> None:
        names = "\n".join(f"  {file.name}" for file in files[:5])
        super().__init__("File already exists", f"In {files[0].parent}:\n{names}", (KEEP_BOTH, REPLACE))


QUIT = Choice("quit", "Quit", "q", "warning")


class QuitScreen(QuestionScreen):
    """Asks before a list is left half made."""

    def __init__(self, told: str) -> None:
        super().__init__("A list is being made", told, (QUIT,))


GO_ON = Choice("go-on", "Resume", "r", "primary")
ANEW = Choice("anew", "Start over", "s", "warning")


class RunAgainScreen(QuestionScreen):
    """Asks whether to go on with a run."""

    def __init__(self, folder: Path) -> None:
        told = (
            f"{folder} already holds a run of a list.\n\n"
            "Resume keeps the signs that are whole and made from the same orders, and makes the rest. "
            "Start over replaces them."
        )
        super().__init__("This folder already has a run", told, (GO_ON, ANEW))
