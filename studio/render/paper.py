"""Which sheets a print fits on, either way round."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from studio.model.paper import Paper

_SLACK_MM: Final = 0.01
"""A print exactly as large as the sheet fits; sums of floats must not say otherwise."""


def fits(width_mm: float, height_mm: float, papers: Iterable[Paper]) -> tuple[str, ...]:
    """Return the names of the sheets that a print fits on in full, smallest area first; rolls are no sheets.

    Args:
        width_mm: Of the print.
        height_mm: Of the print.
        papers: Those that there are.
    """
    short, long = sorted((width_mm, height_mm))
    fitting = [
        (paper.width_mm * paper.height_mm, paper.name)
        for paper in papers
        if not paper.is_roll and short <= paper.width_mm + _SLACK_MM and long <= paper.height_mm + _SLACK_MM
    ]
    return tuple(name for _, name in sorted(fitting))
