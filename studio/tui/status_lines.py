"""The lines that speak: above, what to do here; below, what just happened, and the keys.

Invariant: what is said stands until it is out of date, and is kept among the messages; names and paths are never read
as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final, Literal, TypeAlias

from textual import events
from textual.content import Content
from textual.reactive import reactive
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static

from studio.tui.keys import Key, key_shown

Tone: TypeAlias = Literal["plain", "good", "warn", "bad", "busy"]
_MARKS: Final[dict[Tone, tuple[str, str]]] = {
    "plain": ("", ""),
    "good": ("✓ ", "$success"),
    "warn": ("! ", "$warning"),
    "bad": ("✗ ", "$error"),
    "busy": ("… ", "$secondary"),
}
_STAYS_S: Final[dict[Tone, float]] = {"plain": 12.0, "good": 20.0, "warn": 30.0, "bad": 60.0}
"""How long a sentence stands; it can be read again among the messages. What is going on stays."""
_FULL: Final = "▰"
_EMPTY: Final = "▱"
_BAR: Final = 10


class HintLine(Widget):
    """What to do where the focus is."""

    sentence: reactive[str] = reactive("")

    def __init__(self) -> None:
        super().__init__(id="hint")

    def render(self) -> Content:
        """Return the line."""
        return Content(self.sentence)


class ToldLine(Static):
    """What just happened."""

    def __init__(self) -> None:
        super().__init__("", id="told", markup=False)
        self.sentence = ""
        """What is said, without its mark."""
        self._expiry: Timer | None = None

    def _expire(self) -> None:
        self._expiry = None
        self.sentence = ""
        self.update("")

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say something."""
        self.sentence = sentence
        if self._expiry is not None:
            self._expiry.stop()
        stays_s = _STAYS_S.get(tone)
        self._expiry = None if stays_s is None or not sentence else self.set_timer(stays_s, self._expire)
        mark, style = _MARKS[tone]
        self.update(Content.styled(mark, f"bold {style}") + Content(sentence) if mark else Content(sentence))

    def tell_progress(self, sentence: str, done: int, total: int) -> None:
        """Say what is being done, with how far it is."""
        full = _BAR * done // total if total else 0
        self.tell(f"{sentence} {_FULL * full}{_EMPTY * (_BAR - full)} {done} of {total}", "busy")


class KeyLine(Widget):
    """The keys used most, at most eight; a click on one does what it does."""

    def __init__(self, keys: Iterable[Key], keymap: Mapping[str, str]) -> None:
        """Set up.

        Args:
            keys: The keys of the screen; those for the footer are shown.
            keymap: Keys given by a settings file.
        """
        super().__init__(id="keys")
        self._keys = [(key, key_shown(key, dict(keymap)).replace("Ctrl+", "^")) for key in keys if key.in_footer]

    def render(self) -> Content:
        """Return the line."""
        line = Content("")
        for key, shown in self._keys:
            line += Content.styled(f" {shown} ", "bold $accent") + Content(f"{key.label} ")
        return line

    async def on_click(self, event: events.Click) -> None:
        """Do what the key under the pointer does."""
        place = 1
        for key, shown in self._keys:
            place += len(shown) + len(key.label) + 3
            if event.x < place:
                if not await self.app.run_action(key.action, default_namespace=self.screen):
                    await self.app.run_action(key.action)
                return
