"""What each column of an order list means: text, order, quantity, note, a sign option, or only copied to the report."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from studio.basics.errors import OrderError
from studio.orders.header_words import LETTERING, NAMES, NOTE, ORDER, PARTS, PEOPLE, QUANTITY, key_of
from studio.orders.spreadsheet import OWN_MARK, REPORT_COLUMNS
from studio.orders.told import FIELDS, ListWishes

SURE, NAME, PERSON, PART = 0, 100, 200, 300
"""How sure a header is that its column holds what stands on the sign: least is surest."""
_OPTION_SPELLINGS: Final[dict[str, tuple[str, ...]]] = {
    "face": ("font", "typeface"),
    "color": ("colour",),
    "also_color": ("also_colour",),
    "artwork": ("design", "picture"),
}
_ONCE: Final = frozenset({"text"})
"""Uses of which two columns of one name are not to be told apart."""


class Known(NamedTuple):
    """A header that is known: `field` or `option`, what its value is called, and a rank; the least is surest."""

    kind: str
    name: str
    rank: int


@dataclass(frozen=True, slots=True)
class Column:
    """One column: `kind` is `field`, `option`, `extra` or `left-out`; `name` what the value is called from here on."""

    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Columns:
    """All columns, from the left.

    Attributes:
        assumed: Sentences on what was assumed about them.
        joined: Uses made of several columns, with their indices and what stands before each.
        named: Indices of columns that somebody spoke of.
        told: Uses that somebody named a column for.
    """

    columns: tuple[Column, ...]
    assumed: tuple[str, ...]
    own_report: bool = False
    joined: Mapping[str, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    named: frozenset[int] = frozenset()
    told: frozenset[str] = frozenset()

    @property
    def passed_through(self) -> tuple[str, ...]:
        """The names of the columns that only pass on to the report."""
        return tuple(column.name for column in self.columns if column.kind == "extra")

    def index_of(self, name: str) -> int | None:
        """Return the index of the (first) column of a field or option; `None` where there is none."""
        for index, column in enumerate(self.columns):
            if column.kind in ("field", "option") and column.name == name:
                return index
        return None


BARE: Final = Columns((Column("field", "text"),), ())
"""A list of names without a header."""


def known_headers(option_names: Iterable[str]) -> dict[str, Known]:
    """Return what is known by compared header."""
    known: dict[str, Known] = {}
    for words, name, base in (
        (PARTS, "text", PART),
        (PEOPLE, "text", PERSON),
        (NAMES, "text", NAME),
        (LETTERING, "text", SURE),
        (ORDER, "order", 0),
        (QUANTITY, "quantity", 0),
        (NOTE, "note", 0),
    ):
        known |= {word: Known("field", name, base + rank) for rank, word in enumerate(words)}
    options = {key_of(name) for name in option_names}
    for name, spellings in _OPTION_SPELLINGS.items():
        if name in options:
            known |= {spelling: Known("option", name, 1 + rank) for rank, spelling in enumerate(spellings)}
    return known | {name: Known("option", name, 0) for name in options if name not in FIELDS}


def read_header(cells: Sequence[str], option_names: Iterable[str], told: ListWishes | None = None) -> Columns:
    """Return what the columns under this header mean.

    Raises:
        OrderError: No column holds the text, two columns have the same header, or a column that was told is not there.
    """
    told = told or ListWishes()
    known = known_headers(option_names)
    keys = [key_of(cell) for cell in cells]
    joined, left_out, passed = _as_told(cells, keys, told)
    named = {index for parts in joined.values() for _, index in parts} | left_out | passed
    own_report = set(keys) >= OWN_MARK
    if own_report:  # our own columns have their very names; whatever else stands there was copied
        known = {name: one for name, one in known.items() if name == one.name}
        keys = [key if cell.strip() == key else "" for key, cell in zip(keys, cells, strict=True)]
    best = _best(cells, keys, known, taken=frozenset(joined), named=named)
    if "text" not in best and "text" not in joined:
        raise _no_text(cells)
    by_index = {parts[0][1]: use for use, parts in reversed(joined.items())}
    followers = {index for parts in joined.values() for _, index in parts[1:]}
    columns, taken = [], set(FIELDS)
    for index, cell in enumerate(cells):
        if index in by_index:
            use = by_index[index]
            columns.append(Column("field" if use in FIELDS else "option", use))
        elif index in left_out or index in followers:
            columns.append(Column("left-out", "" if index in left_out else keys[index]))
        elif index not in passed and keys[index] in known and best.get(known[keys[index]].name) == index:
            columns.append(Column(*known[keys[index]][:2]))
        elif own_report and keys[index] in REPORT_COLUMNS:
            columns.append(Column("left-out", keys[index]))
        else:
            columns.append(Column("extra", _free_name(cell.strip() or f"column {index + 1}", taken)))
    sentences = _sentences(cells, columns, known)
    return Columns(tuple(columns), sentences, own_report, joined, frozenset(named), frozenset(joined))


def bare_columns(width: int, told: ListWishes) -> Columns:
    """Return what the columns of a list without a header mean: the first holds the text where nothing was told."""
    cells = ("",) * max(width, 1)
    joined, left_out, passed = _as_told(cells, [""] * len(cells), told)
    joined = joined or {"text": (("", 0),)}
    by_index = {parts[0][1]: use for use, parts in joined.items()}
    taken = {index for parts in joined.values() for _, index in parts}
    columns = tuple(
        Column("field" if by_index[index] in FIELDS else "option", by_index[index])
        if index in by_index
        else Column("left-out", "")
        if index in left_out or index in taken
        else Column("extra", f"column {index + 1}")
        for index in range(len(cells))
    )
    named = taken | left_out | passed
    uses = frozenset(joined) if told.names_columns else frozenset()
    return Columns(columns, (), joined=joined, named=frozenset(named if told.names_columns else ()), told=uses)


def without_empty(columns: Columns, cells: Sequence[str], used: set[int]) -> Columns:
    """Return the columns with those left out that have neither a header nor a value in any row."""
    kept = tuple(
        Column("left-out", "") if column.kind == "extra" and not cells[index].strip() and index not in used else column
        for index, column in enumerate(columns.columns)
    )
    return Columns(kept, columns.assumed, columns.own_report, columns.joined, columns.named, columns.told)


def passed_on(columns: Columns, indices: Iterable[int], cells: Sequence[str]) -> Columns:
    """Return the columns with some of them copied in place of what they were taken for."""
    kept = list(columns.columns)
    names = {name.casefold() for name in columns.passed_through} | set(FIELDS)
    for index in indices:
        kept[index] = Column("extra", _free_name(cells[index].strip() or f"column {index + 1}", names))
    return Columns(tuple(kept), columns.assumed, columns.own_report, columns.joined, columns.named, columns.told)


def _as_told(
    cells: Sequence[str], keys: Sequence[str], told: ListWishes
) -> tuple[dict[str, tuple[tuple[str, int], ...]], set[int], set[int]]:
    """Return the indices of the columns that were told: by use, left out, and copied."""
    joined = {use: tuple((before, _place(name, cells, keys)) for before, name in parts) for use, parts in told.columns}
    left_out = {_place(name, cells, keys) for name in told.ignored}
    return joined, left_out, {_place(name, cells, keys) for name in told.passed}


def _place(name: str, cells: Sequence[str], keys: Sequence[str]) -> int:
    """Return the index of a column by its header or by `#` with its number."""
    if name.startswith("#") and name[1:].isascii() and name[1:].isdigit():
        index = int(name[1:]) - 1
        if 0 <= index < len(cells):
            return index
    places = [index for index, key in enumerate(keys) if key and key == key_of(name)]
    exact = [index for index in places if cells[index].strip() == name.strip()]
    if len(exact or places) == 1:
        return (exact or places)[0]
    if places:
        numbers = " or ".join(f"#{index + 1}" for index in places[:6])
        raise OrderError(
            f"--columns: the list has {len(places)} columns called {name[:40]!r}.",
            advice=f"Say which by number: {numbers}.",
        )
    near = difflib.get_close_matches(key_of(name), [key for key in keys if key], n=1, cutoff=0.6)
    shown = ", ".join(f"#{index + 1} {cell.strip()[:24]}".strip() for index, cell in enumerate(cells[:16]))
    hint = f" Did you mean {cells[keys.index(near[0])].strip()!r}?" if near else ""
    raise OrderError(f"--columns: the list has no column {name[:40]!r}; it has {shown}.", advice=f"Fix it.{hint}")


def _best(
    cells: Sequence[str], keys: Sequence[str], known: Mapping[str, Known], *, taken: frozenset[str], named: set[int]
) -> dict[str, int]:
    """Return the surest column for each use that nobody spoke of."""
    best: dict[str, int] = {}
    for index, key in enumerate(keys):
        if key not in known or index in named or known[key].name in taken:
            continue
        name, rank = known[key].name, known[key].rank
        held = best.get(name)
        if held is None or rank < known[keys[held]].rank:
            best[name] = index
        elif keys[held] == key and (name in _ONCE or known[key].kind == "option"):
            raise OrderError(
                f"The order list has two columns called {cells[index].strip()!r}, {held + 1} and {index + 1}.",
                advice=f"Rename or delete one of them, or say which it is: --columns {name}=#{held + 1}.",
            )
    return best


def _free_name(name: str, taken: set[str]) -> str:
    free, number = name, 2
    while free.casefold() in taken:
        free, number = f"{name} ({number})", number + 1
    taken.add(free.casefold())
    return free


def _sentences(cells: Sequence[str], columns: Sequence[Column], known: Mapping[str, Known]) -> tuple[str, ...]:
    """Return in words which column is read as what, and which look like a slip of the pen."""
    read, passed, slips = [], [], []
    for cell, column in zip(cells, columns, strict=True):
        shown = cell.strip()[:40]
        if column.kind == "extra":
            if not shown:
                continue
            passed.append(shown)
            if len(passed) > 200:
                continue
            near = difflib.get_close_matches(key_of(shown)[:60], known, n=1, cutoff=0.8)
            if near and known[near[0]].kind == "option":
                slips.append(f"The column {shown!r} is not a sign option; did you mean {known[near[0]].name!r}?")
        elif column.kind != "left-out":
            name = column.name
            read.append(name if key_of(shown) == name else f"{name} from {shown!r}")
    sentences = [f"Columns: {', '.join(read)}."]
    if passed:
        more = f" and {len(passed) - 24} more" if len(passed) > 24 else ""
        sentences.append(f"Copied to the report unchanged: {', '.join(passed[:24])}{more}.")
    return (*sentences, *slips[:8])


def _no_text(cells: Sequence[str]) -> OrderError:
    shown = ", ".join(cell.strip()[:30] for cell in cells[:12])
    return OrderError(
        f"No column of the order list holds the text; its first line reads: {shown}.",
        advice="Call the column with the names 'text' (or 'name'), or say which it is: --columns text='…'.",
    )
