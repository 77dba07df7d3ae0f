"""Help for the part that has the focus, and every key of the screen.

Invariant: keys are told as they are bound now, a settings file's included.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Markdown

from studio.tui.dialogs.glossary import glossary_page
from studio.tui.editor.fields import FIELDS
from studio.tui.keys import Key, key_shown


class HelpScreen(ModalScreen[None]):
    """A sheet of help; Escape puts it away."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,f1,question_mark", "dismiss", "Back", show=False),
        Binding("down", "scroll(3)", show=False),
        Binding("up", "scroll(-3)", show=False),
        Binding("pagedown,space", "scroll(12)", show=False),
        Binding("pageup", "scroll(-12)", show=False),
        Binding("home", "go_to(0)", show=False),
        Binding("end", "go_to(-1)", show=False),
        Binding("w", "words", show=False),
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
        self._text = f"{about}\n\n# Keys\n\n| Key | What it does |\n|---|---|\n{rows}\n\n{glossary_page()}"

    _title = "Help"

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = self._title
            sheet.border_subtitle = "Esc closes · arrows scroll · w words"
            with VerticalScroll(id="help-text"):
                yield Markdown(self._text)

    def action_go_to(self, place: int) -> None:
        """Go to the beginning, or to the end."""
        text = self.query_one("#help-text", VerticalScroll)
        if place < 0:
            text.scroll_end(animate=False)
        else:
            text.scroll_home(animate=False)

    def action_words(self) -> None:
        """Show the glossary alone."""
        self.query_one(Markdown).update(glossary_page())
        self.action_go_to(0)

    def action_scroll(self, rows: int) -> None:
        """Scroll by some rows."""
        self.query_one("#help-text", VerticalScroll).scroll_relative(y=rows, animate=False)


class MessagesScreen(HelpScreen):
    """What was said lately, the newest first."""

    _title = "Messages"

    def __init__(self, said: Sequence[tuple[float, str]]) -> None:
        """Set up.

        Args:
            said: When, in seconds since 1970, and what; the newest last.
        """
        super().__init__("", (), {})
        lines = [
            f"- {time.strftime('%H:%M:%S', time.localtime(when))}  {_plain(what)}" for when, what in reversed(said)
        ]
        self._text = "\n".join(lines) or "There are no messages yet."


def _clock(when: float) -> str:
    return time.strftime("%H:%M:%S", time.localtime(when))


def _plain(text: str) -> str:
    """Return a sentence so that none of its characters is taken for Markdown."""
    return "".join(f"\\{letter}" if letter in "\\`*_[]<>#|" else letter for letter in text)


def help_for(widget: Widget) -> str:
    """Return the help of a widget or of what it lies in."""
    texts = []
    key = (widget.id or "").removeprefix("field-")
    if key in FIELDS:
        texts.append(f"# {FIELDS[key].label}\n\n{FIELDS[key].hint}")
    for node in widget.ancestors_with_self:
        if isinstance(node, Widget) and node.HELP:
            texts.append(node.HELP)
            break
    return "\n\n".join(texts)
