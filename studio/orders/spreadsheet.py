"""The columns of a run's report, known both to the report and to the order list that is made from one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

GUARD: Final = "'"
_STARTS_A_FORMULA: Final = frozenset("=+-@\t\r\n\0＝＋－＠")


def guarded(text: str) -> str:
    """Return a cell's text with an apostrophe before it where a spreadsheet would take it for a formula.

    A text that starts with apostrophes before such a character gets one more, so that `unguarded` always leads back.
    """
    return GUARD + text if _dangerous(text.lstrip(GUARD)) else text


def unguarded(text: str) -> str:
    """Return the text that `guarded` was given."""
    return text[1:] if text.startswith(GUARD) and _dangerous(text.lstrip(GUARD)) else text


def _dangerous(text: str) -> bool:
    return text.lstrip(" ")[:1] in _STARTS_A_FORMULA if text else False


REPORT_COLUMNS: Final = (
    "row",
    "line",
    "order",
    "text",
    "state",
    "quantity",
    "note",
    "blank",
    "artwork",
    "face",
    "surface",
    "color",
    "print",
    "proof",
    "width_mm",
    "height_mm",
    "cap_height_mm",
    "thinnest_stroke_mm",
    "thinnest_gap_mm",
    "findings",
    "seconds",
    "sha256",
    "sheet",
    "place",
)
"""In the order in which they stand; the columns passed through from the list follow."""

OWN_MARK: Final = frozenset({"row", "line", "state", "sha256"})
"""A list with all of these is one of our own reports."""


LOOK_COLUMNS: Final = ("blank", "artwork", "face", "surface", "color")
"""Sign options that the report always tells, as the row has them or as they hold for the run."""


def option_columns_beside(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the list's own option columns that the report has no column of its own for."""
    return tuple(name for name in names if name not in REPORT_COLUMNS)


def beside_report_columns(names: tuple[str, ...], taken: Iterable[str] = ()) -> tuple[str, ...]:
    """Return names for the passed-through columns that differ from each other and from the report's own.

    A list's own `state` becomes `list_state`.

    Args:
        names: As the list has them.
        taken: Names that mean something else in a list, such as those of sign options.
    """
    used = {*REPORT_COLUMNS, *taken}
    chosen = []
    for name in names:
        free, number = (f"list_{name}" if name in used else name), 2
        while free in used:
            free, number = f"{name} ({number})", number + 1
        used.add(free)
        chosen.append(free)
    return tuple(chosen)
