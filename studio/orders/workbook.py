"""Workbooks as lists: .xlsx, .xlsm, .xlsb, .xls and .ods read as they are, sheet by sheet, cells as texts.

Formulas are not computed and macros not run: a cell has the value that was saved with it.
"""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from studio.basics.errors import OrderError
from studio.orders.csv_rows import RawRow

_ZIP: Final = b"PK\x03\x04"
_OLD: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MANIFEST: Final = "META-INF/manifest.xml"
_MOST_UNPACKED: Final = 600_000_000
_MOST_CELLS: Final = 20_000_000
_MOST_COLUMNS: Final = 20_000
_LETTER_UTF16: Final = "EncryptedPackage".encode("utf-16-le")
_BOOKS: Final = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book"))
_HOW: Final = "Open it in a spreadsheet program and save it as a workbook (.xlsx, .ods) or as CSV UTF-8."


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a workbook.

    Attributes:
        kind: What kind of workbook it is.
        rows: Its rows as texts, each with its number in the sheet; empty ones too.
        rivals: Names of other sheets that could be meant.
        remarks: Sentences worth saying once.
        figures: What some cells are that a spreadsheet may show otherwise, by row number and column index.
    """

    kind: str
    name: str
    rows: tuple[RawRow, ...]
    rivals: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    figures: Mapping[tuple[int, int], str] = field(default_factory=dict)

    def kind_of_cell(self, line: int, index: int) -> str:
        """Return what a cell is that may be shown otherwise, such as a number; empty for a text."""
        return self.figures.get((line, index), "")


def is_workbook(data: bytes) -> bool:
    """Return whether a file's bytes are a workbook's, whatever its name ends in."""
    if data.startswith(_OLD):
        head = data[:4_000_000]
        return any(name in head for name in (*_BOOKS, _LETTER_UTF16))
    if not data.startswith(_ZIP):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = set(packed.namelist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return b"xl/" in data[:4000] or b"content.xml" in data[:4000]
    return any(name.startswith("xl/") for name in names) or "content.xml" in names


def read_workbook(data: bytes, wanted: str | None, has_header: Callable[[Sequence[RawRow]], bool]) -> Sheet:
    """Return the sheet that holds the orders: the one asked for, else the one whose header is known.

    Args:
        data: The workbook's bytes.
        wanted: A sheet's name, or its number from 1.
        has_header: Tells whether rows start with a header that is known.

    Raises:
        OrderError: It is encrypted or damaged, too large unpacked, or has no such sheet, or none with anything in it.
    """
    kind, remarks = _looked_at(data)
    names, hidden, read = _opened(data)
    if wanted is not None:
        name = _named(wanted, names)
        rows, figures, told = read(name)
        return Sheet(kind, name, rows, (), (*remarks, *told), figures)
    filled = []
    for name in names:
        if name in hidden:
            continue
        rows, figures, told = read(name)
        if any(not row.blank for row in rows):
            filled.append((name, rows, figures, told))
    if not filled:
        raise OrderError("The workbook holds no orders.", advice="Put one order in each row, below the header.")
    known = [one for one in filled if has_header(one[1])]
    name, rows, figures, told = (known or filled)[0]
    rivals = tuple(one[0] for one in (known or filled)[1:])
    others = [one[0] for one in filled if one[0] != name and one[0] not in rivals]
    more = []
    if others:
        more.append(f"Only sheet {name!r} is read; {len(others)} more hold something else: {', '.join(others[:4])}.")
    if hidden:
        more.append(f"Hidden sheets are not read: {', '.join(sorted(hidden)[:4])}.")
    return Sheet(kind, name, rows, rivals, (*remarks, *told, *more), figures)


def _looked_at(data: bytes) -> tuple[str, tuple[str, ...]]:
    """Return what kind of workbook it is, and remarks; refuse one that is locked or unpacks to more than it should."""
    if data.startswith(_OLD):
        if _LETTER_UTF16 in data[:4_000_000]:
            raise _locked()
        return "an old workbook (.xls)", ()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            entries = packed.infolist()
            names = {entry.filename for entry in entries}
            if any(entry.flag_bits & 1 for entry in entries):
                raise _locked()
            manifest = packed.getinfo(_MANIFEST) if _MANIFEST in names else None
            if manifest and manifest.file_size < 5_000_000 and b"encryption-data" in packed.read(manifest):
                raise _locked()
            if sum(entry.file_size for entry in entries) > _MOST_UNPACKED:
                raise OrderError("The workbook unpacks to over 600 MB, more than any list has.", advice=_HOW)
    except (zipfile.BadZipFile, OSError, ValueError, KeyError, NotImplementedError, RuntimeError) as problem:
        raise _damaged() from problem
    macros = any(name.endswith("vbaProject.bin") for name in names) or any(name.startswith("Basic/") for name in names)
    remarks = ("The workbook holds macros; they are not run.",) if macros else ()
    return ("a workbook (.ods)" if "content.xml" in names else "a workbook (.xlsx)"), remarks


_Read = tuple[tuple[RawRow, ...], dict[tuple[int, int], str], tuple[str, ...]]


def _opened(data: bytes) -> tuple[list[str], set[str], Callable[[str], _Read]]:
    """Return the names of all sheets with cells, those hidden, and what reads one."""
    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = [sheet for sheet in book.sheets_metadata if sheet.typ == python_calamine.SheetTypeEnum.WorkSheet]
    except python_calamine.PasswordError as problem:
        raise _locked() from problem
    except Exception as problem:  # the library's errors share no base
        raise _damaged() from problem
    visible = python_calamine.SheetVisibleEnum.Visible
    hidden = {sheet.name for sheet in sheets if sheet.visible != visible}

    def read(name: str) -> _Read:
        try:
            return _cells(book.get_sheet_by_name(name))
        except OrderError:
            raise
        except Exception as problem:
            raise _damaged() from problem

    return [sheet.name for sheet in sheets], hidden, read


def _cells(sheet: Any) -> _Read:
    """Return a sheet's rows as texts, with what is a figure in them."""
    end = sheet.end
    if end is not None and (end[0] + 1) * (end[1] + 1) > _MOST_CELLS:
        raise OrderError(
            f"The sheet {sheet.name!r} spans {end[0] + 1:,} rows and {end[1] + 1:,} columns, more than any list has.",
            advice="Delete what is far below or beside the orders, and save again.",
        )
    rows: list[RawRow] = []
    figures: dict[tuple[int, int], str] = {}
    for line, values in enumerate(sheet.iter_rows() if end is not None else (), 1):
        cells = []
        for index, value in enumerate(values[:_MOST_COLUMNS]):
            if isinstance(value, str):
                cells.append(value)
                continue
            text, kind = _as_text(value)
            cells.append(text)
            if kind:
                figures[line, index] = kind
        while cells and not cells[-1]:
            cells.pop()
        rows.append(RawRow(line, tuple(cells)))
    remarks: tuple[str, ...] = ()
    merged = getattr(sheet, "merged_cell_ranges", None) or ()
    body = [span for span in merged if span[1][0] > span[0][0] and span[1][0] - span[0][0] < 10_000]
    if body:
        first = body[0]
        remarks = (
            f"{len(body)} merged cell{'s' * (len(body) != 1)} reach{'es' * (len(body) == 1)} over several rows, "
            "the first "
            f"from row {first[0][0] + 1} to {first[1][0] + 1}; only the upper row has the value.",
        )
    return tuple(rows), figures, remarks


def _as_text(value: object) -> tuple[str, str]:
    """Return a cell's value as text, and what it is where a spreadsheet may show it in another way."""
    if isinstance(value, bool):
        return ("TRUE" if value else "FALSE"), "a yes or no"
    if isinstance(value, int):
        return str(value), "a number"
    if isinstance(value, float):
        return (str(int(value)) if value.is_integer() and abs(value) < 1e15 else f"{value:.15g}"), "a number"
    if isinstance(value, datetime.datetime):
        whole = value.time() == datetime.time()
        return (value.date().isoformat() if whole else value.isoformat(" ", "seconds")), "a date"
    if isinstance(value, datetime.date):
        return value.isoformat(), "a date"
    if isinstance(value, datetime.time | datetime.timedelta):
        return str(value), "a time"
    return ("" if value is None else str(value)), ""


def _named(wanted: str, names: Sequence[str]) -> str:
    """Return the sheet of a name, in whatever letter case, or of a number."""
    for name in names:
        if name == wanted:
            return name
    for name in names:
        if name.casefold().strip() == wanted.casefold().strip():
            return name
    if wanted.isascii() and wanted.isdigit() and 1 <= int(wanted) <= len(names):
        return names[int(wanted) - 1]
    raise OrderError(
        f"--sheet: the workbook has no sheet {wanted[:40]!r}.", advice=f"It has {', '.join(map(repr, names[:12]))}."
    )


def _locked() -> OrderError:
    return OrderError(
        "The workbook is protected by a password and cannot be read.", advice="Save it without one, or as CSV UTF-8."
    )


def _damaged() -> OrderError:
    return OrderError("The workbook is damaged or of a kind that cannot be read.", advice=_HOW)
