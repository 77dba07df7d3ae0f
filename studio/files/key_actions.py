"""The studio's actions that a settings file can bind a key to; here since both front ends read that file."""

from __future__ import annotations

from typing import Final

KEY_ACTIONS: Final = frozenset(
    {
        "help", "palette", "quit", "export", "undo", "redo", "flip", "zoom", "checks", "batch",
        "name", "face", "artwork", "blank", "surface", "open-preview",
    }
)  # fmt: skip
