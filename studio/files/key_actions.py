"""The studio's actions that a settings file can bind a key to; here since both front ends read that file."""

from __future__ import annotations

from typing import Final

KEY_ACTIONS: Final = frozenset(
    {
        "help", "palette", "quit", "theme", "cells", "wood", "picture", "name", "look", "folder",
        "flip", "loupe", "mend", "names", "make", "undo", "redo", "limits", "findings", "fresh",
        "open-list", "rows", "fix", "next-bad", "list-flip", "mark", "list-folder", "back", "run", "stop",
        "loupe-left", "loupe-right", "loupe-up", "loupe-down", "loupe-larger", "loupe-smaller", "next-weak",
    }
)  # fmt: skip
