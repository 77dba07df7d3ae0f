"""What a list was taken for, as one value: how it was saved, its header, what each column is, and what is only a guess.

Nothing is made from a list with a doubt until somebody has answered it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.orders.told import ListWishes

_WIDE: Final = 34
_MOST_COLUMNS: Final = 24


@dataclass(frozen=True, slots=True)
class ListAnswer:
    """One answer to a doubt: what it says in words, and what it says of the list."""

    words: str
    told: ListWishes


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something about a list that is a guess.

    Attributes:
        about: `encoding`, `sheet`, `header`, `text`, `quantity` or `option`.
        message: What is not sure, and why.
        answers: The ways to settle it, the guess first; there is always one.
    """

    about: str
    message: str
    answers: tuple[ListAnswer, ...]


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What one column is taken for.

    Attributes:
        number: From 1.
        header: As it stands; empty where there is none.
        use: `text`, `order`, `quantity`, `note`, a sign option, `copied` or `left out`.
        example: Its first value.
    """

    number: int
    header: str
    use: str
    example: str


@dataclass(frozen=True, slots=True)
class TakenFor:
    """What a list was taken for.

    Attributes:
        saved_as: The encoding, or the kind of workbook with its sheet.
        delimiter: In words; empty where there is nothing to part.
        header_line: From 1; 0 for a list without a header.
        headers: All headers, from the left.
        first: The first three signs as they will read.
        doubts: What is a guess; empty when everything is sure or told.
        known_as: The entry of the settings that it was known by; empty otherwise.
    """

    saved_as: str
    delimiter: str
    header_line: int
    headers: tuple[str, ...]
    columns: tuple[ColumnUse, ...]
    first: tuple[str, ...]
    doubts: tuple[Doubt, ...] = ()
    known_as: str = ""

    def table(self) -> tuple[str, ...]:
        """Return it as lines of a small table, used columns first."""
        how = self.saved_as + (f", columns separated by {self.delimiter}" if self.delimiter else "")
        head = f"header on line {self.header_line}" if self.header_line else "no header line"
        known = f"; known as [lists.{self.known_as}]" if self.known_as else ""
        lines = [f"The list was read as {how}; {head}{known}."]
        used = [column for column in self.columns if column.use not in ("copied", "left out")]
        rest = [column for column in self.columns if column.use == "copied"]
        for column in (*used, *rest)[:_MOST_COLUMNS]:
            name = column.header or f"column {column.number}"
            lines.append(f"  {column.use:<14} {_cut(name, _WIDE):<{_WIDE}} {_cut(column.example, 40)}".rstrip())
        hidden = max(0, len(used) + len(rest) - _MOST_COLUMNS)
        left_out = [column.header for column in self.columns if column.use == "left out" and column.header]
        if hidden:
            lines.append(f"  … and {hidden} more columns, copied to the report")
        if left_out:
            shown = ", ".join(_cut(header, 20) for header in left_out[:8])
            lines.append(f"  left out: {shown}{f' and {len(left_out) - 8} more' if len(left_out) > 8 else ''}")
        signs = " | ".join(_cut(text.replace("\n", " / "), 40) for text in self.first)
        lines.append(f"  first signs    {signs}")
        return tuple(lines)

    def to_type(self) -> str:
        """Return the options that take every guess as it is."""
        told = ListWishes()
        for doubt in reversed(self.doubts):
            told = doubt.answers[0].told.over(told)
        return told.as_options()


def _cut(text: str, longest: int) -> str:
    shown = "".join(letter if letter.isprintable() else " " for letter in text[: longest + 1])
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"
