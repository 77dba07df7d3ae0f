"""What spreading dye leaves of a face's letters, measured ahead of time, as a file."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from typing import Any, Final

from studio.stroke.pressed_likeness import Likeness
from studio.stroke.pressed_shape import LADDER, PressedShape

_PERMILLE: Final = 1000
_PLACE_DECIMALS: Final = 4


@dataclass(frozen=True, slots=True)
class PressedTable:
    """The pressed shapes of a face's glyphs, in em units; by glyph id."""

    glyphs: dict[int, PressedShape] = field(default_factory=dict)


def read_pressed(data: bytes, sha256: str, weight: float | None) -> PressedTable:
    """Return the table in a file's bytes; empty when it is of another font file or weight, or is no table."""
    try:
        said = json.loads(data)
        if said["sha256"] != sha256 or said["weight"] != weight or said["spreads"] != list(LADDER):
            return PressedTable()
        cap = float(said["cap"])
        return PressedTable({int(glyph_id): _shape(row, cap) for glyph_id, row in said["glyphs"].items()})
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        return PressedTable()


def write_pressed(table: PressedTable, cap: float, sha256: str, weight: float | None) -> bytes:
    """Return a table as the bytes of a JSON file, one glyph a line; amounts in thousandths."""
    rows = ",\n".join(
        f'"{glyph_id}":{json.dumps(_row(shape), separators=(",", ":"))}'
        for glyph_id, shape in sorted(table.glyphs.items())
    )
    head = json.dumps({"sha256": sha256, "weight": weight, "spreads": list(LADDER), "cap": cap})[:-1]
    return f'{head}, "glyphs": {{\n{rows}\n}}}}\n'.encode()


def _row(shape: PressedShape) -> list[Any]:
    row: list[Any] = [
        _thousandths(shape.strokes),
        _place(shape.stroke_at),
        _thousandths(shape.counters),
        _thousandths(shape.leaks),
        _place(shape.counter_at),
    ]
    if shape.dye_likeness is not None or shape.cover_likeness is not None:
        row += [_likeness_row(shape.dye_likeness), _likeness_row(shape.cover_likeness)]
    return row


def _shape(row: list[Any], cap: float) -> PressedShape:
    strokes, stroke_at, counters, leaks, counter_at = row[:5]
    shape = PressedShape(
        cap, _amounts(strokes), (stroke_at[0], stroke_at[1]), _amounts(counters), _amounts(leaks), tuple(counter_at)
    )
    if len(row) > 5:
        shape = replace(shape, dye_likeness=_likeness(row[5]), cover_likeness=_likeness(row[6]))
    return shape


def _thousandths(amounts: tuple[float, ...]) -> list[int]:
    return [round(amount * _PERMILLE) for amount in amounts]


def _amounts(thousandths: list[int]) -> tuple[float, ...]:
    if thousandths and len(thousandths) != len(LADDER):
        raise ValueError
    return tuple(amount / _PERMILLE for amount in thousandths)


def _place(place: tuple[float, float]) -> list[float]:
    return [round(place[0], _PLACE_DECIMALS), round(place[1], _PLACE_DECIMALS)]


def _likeness_row(likeness: Likeness | None) -> list[Any] | None:
    return None if likeness is None else [likeness.spread, likeness.other]


def _likeness(row: list[Any] | None) -> Likeness | None:
    return None if row is None else Likeness(float(row[0]), str(row[1]))
