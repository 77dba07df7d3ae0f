"""Which orders of a list an earlier run in the folder knows: by order and text, never by their place in the list."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Final

from studio.orders.order_row import OrderRow
from studio.production.file_names import row_stem
from studio.production.journal import JournalEntry
from studio.production.row_result import MADE

_SHARE: Final = 0.3
"""Of the finished signs, or of the rows if they are fewer: so many known ones make it the list of the folder."""
_SHARE_OF_SAME_NAME: Final = 0.1
_FEW: Final = 3
"""Up to so many finished signs a list of the same name may have every text changed and still be that list."""


@dataclass(frozen=True, slots=True)
class KnownOrders:
    """What a list has to do with what stands in its folder.

    Attributes:
        same: By row number, the key of the entry with the same order and text.
        respelled: By row number, the key of the entry that is the same order with another text.
        others: Keys of entries that the list has no row for.
    """

    same: Mapping[int, int]
    respelled: Mapping[int, int]
    others: tuple[int, ...]

    def key_of(self, row: int) -> int | None:
        """Return the key of the entry that a row belongs to; `None` where there is none."""
        return self.same.get(row, self.respelled.get(row))


def known_orders(rows: Sequence[OrderRow], entries: Mapping[int, JournalEntry]) -> KnownOrders:
    """Return which rows are known."""
    left_rows = {row.row: row for row in rows}
    left = dict(entries)
    same: dict[int, int] = {}
    respelled: dict[int, int] = {}

    def pair(
        into: dict[int, int],
        of_row: Callable[[OrderRow], Hashable | None],
        of_entry: Callable[[JournalEntry], Hashable | None],
        *,
        alone: bool = False,
    ) -> None:
        waiting: dict[Hashable, deque[int]] = defaultdict(deque)
        for key, entry in left.items():
            mark = of_entry(entry)
            if mark is not None:
                waiting[mark].append(key)
        wanted: dict[Hashable, list[int]] = defaultdict(list)
        for number, row in left_rows.items():
            mark = of_row(row)
            if mark in waiting:
                wanted[mark].append(number)
        for mark, numbers in wanted.items():
            keys = waiting[mark]
            if alone and (len(keys) > 1 or len(numbers) > 1):
                continue
            for number in numbers[: len(keys)]:
                key = keys.popleft()
                into[number] = key
                del left[key], left_rows[number]

    pair(same, lambda row: (row.order, row.text, row.options), lambda entry: (*_named(entry), entry.result.options))
    pair(same, lambda row: (row.order, row.text), _named)
    pair(
        respelled,
        lambda row: row.order.casefold() or None,
        lambda entry: entry.result.order.casefold() or None,
        alone=True,
    )
    pair(respelled, lambda row: None if row.order else row.row, lambda e: None if e.result.order else e.result.row)
    return KnownOrders(same, respelled, tuple(left))


def is_another_list(
    rows: Sequence[OrderRow], entries: Mapping[int, JournalEntry], known: KnownOrders, *, same_name: bool
) -> bool:
    """Return whether a folder's finished signs belong to another list than this one.

    Args:
        rows: The list.
        entries: What the folder knows.
        known: How the two fit.
        same_name: Whether the list has the name of the folder's list.
    """
    finished = {key for key, entry in entries.items() if entry.result.state in MADE}
    if not finished:
        return False
    shared = len(finished & set(known.same.values()))
    if same_name and len(finished) <= _FEW and len(rows) <= _FEW:
        return not shared and not finished & set(known.respelled.values())
    share = _SHARE_OF_SAME_NAME if same_name else _SHARE
    return shared < share * min(len(finished), len(rows))


def stems(rows: Iterable[OrderRow], entries: Mapping[int, JournalEntry], known: KnownOrders) -> dict[int, str]:
    """Return the names of all rows' files without their endings: a known order keeps those it has.

    No two are alike, and none is that of an order which the list has no row for.
    """
    rows = list(rows)
    kept = {row.row: stem for row in rows if row.row in known.same and (stem := _stem_of(entries[known.same[row.row]]))}
    used = {stem.casefold() for entry in entries.values() if (stem := _stem_of(entry))}
    chosen: dict[int, str] = {}
    digits = max(4, len(str(len(rows))))
    for row in rows:
        stem = kept.get(row.row, "")
        if not stem:
            plain = stem = row_stem(row.row, row.text, row.order, digits=digits)
            key, number = known.key_of(row.row), 2
            own = _stem_of(entries[key]).casefold() if key is not None else ""
            while stem.casefold() in used and stem.casefold() != own:
                stem, number = f"{plain}-{number}", number + 1
            used.add(stem.casefold())
        chosen[row.row] = stem
    return chosen


def _named(entry: JournalEntry) -> tuple[str, str]:
    return entry.result.order, entry.result.text


def _stem_of(entry: JournalEntry) -> str:
    name = entry.result.print or entry.result.proof
    return PurePosixPath(name).stem if name else ""
