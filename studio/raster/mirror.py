"""The one flip of a print, left for right.

Invariant: exact, and done once, on finished pixels; flipping twice gives the picture back bit for bit.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.raster.window import PixelBox

_ROWS_AT_ONCE: Final = 64
_WORD: Final = 8


def mirror(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels, shape (rows, columns, ...), with the columns in reverse order."""
    if pixels.ndim == 2:
        return _mirror_by_words(pixels)
    return np.ascontiguousarray(pixels[:, ::-1])


def _mirror_by_words(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return single bytes with the columns in reverse order: eight at a time, then within each eight."""
    rows, columns = pixels.shape
    room = np.zeros((rows, columns + -columns % _WORD), np.uint8)
    room[:, :columns] = pixels
    flipped = room.view(np.uint64)[:, ::-1].byteswap().view(np.uint8)
    return flipped[:, room.shape[1] - columns :]


def mirror_in_place(pixels: NDArray[np.uint8]) -> None:
    """Put the columns of pixels in reverse order where they are: a large canvas has no room for a second copy."""
    for top in range(0, len(pixels), _ROWS_AT_ONCE):
        part = pixels[top : top + _ROWS_AT_ONCE]
        part[:] = mirror(part)


def mirrored_box(box: PixelBox, width_px: int) -> PixelBox:
    """Return where a block of pixels lies once a picture `width_px` wide has been flipped."""
    return PixelBox(box.top_px, width_px - box.left_px - box.width_px, box.height_px, box.width_px)
