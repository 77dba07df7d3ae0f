"""Pixels turned into characters: two colours and a block shape for each cell of the terminal.

Invariant: a cell's shape and colours come from its own sub-pixels only; arrays in, arrays out, no terminal here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

CellKind: TypeAlias = Literal["half", "quadrant", "sextant", "octant", "braille", "true"]
CELL_KINDS: Final[tuple[CellKind, ...]] = ("half", "quadrant", "sextant", "octant", "braille")
GRID: Final[dict[CellKind, tuple[int, int]]] = {
    "half": (1, 2),
    "quadrant": (2, 2),
    "sextant": (2, 3),
    "octant": (2, 4),
    "braille": (2, 4),
    "true": (10, 20),
}
"""Sub-pixels of a cell, across and down; `true` is a picture of its own over the cells, for terminals that show one."""

_FLAT_CONTRAST: Final = 12.0
"""A cell whose lightest and darkest parts differ less than this, out of 255, is one colour."""
_COLOUR_BITS: Final = 0xF8
"""Five bits a channel: half the different styles, and no eye sees it."""
_UPPER_HALF: Final = "▀"
_BRAILLE: Final = 0x2800
_INK_LUMA: Final = 128.0
_LUMA: Final = np.array([0.2126, 0.7152, 0.0722], np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """A picture in cells.

    Attributes:
        glyphs: Code points, shape (rows, columns).
        front: Colour of the shape as 0xrrggbb, same shape.
        back: Colour behind it, same shape.
        is_coloured: Whether the colours mean anything; without, shapes alone carry the picture.
    """

    glyphs: NDArray[np.uint32]
    front: NDArray[np.uint32]
    back: NDArray[np.uint32]
    is_coloured: bool = True


def cells_of(pixels: NDArray[np.uint8], kind: CellKind) -> Cells:
    """Return opaque pixels, shape (rows x down, columns x across, 3), as cells of a kind."""
    across, down = GRID[kind]
    rows, columns = pixels.shape[0] // down, pixels.shape[1] // across
    blocks = (
        pixels[: rows * down, : columns * across]
        .reshape(rows, down, columns, across, 3)
        .transpose(0, 2, 1, 3, 4)
        .reshape(rows, columns, down * across, 3)
    )
    if kind == "half":
        return _halves(blocks)
    if kind == "braille":
        return _dots(blocks)
    return _two_colours(blocks, _TABLES[kind])


def shapes_of(kind: CellKind) -> NDArray[np.uint32]:
    """Return the code points that cells of a kind are made of."""
    if kind == "half":
        return np.array([ord(" "), ord(_UPPER_HALF)], np.uint32)
    if kind == "braille":
        return np.arange(_BRAILLE, _BRAILLE + 256, dtype=np.uint32)
    return _TABLES[kind]


def _halves(blocks: NDArray[np.uint8]) -> Cells:
    front, back = _packed(blocks[:, :, 0]), _packed(blocks[:, :, 1])
    glyphs = np.where(front == back, np.uint32(ord(" ")), np.uint32(ord(_UPPER_HALF)))
    return Cells(glyphs, front, back)


def _dots(blocks: NDArray[np.uint8]) -> Cells:
    """Return dots where the picture is dark, on light; no colours."""
    dark = blocks.astype(np.float32) @ _LUMA < _INK_LUMA
    glyphs = (dark @ _DOT_BITS).astype(np.uint32) + np.uint32(_BRAILLE)
    nothing = np.zeros(glyphs.shape, np.uint32)
    return Cells(glyphs, nothing, nothing, is_coloured=False)


def _two_colours(blocks: NDArray[np.uint8], table: NDArray[np.uint32]) -> Cells:
    """Return each cell as the shape of its lighter part in its mean colour, on the mean of its darker part."""
    parts = blocks.astype(np.float32)
    luma = parts @ _LUMA
    low, high = luma.min(axis=2), luma.max(axis=2)
    is_flat = high - low < _FLAT_CONTRAST
    light = luma >= ((low + high) / 2)[:, :, None]
    light[is_flat] = False
    weight = light.astype(np.float32)
    count = weight.sum(axis=2)
    whole = parts.sum(axis=2)
    lit = np.einsum("rcp,rcpk->rck", weight, parts)
    dim = whole - lit
    front = lit / np.maximum(count, 1)[:, :, None]
    back = dim / np.maximum(parts.shape[2] - count, 1)[:, :, None]
    bits = (light @ (1 << np.arange(parts.shape[2], dtype=np.uint32))).astype(np.uint32)
    front_code, back_code = _packed(front.astype(np.uint8)), _packed(back.astype(np.uint8))
    front_code[is_flat] = back_code[is_flat]
    return Cells(table[bits], front_code, back_code)


def _packed(colours: NDArray[np.uint8]) -> NDArray[np.uint32]:
    """Return colours, shape (..., 3), as 0xrrggbb at five bits a channel."""
    wide = (colours & np.uint8(_COLOUR_BITS)).astype(np.uint32)
    packed = (wide[..., 0] << np.uint32(16)) | (wide[..., 1] << np.uint32(8)) | wide[..., 2]
    return packed.astype(np.uint32, copy=False)


def _quadrants() -> list[int]:
    """Return the shapes by bits: 1 top left, 2 top right, 4 bottom left, 8 bottom right. Source: Unicode 16."""
    return [ord(shape) for shape in " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"]


def _sextants() -> list[int]:
    """Return the shapes by bits, rows of two from the top. Source: Unicode 13, block sextants from U+1FB00."""
    shapes, code = [], 0x1FB00
    elsewhere = {0: ord(" "), 0b010101: ord("▌"), 0b101010: ord("▐"), 0b111111: ord("█")}
    for bits in range(64):
        if bits in elsewhere:
            shapes.append(elsewhere[bits])
        else:
            shapes.append(code)
            code += 1
    return shapes


def _octants() -> list[int]:
    """Return the shapes by bits, rows of two from the top. Source: Unicode 16, block octants from U+1CD00.

    The 26 patterns that other blocks have already are left out of that block's ascending order.
    """
    elsewhere = {
        0b00000001: 0x1CEA8,
        0b00000010: 0x1CEAB,
        0b01000000: 0x1CEA3,
        0b10000000: 0x1CEA0,
        0b00000011: 0x1FB82,
        0b11000000: 0x2582,
        0b00111111: 0x1FB85,
        0b11111100: 0x2586,
        0b00010100: 0x1FBE6,
        0b00101000: 0x1FBE7,
    }
    for quadrants, shape in enumerate(_quadrants()):
        bits = sum(mask for bit, mask in enumerate((0x05, 0x0A, 0x50, 0xA0)) if quadrants >> bit & 1)
        elsewhere[bits] = shape
    shapes, code = [], 0x1CD00
    for bits in range(256):
        if bits in elsewhere:
            shapes.append(elsewhere[bits])
        else:
            shapes.append(code)
            code += 1
    return shapes


_TABLES: Final[dict[str, NDArray[np.uint32]]] = {
    "quadrant": np.array(_quadrants(), np.uint32),
    "sextant": np.array(_sextants(), np.uint32),
    "octant": np.array(_octants(), np.uint32),
}
_DOT_BITS: Final = np.array([0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80], np.uint32)
"""Braille dots by rows of two from the top. Source: Unicode, braille patterns from U+2800."""
