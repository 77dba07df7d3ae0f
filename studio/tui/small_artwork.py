"""An artwork by itself, small: what it is before it lies on a blank.

Invariant: it keeps its proportions, on white as it will be printed.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.artwork import Artwork
from studio.raster.tone import over_white
from studio.shelf import Bench
from studio.tui.cells import GRID, CellKind
from studio.units import round_half_up

_SAMPLES: Final = 4
"""Pixels looked at for each that is shown, along each side; more are not seen."""


class SmallArtwork:
    """Makes one small picture after another; the last is kept, since it is asked for with every key."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._kept: tuple[object, NDArray[np.uint8]] | None = None

    def pixels(
        self, artwork: Artwork, columns: int, rows: int, kind: CellKind, ground: tuple[int, int, int]
    ) -> NDArray[np.uint8]:
        """Return an artwork in so many cells, on a ground, shape (rows x down, columns x across, 3).

        Raises:
            PictureError: It cannot be read.
        """
        key = (artwork, columns, rows, kind, ground)
        if self._kept is None or self._kept[0] != key:
            self._kept = (key, _drawn(self._bench.pixels(artwork), columns, rows, kind, ground))
        return self._kept[1]


def _drawn(
    pixels: NDArray[np.uint8], columns: int, rows: int, kind: CellKind, ground: tuple[int, int, int]
) -> NDArray[np.uint8]:
    across, down = GRID[kind]
    height_px, width_px = pixels.shape[:2]
    scale = min(columns / width_px, 2 * rows / height_px)
    wide, high = (
        max(1, round_half_up(width_px * scale * across)),
        max(1, round_half_up(height_px * scale * down / 2)),
    )
    step = max(1, min(width_px // (_SAMPLES * wide), height_px // (_SAMPLES * high)))
    image = Image.fromarray(np.ascontiguousarray(pixels[::step, ::step]))
    small = np.asarray(image.resize((wide, high), Image.Resampling.BOX))
    canvas = np.empty((rows * down, columns * across, 3), np.uint8)
    canvas[:] = ground
    top, left = (canvas.shape[0] - high) // 2, (canvas.shape[1] - wide) // 2
    canvas[top : top + high, left : left + wide] = over_white(small)
    return canvas
