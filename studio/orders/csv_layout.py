"""What parts the cells of an order list, and where its header stands.

The header decides: under the right delimiter its cells are words that we know.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from studio.basics.errors import OrderError
from studio.orders.columns import Known, known_headers
from studio.orders.csv_rows import RawRow, split_rows
from studio.orders.header_words import NEUTRAL, key_of
from studio.orders.told import KnownList, ListWishes, matching

NAMES: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_SEP_LINE: Final = re.compile(r'\s*"?sep=([^\w\s"\x00-\x1f\x7f]|\t)"?\s*', re.IGNORECASE)
_SAMPLE_LINES: Final = 300
_SAMPLE_LETTERS: Final = 200_000
_HEADER_WITHIN: Final = 60
_AGREEMENT: Final = 0.8


@dataclass(frozen=True, slots=True)
class CsvShape:
    """How a list is laid out.

    Attributes:
        delimiter: One character.
        start: Index of the first line that is not a `sep=` line or a title.
        header: The header's row, or `None` for a bare list of names.
        assumed: Sentences.
        is_guess: Whether rows that look like data stand above the header.
        known: The entry of the settings whose headers these are.
    """

    delimiter: str
    start: int
    header: RawRow | None
    assumed: tuple[str, ...]
    is_guess: bool = False
    known: KnownList | None = None


@dataclass(frozen=True, slots=True)
class _Trial:
    """A list's first rows under one delimiter."""

    delimiter: str
    header: RawRow | None
    recognised: int
    width: int
    agreement: float
    above: int
    data_above: bool
    known: KnownList | None = None


def delimiter_name(delimiter: str) -> str:
    """Return what separates columns, in words and in the plural."""
    return f"{NAMES[delimiter]}s" if delimiter in NAMES else repr(delimiter)


def find_shape(
    lines: Sequence[str],
    option_names: frozenset[str],
    told: ListWishes | None = None,
    known_lists: Sequence[KnownList] = (),
) -> CsvShape:
    """Return how the list is laid out.

    Raises:
        OrderError: There are several columns and no header that says which holds the text.
    """
    told = told or ListWishes()
    stated = _SEP_LINE.fullmatch(lines[0]) if lines else None
    start = 1 if stated else 0
    sample = _sample(lines)
    candidates = [told.delimiter] if told.delimiter else [stated[1]] if stated else list(NAMES)
    trials = []
    for delimiter in candidates:
        rows = list(islice(split_rows(sample, delimiter, start=start), _SAMPLE_LINES))
        trials.append(_trial(rows, delimiter, option_names, told, known_lists))
    best = max(
        trials,
        key=lambda trial: (
            trial.known is not None,
            trial.recognised,
            trial.width > 1 and trial.agreement >= _AGREEMENT,
        ),
    )
    name = delimiter_name(best.delimiter)
    how = f"Columns are separated by {name}{', as its first line says' if stated else ''}."
    if told.delimiter:
        how = f"Columns are separated by {name}, as told."
    if best.header is not None:
        assumed: tuple[str, ...] = (how,) if best.width > 1 or stated else ()
        return CsvShape(
            best.delimiter, best.header.line - 1, best.header, assumed + _above(best), best.data_above, best.known
        )
    if told.header == 0:
        return CsvShape(best.delimiter, start, None, (how,) if stated or best.width > 1 else ())
    if best.width > 1 and best.agreement >= _AGREEMENT:
        raise no_header(next(row for row in split_rows(sample, best.delimiter, start=start) if row.cells), best.width)
    return CsvShape(best.delimiter, start, None, (how,) if stated else ())


def shape_of_rows(
    rows: Sequence[RawRow], option_names: frozenset[str], told: ListWishes, known_lists: Sequence[KnownList] = ()
) -> CsvShape:
    """Return how rows of a workbook are laid out, whose columns are separated already. Raises like `find_shape`."""
    trial = _trial(rows[:_SAMPLE_LINES], "", option_names, told, known_lists)
    if trial.header is not None:
        return CsvShape("", trial.header.line - 1, trial.header, _above(trial), trial.data_above, trial.known)
    first = next((row for row in rows if not row.blank), None)
    width = max((sum(bool(cell.strip()) for cell in row.cells) for row in rows[:_SAMPLE_LINES]), default=0)
    if told.header != 0 and first is not None and width > 1:
        raise no_header(first, width)
    return CsvShape("", 0, None, ())


def _above(trial: _Trial) -> tuple[str, ...]:
    if not trial.above or trial.header is None:
        return ()
    return (f"The header is on line {trial.header.line}; everything above it is ignored.",)


def no_header(first: RawRow, width: int) -> OrderError:
    """Return what to say of a list of several columns that no header names."""
    return OrderError(
        f"The order list has {width} columns and no header that is known; its first line reads: "
        f"{', '.join(cell.strip()[:30] for cell in first.cells[:12])}.",
        advice="Put a line such as text,quantity above it (a name with a comma in it goes in quotes); or say where the "
        "header is and which column holds the text: --header 1 --columns text='…'; or, where it has none: "
        "--header none --columns text=#1.",
    )


def _trial(
    rows: Sequence[RawRow],
    delimiter: str,
    option_names: frozenset[str],
    told: ListWishes,
    known_lists: Sequence[KnownList],
) -> _Trial:
    known = known_headers(option_names)
    rows = [row for row in rows if not row.blank]
    header, recognised, above, data_above, entry = _told_header(rows, told)
    if header is None and told.header is None:
        header, recognised, above, data_above, entry = _found_header(rows, known, told, known_lists)
    body = [row for row in rows if row.cells]
    width = len(header.cells) if header else (len(body[0].cells) if body else 0)
    agreement = sum(len(row.cells) == width for row in body) / len(body) if body else 0.0
    return _Trial(delimiter, header, recognised, width, agreement, above, data_above, entry)


_Found = tuple[RawRow | None, int, int, bool, KnownList | None]


def _told_header(rows: Sequence[RawRow], told: ListWishes) -> _Found:
    """Return the header on the line that was told."""
    for place, row in enumerate(rows):
        if told.header and row.line == told.header:
            return row, 1 + sum(bool(cell.strip()) for cell in row.cells), place, False, None
    return None, 0, 0, False, None


def _found_header(
    rows: Sequence[RawRow], known: dict[str, Known], told: ListWishes, known_lists: Sequence[KnownList]
) -> _Found:
    """Return the row that is the header: the one whose cells are known best, the first of equals."""
    wanted = {key_of(name) for _, joined in told.columns for _, name in joined if not name.startswith("#")}
    best: _Found = (None, 0, 0, False, None)
    titles_only, most_above = True, 0
    for place, row in enumerate(rows[:_HEADER_WITHIN]):
        keys = [key_of(cell) for cell in row.cells]
        entry = matching(row.cells, known_lists)
        if entry is not None:
            return row, len(keys) + 100, place, False, entry
        filled = sum(bool(key) for key in keys)
        if wanted and wanted <= set(keys):
            return row, len(wanted) + 50, place, False, None
        names = {known[key].name for key in keys if key in known}
        sure = sum(key in known or key in NEUTRAL for key in keys if key)
        if _is_header(names, filled, sure, place, titles_only) and len(names) > best[1]:
            best = (row, len(names), place, most_above >= max(filled, 2), None)
        titles_only, most_above = titles_only and filled <= 1, max(most_above, filled)
        if best[0] is not None and place > best[2] + 12:
            break
    return best


def _is_header(names: set[str], filled: int, sure: int, place: int, titles_only: bool) -> bool:
    """Return whether a row of `filled` cells, `names` of them known, may be the header; surest on the first row."""
    if filled <= 1:
        return place == 0 and names == {"text"}
    if place == 0:
        return bool(names) and (sure * 2 >= filled or "text" in names or len(names) > 1)
    return "text" in names and (len(names) > 1 or titles_only or sure == filled)


def _sample(lines: Sequence[str]) -> list[str]:
    """Return the first lines, few enough and short enough to try four delimiters on."""
    sample: list[str] = []
    letters = 0
    for line in lines[:_SAMPLE_LINES]:
        letters += len(line)
        if letters > _SAMPLE_LETTERS and sample:
            break
        sample.append(line)
    return sample
