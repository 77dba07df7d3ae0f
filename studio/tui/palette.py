"""The palette's list of everything that can be chosen by name: blanks, surfaces, artwork, faces.

Invariant: a choice made here is the same change as one made in its field.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider

from studio.tui.editor.choices import entries_for
from studio.tui.editor.fields import FIELDS

if TYPE_CHECKING:
    from studio.tui.context import StudioContext

CHOSEN: Final = ("artwork", "face", "blank", "surface")


class ChoiceCommands(Provider):
    """Finds `Face: Lobster` and its like."""

    async def discover(self) -> Hits:
        """Return nothing for the empty question: the actions stand there."""
        nothing: tuple[DiscoveryHit, ...] = ()
        for hit in nothing:
            yield hit

    async def search(self, query: str) -> Hits:
        """Return the choices that match."""
        app = cast("StudioContext", self.app)
        if self.screen is not app.editor_screen:
            return
        matcher = self.matcher(query)
        for key in CHOSEN:
            for entry in entries_for(key, "", app.catalogue):
                title = f"{FIELDS[key].label}: {entry.title}"
                score = matcher.match(title)
                if score > 0:
                    yield Hit(
                        score,
                        matcher.highlight(title),
                        partial(app.take, key, entry.value),
                        help=entry.detail,
                    )
