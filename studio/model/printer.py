"""The printer as it was measured: the margins it cannot print on, and how its prints differ from what was sent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.geometry.shapes import Box
from studio.model.paper import Paper

LARGEST_ERROR: Final = 0.02
"""Beyond 2 % it was the print dialog that scaled the page; that is not to be corrected."""
LARGEST_SKEW: Final = 0.02
_KEPT_OFF_MM: Final = 1.5
"""Kept from the margins where the page is corrected, since paper is seldom fed quite straight."""
_LEAST_FIELD_MM: Final = 40.0
_LARGEST_MARGIN_MM: Final = 100.0


@dataclass(frozen=True, slots=True)
class Margins:
    """The edge of the portrait page, as fed, that stays blank."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    def __post_init__(self) -> None:
        for side in (self.left_mm, self.bottom_mm, self.right_mm, self.top_mm):
            if not 0 <= side <= _LARGEST_MARGIN_MM:
                raise SettingsError(
                    f"{side:g} mm is not a margin that a printer has.",
                    option="printer_margins",
                    advice=f"A margin is from 0 to {_LARGEST_MARGIN_MM:.0f} mm; the printer's manual states it.",
                )


USUAL_MARGINS: Final = Margins(6.35, 12.7, 6.35, 3.2)
"""What nearly every desktop printer can do. Source: 12.7 and 6.35 mm are what CUPS takes where a printer does not say
(`ppd-cache.c`); 3.2 mm at the top is what inkjet printers' own descriptions state."""
NARROW_MARGINS: Final = Margins(3.2, 3.2, 3.2, 3.2)


@dataclass(frozen=True, slots=True)
class Printer:
    """A printer.

    Attributes:
        scale_across: How long its prints come out across the feed, as a share of what was sent.
        scale_feed: The same along the feed.
        skew: How far a line along the feed leans to the right, as a share of its length.
        measured: When that was measured, in words; empty when it was not.
        measured_paper: The paper that it was measured on.
        paper: The paper that it usually holds; empty when that is not said.
    """

    name: str = ""
    margins: Margins = USUAL_MARGINS
    scale_across: float = 1.0
    scale_feed: float = 1.0
    skew: float = 0.0
    measured: str = ""
    measured_paper: str = ""
    paper: str = ""

    def __post_init__(self) -> None:
        for axis, scale in (("across", self.scale_across), ("along the feed", self.scale_feed)):
            if not abs(scale - 1) <= LARGEST_ERROR:
                raise SettingsError(
                    f"printer {self.name}: a scale of {scale:g} {axis} is off by more than 2 %.",
                    advice="The print dialog scaled the page: print at 100 % (Actual size) and measure again.",
                )
        if not abs(self.skew) <= LARGEST_SKEW:
            raise SettingsError(
                f"printer {self.name}: a skew of {self.skew:g} is more than a printer has.", advice="Measure again."
            )

    @property
    def is_measured(self) -> bool:
        """Whether its scale is known, so that sheets fed either way round come out alike."""
        return bool(self.measured)

    @property
    def correction(self) -> tuple[float, float, float, float]:
        """What undoes its scale and skew, about the sheet's centre: a, b, c, d of x' = a x + c y, y' = b x + d y.

        It prints X = sx (x + k y), Y = sy y; so x' = x / sx - k y / sy and y' = y / sy are sent.
        """
        return (1 / self.scale_across, 0.0, -self.skew / self.scale_feed, 1 / self.scale_feed)

    @property
    def is_corrected(self) -> bool:
        """Whether there is anything to undo."""
        return (self.scale_across, self.scale_feed, self.skew) != (1.0, 1.0, 0.0)

    def field(self, paper: Paper, height_mm: float | None = None) -> Box:
        """Return what it can print on, mm from the sheet's lower left corner, as what is drawn there before correction.

        Args:
            paper: The paper.
            height_mm: How long the page is, on a roll.

        Raises:
            SettingsError: The margins leave too little of the paper.
        """
        width, height = paper.width_mm, paper.height_mm if height_mm is None else height_mm
        edge = self.margins
        box = Box(edge.left_mm, edge.bottom_mm, width - edge.right_mm, height - edge.top_mm)
        if self.is_corrected:
            box = self._before_correction(box, width, height)
        if box.width_mm < _LEAST_FIELD_MM or box.height_mm < _LEAST_FIELD_MM:
            raise SettingsError(
                f"The printer's margins leave {max(box.width_mm, 0):.1f} x {max(box.height_mm, 0):.1f} mm of "
                f"{paper.told}, too little for a sign.",
                advice="Check the printer's margins, or take larger paper.",
                ways=("printer_margins",),
            )
        return box

    def _before_correction(self, box: Box, width: float, height: float) -> Box:
        """Return a box all of which stays inside the given one once it is corrected, and a little off its edges."""
        a, _, c, d = self.correction
        x, y, off = width / 2, height / 2, _KEPT_OFF_MM
        bottom, top = (box.bottom_mm + off - y) / d, (box.top_mm - off - y) / d
        lean = max(abs(c * bottom), abs(c * top))
        left, right = (box.left_mm + off + lean - x) / a, (box.right_mm - off - lean - x) / a
        return Box(x + left, y + bottom, x + right, y + top)


def parse_margins(text: str) -> Margins:
    """Return the margins that `usual`, `narrow`, one length, or `LEFT,BOTTOM,RIGHT,TOP` describe.

    Raises:
        SettingsError: None of these.
    """
    word = text.strip().lower()
    if word in ("usual", "narrow"):
        return USUAL_MARGINS if word == "usual" else NARROW_MARGINS
    parts = word.split(",")
    if len(parts) not in (1, 4):
        raise SettingsError(
            f"{text[:40]!r} is neither one length nor four.",
            option="printer_margins",
            advice="Write it like 3.2mm, or left, bottom, right, top: 6.35mm,12.7mm,6.35mm,3.2mm; or narrow.",
        )
    lengths = [parse_length_mm(part, option="printer_margins") for part in parts]
    return Margins(*(lengths * 4)[:4])
