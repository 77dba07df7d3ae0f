"""An order list's lines as rows of cells. One broken row costs that row, never those after it.

The rules are RFC 4180's (quotes double inside quotes, line ends inside quotes are data, spaces are data), with any
line end and any delimiter.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

MOST_LINES_IN_A_ROW: Final = 40
"""A quoted cell that runs on longer has lost its closing quote."""


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row: the physical line it starts on (from 1), its cells, and what is wrong with it, if anything.

    Attributes:
        cells: Empty where the row could not be split.
        inside: The line of an earlier broken row which may have meant this one to be part of it.
        doubtful: Whether that row closes its quote as it should, so that this may well be part of it.
    """

    line: int
    cells: tuple[str, ...]
    fault: str = ""
    inside: int | None = None
    doubtful: bool = False

    @property
    def blank(self) -> bool:
        """Whether nothing stands in it at all."""
        return not self.fault and not any(cell.strip() for cell in self.cells)


class _Feed:
    """Hands out lines and knows how many it has handed out."""

    def __init__(self, lines: Sequence[str], position: int) -> None:
        self.lines = lines
        self.position = position

    def __iter__(self) -> _Feed:
        return self

    def __next__(self) -> str:
        if self.position >= len(self.lines):
            raise StopIteration
        self.position += 1
        return self.lines[self.position - 1]


def split_lines(text: str) -> list[str]:
    """Return the physical lines with their ends; CR LF, LF and CR alone all end one."""
    return list(io.StringIO(text, newline=""))


def split_rows(lines: Sequence[str], delimiter: str, *, start: int = 0, width: int | None = None) -> Iterator[RawRow]:
    """Yield the rows from line index `start` on, blank ones too.

    A cell that runs over very many lines is one where the row has the width of the list and the lines of the cell do
    not look like rows of it; else its quote is taken for a stray one.

    A row that breaks the quoting rules is given up with its first line, and reading goes on at the line after. Each
    line is read at most a few times: within a stretch that a stray quote swallowed, no other quote can open a cell
    that swallows it again.
    """
    suspect_until, suspect_from, doubtful = 0, 0, False
    while True:
        feed = _Feed(lines, start)
        reader = csv.reader(feed, delimiter=delimiter, strict=True)
        while True:
            begin = feed.position
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as problem:
                fault, closes = _fault(str(problem), lines[begin]), False
                break
            closes = False
            if feed.position - begin > MOST_LINES_IN_A_ROW and not (
                width == len(cells) and not _look_like_rows(lines[begin + 1 : feed.position - 1], delimiter, width)
            ):
                closes = width == len(cells)
                fault = (
                    f"A quote opened here runs on to line {feed.position}: it is stray, or the cell is too long. "
                    "Take the quote out, or shorten the cell."
                )
                break
            is_inside = begin < suspect_until
            inside = suspect_from if is_inside else None
            yield RawRow(begin + 1, tuple(cells), inside=inside, doubtful=is_inside and doubtful)
        yield RawRow(begin + 1, (), fault)
        if feed.position < len(lines) and feed.position > begin + 1:
            suspect_from, suspect_until, doubtful = begin + 1, feed.position, closes
        start = begin + 1


def _look_like_rows(lines: Sequence[str], delimiter: str, width: int) -> bool:
    """Return whether most lines have as many cells as the list's rows."""
    if width == 1:
        return True
    alike = sum(line.count(delimiter) == width - 1 for line in lines)
    return alike * 5 >= len(lines) * 4


def _fault(problem: str, line: str) -> str:
    """Return the reader's complaint in words a maker can act on."""
    shown = line.strip()[:60]
    if "field limit" in problem:
        return f"A cell holds more than {csv.field_size_limit():,} letters."
    if "unexpected end" in problem:
        return f"A quote is opened here and never closed: {shown}. Close it, or take it out."
    if "expected after" in problem:
        return f"More letters follow a closing quote: {shown}. Inside quotes, write a quote twice."
    return f"The line cannot be split into cells: {shown}."
