"""One order of a list."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One order of the list.

    Attributes:
        row: Its place in the list, from 1.
        line: The physical line it starts on, from 1; in a workbook the sheet's row.
        text: The sign's text as it stands; line ends are LF. With a fault it may be cut.
        options: Sign options by name with underscores, empty cells left out.
        extra: The columns passed through, empty ones too.
        faults: What is wrong with it, in sentences; empty when it can be made.
        warnings: What makes it doubtful, each with a finding's code.
        quantity_cell: What stands for the quantity where that is none.
    """

    row: int
    line: int
    text: str
    order: str = ""
    quantity: int = 1
    note: str = ""
    options: tuple[tuple[str, str], ...] = ()
    extra: tuple[tuple[str, str], ...] = ()
    faults: tuple[str, ...] = ()
    warnings: tuple[tuple[str, str], ...] = ()
    quantity_cell: str = ""
