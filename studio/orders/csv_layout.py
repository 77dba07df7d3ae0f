"""What parts the cells of an order list, and where its header stands.

The header decides: under the right delimiter its cells are words that we know.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from studio.errors import OrderError
from studio.orders.columns import key_of, known_headers
from studio.orders.csv_rows import RawRow, split_rows

NAMES: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_SEP_LINE: Final = re.compile(r'\s*"?sep=([^\w\s"\x00-\x1f\x7f]|\t)"?\s*', re.IGNORECASE)
_SAMPLE_LINES: Final = 200
_SAMPLE_LETTERS: Final = 200_000
_HEADER_WITHIN: Final = 10
_AGREEMENT: Final = 0.8


@dataclass(frozen=True, slots=True)
class Shape:
    """How a list is laid out.

    Attributes:
        delimiter: One character.
        start: Index of the first line that is not a `sep=` line or a title.
        header: The header's row, or `None` for a bare list of names.
        assumed: Sentences.
    """

    delimiter: str
    start: int
    header: RawRow | None
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Trial:
    """A list's first rows under one delimiter."""

    delimiter: str
    header: RawRow | None
    recognised: int
    width: int
    agreement: float


def find_shape(lines: Sequence[str], option_names: frozenset[str]) -> Shape:
    """Return how the list is laid out.

    Raises:
        OrderError: There are several columns and no header that says which holds the text.
    """
    known = known_headers(option_names)
    stated = _SEP_LINE.fullmatch(lines[0]) if lines else None
    start = 1 if stated else 0
    sample = _sample(lines)
    candidates = [stated[1]] if stated else list(NAMES)
    trials = [_trial(sample, delimiter, start, known) for delimiter in candidates]
    best = max(trials, key=lambda trial: (trial.recognised, trial.width > 1 and trial.agreement >= _AGREEMENT))
    name = NAMES.get(best.delimiter, repr(best.delimiter))
    how = f"Cells are parted by a {name}, as its first line says." if stated else f"Cells are parted by a {name}."
    if best.header is not None:
        titles = [row for row in split_rows(sample, best.delimiter, start=start) if not row.blank]
        above = sum(row.line < best.header.line for row in titles)
        assumed: tuple[str, ...] = (how,) if best.width > 1 or stated else ()
        if above:
            assumed += (f"The header is on line {best.header.line}; what stands above it is left out.",)
        return Shape(best.delimiter, best.header.line - 1, best.header, assumed)
    if best.width > 1 and best.agreement >= _AGREEMENT:
        first = next(row for row in split_rows(sample, best.delimiter, start=start) if row.cells)
        raise OrderError(
            f"The order list has {best.width} columns and no header; its first line reads: "
            f"{', '.join(cell.strip()[:30] for cell in first.cells[:12])}.",
            advice="Put a line such as text,quantity above it; a name with a comma in it goes in quotes.",
        )
    return Shape(best.delimiter, start, None, (how,) if stated else ())


def _trial(sample: Sequence[str], delimiter: str, start: int, known: dict[str, tuple[str, str, int]]) -> _Trial:
    rows = [row for row in islice(split_rows(sample, delimiter, start=start), _SAMPLE_LINES) if not row.blank]
    header, recognised = None, 0
    titles_only = True
    for place, row in enumerate(rows[:_HEADER_WITHIN]):
        names = {known[key][1] for key in map(key_of, row.cells) if key in known}
        filled = sum(bool(cell.strip()) for cell in row.cells)
        if _is_header(names, filled, place, titles_only):
            header, recognised = row, len(names)
            break
        titles_only = titles_only and filled <= 1
    body = [row for row in rows if row.cells]
    width = len(header.cells) if header else (len(body[0].cells) if body else 0)
    agreement = sum(len(row.cells) == width for row in body) / len(body) if body else 0.0
    return _Trial(delimiter, header, recognised, width, agreement)


def _is_header(names: set[str], filled: int, place: int, titles_only: bool) -> bool:
    """Return whether a row of `filled` cells, `names` of them known, is the header; surest on the first row."""
    if filled <= 1:
        return place == 0 and names == {"text"}
    if place == 0:
        return bool(names)
    return "text" in names and (len(names) > 1 or titles_only)


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
