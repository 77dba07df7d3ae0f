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


ALIKE_EM: Final = 2e-6
"""Glyphs this close to where they were measured stand there."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two glyphs that touch: how far the right one stands along, and the slit left between them, in em."""

    along_em: float
    slit: Narrowest | None


@dataclass(frozen=True, slots=True)
class MeasureTable:
    """What was measured of a face.

    Attributes:
        glyphs: How thick and how open its glyphs are.
        joined_share: What `connected.joined_share` says of it; `None` where it was not asked.
        joints: For pairs of glyphs that touch where they stand beside each other, what gap they leave there.
    """

    glyphs: GlyphMeasures = field(default_factory=dict)
    joined_share: float | None = None
    joints: dict[tuple[int, int], Joint] = field(default_factory=dict)


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
        joints = {_pair(names): _joint(row) for names, row in said["joints"].items()}
        return MeasureTable(glyphs, None if share is None else float(share), joints)
    except (ValueError, KeyError, TypeError, AttributeError):
        return MeasureTable()


def write_table(table: MeasureTable, sha256: str, weight: float | None) -> bytes:
    """Return a table as the bytes of a JSON file, one glyph a line."""
    rows = ",\n".join(f'"{glyph_id}":{json.dumps(_row(table.glyphs[glyph_id]))}' for glyph_id in sorted(table.glyphs))
    head = json.dumps({"sha256": sha256, "weight": weight, "joined_share": table.joined_share})[:-1]
    pairs = ",\n".join(
        f'"{left} {right}":{json.dumps([round(joint.along_em, 6), _place(joint.slit)])}'
        for (left, right), joint in sorted(table.joints.items())
    )
    return f'{head}, "glyphs": {{\n{rows}\n}}, "joints": {{\n{pairs}\n}}}}\n'.encode()


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


def _pair(names: str) -> tuple[int, int]:
    left, right = names.split()
    return int(left), int(right)


def _joint(row: list[Any]) -> Joint:
    along_em, slit = row
    return Joint(along_em, None if slit is None else _narrowest(slit))


def _narrowest(place: list[Any]) -> Narrowest:
    kind, width, x, y, length = place
    return Narrowest(width, x, y, kind, length)
