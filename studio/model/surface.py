"""What the dye goes into, and how far a fine line spreads there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.colour import Colour
from studio.errors import SettingsError

SPREADS_PER_STROKE: Final = 3.0
"""A bar three standard deviations wide keeps 87 % of its peak after a Gaussian blur: erf(3 / (2 sqrt 2)) = 0.866."""


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface: its spread (standard deviation of the blur of a fine line), and its own colour."""

    name: str
    spread_mm: float
    base_colour: Colour
    description: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.spread_mm <= 5:
            raise SettingsError(
                f"surface {self.name}: a spread of {self.spread_mm:g} mm is not possible.",
                advice="It is the blur of a fine line, over 0 mm and up to 5 mm; bare wood starts at 0.35mm.",
            )

    @property
    def finest_stroke_mm(self) -> float:
        """The thinnest stroke that survives."""
        return SPREADS_PER_STROKE * self.spread_mm

    @property
    def finest_gap_mm(self) -> float:
        """The narrowest gap that stays open."""
        return SPREADS_PER_STROKE * self.spread_mm
