"""The drawing of a sign on its sheets: the sign in characters, seams across it, moved by the arrow keys."""

from __future__ import annotations

from typing import ClassVar

from textual.app import RenderResult
from textual.binding import BindingType
from textual.content import Content
from textual.events import Resize
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from studio.tui.keys import ON_A_SEAM, bindings


class SeamView(Widget, can_focus=True):
    """The drawing; arrow keys move the seam that is chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(ON_A_SEAM)]
    lines: reactive[tuple[str, ...]] = reactive(())

    class Moved(Message):
        """A seam is to be moved, by so many steps to the right and up as the sign is read."""

        def __init__(self, right: float, up: float) -> None:
            super().__init__()
            self.right, self.up = right, up

    class Chosen(Message):
        """The next seam is to be chosen, or all put back where they cost least."""

        def __init__(self, what: str) -> None:
            super().__init__()
            self.what = what

    class Grown(Message):
        """There is another amount of room."""

    def render(self) -> RenderResult:
        """Return the drawing in the middle of its room."""
        wide = max((len(line) for line in self.lines), default=0)
        left = " " * max(0, (self.size.width - wide) // 2)
        content = Content("")
        for line in self.lines:
            for place, character in enumerate(left + line):
                is_seam = character in "═║" or (character.isupper() and place in (0, len(left + line) - 1))
                content += Content.styled(character, "bold $accent") if is_seam else Content(character)
            content += Content("\n")
        return content

    def on_resize(self, event: Resize) -> None:
        """Ask for a drawing of another size."""
        self.post_message(self.Grown())

    def action_seam(self, right: float, up: float) -> None:
        """Move the seam that is chosen."""
        self.post_message(self.Moved(right, up))

    def action_seam_best(self) -> None:
        """Put the seams back where they cost least."""
        self.post_message(self.Chosen("best"))

    def action_seam_next(self) -> None:
        """Choose the next seam."""
        self.post_message(self.Chosen("next"))
