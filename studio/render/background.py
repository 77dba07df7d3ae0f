"""What lies under the lettering: the artwork on its background, cut to blank plus bleed, left out over holes.

Invariant: outside the cut and in the holes the background is untouched.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import circle
from studio.model.blank import Blank
from studio.model.sign import Background
from studio.render.artwork import LaidArtwork, tiles
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow
from studio.render.pixels import over_white

CHANNELS: Final[dict[Background, int]] = {"white": 3, "transparent": 4}


def draw_ground(
    laid: LaidArtwork | None, blank: Blank, *, bleed_mm: float, window: PixelWindow, background: Background
) -> NDArray[np.uint8]:
    """Return the ground's pixels, shape (rows, columns, 3 on white or 4 on nothing).

    Args:
        laid: The artwork at its place; `None` leaves the background bare.
        blank: The blank.
        bleed_mm: How far the artwork runs past the rim.
        window: The pixels wanted, unmirrored.
        background: What stands where no artwork is.
    """
    blank_code = 255 if background == "white" else 0
    ground = np.full((window.height_px, window.width_px, CHANNELS[background]), blank_code, np.uint8)
    if laid is None:
        return ground
    picture = laid.at_density(window.px_per_mm)
    for box in tiles(window):
        part = window.cut(box)
        share = cut_share(blank, bleed_mm, part)
        if not share.any():
            continue
        held = coverage((picture.outline,), part)
        if not held.any():
            continue
        tile = picture.tile(part).copy()
        tile[..., 3] = _times(_times(tile[..., 3], share), held)
        if background == "white":
            ground[box.rows, box.columns] = over_white(tile)
        else:
            tile[tile[..., 3] == 0] = 0
            ground[box.rows, box.columns] = tile
    return ground


def cut_share(blank: Blank, bleed_mm: float, window: PixelWindow) -> NDArray[np.uint8]:
    """Return how much of each pixel belongs to the blank plus bleed and to no hole, 0 to 255."""
    share = coverage((blank.rim.contour(bleed_mm),), window)
    if blank.holes and share.any():
        holes = tuple(circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2) for hole in blank.holes)
        share = _times(share, 255 - coverage(holes, window))
    return share


def _times(first: NDArray[np.uint8], second: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the product of two shares in 255ths, rounded half up."""
    product: NDArray[np.uint8] = ((first.astype(np.uint16) * second + 127) // 255).astype(np.uint8)
    return product
