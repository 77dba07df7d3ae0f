"""What a printer does to a page: its scale across, its scale along the feed, and its skew; and the matrix against it.

Invariant: a scale is kept only while it is small enough to be a printer's own; more is a print dialog's doing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.errors import SettingsError
from studio.sheets.page import Matrix

LARGEST_SHARE: Final = 0.02
"""A printer that is off by more has been told to fit the page; that is put right in the print dialog, never here."""


@dataclass(frozen=True, slots=True)
class PrinterScale:
    """What comes out for one millimetre sent: a point (x, y) is printed at (across (x + skew y), feed y).

    Attributes:
        across: Across the sheet; 1 is true.
        feed: Along the sheet's feed, from its bottom to its top; 1 is true.
        skew: How far a line along the feed leans to the right, mm a mm; 0 is upright.
    """

    across: float = 1.0
    feed: float = 1.0
    skew: float = 0.0

    def __post_init__(self) -> None:
        for name, off in (("across", self.across - 1), ("feed", self.feed - 1), ("skew", self.skew)):
            if not abs(off) <= LARGEST_SHARE:
                raise SettingsError(
                    f"The printer is off by {abs(off) * 100:.1f} % ({name}); "
                    f"up to {LARGEST_SHARE * 100:g} % is corrected.",
                    advice="More comes from the print dialog: print at 100 % (Actual size, no fit), and measure again.",
                )

    @property
    def is_true(self) -> bool:
        """Whether nothing is to be corrected."""
        return (self.across, self.feed, self.skew) == (1.0, 1.0, 0.0)

    def printed(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return where a point of the page comes out."""
        return self.across * (x_mm + self.skew * y_mm), self.feed * y_mm

    def sent(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return where a point is to be sent so that it comes out in its place; undoes `printed`."""
        return x_mm / self.across - self.skew * y_mm / self.feed, y_mm / self.feed

    @property
    def correction(self) -> Matrix:
        """The one matrix of a page, about its centre, that undoes what the printer does."""
        return 1 / self.across, 0.0, -self.skew / self.feed, 1 / self.feed
