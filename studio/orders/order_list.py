"""An order list read: every row it holds, in its order, the good ones and the faulty ones, and what it was taken for.

Works on bytes and opens nothing but in `list_bytes`. A row's number is its place among the rows; a fault costs its own
row only. Texts are handed on as they stand, so that the checks can judge them.
"""

from __future__ import annotations

import difflib
import os
import re
import stat
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Final

from studio.basics.errors import OrderError
from studio.orders.column_doubts import find_doubts
from studio.orders.columns import Column, Columns, bare_columns, known_headers, passed_on, read_header, without_empty
from studio.orders.csv_layout import CsvShape, delimiter_name, find_shape, shape_of_rows
from studio.orders.csv_rows import RawRow, split_lines, split_rows
from studio.orders.encoding import Decoded, decode_list
from studio.orders.header_words import key_of
from studio.orders.order_row import OrderRow
from studio.orders.row_reading import RowReader, heading_rows, second_header
from studio.orders.taken_for import ColumnUse, Doubt, ListAnswer, TakenFor
from studio.orders.told import KnownList, ListWishes
from studio.orders.workbook import Sheet, is_workbook, read_workbook

LARGEST_BYTES: Final = 200_000_000
_SHOWN: Final = 4
"""Order numbers, and lines of each, named in a remark."""
_SUMMARY_WORDS: Final = frozenset(
    {"total", "totals", "grand total", "subtotal", "sum", "sum total", "totalt", "summe", "gesamt", "totaal", "suma"}
)
_NUMBER: Final = re.compile(r"[-+]?\d[\d.,' ]*")
_NOTHING_TOLD: Final = ListWishes()


@dataclass(frozen=True, slots=True)
class OrderList:
    """All rows, what was assumed in reading them, and the names of the columns passed through.

    Attributes:
        option_columns: The sign options that have a column.
        taken_for: What the list was taken for, with its doubts; nothing should be made while it has any.
        remarks: Those sentences of `assumed` that the table of `taken_for` does not say.
    """

    rows: tuple[OrderRow, ...]
    assumed: tuple[str, ...]
    passed_through: tuple[str, ...]
    option_columns: tuple[str, ...] = ()
    taken_for: TakenFor = field(default_factory=lambda: TakenFor("", "", 0, (), (), ()))
    remarks: tuple[str, ...] = ()

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is a guess about the list."""
        return self.taken_for.doubts


def list_bytes(file: Path) -> bytes:
    """Return an order list's bytes.

    Raises:
        OrderError: It is not there, is not a regular file, is too large, or may not be read.
    """
    try:
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as stream:
            found = os.fstat(stream.fileno())
            if stat.S_ISDIR(found.st_mode):
                raise IsADirectoryError
            if not stat.S_ISREG(found.st_mode):
                raise OrderError(
                    f"{file} is no file but a device or a pipe.", advice="Name a file; - reads from standard input."
                )
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError as problem:
        near = _files_like(file)
        advice = f"Did you mean {near}?" if near else "Check its name and folder; - reads from standard input."
        raise OrderError(f"There is no order list {file}.", advice=advice) from problem
    except IsADirectoryError as problem:
        raise OrderError(f"{file} is a folder, not an order list.", advice="Name the CSV file in it.") from problem
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "that cannot be the name of a file"
        raise OrderError(f"The order list {str(file)!r} cannot be opened: {reason}.", advice="Check it.") from problem
    return within_bounds(data)


def within_bounds(data: bytes) -> bytes:
    """Return a list's bytes. Raises OrderError when there are more than any list has."""
    if len(data) > LARGEST_BYTES:
        raise OrderError(
            f"The order list has over {LARGEST_BYTES // 1_000_000} MB.",
            advice="Split it; 100,000 rows take about 10 MB.",
        )
    return data


def read_orders(
    data: bytes,
    *,
    option_names: frozenset[str],
    encoding: str | None = None,
    told: ListWishes = _NOTHING_TOLD,
    known_lists: Sequence[KnownList] = (),
) -> OrderList:
    """Return the orders that a file holds: CSV in any form, or a workbook.

    Args:
        data: The file's bytes.
        option_names: The sign options that may be columns, with dashes or underscores.
        encoding: The file's encoding where the person states it.
        told: What else the person says of it.
        known_lists: Kinds of lists kept in the settings.

    Raises:
        OrderError: The list as a whole cannot be read, or holds no order.
        SettingsError: No encoding has the name stated.
    """
    told = replace(told, encoding=encoding) if encoding is not None else told
    source = _opened(data, option_names, told, known_lists)
    if source.shape.known is not None:
        entry = source.shape.known.told
        told = told.over(entry)
        again = (entry.encoding and source.decoded is not None and source.decoded.is_guess) or entry.delimiter
        if again or entry.sheet:
            source = _opened(data, option_names, told, known_lists)
    return _listed(source, told, option_names)


@dataclass(frozen=True, slots=True)
class _Source:
    """A list opened: its layout and its rows, from text or from a sheet."""

    shape: CsvShape
    decoded: Decoded | None = None
    lines: Sequence[str] = ()
    sheet: Sheet | None = None

    @property
    def saved_as(self) -> str:
        if self.sheet is not None:
            return f"{self.sheet.kind}, sheet {self.sheet.name!r}"
        return self.decoded.name if self.decoded is not None else ""


def _opened(data: bytes, option_names: frozenset[str], told: ListWishes, known_lists: Sequence[KnownList]) -> _Source:
    if is_workbook(data):
        sheet = read_workbook(data, told.sheet, lambda rows: _has_header(rows, option_names, told, known_lists))
        return _Source(shape_of_rows(sheet.rows, option_names, told, known_lists), sheet=sheet)
    decoded = decode_list(data, told.encoding)
    lines = split_lines(decoded.text)
    return _Source(find_shape(lines, option_names, told, known_lists), decoded, lines)


def _has_header(
    rows: Sequence[RawRow], option_names: frozenset[str], told: ListWishes, known_lists: Sequence[KnownList]
) -> bool:
    try:
        return shape_of_rows(rows, option_names, told, known_lists).header is not None
    except OrderError:
        return False


def _listed(source: _Source, told: ListWishes, option_names: frozenset[str]) -> OrderList:
    columns, cells, raw, again = _columns_and_rows(source, told, option_names)
    remarks: list[str] = []
    if again:
        shown = ", ".join(map(str, again[:_SHOWN])) + (", …" if len(again) > _SHOWN else "")
        remarks.append(f"The header stands there again, on line {shown}; that is no order.")
    if raw and (summary := _summary(raw[-1])):
        shown = ", ".join(cell.strip() for cell in raw.pop().cells if cell.strip())
        remarks.append(f"Line {summary} is taken for a summary and left out: {shown[:60]}.")
    if not raw:
        raise OrderError("The order list holds no orders.", advice="Put one order on each line, below the header.")
    known = known_headers(option_names)
    doubts, no_options = find_doubts(cells, columns, [row.cells for row in raw if row.cells], known)
    columns = passed_on(columns, no_options, cells)
    headings = heading_rows(raw, columns)
    bad_lines = source.decoded.bad_lines if source.decoded else frozenset()
    another_from = None if columns.own_report else second_header(raw, known)
    reader = RowReader(columns, headings, bad_lines, source.sheet, another_from)
    rows = tuple(reader.order(place, row) for place, row in enumerate(raw, 1))
    bare = source.shape.header is None
    assumed = [source.decoded.how if source.decoded is not None else f"Read as {source.saved_as}."]
    assumed += [*source.shape.assumed, *(() if bare else columns.assumed), *remarks]
    if bare:
        first = raw[0].cells[0].strip()[:40] if raw[0].cells else "..."
        assumed.append(f"No header line is known, so every line is a name; the first is {first!r}.")
    repeated = _repeated(rows)
    all_doubts = (*_file_doubts(source, told, first if bare else ""), *doubts)
    taken = _taken_for(source, columns, cells, raw, rows, all_doubts, told)
    notes = (*source.sheet.remarks,) if source.sheet is not None else ()
    slips = tuple(sentence for sentence in columns.assumed if "did you mean" in sentence)
    above = tuple(sentence for sentence in source.shape.assumed if "above" in sentence)
    bad = (source.decoded.how,) if source.decoded is not None and source.decoded.bad_lines else ()
    return OrderList(
        rows,
        (*assumed, *notes, *repeated),
        columns.passed_through,
        tuple(dict.fromkeys(column.name for column in columns.columns if column.kind == "option")),
        taken,
        (*bad, *notes, *above, *slips, *remarks, *repeated),
    )


def _columns_and_rows(
    source: _Source, told: ListWishes, option_names: frozenset[str]
) -> tuple[Columns, tuple[str, ...], list[RawRow], list[int]]:
    """Return what the columns mean, the header's cells, the rows below it, and the lines where it stands again."""
    shape, sheet = source.shape, source.sheet
    if shape.header is None:
        rows = list(sheet.rows) if sheet else list(split_rows(source.lines, shape.delimiter, start=shape.start))
        kept = [row for row in rows if not row.blank]
        width = max((len(row.cells) for row in kept[:300]), default=1) if told.header == 0 or sheet else 1
        columns = bare_columns(width, told)
        return columns, ("",) * len(columns.columns), kept, []
    cells = shape.header.cells
    if sheet is not None:
        below = [row for row in sheet.rows if row.line > shape.header.line]
    else:
        found = split_rows(source.lines, shape.delimiter, start=shape.start, width=len(cells))
        below = list(islice(found, 1, None))
    columns = read_header(cells, option_names, told)
    keys = [key_of(cell) for cell in cells]
    kept, again = [], []
    for row in below:
        if row.blank:
            continue
        if row.cells[:1] == cells[:1] and [key_of(cell) for cell in row.cells] == keys and len(cells) > 1:
            again.append(row.line)
        else:
            kept.append(row)
    nameless = {index for index, cell in enumerate(cells) if not cell.strip()}
    used = {index for row in kept for index in nameless if index < len(row.cells) and row.cells[index].strip()}
    return without_empty(columns, cells, used), cells, kept, again


def _file_doubts(source: _Source, told: ListWishes, bare_first: str) -> tuple[Doubt, ...]:
    """Return what is a guess about the file: how it was saved, which sheet it is, where its header stands."""
    doubts = []
    decoded = source.decoded
    if decoded is not None and decoded.is_guess and told.encoding is None:
        answers = tuple(
            ListAnswer(f"{name}: {', '.join(words)}", ListWishes(encoding=codec.replace("_", "-")))
            for codec, name, words in decoded.rivals
        )
        shown = f", which gives {', '.join(decoded.rivals[0][2])}" if decoded.rivals[0][2] else ""
        message = f"How was the list saved? It is not UTF-8; {decoded.name} was taken{shown}."
        doubts.append(Doubt("encoding", message, answers))
    if source.sheet is not None and source.sheet.rivals and told.sheet is None:
        names = (source.sheet.name, *source.sheet.rivals)
        answers = tuple(ListAnswer(f"sheet {name!r}", ListWishes(sheet=name)) for name in names[:9])
        doubts.append(Doubt("sheet", f"Which sheet holds the orders? {source.sheet.name!r} was taken.", answers))
    if source.shape.header is None and told.header is None:
        message = f"Is the first line, {bare_first!r}, a name or a header? No header is known; it was taken for a name."
        answers = (
            ListAnswer("a name", ListWishes(header=0)),
            ListAnswer("a header", ListWishes(columns=(("text", (("", "#1"),)),), header=1)),
        )
        doubts.append(Doubt("header", message, answers))
    elif source.shape.is_guess and source.shape.header is not None and told.header is None:
        line = source.shape.header.line
        message = f"Is line {line} the header? Lines above it look like orders, and are left out."
        doubts.append(Doubt("header", message, (ListAnswer(f"line {line} is the header", ListWishes(header=line)),)))
    return tuple(doubts)


def _taken_for(
    source: _Source,
    columns: Columns,
    cells: Sequence[str],
    raw: Sequence[RawRow],
    rows: Sequence[OrderRow],
    doubts: tuple[Doubt, ...],
    told: ListWishes,
) -> TakenFor:
    header = source.shape.header
    joined_uses = {index: use for use, parts in columns.joined.items() for _, index in parts}
    uses = []
    for index, (column, cell) in enumerate(zip(columns.columns, cells, strict=True)):
        example = next(
            (row.cells[index].strip() for row in raw[:50] if index < len(row.cells) and row.cells[index].strip()), ""
        )
        uses.append(ColumnUse(index + 1, " ".join(cell.split()), _use(column, joined_uses.get(index)), example))
    delimiter = source.shape.delimiter
    parts_cells = delimiter and len(columns.columns) > 1
    return TakenFor(
        source.saved_as,
        delimiter_name(delimiter) if parts_cells else "",
        header.line if header is not None else 0,
        tuple(cells) if header is not None else (),
        tuple(uses),
        tuple(row.text for row in rows if row.text)[:3],
        doubts,
        told.name,
    )


def _use(column: Column, joined: str | None) -> str:
    if joined is not None and column.kind == "left-out":
        return joined
    return {"extra": "copied", "left-out": "left out"}.get(column.kind, column.name)


def _repeated(rows: Sequence[OrderRow]) -> tuple[str, ...]:
    """Return a remark on order numbers that stand on several lines: an order of several signs, or a slip."""
    lines: dict[str, list[int]] = {}
    for row in rows:
        if row.order:
            lines.setdefault(row.order.casefold(), []).append(row.line)
    repeated = [(row.order, found) for row in rows if len(found := lines.pop(row.order.casefold(), [])) > 1]
    if not repeated:
        return ()
    told = [f"{order[:40]} (lines {_listed_lines(found)})" for order, found in repeated[:_SHOWN]]
    more = f" and {len(repeated) - _SHOWN} more" if len(repeated) > _SHOWN else ""
    return (f"Each line is made, also where lines share an order number: {', '.join(told)}{more}.",)


def _listed_lines(lines: Sequence[int]) -> str:
    return ", ".join(map(str, lines[:_SHOWN])) + (", …" if len(lines) > _SHOWN else "")


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
