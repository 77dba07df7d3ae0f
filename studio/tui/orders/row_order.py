"""Which rows of a list are shown, and in which order: as they stand in it, by text, or the worst first.

Invariant: rows keep their numbers; only what is shown changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from studio.tui.orders.order_book import ILL, OrderBook

BY_LIST: Final = "their place in the list"
BY_TEXT: Final = "text"
BY_STATE: Final = "what was found, errors first"
_WAYS: Final = (BY_LIST, BY_TEXT, BY_STATE)
_WORST_FIRST: Final = ("failed", "refused", "fits-with-warnings", "made-with-warnings")


@dataclass(frozen=True, slots=True)
class RowOrder:
    """An order.

    Attributes:
        count: How many rows the list has.
        by: What they are sorted by.
        is_only_ill: Whether only rows with warnings or errors are shown.
        chosen: The places in the list that are shown, in order; `None` for all as they stand.
    """

    count: int
    by: str = BY_LIST
    is_only_ill: bool = False
    chosen: tuple[int, ...] | None = None

    @property
    def places(self) -> tuple[int, ...] | range:
        """The places of the rows shown."""
        return range(self.count) if self.chosen is None else self.chosen

    @property
    def title(self) -> str:
        """What stands over the rows."""
        parts = ["Rows with warnings or errors" if self.is_only_ill else "Rows"]
        return ", by ".join(parts if self.by == BY_LIST else [*parts, self.by])

    def shown_at(self, place: int) -> int:
        """Return at which line a row is shown; the first where it is not."""
        if self.chosen is None:
            return place
        return self.chosen.index(place) if place in self.chosen else 0

    def filtered(self, book: OrderBook, *, only_ill: bool) -> RowOrder:
        """Return the order with only the rows that have warnings or errors, or with all."""
        return replace(self, is_only_ill=only_ill)._laid(book)

    def sorted_next(self, book: OrderBook) -> RowOrder:
        """Return the order by the next of the ways."""
        return replace(self, by=_WAYS[(_WAYS.index(self.by) + 1) % len(_WAYS)])._laid(book)

    def find(self, book: OrderBook, words: str, start: int) -> int | None:
        """Return the line of the first row from a line on, and round, whose text has some words; `None` for none."""
        wanted = words.casefold()
        for step in range(len(self.places)):
            shown = (start + step) % len(self.places)
            if wanted in book.rows[self.places[shown]].text.casefold():
                return shown
        return None

    def _laid(self, book: OrderBook) -> RowOrder:
        if self.by == BY_LIST and not self.is_only_ill:
            return replace(self, chosen=None)
        places = [place for place in range(self.count) if not self.is_only_ill or _is_ill(book, place)]
        if self.by == BY_TEXT:
            places.sort(key=lambda place: book.rows[place].text.casefold())
        elif self.by == BY_STATE:
            places.sort(key=lambda place: _rank(book, place))
        return replace(self, chosen=tuple(places))


def _is_ill(book: OrderBook, place: int) -> bool:
    return book.fact(place).state in (*ILL, "made-with-warnings") or bool(book.rows[place].faults)


def _rank(book: OrderBook, place: int) -> int:
    state = book.fact(place).state
    return _WORST_FIRST.index(state) if state in _WORST_FIRST else len(_WORST_FIRST)
