"""What the app offers its screens and widgets, so that they need not know the app."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from studio.model.options import Value
from studio.orders.told import KnownList
from studio.storage.catalogue import Catalogue
from studio.terminal.cells import CellKind
from studio.terminal.palette import Depth
from studio.tui.saved.memory import Habits

if TYPE_CHECKING:
    from textual.screen import Screen

    from studio.tui.editor.draft import SignDraft
    from studio.tui.engine.service import SharedAssets
    from studio.tui.preview.strips import Drawn
    from studio.tui.preview.view import View
    from studio.tui.saved.preview import KeptPicture


class StudioContext(Protocol):
    """The app as its screens see it."""

    habits: Habits
    said: list[tuple[float, str]]
    keymap: dict[str, str]
    kept_picture: KeptPicture
    shared: SharedAssets

    @property
    def catalogue(self) -> Catalogue:
        """What can be chosen by name."""
        ...

    @property
    def known_lists(self) -> tuple[KnownList, ...]:
        """Kinds of lists that the settings know."""
        ...

    @property
    def house(self) -> Mapping[str, Value]:
        """Option values that hold before anything is typed."""
        ...

    @property
    def colour_depth(self) -> Depth:
        """How many colours pictures may be drawn in."""
        ...

    @property
    def cell_kind(self) -> CellKind:
        """The cells that pictures are drawn with."""
        ...

    @property
    def editor_screen(self) -> Screen[Any]:
        """The screen on which one sign is made."""
        ...

    def take(self, key: str, value: str) -> None:
        """Choose a value of an option in the editor."""
        ...

    def choose_theme(self, name: str) -> None:
        """Show the studio in the colours of a theme, and keep to them."""
        ...

    def keep_draft(self, state: SignDraft) -> None:
        """Keep the sign for next time."""
        ...

    def keep_habits(self, **changes: Any) -> None:
        """Keep how the maker likes to work."""
        ...

    def note_picture(self, state: SignDraft, view: View, drawn: Drawn) -> bool:
        """Take note of the picture to be kept with the sign; tell whether it is another than before."""
        ...

    def note_made(self, file: Path) -> None:
        """Take note of a print, to be told at the end."""
        ...

    def open_list(self, path: str | None, *, with_look: bool = True) -> None:
        """Go to the list of names, opening a file when one is given; with the single sign's look or without."""
        ...
