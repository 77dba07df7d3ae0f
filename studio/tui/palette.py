"""The menu: every action of the screen, and everything that can be chosen by name; what was taken lately comes first.

Invariant: a choice made here is the same change as one made in its field or by its key.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Any, Final, cast

from textual.app import SystemCommand
from textual.command import DiscoveryHit, Hit, Hits, Provider

from studio.tui.editor.choices import entries_for
from studio.tui.editor.fields import FIELDS
from studio.tui.themes import SAID

if TYPE_CHECKING:
    from studio.tui.context import StudioContext

CHOSEN: Final = ("artwork", "face", "blank", "surface")
MOST_RECENT: Final = 5
_RECENT_COUNTS: Final = 0.2
"""How much nearer to a question a choice counts that was made lately; a match is from 0 to 1 and more."""


class MenuCommands(Provider):
    """Finds actions, and `Face: Lobster` and its like."""

    @property
    def _studio(self) -> StudioContext:
        return cast("StudioContext", self.app)

    async def discover(self) -> Hits:
        """Return for the empty question what was taken lately, then every action and the colours."""
        everything = {one.title: one for one in self._everything()}
        recent = [everything[title] for title in self._studio.habits.recent.splitlines() if title in everything]
        taken = {one.title for one in recent}
        plain = [one for one in (*self._actions(), *self._themes()) if one.title not in taken]
        for one in (*recent, *plain):
            yield DiscoveryHit(one.title, partial(self._take, one), help=one.help)

    async def search(self, query: str) -> Hits:
        """Return what matches; what was taken lately stands before its like."""
        recent = self._studio.habits.recent.splitlines()
        matcher = self.matcher(query)
        for one in self._everything():
            score = matcher.match(one.title)
            if score > 0:
                score += _RECENT_COUNTS if one.title in recent else 0.0
                yield Hit(score, matcher.highlight(one.title), partial(self._take, one), help=one.help)

    def _everything(self) -> Iterator[SystemCommand]:
        yield from self._actions()
        yield from self._themes()
        if self.screen is not self._studio.editor_screen:
            return
        for key in CHOSEN:
            for entry in entries_for(key, "", self._studio.catalogue):
                take = partial(self._studio.take, key, entry.value)
                yield SystemCommand(f"{FIELDS[key].label}: {entry.title}", entry.detail, take)

    def _actions(self) -> Iterator[SystemCommand]:
        yield from self.app.get_system_commands(self.screen)

    def _themes(self) -> Iterator[SystemCommand]:
        for name, (title, told) in SAID.items():
            yield SystemCommand(f"Colours: {title}", told, partial(self._studio.choose_theme, name))

    def _take(self, one: SystemCommand) -> Any:
        """Run what was taken, and put it first next time."""
        others = [title for title in self._studio.habits.recent.splitlines() if title != one.title]
        self._studio.keep_habits(recent="\n".join([one.title, *others][:MOST_RECENT]))
        return one.callback()
