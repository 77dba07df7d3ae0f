"""What the editor keeps from one time to the next: the sign as typed, and its picture as it was last shown.

Invariant: a kept picture stands only until the first answer, and never in place of one; what is kept of a picture is
that of the sign in the editor, whole and as it is read.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from textual.strip import Strip
from textual.timer import Timer

from studio.tui.editor.saving import Making
from studio.tui.saved.preview import is_plain

if TYPE_CHECKING:
    from studio.tui.editor.draft import SignDraft
    from studio.tui.engine.engine import Answer
    from studio.tui.preview.view import View

DRAFT_AFTER_S: Final = 0.5


class Remembering(Making):
    """The part of the editor that remembers."""

    _draft_timer: Timer | None = None

    def is_picture_kept(self) -> bool:
        """Whether a picture of the sign was kept, so that the engine may wait until that stands."""
        return self.studio.kept_picture.is_of(self.editor.state)

    def kept_lines(self, state: SignDraft, view: View) -> list[Strip] | None:
        """Return the lines kept for a question; `None` where there are none for this very one."""
        kept = self.studio.kept_picture
        lower = replace(view, rows=view.rows - 1)  # the words beneath may take two lines, and are not there yet
        return kept.lines_for(state, view) or kept.lines_for(state, lower)

    def keep_soon(self) -> None:
        """Keep the sign for next time, a little later, so that not every letter is written."""
        if self._draft_timer is None and not self.editor.is_trying:
            self._draft_timer = self.set_timer(DRAFT_AFTER_S, self._keep)

    def _keep(self) -> None:
        self._draft_timer = None
        self.studio.keep_draft(self.editor.history.state)

    def answered(self, answer: Answer) -> None:
        """Keep a picture that is worth it."""
        if self.note_picture():
            self.keep_soon()

    def note_picture(self) -> bool:
        """Have the picture kept with the sign, where it is that of the whole sign; tell whether it is a new one."""
        answer, editor = self.answer, self.editor
        if answer is None or answer.painted is None or answer.planned is None or answer.faults:
            return False
        if editor.is_trying or answer.ask.state != editor.history.state or not is_plain(answer.ask.view):
            return False
        return self.studio.note_picture(answer.ask.state, answer.ask.view, answer.painted.drawn)
