"""The one flip of a print, left for right.

Invariant: exact, and done once, on finished pixels; flipping twice gives the picture back bit for bit.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.raster.window import PixelBox

_ROWS_AT_ONCE: Final = 64


def mirror(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels, shape (rows, columns, ...), with the columns in reverse order."""
    return np.ascontiguousarray(pixels[:, ::-1])


def mirror_in_place(pixels: NDArray[np.uint8]) -> None:
    """Put the columns of pixels in reverse order where they are: a large canvas has no room for a second copy."""
    for top in range(0, len(pixels), _ROWS_AT_ONCE):
        part = pixels[top : top + _ROWS_AT_ONCE]
        part[:] = mirror(part)


def mirrored_box(box: PixelBox, width_px: int) -> PixelBox:
    """Return where a block of pixels lies once a picture `width_px` wide has been flipped."""
    return PixelBox(box.top_px, width_px - box.left_px - box.width_px, box.height_px, box.width_px)
