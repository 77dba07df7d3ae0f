"""The columns of a run's report, known both to the report and to the order list that is made from one."""

from __future__ import annotations

from typing import Final

REPORT_COLUMNS: Final = (
    "row",
    "line",
    "order",
    "text",
    "state",
    "quantity",
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
)
"""In the order in which they stand; the columns passed through from the list follow."""

OWN_MARK: Final = frozenset({"row", "line", "state", "sha256"})
"""A list with all of these is one of our own reports."""


def beside_report_columns(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names for the passed-through columns that differ from each other and from the report's own.

    A list's own `state` becomes `list_state`.
    """
    used = set(REPORT_COLUMNS)
    chosen = []
    for name in names:
        free, number = (f"list_{name}" if name in used else name), 2
        while free in used:
            free, number = f"{name} ({number})", number + 1
        used.add(free)
        chosen.append(free)
    return tuple(chosen)
