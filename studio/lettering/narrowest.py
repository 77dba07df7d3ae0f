"""The two answers of the stroke measurement: one narrow place, and what a whole outline comes to.

Lengths are in the unit of the outline that was measured (em for a glyph, mm for a placement); nothing here converts.
"""

from __future__ import annotations

from dataclasses import dataclass


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
