"""A list that asks for one size gets capitals of one height, but for the few that have no room, which have a note."""

from __future__ import annotations

from dataclasses import replace

import pytest

from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.pipeline.plan import plan
from studio.production.same_size import same_sized
from studio.production.sign_source import ShopMakerSetup
from tests.composing.signs import catalogue

NAMES = (
    "Bo",
    "Ida",
    "Fern",
    "Otto",
    "Tess",
    "Hugo",
    "Marlow",
    "Juniper",
    "Sailor",
    "Emberly",
    "Wilhelmina",
    "Lindqvists",
)


def listed(same_size: str, **options: str) -> OrderList:
    """Return a list of twelve names in the ring."""
    cells = (("artwork", "pine-ring"), ("face", "Pacifico"), ("same_size", same_size), *options.items())
    rows = tuple(OrderRow(index + 1, index + 2, name, options=cells) for index, name in enumerate(NAMES))
    return OrderList(rows, (), ())


def heights(orders: OrderList) -> list[tuple[float, list[str]]]:
    """Return each sign's capital height with the messages of its notes."""
    setup = ShopMakerSetup(catalogue(), {})
    maker = setup()
    found = []
    for row in same_sized(orders, setup).rows:
        made = plan(maker.sign_of(row), maker.assets, remedies=False)
        assert made.placement is not None
        notes = [one.message for one in made.findings if one.code == "composition"]
        found.append((made.placement.letterings[0].cap_height_mm, notes))
    return found


def test_a_list_looks_like_a_set() -> None:
    """At most a fifth of the signs are smaller than the rest, and those have a note; the rest agree to 0.1 mm."""
    alone = [cap_mm for cap_mm, _ in heights(listed("no"))]
    together = heights(listed("list"))
    common = max(cap_mm for cap_mm, _ in together)
    below = [(cap_mm, notes) for cap_mm, notes in together if cap_mm < common - 0.1]
    assert max(alone) / min(alone) > 2
    assert len(below) <= 0.2 * len(NAMES)
    assert all(any("no room for the" in note for note in notes) for _, notes in below)
    assert all(not notes for cap_mm, notes in together if cap_mm >= common - 0.1)
    assert common / min(cap_mm for cap_mm, _ in together) < 1.6


def test_without_the_wish_a_list_stays_as_it_is() -> None:
    """No row is touched, and none is fitted for it."""
    orders = listed("no")
    assert same_sized(orders, ShopMakerSetup(catalogue(), {})) is orders


def test_orders_are_sets_of_their_own() -> None:
    """`--same-size order` looks at the rows of one order alone."""
    orders = listed("order")
    rows = tuple(replace(row, order="A" if row.text in ("Bo", "Ida") else "B") for row in orders.rows)
    found = heights(replace(orders, rows=rows))
    assert found[0][0] == pytest.approx(found[1][0], abs=0.1)
    assert found[0][0] > found[3][0] + 5


def test_a_fixed_height_is_left_alone() -> None:
    """A row with a cap height of its own keeps it, and is told that the common one changes nothing."""
    orders = listed("list", cap="20mm")
    assert same_sized(orders, ShopMakerSetup(catalogue(), {})) is orders
