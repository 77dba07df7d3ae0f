"""The two answers of the stroke measurement: one narrow place, and what a whole outline comes to.

Lengths are in the unit of the outline that was measured (em for a glyph, mm for a placement); nothing here converts.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias


@dataclass(frozen=True, slots=True)
class Narrowest:
    """One narrow place of an outline, or of the bare surface in and around it."""

    width: float
    """Local width there: the diameter of the largest disc that fits."""
    x: float
    """Middle of the place."""
    y: float
    """Middle of the place."""
    kind: str
    """Strokes: bridge, hairline, speck, tip. Gaps: counter, slit, between, wedge."""
    length: float
    """How long the weak piece is, along its middle."""

    def scaled(self, factor: float) -> Narrowest:
        """Return the same place in a unit `factor` times as fine."""
        return Narrowest(self.width * factor, self.x * factor, self.y * factor, self.kind, self.length * factor)

    def moved(self, right: float, up: float) -> Narrowest:
        """Return the same place after the outline was moved."""
        return Narrowest(self.width, self.x + right, self.y + up, self.kind, self.length)


@dataclass(frozen=True, slots=True)
class ThicknessMeasure:
    """How thick an outline is where it is thinnest, and how open where it is narrowest."""

    stroke: Narrowest | None
    """The thinnest stroke whose loss breaks the letter or visibly drops a part of it; None without ink."""
    tips: tuple[Narrowest, ...]
    """Tapering tips thinner than `stroke`, thinnest first; `width` is where the visible part of the taper begins."""
    gap: Narrowest | None
    """The narrowest counter, slit or space between parts that would fill in; None where nothing can."""
    wedges: tuple[Narrowest, ...]
    """Acute corners narrower than `gap` that fill in from their point, narrowest first."""

    def scaled(self, factor: float) -> ThicknessMeasure:
        """Return the measure of the same outline drawn `factor` times as large."""
        return ThicknessMeasure(
            self.stroke.scaled(factor) if self.stroke else None,
            tuple(tip.scaled(factor) for tip in self.tips),
            self.gap.scaled(factor) if self.gap else None,
            tuple(wedge.scaled(factor) for wedge in self.wedges),
        )

    def moved(self, right: float, up: float) -> ThicknessMeasure:
        """Return the measure of the same outline after it was moved."""
        return ThicknessMeasure(
            self.stroke.moved(right, up) if self.stroke else None,
            tuple(tip.moved(right, up) for tip in self.tips),
            self.gap.moved(right, up) if self.gap else None,
            tuple(wedge.moved(right, up) for wedge in self.wedges),
        )


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
