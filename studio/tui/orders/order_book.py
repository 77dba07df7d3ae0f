"""An order list on the screen: its rows with the fixes made here, what is known of each, and which are marked.

Invariant: the file is never written; a fix is a changed order, undone like any other change.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from studio.model.finding import Finding
from studio.model.options import from_cells
from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.orders.row_reading import MOST_PIECES
from studio.tui.editor.draft import TEXT, SignDraft

STATE_WORDS: Final = {
    "": "…",
    "fits": "ok",
    "fits-with-warnings": "warning",
    "refused": "error",
    "made": "made",
    "made-with-warnings": "made, warning",
    "failed": "failed",
}
"""What a row's state is called on the screen."""
QUANTITY: Final = "quantity"
"""The key under which a row's quantity is fixed; all other keys are options' or the text's."""
ILL: Final = frozenset({"fits-with-warnings", "refused", "failed"})


@dataclass(frozen=True, slots=True)
class RowFact:
    """What is known of a row: its state as in the reports, and why."""

    state: str = ""
    why: str = ""

    @property
    def word(self) -> str:
        """The state as shown."""
        return STATE_WORDS.get(self.state, self.state)


UNKNOWN: Final = RowFact()


@dataclass(slots=True)
class OrderBook:
    """The list.

    Attributes:
        file: The CSV.
        orders: All rows, fixes included.
        facts: What is known, by row number.
        marked: Numbers of the rows that alone are to be made; none marks all.
        undone: What fixes replaced, the newest last.
        made: Rows that are made in the list's folder, by number: the order as it was made, and what came of it.
        as_read: The rows as they stand in the file.
    """

    file: Path
    orders: OrderList
    facts: dict[int, RowFact] = field(default_factory=dict)
    marked: set[int] = field(default_factory=set)
    undone: list[OrderRow] = field(default_factory=list)
    made: dict[int, tuple[OrderRow, RowFact]] = field(default_factory=dict)
    as_read: tuple[OrderRow, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.as_read = self.orders.rows

    @property
    def rows(self) -> tuple[OrderRow, ...]:
        """The rows."""
        return self.orders.rows

    def fact(self, index: int) -> RowFact:
        """Return what is known of the row at a place."""
        return self.facts.get(self.rows[index].row, UNKNOWN)

    def take_fact(self, number: int, fact: RowFact) -> None:
        """Take what was found out about a row; what is made of it as it stands says more."""
        order, made = self.made.get(number, (None, fact))
        self.facts[number] = made if order == self.rows[number - 1] else fact

    def take_made(self, made: Mapping[int, tuple[OrderRow, RowFact]]) -> list[OrderRow]:
        """Take which rows are made in the list's folder, and return those that are so no longer, to be checked."""
        gone = [self.rows[number - 1] for number in self.made.keys() - made.keys()]
        for row in gone:
            self.facts.pop(row.row, None)
        self.made = dict(made)
        for number, (order, fact) in made.items():
            if order == self.rows[number - 1]:
                self.facts[number] = fact
        return gone

    def state_of(self, index: int) -> SignDraft:
        """Return the row's sign as the editor would hold it, without what the editor adds."""
        row = self.rows[index]
        return SignDraft(row.text).with_values(from_cells(dict(row.options)))

    def fix(self, index: int, key: str, value: str) -> bool:
        """Change a row's text or one of its options; tell whether that changed it."""
        row = self.rows[index]
        if key == QUANTITY:
            changed = _with_quantity(row, value)
        elif key == TEXT:
            changed = replace(row, text=value, faults=() if value.strip() else row.faults, warnings=())
        else:
            options = {name: held for name, held in row.options if name != key}
            if value:
                options[key] = value
            changed = replace(row, options=tuple(options.items()))
        if changed == row:
            return False
        if not (
            self.undone and self.undone[-1].row == row.row and key == TEXT and _same_but_text(self.undone[-1], row)
        ):
            self.undone.append(row)
        self._put(index, changed)
        return True

    def put(self, index: int, row: OrderRow) -> None:
        """Put a changed row in a row's place; it can be taken back."""
        self.undone.append(self.rows[index])
        self._put(index, row)

    def undo(self) -> int | None:
        """Take the last fix back and return the row's place; `None` when there is none."""
        if not self.undone:
            return None
        row = self.undone.pop()
        index = row.row - 1
        self._put(index, row)
        return index

    def turn_mark(self, index: int) -> bool:
        """Mark a row or take the mark off, and tell whether it is marked now."""
        row = self.rows[index].row
        if row in self.marked:
            self.marked.remove(row)
            return False
        self.marked.add(row)
        return True

    def next_ill(self, index: int) -> int | None:
        """Return the place of the next row after one, and round, that will not come out well."""
        count = len(self.rows)
        for step in range(1, count + 1):
            place = (index + step) % count
            if self.fact(place).state in ILL or self.rows[place].faults:
                return place
        return None

    def counts(self) -> Mapping[str, int]:
        """Return how many rows are in which state; the unknown under the empty one."""
        counts: dict[str, int] = {}
        for fact in self.facts.values():
            counts[fact.state] = counts.get(fact.state, 0) + 1
        known = sum(counts.values())
        return counts | {"": len(self.rows) - known}

    def _put(self, index: int, row: OrderRow) -> None:
        rows = (*self.rows[:index], row, *self.rows[index + 1 :])
        self.orders = replace(self.orders, rows=rows)
        self.facts.pop(row.row, None)


def fact_of(state: str, findings: tuple[Finding, ...]) -> RowFact:
    """Return what to show for a row's state and findings: the worst finding says why."""
    order = ("refuse", "warn")
    worst = min(
        (one for one in findings if one.severity in order), key=lambda one: order.index(one.severity), default=None
    )
    return RowFact(state, "" if worst is None else worst.message)


def _same_but_text(before: OrderRow, now: OrderRow) -> bool:
    return replace(before, text=now.text, faults=now.faults, warnings=now.warnings) == now


def _with_quantity(row: OrderRow, typed: str) -> OrderRow:
    """Return a row with another quantity; what is none stands in its cell, and the row stays faulty."""
    plain = typed.strip()
    if not plain.isascii() or not plain.isdigit() or not 1 <= int(plain) <= MOST_PIECES:
        return replace(row, quantity_cell=typed or row.quantity_cell)
    faults = tuple(sentence for sentence in row.faults if "quantity" not in sentence)
    return replace(row, quantity=int(plain), quantity_cell=plain if row.quantity_cell else "", faults=faults)
