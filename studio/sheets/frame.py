"""How a print lies on its page: whole pixels from the sheet's upper left corner, upright or turned a quarter.

The print's frame has its origin at the blank's centre, x to the right and y up as seen on the printed side, in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from studio.geometry.shapes import Box, Contours, Points
from studio.render.pixel_grid import PixelBox
from studio.sheets.page import PackedPicture, PlacedPrint


@dataclass(frozen=True, slots=True, eq=False)
class SheetFrame:
    """A print on a page.

    Attributes:
        page_height_mm: The page's height.
        left_px: Where the print's left edge lies, as turned, from the page's left edge.
        top_px: Where its upper edge lies, down from the page's upper edge.
        quarter_turns: 0, or 1 for a quarter counter-clockwise.
    """

    picture: PackedPicture
    page_height_mm: float
    left_px: int
    top_px: int
    quarter_turns: int

    @property
    def px_per_mm(self) -> float:
        """Pixels a mm."""
        return self.picture.dpi / 25.4

    @property
    def turn_rad(self) -> float:
        """The turn, counter-clockwise."""
        return self.quarter_turns * math.pi / 2

    @property
    def centre_mm(self) -> tuple[float, float]:
        """Where the blank's centre lies on the page."""
        across, down = self.picture.width_px, self.picture.height_px
        if self.quarter_turns % 2:
            across, down = down, across
        x_mm = (self.left_px + across / 2) / self.px_per_mm
        return x_mm, self.page_height_mm - (self.top_px + down / 2) / self.px_per_mm

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return a point of the print's frame on the page."""
        x0, y0 = self.centre_mm
        return (x0 - y_mm, y0 + x_mm) if self.quarter_turns % 2 else (x0 + x_mm, y0 + y_mm)

    def points(self, points: Points) -> Points:
        """Return points, shape (n, 2), on the page."""
        turned = np.column_stack((-points[:, 1], points[:, 0])) if self.quarter_turns % 2 else points
        placed: Points = turned + np.array(self.centre_mm)
        return placed

    def contours(self, contours: Contours) -> Contours:
        """Return contours on the page."""
        return tuple(self.points(contour) for contour in contours)

    def box(self, box: Box) -> Box:
        """Return a box on the page."""
        (x0, y0), (x1, y1) = self.point(box.left_mm, box.bottom_mm), self.point(box.right_mm, box.top_mm)
        return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))

    def seen_from(self, field: Box) -> Box:
        """Return a box of the page in the print's frame."""
        x0, y0 = self.centre_mm
        left, bottom, right, top = field.left_mm - x0, field.bottom_mm - y0, field.right_mm - x0, field.top_mm - y0
        return Box(bottom, -right, top, -left) if self.quarter_turns % 2 else Box(left, bottom, right, top)

    def window(self, box: Box) -> PixelBox:
        """Return the pixels of the print whose middles lie in a box of its frame."""
        half_wide, half_high = self.picture.width_px / 2, self.picture.height_px / 2
        left = max(0, math.ceil(half_wide + box.left_mm * self.px_per_mm - 0.5))
        right = min(self.picture.width_px, math.ceil(half_wide + box.right_mm * self.px_per_mm - 0.5))
        top = max(0, math.ceil(half_high - box.top_mm * self.px_per_mm - 0.5))
        bottom = min(self.picture.height_px, math.ceil(half_high - box.bottom_mm * self.px_per_mm - 0.5))
        return PixelBox(top, left, max(0, bottom - top), max(0, right - left))

    def placed(self, box: Box, clip: Contours) -> PlacedPrint:
        """Return the part of the print in a box of its frame, further cut to outlines of its frame."""
        window = self.window(box)
        return PlacedPrint(self.picture, self.left_px, self.top_px, window, self.quarter_turns, self.contours(clip))


def frame_at(
    picture: PackedPicture, page_height_mm: float, centre_mm: tuple[float, float], *, quarter_turns: int = 0
) -> SheetFrame:
    """Return the frame whose blank has its centre nearest to a place on the page, on whole pixels.

    Args:
        picture: The print.
        page_height_mm: The page's height.
        centre_mm: Where the blank's centre is wanted.
        quarter_turns: 0, or 1 for a quarter counter-clockwise.
    """
    across, down = picture.width_px, picture.height_px
    if quarter_turns % 2:
        across, down = down, across
    px_per_mm = picture.dpi / 25.4
    left_px = math.floor(centre_mm[0] * px_per_mm - across / 2 + 0.5)
    top_px = math.floor((page_height_mm - centre_mm[1]) * px_per_mm - down / 2 + 0.5)
    return SheetFrame(picture, page_height_mm, left_px, top_px, quarter_turns)
