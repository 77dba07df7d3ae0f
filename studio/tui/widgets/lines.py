"""The two lines that speak: above, what to do here; below, what just happened.

Invariant: what is said stays until something else is said; names and paths are never read as markup.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from textual.content import Content
from textual.widgets import Static

Tone: TypeAlias = Literal["plain", "good", "warn", "bad", "busy"]
_MARKS: Final[dict[Tone, tuple[str, str]]] = {
    "plain": ("", ""),
    "good": ("✓ ", "$success"),
    "warn": ("! ", "$warning"),
    "bad": ("✗ ", "$error"),
    "busy": ("… ", "$secondary"),
}
STEPS_FULL: Final = "▰"
STEPS_EMPTY: Final = "▱"


class HintLine(Static):
    """What to do where the focus is."""

    def __init__(self) -> None:
        super().__init__("", id="hint", markup=False)


class ToldLine(Static):
    """What just happened."""

    def __init__(self) -> None:
        super().__init__("", id="told", markup=False)
        self.sentence = ""
        """What is said, without its mark."""

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say something."""
        self.sentence = sentence
        mark, style = _MARKS[tone]
        self.update(Content.styled(mark, f"bold {style}") + Content(sentence) if mark else Content(sentence))

    def tell_progress(self, sentence: str, done: int, total: int) -> None:
        """Say what is being done, with how far it is."""
        width = 10
        full = width * done // total if total else 0
        bar = STEPS_FULL * full + STEPS_EMPTY * (width - full)
        self.tell(f"{sentence} {bar} {done} of {total}", "busy")
