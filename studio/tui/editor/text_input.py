"""A line to type in that acts on all of its own keys itself, letters and others alike, in the order pressed.

Invariant: a key that the line has an action for never leaves it.
"""

from __future__ import annotations

from typing import Final

from textual import events
from textual.widgets import Input
from textual.widgets.input import Selection

_LEADS_AWAY: Final = frozenset({"enter", "up", "down"})
"""Keys of the line after which others may be meant for another place."""


class TextInput(Input):
    """A line of text."""

    def takes(self, event: events.Key) -> bool:
        """Whether a key changes nothing but this line."""
        return event.is_printable or (event.key not in _LEADS_AWAY and bool(self._actions(event.key)))

    @property
    def is_all_selected(self) -> bool:
        """Whether the next letter replaces all that stands here."""
        return bool(self.value) and self.selection == Selection(0, len(self.value))

    def select_whole(self) -> None:
        """Let the next letter replace all that stands here, whether or not the focus is here yet."""
        self.selection = Selection(0, len(self.value))

    def _actions(self, key: str) -> list[str]:
        return [one.action for one in self._bindings.key_to_bindings.get(key, ()) if not one.priority]

    async def _on_key(self, event: events.Key) -> None:
        """Run the line's own action for a key; letters are put in by the class below."""
        if event.is_printable:
            return
        for action in self._actions(event.key):
            if await self.app.run_action(action, self):
                event.stop()
                event.prevent_default()
                return
