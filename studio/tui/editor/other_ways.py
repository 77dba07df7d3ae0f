"""The best ways to set the name in the editor, stepped through with one key, each told with its price in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from studio.pipeline.composing_notes import other_ways
from studio.tui.editor.autosave import Remembering
from studio.tui.editor.draft import TEXT, SignDraft

if TYPE_CHECKING:
    from studio.layout.placement import Composed
    from studio.model.options import Value
    from studio.tui.engine.engine import Answer

MOST_WAYS: Final = 3


@dataclass(frozen=True, slots=True)
class Way:
    """One way to set the name: what it changes in the editor, and what is said of it."""

    changes: Mapping[str, Value]
    words: str


class OtherWays:
    """The ways of one name, and which of them is in the editor."""

    def __init__(self) -> None:
        self._ways: tuple[Way, ...] = ()
        self._at = 0

    def step(self, state: SignDraft, answer: Answer | None) -> tuple[Mapping[str, Value], str]:
        """Return what the next way changes in the editor, and a sentence; nothing changes where there is no other.

        Args:
            state: What is in the editor.
            answer: What is known of it.
        """
        lying = {key: state.value(key) for key in (TEXT, "layout")}
        if not self.is_of(lying):
            planned = None if answer is None or answer.ask.state != state else answer.planned
            if planned is None or planned.placement is None or planned.placement.letterings[0].composed is None:
                return {}, "The sign is still being set, or is set as large as fits. Try again in a moment."
            self.take(planned.placement.letterings[0].composed, lying)
        found = self.next()
        if found is None:
            return {}, "There is no other way that comes near this one."
        return found[0].changes, f"{found[1]}: {found[0].words}. Ctrl+Z undoes it."

    def take(self, composed: Composed, as_it_is: Mapping[str, Value]) -> None:
        """Take over what was weighed for a name, the way it was set first."""
        others = other_ways(composed)[: MOST_WAYS - 1]
        self._at = 0
        self._ways = (
            Way(as_it_is, composed.reason),
            *(Way(dict(as_it_is) | dict(other.changes), other.words) for other in others),
        )

    def is_of(self, lying: Mapping[str, Value]) -> bool:
        """Whether what is in the editor is the way that was stepped to last."""
        return bool(self._ways) and dict(self._ways[self._at].changes) == dict(lying)

    def next(self) -> tuple[Way, str] | None:
        """Step to the next way, and return it with its place such as `2 of 3`; `None` when there is only one."""
        if len(self._ways) < 2:
            return None
        self._at = (self._at + 1) % len(self._ways)
        return self._ways[self._at], f"{self._at + 1} of {len(self._ways)}"


class ShowingWays(Remembering):
    """The part of the editor that shows other ways to set the name."""

    _ways: OtherWays | None = None

    def state_changed(self, typed: str | None = None) -> None:
        """Show a changed state everywhere; for the screen to fill in."""
        raise NotImplementedError

    def action_other_way(self) -> None:
        """Set the name in the next best way: other breaks, an arc, other sizes."""
        self._ways = self._ways or OtherWays()
        changes, sentence = self._ways.step(self.editor.state, self.answer)
        if changes and self.editor.put(changes, "the way it is set"):
            self.state_changed()
        self.tell(sentence, "good" if changes else "plain")
