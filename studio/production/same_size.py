"""Capitals of one height over a list: each sign is composed alone, then all come down to what most can have."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from studio.basics.errors import StudioError
from studio.model.sign import Sign
from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.pipeline.plan import plan
from studio.production.make_row import RowMaker

SHARE_BELOW: Final = 0.20
"""Share of the signs of a group that may be smaller than its common height."""
_STEP_MM: Final = 0.1


def same_sized(orders: OrderList, maker: Callable[[], RowMaker]) -> OrderList:
    """Return a list whose rows hold the common height of their group as the most that they may have.

    A group is what shares blank, artwork and face, and for `--same-size order` the order too. Rows that ask for no
    common height, or that fix their own, stay as they are; without any, no sign is fitted.
    """
    made: RowMaker | None = None
    groups: dict[object, list[tuple[int, float]]] = {}
    for index, row in enumerate(orders.rows):
        if row.faults:
            continue
        made = made or maker()
        try:
            sign = made.sign_of(row)
        except StudioError:
            continue
        if sign.composing.same_size == "no" or sign.letterings[0].cap_mm is not None:
            continue
        cap_mm = _cap_mm(sign, made)
        if cap_mm is not None:
            groups.setdefault(_group(sign, row), []).append((index, cap_mm))
    rows = list(orders.rows)
    for found in groups.values():
        common_mm = _common_mm([cap_mm for _, cap_mm in found])
        for index, _ in found:
            kept = tuple(entry for entry in rows[index].options if entry[0] != "max_cap")
            rows[index] = replace(rows[index], options=(*kept, ("max_cap", f"{common_mm:.1f}mm")))
    return orders if not groups else replace(orders, rows=tuple(rows))


def _group(sign: Sign, row: OrderRow) -> object:
    order = row.order if sign.composing.same_size == "order" else ""
    return (sign.blank, sign.artwork, sign.letterings[0].face, order)


def _cap_mm(sign: Sign, maker: RowMaker) -> float | None:
    try:
        planned = plan(sign, maker.assets, remedies=False)
    except StudioError:
        return None
    return None if planned.placement is None else planned.placement.letterings[0].cap_height_mm


def _common_mm(caps_mm: list[float]) -> float:
    """Return the height that all but `SHARE_BELOW` of the signs can have, in whole tenths."""
    least_mm = sorted(caps_mm)[int(SHARE_BELOW * len(caps_mm))]
    return max(math.floor(least_mm / _STEP_MM + 1e-6) * _STEP_MM, _STEP_MM)
