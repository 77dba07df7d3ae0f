"""A strip read by eye: gaps that stay open, the thinnest line as dark as the solid, and the spread they stand for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError
from studio.model.dye import spreads_needed

SPREADS_PER_OPEN_GAP: Final = spreads_needed("slot", 0.5)
"""An eye calls a gap open that keeps half its contrast: 2.3 spreads of dye at a density of 1.1."""
LIKELY_ERROR: Final = 0.25
"""A spread told by eye is right to a quarter."""
_LEAST_MM, _MOST_MM = 0.05, 3.0


@dataclass(frozen=True, slots=True)
class NotedStrip:
    """What was seen by eye.

    Attributes:
        gap_along_mm: The narrowest gap open from end to end, of those in the row that runs along the grain.
        gap_across_mm: The same of the column that runs across it.
        line_mm: The thinnest line as dark as the solid; `None` where nobody looked.
    """

    gap_along_mm: float
    gap_across_mm: float
    line_mm: float | None = None

    def __post_init__(self) -> None:
        for what, value_mm in (
            ("gap along", self.gap_along_mm),
            ("gap across", self.gap_across_mm),
            ("line", self.line_mm),
        ):
            if value_mm is not None and not _LEAST_MM <= value_mm <= _MOST_MM:
                raise SettingsError(
                    f"The {what} of {value_mm:g} mm is not on the strip.",
                    advice=f"Its widths run from 0.1mm to {_MOST_MM:g}mm; strip.txt lists them.",
                )

    @property
    def along_mm(self) -> float:
        """The spread along the grain."""
        return self.gap_along_mm / SPREADS_PER_OPEN_GAP

    @property
    def across_mm(self) -> float:
        """The spread across it."""
        return self.gap_across_mm / SPREADS_PER_OPEN_GAP

    @property
    def finest_gap_mm(self) -> float:
        """The narrowest gap that stays open either way."""
        return max(self.gap_along_mm, self.gap_across_mm)
