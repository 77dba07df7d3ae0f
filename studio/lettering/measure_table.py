"""Measures of a face's glyphs taken ahead of time, so that the first name in it is checked as fast as the next.

Invariant: a table speaks of one font file at one weight only; the tests measure glyphs anew and compare.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

from studio.lettering.narrowest import Narrowest, ThicknessMeasure

GlyphMeasures: TypeAlias = dict[int, ThicknessMeasure]
"""Glyph id -> its measure in em units."""


@dataclass(frozen=True, slots=True)
class MeasureTable:
    """What was measured of a face.

    Attributes:
        glyphs: How thick and how open its glyphs are.
        joined_share: What `connected.joined_share` says of it; `None` where it was not asked.
    """

    glyphs: GlyphMeasures = field(default_factory=dict)
    joined_share: float | None = None


DECIMALS: Final = 5
"""A hundred-thousandth of an em: a micrometre on a 100 mm em."""
_MOST_NOTED: Final = 3


def read_table(data: bytes, sha256: str, weight: float | None) -> MeasureTable:
    """Return the table in a file's bytes; empty when it is of another font file or weight, or is no table."""
    try:
        said = json.loads(data)
        if said["sha256"] != sha256 or said["weight"] != weight:
            return MeasureTable()
        share = said["joined_share"]
        glyphs = {int(glyph_id): _measure(row) for glyph_id, row in said["glyphs"].items()}
        return MeasureTable(glyphs, None if share is None else float(share))
    except (ValueError, KeyError, TypeError, AttributeError):
        return MeasureTable()


def write_table(table: MeasureTable, sha256: str, weight: float | None) -> bytes:
    """Return a table as the bytes of a JSON file, one glyph a line."""
    rows = ",\n".join(f'"{glyph_id}":{json.dumps(_row(table.glyphs[glyph_id]))}' for glyph_id in sorted(table.glyphs))
    head = json.dumps({"sha256": sha256, "weight": weight, "joined_share": table.joined_share})[:-1]
    return f'{head}, "glyphs": {{\n{rows}\n}}}}\n'.encode()


def _row(measure: ThicknessMeasure) -> list[Any]:
    return [
        _place(measure.stroke),
        _place(measure.gap),
        [_place(tip) for tip in measure.tips[:_MOST_NOTED]],
        [_place(wedge) for wedge in measure.wedges[:_MOST_NOTED]],
    ]


def _place(place: Narrowest | None) -> list[Any] | None:
    if place is None:
        return None
    numbers = (place.width, place.x, place.y, place.length)
    return [place.kind, *(round(number, DECIMALS) for number in numbers)]


def _measure(row: list[Any]) -> ThicknessMeasure:
    stroke, gap, tips, wedges = row
    return ThicknessMeasure(
        None if stroke is None else _narrowest(stroke),
        tuple(_narrowest(tip) for tip in tips),
        None if gap is None else _narrowest(gap),
        tuple(_narrowest(wedge) for wedge in wedges),
    )


def _narrowest(place: list[Any]) -> Narrowest:
    kind, width, x, y, length = place
    return Narrowest(width, x, y, kind, length)
