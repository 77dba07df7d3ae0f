"""The one question that the studio asks: a file of that name is there already."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from studio.tui.screens.question import Choice, QuestionScreen

KEEP_BOTH = Choice("keep-both", "Keep both", "k", "primary")
REPLACE = Choice("replace", "Replace", "r", "warning")


class ReplaceScreen(QuestionScreen):
    """Asks what to do about files that are in the way."""

    def __init__(self, files: Sequence[Path]) -> None:
        names = "\n".join(f"  {file.name}" for file in files[:5])
        super().__init__("There already", f"In {files[0].parent}:\n{names}", (KEEP_BOTH, REPLACE))
