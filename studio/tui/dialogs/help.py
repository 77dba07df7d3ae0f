"""Help for the part that has the focus, and every key of the screen.

Invariant: keys are told as they are bound now, a settings file's included.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Markdown

from studio.tui.keys import Key, key_shown


class HelpScreen(ModalScreen[None]):
    """A sheet of help; Escape puts it away."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,f1", "dismiss", "Back", show=False),
        Binding("down", "scroll(3)", show=False),
        Binding("up", "scroll(-3)", show=False),
        Binding("pagedown,space", "scroll(12)", show=False),
        Binding("pageup", "scroll(-12)", show=False),
    ]

    def __init__(self, about: str, keys: Iterable[Key], keymap: Mapping[str, str]) -> None:
        """Set up.

        Args:
            about: What the focused part is for, in Markdown.
            keys: The keys of the screen.
            keymap: Keys given by a settings file.
        """
        super().__init__()
        rows = "\n".join(f"| {key_shown(key, dict(keymap))} | {key.told} |" for key in keys)
        self._text = f"{about}\n\n# Keys\n\n| Key | What it does |\n|---|---|\n{rows}\n"

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = "Help"
            sheet.border_subtitle = "Esc closes · arrows scroll"
            with VerticalScroll(id="help-text"):
                yield Markdown(self._text)

    def action_scroll(self, rows: int) -> None:
        """Scroll by some rows."""
        self.query_one("#help-text", VerticalScroll).scroll_relative(y=rows, animate=False)
