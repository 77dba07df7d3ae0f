"""A sign about to be laid on paper, and how it is wanted there.

Everything is in the print's own frame: mm from the blank's centre, x to the right as seen on the printed side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from studio.geometry.shapes import Box, Contours, Rim
from studio.model.paper import Paper
from studio.model.printer import Printer
from studio.sheets.cover import OVERLAP_MM
from studio.sheets.page import PackedPicture
from studio.sheets.seam_cost import CostMap
from studio.sheets.tiling import WantedSeams

CLIP_BEYOND_MM: Final = 0.3
"""The print is cut this far outside blank plus bleed: all of its pixels there show whole, and none of its own marks."""


@dataclass(frozen=True, slots=True, eq=False)
class SignOnPaper:
    """What sheets need to know of a sign.

    Attributes:
        name: What its sheets call it.
        trim_mm: Half the width and height of the rectangle that its trim corners mark.
        ink: Box of all that is inked within blank plus bleed, in the print's frame.
        costs: Gives what a seam would cut; asked only where there is one.
    """

    name: str
    order: str
    rim: Rim
    bleed_mm: float
    trim_mm: tuple[float, float]
    picture: PackedPicture
    ink: Box
    costs: Callable[[], CostMap] = field(repr=False)

    @property
    def outline(self) -> Contours:
        """Blank plus bleed."""
        return (self.rim.contour(self.bleed_mm),)

    @property
    def clip(self) -> Contours:
        """What the print is cut to."""
        return (self.rim.contour(self.bleed_mm + CLIP_BEYOND_MM),)

    @property
    def covered(self) -> Box:
        """The box of blank plus bleed."""
        wide, high = self.rim.width_mm / 2 + self.bleed_mm, self.rim.height_mm / 2 + self.bleed_mm
        return Box(-wide, -high, wide, high)


@dataclass(frozen=True, slots=True)
class Wish:
    """How a sign is wanted on paper.

    Attributes:
        seams: Where the maker wants seams; `None` leaves them to their cost.
    """

    paper: Paper
    printer: Printer = field(default_factory=Printer)
    overlap_mm: float = OVERLAP_MM
    seams: WantedSeams | None = None
