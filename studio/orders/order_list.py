"""An order list read: every row it holds, in its order, the good ones and the faulty ones.

Works on bytes and opens nothing but in `list_bytes`. A row's number is its place among the rows and never changes;
a fault costs its own row only. Texts are handed on as they stand, so that the checks can judge them.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.errors import OrderError
from studio.orders.columns import BARE, Columns, read_header, without_empty
from studio.orders.csv_layout import Shape, find_shape
from studio.orders.csv_rows import RawRow, split_lines, split_rows
from studio.orders.encoding import decode_list
from studio.orders.spreadsheet import unguarded

LONGEST_TEXT: Final = 500
LONGEST_CELL: Final = 10_000
MOST_PIECES: Final = 9_999
_SHOWN: Final = 4
"""Order numbers, and lines of each, named in a remark."""
_SUMMARY_WORDS: Final = frozenset(
    {"total", "totals", "grand total", "subtotal", "sum", "sum total", "totalt", "summe", "gesamt", "totaal", "suma"}
)
_LINE_END: Final = re.compile(r"\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
_NUMBER: Final = re.compile(r"[-+]?\d[\d.,' ]*")


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One order of the list.

    Attributes:
        row: Its place in the list, from 1.
        line: The physical line it starts on, from 1.
        text: The sign's text as it stands; line ends are LF. With a fault it may be cut.
        options: Sign options by name with underscores, empty cells left out.
        extra: The columns passed through, empty ones too.
        faults: What is wrong with it, in sentences; empty when it can be made.
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


@dataclass(frozen=True, slots=True)
class OrderList:
    """All rows, what was assumed in reading them, and the names of the columns passed through."""

    rows: tuple[OrderRow, ...]
    assumed: tuple[str, ...]
    passed_through: tuple[str, ...]


def list_bytes(file: Path) -> bytes:
    """Return an order list's bytes.

    Raises:
        OrderError: It is not there, is a folder, or may not be read.
    """
    try:
        return file.read_bytes()
    except FileNotFoundError as problem:
        near = _files_like(file)
        advice = f"Did you mean {near}?" if near else "Check its name and folder; - reads from standard input."
        raise OrderError(f"There is no order list {file}.", advice=advice) from problem
    except IsADirectoryError as problem:
        raise OrderError(f"{file} is a folder, not an order list.", advice="Name the CSV file in it.") from problem
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "that cannot be the name of a file"
        raise OrderError(f"The order list {str(file)!r} cannot be opened: {reason}.", advice="Check it.") from problem


def read_orders(data: bytes, *, option_names: frozenset[str], encoding: str | None = None) -> OrderList:
    """Return the orders that a CSV file holds.

    Args:
        data: The file's bytes.
        option_names: The sign options that may be columns, with dashes or underscores.
        encoding: The file's encoding where the person states it.

    Raises:
        OrderError: The list as a whole cannot be read, or holds no order.
        SettingsError: No encoding has the name stated.
    """
    text, how = decode_list(data, encoding)
    lines = split_lines(text)
    shape = find_shape(lines, option_names)
    columns, raw = _columns_and_rows(lines, shape, option_names)
    assumed = (how, *shape.assumed, *columns.assumed)
    if raw and (summary := _summary(raw[-1])):
        shown = ", ".join(cell.strip() for cell in raw.pop().cells if cell.strip())
        assumed += (f"Line {summary} is taken for a summary and left out: {shown[:60]}.",)
    if not raw:
        raise OrderError("The order list holds no orders.", advice="Put one order on each line, below the header.")
    if shape.header is None:
        first = raw[0].cells[0].strip()[:40] if raw[0].cells else "..."
        assumed += (f"No header line is known, so every line is a name; the first is {first!r}.",)
    rows = tuple(_order(place, row, columns) for place, row in enumerate(raw, 1))
    return OrderList(rows, assumed + _repeated(rows), columns.passed_through)


def _repeated(rows: Sequence[OrderRow]) -> tuple[str, ...]:
    """Return a remark on order numbers that stand on several lines: an order of several signs, or a slip."""
    lines: dict[str, list[int]] = {}
    for row in rows:
        if row.order:
            lines.setdefault(row.order.casefold(), []).append(row.line)
    repeated = [(row.order, found) for row in rows if len(found := lines.pop(row.order.casefold(), [])) > 1]
    if not repeated:
        return ()
    told = [f"{order[:40]} (lines {_listed(found)})" for order, found in repeated[:_SHOWN]]
    more = f" and {len(repeated) - _SHOWN} more" if len(repeated) > _SHOWN else ""
    return (f"Each line is made, also where lines share an order number: {', '.join(told)}{more}.",)


def _listed(lines: Sequence[int]) -> str:
    return ", ".join(map(str, lines[:_SHOWN])) + (", …" if len(lines) > _SHOWN else "")


def _columns_and_rows(lines: Sequence[str], shape: Shape, option_names: frozenset[str]) -> tuple[Columns, list[RawRow]]:
    """Return what the columns mean, and the rows below the header that are not blank."""
    rows = split_rows(lines, shape.delimiter, start=shape.start)
    if shape.header is None:
        return BARE, [row for row in rows if not row.blank]
    cells = next(rows).cells
    columns = read_header(cells, option_names)
    kept = [row for row in rows if not row.blank]
    nameless = {index for index, cell in enumerate(cells) if not cell.strip()}
    used = {index for row in kept for index in nameless if index < len(row.cells) and row.cells[index].strip()}
    return without_empty(columns, cells, used), kept


def _order(place: int, raw: RawRow, columns: Columns) -> OrderRow:
    """Return one row of the list with all that is wrong with it."""
    faults = [raw.fault] if raw.fault else []
    width = len(columns.columns)
    cells = raw.cells if len(raw.cells) >= width else raw.cells + ("",) * (width - len(raw.cells))
    if columns.own_report:
        cells = tuple(unguarded(cell) for cell in cells)
    fields = {"text": "", "order": "", "quantity": "", "note": ""}
    options, extra = [], []
    for column, cell in zip(columns.columns, cells, strict=False):
        if len(cell) > LONGEST_CELL:
            faults.append(f"The {column.name} holds {len(cell):,} letters; at most {LONGEST_CELL:,} are read.")
            cell = f"{cell[:80]}…"
        if column.kind == "field":
            fields[column.name] = cell if column.name == "text" else cell.strip()
        elif column.kind == "option" and cell.strip():
            options.append((column.name, cell.strip()))
        elif column.kind == "extra":
            extra.append((column.name, cell))
    if not raw.fault:
        faults += _surplus(raw, width)
    text, text_faults = _text(fields["text"], known=not faults)
    quantity, quantity_faults = _quantity(fields["quantity"])
    return OrderRow(
        row=place,
        line=raw.line,
        text=text,
        order=fields["order"],
        quantity=quantity,
        note=fields["note"],
        options=tuple(options),
        extra=tuple(extra),
        faults=(*faults, *text_faults, *quantity_faults),
    )


def _surplus(raw: RawRow, width: int) -> list[str]:
    """Return the fault of a row with more cells than the header, or of one that may be part of a broken one."""
    surplus = [cell for cell in raw.cells[width:] if cell.strip()]
    if surplus:
        shown = ", ".join(cell.strip()[:20] for cell in raw.cells[:6])
        return [
            f"It has {len(raw.cells)} cells where the list has {width} column{'s' * (width != 1)}: {shown}. "
            "Put a cell that holds the delimiter in quotes, without a space before the first quote."
        ]
    if raw.inside is not None and (len(raw.cells) != width or any('"' in cell for cell in raw.cells)):
        return [f"It may be part of the row on line {raw.inside}, which is broken. Mend that one first."]
    return []


def _text(cell: str, *, known: bool) -> tuple[str, list[str]]:
    """Return the text with plain line ends, and what is wrong with it."""
    text = _LINE_END.sub("\n", cell) if not cell.isprintable() else cell
    if not text.strip():
        return "", ["It has no text."] if known else []
    if len(text) > LONGEST_TEXT:
        fault = [f"Its text has {len(text):,} letters; at most {LONGEST_TEXT} fit any sign."] if known else []
        return f"{text[:80]}…", fault
    control = _CONTROL.search(text) if not text.isprintable() else None
    if control:
        code, place = ord(control[0]), control.start() + 1
        return text, [f"Its text holds a control character (U+{code:04X}, letter {place}). Type the text again."]
    return text, []


def _quantity(cell: str) -> tuple[int, list[str]]:
    """Return how many are wanted, one where nothing is said."""
    if not cell:
        return 1, []
    whole = cell.removesuffix(".0").removesuffix(",0").removesuffix(".00")
    if len(whole) <= 6 and whole.isascii() and whole.isdigit() and 1 <= int(whole) <= MOST_PIECES:
        return int(whole), []
    return 1, [f"Its quantity {cell[:20]!r} is not a whole number from 1 to {MOST_PIECES:,}."]


def _summary(raw: RawRow) -> int | None:
    """Return the line of a last row that sums the list up: a word for total and besides it numbers only."""
    filled = [cell.strip() for cell in raw.cells if cell.strip()]
    words = [cell for cell in filled if cell.casefold().rstrip(" :") in _SUMMARY_WORDS]
    numbers = [cell for cell in filled if _NUMBER.fullmatch(cell)]
    if len(words) == 1 and numbers and len(numbers) == len(filled) - 1:
        return raw.line
    return None


def _files_like(file: Path) -> str:
    """Return the name of a file beside a missing one that is spelled nearly so; empty if there is none."""
    try:
        names = [entry.name for entry in file.parent.iterdir() if entry.is_file()]
    except (OSError, ValueError):
        return ""
    near = difflib.get_close_matches(file.name, names[:2000], n=1)
    return str(file.parent / near[0]) if near else ""
