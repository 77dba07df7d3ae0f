"""Rows of a list that an earlier run in its folder has made, as resuming the run would find them.

Invariant: nothing is written; a row counts as made only when its files still hold what was made from this very order.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.tui.orders.order_book import RowFact, fact_of

if TYPE_CHECKING:
    from studio.production.make_row import RowMaker


def made_before(
    orders: OrderList, maker: Callable[[], RowMaker], folder: Path
) -> Mapping[int, tuple[OrderRow, RowFact]]:
    """Return the rows that are made, by their number: the order they were made from, and what came of it.

    Raises:
        StudioError: `maker` raised it, or the folder cannot be read.
    """
    from studio.production.journal import read_journal
    from studio.production.known_orders import known_orders, stems
    from studio.production.make_row import RowSettings, RowTask, RowWork
    from studio.production.row_result import MADE
    from studio.production.same_size import same_sized

    entries = read_journal(folder)
    if not entries:
        return {}
    known = known_orders(orders.rows, entries)
    names = stems(orders.rows, entries, known)
    work = RowWork(maker(), RowSettings(folder.absolute()))
    made: dict[int, tuple[OrderRow, RowFact]] = {}
    for plain, order in zip(orders.rows, same_sized(orders, maker).rows, strict=True):
        key = known.key_of(order.row)
        if key is None:
            continue
        answer, _ = work.settled(RowTask(order, entries[key], stem=names[order.row], key=key))
        if answer is not None and answer.kept and answer.entry.result.state in MADE:
            made[plain.row] = (plain, fact_of(answer.entry.result.state, answer.entry.result.findings))
    return made
