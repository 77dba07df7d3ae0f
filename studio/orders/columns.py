"""What each column of an order list means: the text, the order, the quantity, a sign option, or something to pass on.

Headers are compared without case, spaces and punctuation, so `Max Cap`, `max-cap` and `MAX_CAP` are one.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from studio.errors import OrderError
from studio.orders.spreadsheet import OWN_MARK, REPORT_COLUMNS

FIELDS: Final = ("text", "order", "quantity", "note")
_SPELLINGS: Final[dict[str, tuple[str, ...]]] = {
    "text": (
        *("text", "sign_text", "text_on_sign", "lettering", "wording", "inscription"),
        *("personalisation", "personalization", "name_on_sign", "sign_name", "name", "names"),
        *("full_name", "guest_name", "guest", "customer_name", "customer", "first_name", "line_1", "line1"),
    ),
    "order": ("order", "order_number", "order_no", "order_nr", "order_id", "order_ref", "reference", "id"),
    "quantity": ("quantity", "qty", "count", "pieces", "pcs", "how_many"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks"),
}
_OPTION_SPELLINGS: Final[dict[str, tuple[str, ...]]] = {
    "face": ("font", "typeface"),
    "color": ("colour",),
    "also_color": ("also_colour",),
    "artwork": ("design", "picture"),
}
_SEPARATORS: Final = re.compile(r"[\s_\-.:#/()\ufeff\u200b]+")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: `kind` is `field`, `option`, `extra` or `left-out`; `name` what the value is called from here on."""

    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Columns:
    """All columns, from the left, and what was assumed about them in sentences."""

    columns: tuple[Column, ...]
    assumed: tuple[str, ...]
    own_report: bool = False

    @property
    def passed_through(self) -> tuple[str, ...]:
        """The names of the columns that only pass on to the report."""
        return tuple(column.name for column in self.columns if column.kind == "extra")


BARE: Final = Columns((Column("field", "text"),), ())
"""A list of names without a header."""


def key_of(header: str) -> str:
    """Return a header in the form in which headers are compared."""
    return _SEPARATORS.sub("_", unicodedata.normalize("NFKC", header).casefold()).strip("_")


def known_headers(option_names: Iterable[str]) -> dict[str, tuple[str, str, int]]:
    """Return (kind, name, rank) by compared header; the least rank is the surest sign."""
    known = {
        spelling: ("field", name, rank)
        for name, spellings in _SPELLINGS.items()
        for rank, spelling in enumerate(spellings)
    }
    options = {key_of(name) for name in option_names}
    for name, spellings in _OPTION_SPELLINGS.items():
        if name in options:
            known |= {spelling: ("option", name, 1 + rank) for rank, spelling in enumerate(spellings)}
    return known | {name: ("option", name, 0) for name in options if name not in FIELDS}


def read_header(cells: Sequence[str], option_names: Iterable[str]) -> Columns:
    """Return what the columns under this header mean.

    Raises:
        OrderError: No column holds the text, or two columns have the same header.
    """
    known = known_headers(option_names)
    keys = [key_of(cell) for cell in cells]
    best: dict[str, int] = {}
    for index, key in enumerate(keys):
        if key not in known:
            continue
        name, rank = known[key][1:]
        held = best.get(name)
        if held is None or rank < known[keys[held]][2]:
            best[name] = index
        elif keys[held] == key:
            raise OrderError(
                f"The order list has two columns called {cells[index].strip()!r}, {held + 1} and {index + 1}.",
                advice="Rename or delete one of them.",
            )
    if "text" not in best:
        raise _no_text(cells)
    own_report = set(keys) >= OWN_MARK
    columns, taken = [], set(FIELDS)
    for index, cell in enumerate(cells):
        if keys[index] in known and best[known[keys[index]][1]] == index:
            columns.append(Column(*known[keys[index]][:2]))
        elif own_report and keys[index] in REPORT_COLUMNS:
            columns.append(Column("left-out", keys[index]))
        else:
            columns.append(Column("extra", _free_name(cell.strip() or f"column {index + 1}", taken)))
    return Columns(tuple(columns), _sentences(cells, columns, known), own_report)


def without_empty(columns: Columns, cells: Sequence[str], used: set[int]) -> Columns:
    """Return the columns with those left out that have neither a header nor a value in any row."""
    kept = tuple(
        Column("left-out", "") if column.kind == "extra" and not cells[index].strip() and index not in used else column
        for index, column in enumerate(columns.columns)
    )
    return Columns(kept, columns.assumed, columns.own_report)


def _free_name(name: str, taken: set[str]) -> str:
    free, number = name, 2
    while free.casefold() in taken:
        free, number = f"{name} ({number})", number + 1
    taken.add(free.casefold())
    return free


def _sentences(
    cells: Sequence[str], columns: Sequence[Column], known: dict[str, tuple[str, str, int]]
) -> tuple[str, ...]:
    """Return in words which column is read as what, and which look like a slip of the pen."""
    read, passed, slips = [], [], []
    for cell, column in zip(cells, columns, strict=True):
        shown = cell.strip()
        if column.kind == "extra":
            if not shown:
                continue
            passed.append(shown)
            near = difflib.get_close_matches(key_of(shown)[:60], known, n=1, cutoff=0.8)
            if near and known[near[0]][0] == "option":
                slips.append(f"The column {shown!r} is no sign option; did you mean {known[near[0]][1]!r}?")
        elif column.kind != "left-out":
            name = column.name
            read.append(name if key_of(shown) == name else f"{name} from {shown!r}")
    sentences = [f"Columns: {', '.join(read)}."]
    if passed:
        sentences.append(f"Passed on to the report as they are: {', '.join(passed)}.")
    return (*sentences, *slips)


def _no_text(cells: Sequence[str]) -> OrderError:
    shown = ", ".join(cell.strip()[:30] for cell in cells[:12])
    return OrderError(
        f"No column of the order list holds the text; its first line reads: {shown}.",
        advice="Call the column with the names 'text' (or 'name'), and see that the list has a header line.",
    )
