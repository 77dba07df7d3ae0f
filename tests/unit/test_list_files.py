"""Lists as people have them are read right, asked about or refused; none is made wrong in silence."""

from __future__ import annotations

from collections import Counter

import pytest

from studio.basics.errors import OrderError
from studio.model.options import option_keys
from studio.orders.order_list import OrderList, read_orders
from studio.proofreading.cleaning import cleaned
from studio.proofreading.proofread import remarks
from tests.unit import list_files, more_list_files

FILES = [*list_files.all_files(), *more_list_files.files()]


def doubtful(text: str) -> bool:
    """Return whether the checks of every sign warn of a text."""
    return any(remark.severity == "warn" for remark in remarks(cleaned(text)[0]))


def made(orders: OrderList) -> Counter[tuple[str, int]]:
    """Return what would be pressed without a word in its row."""
    return Counter(
        (cleaned(row.text)[0], row.quantity)
        for row in orders.rows
        if not row.faults and not row.warnings and not doubtful(row.text)
    )


def accounted_for(orders: OrderList, meant: Counter[tuple[str, int]]) -> bool:
    """Return whether every sign that was meant is made, or a row says that something is wrong with it."""
    told = sum(1 + row.text.count("\n") for row in orders.rows if row.faults or row.warnings or doubtful(row.text))
    return (meant - made(orders)).total() <= told


def test_there_are_enough_of_them() -> None:
    """At least 160 different files are tried."""
    assert len({file.name for file in FILES}) == len(FILES) >= 160


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_never_wrong_and_silent(file: list_files.ListFile) -> None:
    """The file is read as it was meant, or asked about, or refused, or its row says what is wrong."""
    try:
        orders = read_orders(file.data, option_names=option_keys())
    except OrderError as problem:
        assert problem.advice and "Traceback" not in str(problem)
        assert file.outcome in ("", "refuse"), problem
        return
    assert file.outcome != "refuse"
    if orders.doubts:
        assert all(doubt.answers and doubt.message for doubt in orders.doubts)
        assert orders.taken_for.to_type().startswith("--")
        assert file.outcome in ("", "ask"), [doubt.message for doubt in orders.doubts]
        return
    assert file.outcome != "ask", orders.rows
    meant = Counter(file.meant)
    assert made(orders) - meant == Counter(), "made wrong, and not a word"
    assert accounted_for(orders, meant), "lost without a word"
    if file.outcome == "read":
        assert made(orders) == meant
