"""The nearest of a terminal's few colours: the 256 and 16 colour palettes, compared as the eye does.

Distances are taken in Oklab; a colour that has a hue never becomes a grey, so that wood stays wood.
Sources: Oklab's matrices as in CSS Color Module Level 4, W3C; the palettes are xterm's (from memory).
"""

from __future__ import annotations

from functools import cache
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Depth: TypeAlias = Literal["truecolor", "256", "16", "none"]

_LEVELS: Final = (0, 95, 135, 175, 215, 255)
_SIXTEEN: Final = (
    (0, 0, 0), (205, 0, 0), (0, 205, 0), (205, 205, 0), (0, 0, 238), (205, 0, 205), (0, 205, 205), (229, 229, 229),
    (127, 127, 127), (255, 0, 0), (0, 255, 0), (255, 255, 0), (92, 92, 255), (255, 0, 255), (0, 255, 255),
    (255, 255, 255),
)  # fmt: skip
_HUED: Final = 0.035
"""Oklab chroma from which a colour counts as having a hue."""
_HUE_WEIGHT: Final = 2.0
"""How much more a step in hue or chroma counts than one in lightness, once a colour has a hue."""
_TO_CONE: Final = np.array(
    [[0.4122214708, 0.5363325363, 0.0514459929], [0.2119034982, 0.6806995451, 0.1073969566],
     [0.0883024619, 0.2817188376, 0.6299787005]]
)  # fmt: skip
_TO_LAB: Final = np.array(
    [[0.2104542553, 0.7936177850, -0.0040720468], [1.9779984951, -2.4285922050, 0.4505937099],
     [0.0259040371, 0.7827717662, -0.8086757660]]
)  # fmt: skip


def oklab(colours: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return sRGB codes, shape (..., 3), as Oklab lightness (0 to 1), a and b, same shape."""
    value = colours.astype(np.float64) / 255.0
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    lab: NDArray[np.float64] = np.cbrt(light @ _TO_CONE.T) @ _TO_LAB.T
    return lab


def nearest(colours: NDArray[np.uint32], depth: Literal["256", "16"]) -> NDArray[np.uint8]:
    """Return the palette's index for each colour.

    Args:
        colours: As 0xrrggbb, any shape.
        depth: Which palette.
    """
    wanted, back = np.unique(colours, return_inverse=True)
    parts = np.stack([wanted >> 16 & 0xFF, wanted >> 8 & 0xFF, wanted & 0xFF], axis=-1).astype(np.uint8)
    labs, (entries, indices) = oklab(parts), _palette(depth)
    has_hue = np.hypot(labs[:, 1], labs[:, 2]) >= _HUED
    away = labs[:, None, :] - entries[None, :, :]
    weight = np.where(has_hue, _HUE_WEIGHT, 1.0)[:, None]
    distance = away[..., 0] ** 2 + weight * (away[..., 1] ** 2 + away[..., 2] ** 2)
    is_grey = np.hypot(entries[:, 1], entries[:, 2]) < _HUED / 2
    extreme = (labs[:, 0] < 0.2) | (labs[:, 0] > 0.97)
    distance[(has_hue & ~extreme)[:, None] & is_grey[None, :]] = np.inf
    index: NDArray[np.uint8] = indices[distance.argmin(axis=1)][back].reshape(colours.shape)
    return index


@cache
def palette_codes(depth: Literal["256", "16"]) -> NDArray[np.uint32]:
    """Return the colour of each index as 0xrrggbb, shape (256,); what is not used is black."""
    codes, first = _entries(depth)
    table = np.zeros(256, np.uint32)
    table[first : first + len(codes)] = [red << 16 | green << 8 | blue for red, green, blue in codes]
    return table


@cache
def _palette(depth: Literal["256", "16"]) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """Return the entries in Oklab and their indices; of 256 only the cube and the greys, which no theme changes."""
    codes, first = _entries(depth)
    return oklab(np.array(codes, np.uint8)), np.arange(first, first + len(codes), dtype=np.uint8)


def _entries(depth: Literal["256", "16"]) -> tuple[list[tuple[int, int, int]], int]:
    """Return the entries as sRGB codes, and the index of the first."""
    if depth == "16":
        return list(_SIXTEEN), 0
    codes = [(red, green, blue) for red in _LEVELS for green in _LEVELS for blue in _LEVELS]
    codes += [(grey, grey, grey) for grey in range(8, 239, 10)]
    return codes, 16
