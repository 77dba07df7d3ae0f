# ruff: noqa: E501
"""One row of an order list read: its fields, what is wrong with it, and what makes it doubtful."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from studio.orders.columns import Columns, Known
from studio.orders.csv_rows import RawRow
from studio.orders.header_words import LETTERING, NAMES, ORDER, key_of
from studio.orders.order_row import OrderRow
from studio.orders.spreadsheet import unguarded
from studio.orders.suspect_text import LEFTOVER, NOT_A_NAME, faults_of, formula_value, quantity_remark, remarks_on
from studio.orders.workbook import Sheet

LONGEST_TEXT: Final = 500
LONGEST_CELL: Final = 10_000
MOST_PIECES: Final = 9_999
_LINE_END: Final = re.compile(r"\r\n|[\r\x0b\x0c\u2028\u2029]|(?<![\u00c2-\u00f4])\x85")
_PIECES: Final = re.compile(
    r"([0-9]{1,6})(?:[.,]0+)?\s*(?:x|×|pcs?\.?|pieces?|ea\.?|stk?\.?|stück|st|szt\.?|ks|db|kpl|pezzi|buc|шт\.?|個|个|枚|개|件)?",
    re.I,
)
_THOUSAND: Final = re.compile(r"[1-9]\d{0,2}[.,]000")
_UNWANTED: Final = re.compile(
    r"cancell?ed|cancell?ation|(partially )?refunded|void(ed)?|on hold|rejected|storniert|stornierung|annulée?|annullato|cancelad[oa]"
    r"|geannuleerd|annulleret|kansellert|avbeställd|peruttu|anulowan[eo]|zrušeno|отменен|отменён|already (made|printed|done)",
    re.I,
)
"""What a shop writes beside an order that is not, or no longer, to be made; common practice, no source."""
_OFTEN: Final = frozenset((*LETTERING[:20], *NAMES, *ORDER[:8]))
_RUNNING: Final = re.compile(r"\d")


class RowReader:
    """Reads the rows of one list."""

    def __init__(
        self,
        columns: Columns,
        headings: Mapping[int, str],
        bad_lines: frozenset[int],
        sheet: Sheet | None,
        another_from: int | None = None,
    ) -> None:
        """Set up.

        Args:
            columns: What the columns mean.
            headings: Rows that may be none, by their line, with what speaks for that.
            bad_lines: Indices of lines with bytes that are no letters.
            sheet: The sheet of a workbook, which knows which cells are figures or dates.
            another_from: The line where another list's header seems to stand.
        """
        self._columns = columns
        self._headings = headings
        self._bad_lines = bad_lines
        self._another_from = another_from
        self._sheet = sheet
        self._width = len(columns.columns)
        self._parts = {
            use: parts
            for use, parts in columns.joined.items()
            if len(parts) > 1 or columns.columns[parts[0][1]].name != use
        }
        self._text_at = columns.index_of("text")
        self._state_at = _own_place(columns, "state")
        self._findings_at = _own_place(columns, "findings")

    def order(self, place: int, raw: RawRow) -> OrderRow:
        """Return one row of the list with all that is wrong with it."""
        faults = [raw.fault] if raw.fault else []
        if self._another_from is not None and raw.line >= self._another_from:
            faults.append(
                f"On line {self._another_from} another list seems to begin, with its own header. Split the file."
            )
        width, columns = self._width, self._columns
        cells = raw.cells if len(raw.cells) >= width else raw.cells + ("",) * (width - len(raw.cells))
        if columns.own_report:
            cells = tuple(unguarded(cell) for cell in cells)
            faults += self._refused_before(cells)
        fields = {"text": "", "order": "", "quantity": "", "note": ""}
        options, extra = {}, []
        for column, cell in zip(columns.columns, cells, strict=False):
            if column.kind == "left-out":
                continue
            if len(cell) > LONGEST_CELL:
                faults.append(f"The {column.name} holds {len(cell):,} letters; at most {LONGEST_CELL:,} are read.")
                cell = f"{cell[:80]}…"
            if column.kind == "field":
                fields[column.name] = cell if column.name == "text" else cell.strip()
            elif column.kind == "option":
                if cell.strip():
                    options[column.name] = cell.strip()
            else:
                extra.append((column.name, cell))
        for use, parts in self._parts.items():
            value = joined_cells(cells, parts)
            if use in fields:
                fields[use] = value
            elif value:
                options[use] = value
        if not raw.fault:
            faults += self._surplus(raw)
            faults += self._swallowed(fields["text"])
        warnings: list[tuple[str, str]] = []
        shown = formula_value(fields["text"])
        if shown is not None:
            warnings.append(
                (LEFTOVER, f"The formula {fields['text'].strip()[:30]} is read as what it shows, {shown[:30]!r}.")
            )
            fields["text"] = shown
        if raw.line - 1 in self._bad_lines:
            faults.append("Its line holds a byte that is no letter in the list's encoding. Type the row again.")
        text, text_faults = _text(fields["text"], known=not faults)
        if not faults and not text_faults and text:
            warnings += self._warnings(raw, text, is_formula=shown is not None)
        quantity, quantity_faults = _quantity(fields["quantity"])
        if text and not self._columns.own_report and (several := quantity_remark(text, quantity)):
            warnings.append(several)
        if not self._columns.own_report:
            warnings += _unwanted(extra)
        return OrderRow(
            row=place,
            line=raw.line,
            text=text,
            order=fields["order"],
            quantity=quantity,
            note=fields["note"],
            options=tuple(options.items()),
            extra=tuple(extra),
            faults=(*faults, *text_faults, *quantity_faults),
            warnings=tuple(warnings),
            quantity_cell=fields["quantity"][:40] if quantity_faults else "",
        )

    def _warnings(self, raw: RawRow, text: str, *, is_formula: bool) -> list[tuple[str, str]]:
        """Return what makes a text that can be made doubtful."""
        found = [] if is_formula or self._columns.own_report else list(remarks_on(text))
        if raw.line in self._headings:
            found.append((NOT_A_NAME, self._headings[raw.line]))
        if self._sheet is not None and self._text_at is not None:
            kind = self._sheet.kind_of_cell(raw.line, self._text_at)
            if kind and not any(code == LEFTOVER for code, _ in found):
                found.append(
                    (LEFTOVER, f"The cell holds {kind}: {text[:30]!r} may be shown otherwise there. Check it.")
                )
        return found

    def _refused_before(self, cells: Sequence[str]) -> list[str]:
        """Return the fault of a row of our own report which could not be read then and may look whole now."""
        if self._state_at is None or self._findings_at is None or cells[self._state_at].strip() != "refused":
            return []
        findings = cells[self._findings_at]
        if not findings.startswith("bad-row: ") or findings.startswith(("bad-row: --", "bad-row: It has no text")):
            return []
        if findings.startswith("bad-row: Its quantity"):
            return []
        reason = findings.removeprefix("bad-row: ").split(" | ")[0]
        if reason.startswith("The run that wrote"):
            return [reason]
        return [f"The run that wrote this report refused the row: {reason} Once it is right, empty its state."]

    def _surplus(self, raw: RawRow) -> list[str]:
        """Return the fault of a row with more cells than the header, or of one that may be part of a broken one."""
        width = self._width
        surplus = [cell for cell in raw.cells[width:] if cell.strip()]
        if surplus:
            shown = ", ".join(cell.strip()[:20] for cell in raw.cells[:6])
            return [
                f"It has {len(raw.cells)} cells where the list has {width} column{'s' * (width != 1)}: {shown}. "
                "Put a cell that holds the delimiter in quotes, without a space before the first quote."
            ]
        if raw.inside is not None and (
            len(raw.cells) != width
            or any('"' in cell for cell in raw.cells)
            or (raw.doubtful and not self._is_row_for_sure(raw))
        ):
            return [f"It may be part of the row on line {raw.inside}, which is broken. Fix that one first."]
        return []

    def _is_row_for_sure(self, raw: RawRow) -> bool:
        """Return whether a row that may be part of a long cell has a quantity or an order where they belong."""
        for use in ("quantity", "order"):
            index = self._columns.index_of(use)
            if index is not None and index < len(raw.cells):
                cell = raw.cells[index]
                if use == "quantity":
                    return not cell or _PIECES.fullmatch(cell) is not None
                return cell == cell.strip() and _RUNNING.search(cell) is not None
        return False

    def _swallowed(self, text: str) -> list[str]:
        """Return the fault of a text whose lines look like rows of the list: its closing quote is lost."""
        if self._width < 2 or "\n" not in text:
            return []
        lines = text.split("\n")
        for sign in (",", ";", "\t", "|"):
            parted = [
                line.count(sign) == self._width - 1 and any(c.isdigit() for c in line.split(sign)[-1]) for line in lines
            ]
            if all(parted[:-1]) or (len(lines) > 2 and all(parted[1:-1])):
                return ["Its text holds whole rows of the list: a quote is not closed where it should be. Fix it."]
        return []


def _unwanted(extra: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return a warning where another cell of the row says that it is not wanted, or already made."""
    for header, cell in extra:
        if len(cell) <= 40 and _UNWANTED.fullmatch(cell.strip()):
            return [(NOT_A_NAME, f"The column '{header[:30]}' says '{cell.strip()}'. Check that the sign is wanted.")]
    return []


def joined_cells(cells: Sequence[str], parts: Sequence[tuple[str, int]]) -> str:
    """Return several cells as one, each with what stands before it; empty ones leave no gap."""
    joined = ""
    for before, index in parts:
        cell = cells[index].strip() if index < len(cells) else ""
        if cell:
            joined += (before if joined else "") + cell
    return joined


def heading_rows(raw: Sequence[RawRow], columns: Columns) -> dict[int, str]:
    """Return the lines of rows that may be headings in the middle of a list, with what speaks for that."""
    if columns.own_report or len(columns.columns) < 2:
        return {}
    text = columns.index_of("text")
    found: dict[int, str] = {}
    lone = [row for row in raw if row.cells and [i for i, cell in enumerate(row.cells) if cell.strip()] == [text]]
    fuller = [row for row in raw if row.cells and sum(bool(cell.strip()) for cell in row.cells) > 1]
    others = [i for i, column in enumerate(columns.columns) if i != text and column.kind != "option"]
    regular = any(
        sum(i < len(row.cells) and bool(row.cells[i].strip()) for row in fuller) >= 0.9 * len(fuller) for i in others
    )
    if lone and regular and len(lone) * 2 <= len(fuller):
        for row in lone:
            found[row.line] = "Only its text is filled in, where other rows have more: it may be a heading of the list."
    return found


def second_header(raw: Sequence[RawRow], known: Mapping[str, Known]) -> int | None:
    """Return the line of a row that looks like the header of another list; `None` where there is none."""
    for row in raw:
        if not 1 < len(row.cells) < 60 or not any(cell in _OFTEN for cell in map(key_of, row.cells)):
            continue
        keys = [key_of(cell) for cell in row.cells if cell.strip()]
        if len(keys) > 1 and all(key in known for key in keys) and len({known[key].name for key in keys}) > 1:
            return row.line
    return None


def _own_place(columns: Columns, name: str) -> int | None:
    """Return the index of one of our own report's columns that is left out otherwise."""
    for index, column in enumerate(columns.columns):
        if columns.own_report and column.kind == "left-out" and column.name == name:
            return index
    return None


def _text(cell: str, *, known: bool) -> tuple[str, list[str]]:
    """Return the text with plain line ends, and what is wrong with it."""
    text = _LINE_END.sub("\n", cell) if not cell.isprintable() else cell
    if not text.strip() or not text.strip(" \t\n\u00a0\u200b\u200c\u200d\u2060\ufeff\x1a"):
        return "", ["It has no text."] if known else []
    if len(text) > LONGEST_TEXT:
        fault = [f"Its text has {len(text):,} letters; at most {LONGEST_TEXT} fit any sign."] if known else []
        return f"{text[:80]}…", fault
    return text, list(faults_of(text))


def _quantity(cell: str) -> tuple[int, list[str]]:
    """Return how many are wanted, one where nothing is said."""
    if not cell:
        return 1, []
    if _THOUSAND.fullmatch(cell):
        thousand = cell[:-4]
        return 1, [f"Its quantity {cell!r} may be {thousand} or {thousand},000. Write it without a comma or point."]
    match = _PIECES.fullmatch(cell) if len(cell) <= 20 else None
    if match and 1 <= int(match[1]) <= MOST_PIECES:
        return int(match[1]), []
    return 1, [f"Its quantity {cell[:20]!r} is not a whole number from 1 to {MOST_PIECES:,}."]
