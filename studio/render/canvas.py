"""The sheet of pixels a print is made on: the blank's bounding box, the bleed and the waste on every side.

Invariant: a side's pixel count is its length in mm rounded once; the blank's centre is the exact middle of the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import MM_PER_INCH, px_count, spoken_size
from studio.model.blank import Blank
from studio.model.sign import Sign
from studio.render.pixel_grid import PixelWindow, centred_window

MOST_PX: Final = 400_000_000


@dataclass(frozen=True, slots=True)
class Canvas:
    """A print's size, with the lengths it came from."""

    width_px: int
    height_px: int
    dpi: float
    width_mm: float
    height_mm: float
    waste_mm: float
    bleed_mm: float

    @property
    def window(self) -> PixelWindow:
        """The print's pixels, unmirrored."""
        return centred_window(self.width_px, self.height_px, self.dpi / MM_PER_INCH)


def lay_canvas(blank: Blank, *, bleed_mm: float, waste_mm: float, dpi: float) -> Canvas:
    """Return the canvas for a blank.

    Raises:
        SettingsError: It would have more pixels than can be made.
    """
    width_mm = blank.width_mm + 2 * (bleed_mm + waste_mm)
    height_mm = blank.height_mm + 2 * (bleed_mm + waste_mm)
    width_px, height_px = px_count(width_mm, dpi), px_count(height_mm, dpi)
    if width_px * height_px > MOST_PX:
        most_dpi = dpi * (MOST_PX / (width_px * height_px)) ** 0.5
        raise SettingsError(
            f"{dpi:g} dpi on {spoken_size(width_mm, height_mm)} makes {width_px} x {height_px} px, over the "
            f"{MOST_PX // 1_000_000} million that can be made.",
            advice=f"Use {int(most_dpi)} or less.",
            option="dpi",
        )
    return Canvas(width_px, height_px, dpi, width_mm, height_mm, waste_mm, bleed_mm)


def canvas_of(sign: Sign) -> Canvas:
    """Return the canvas of a sign.

    Raises:
        SettingsError: It would have more pixels than can be made.
    """
    return lay_canvas(sign.blank, bleed_mm=sign.bleed_mm, waste_mm=sign.waste_mm, dpi=sign.dpi)
