"""The question before a list is made into a folder that holds a run already."""

from __future__ import annotations

from pathlib import Path

from studio.tui.screens.question import Choice, QuestionScreen

GO_ON = Choice("go-on", "Go on", "g", "primary")
ANEW = Choice("anew", "All anew", "a", "warning")


class RunAgainScreen(QuestionScreen):
    """Asks whether to go on with a run."""

    def __init__(self, folder: Path) -> None:
        told = (
            f"{folder} holds signs of a list already.\n\n"
            "Going on keeps those that are whole and made from the same orders, and makes the rest. "
            "Making anew replaces them."
        )
        super().__init__("Begun before", told, (GO_ON, ANEW))
