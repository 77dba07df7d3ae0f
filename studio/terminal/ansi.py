"""A picture as lines of text: cells in colour, or tones in plain ASCII.

Invariant: every line of colour ends with colours reset; ASCII lines hold printable characters only.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.terminal.cells import GRID, CellKind, Cells, cells_of
from studio.terminal.palette import Depth, nearest

_RESET: Final = "\x1b[0m"
_CELL_ASPECT: Final = 2.0
"""How much taller than wide a character is."""
_SOLID: Final = 128
"""Opacity, of 255, from which a part of a cell is drawn."""
_NOTHING: Final = -1
"""Stands for the terminal's own background."""


def block_lines(pixels: NDArray[np.uint8], columns: int, kind: CellKind, depth: Depth) -> str:
    """Return a picture as lines of coloured blocks, `columns` wide.

    Args:
        pixels: Shape (rows, columns, 3 or 4); what is less than half opaque shows the terminal.
        columns: Characters across.
        kind: How many parts a cell has.
        depth: How many colours may be used; not `none`.
    """
    across, down = GRID[kind]
    small = _shrunk(pixels, columns * across, _CELL_ASPECT * across / down)
    short = -len(small) % down
    if short:
        small = np.concatenate([small, np.zeros((short, *small.shape[1:]), np.uint8)])
    solid = small[..., 3] >= _SOLID
    cells = cells_of(np.ascontiguousarray(small[..., :3]), kind)
    front, back = _codes(cells.front, depth), _codes(cells.back, depth)
    glyphs = cells.glyphs.copy()
    _open_parts(small, solid, kind, depth, cells, (glyphs, front, back))
    return "".join(f"{_line(*row, depth)}\n" for row in zip(glyphs, front, back, strict=True))


def ascii_tones(pixels: NDArray[np.uint8], columns: int, tones: str) -> str:
    """Return a picture in plain characters, `columns` wide; `tones` has one for each tone, from light to dark."""
    small = _shrunk(pixels, columns, _CELL_ASPECT).astype(float)
    grey = small[..., :3] @ np.array([0.2126, 0.7152, 0.0722])
    darkness = (255 - grey) / 256 * (small[..., 3] / 255)
    signs = np.array(list(tones))[np.clip((darkness * len(tones)).astype(int), 0, len(tones) - 1)]
    return "".join("".join(row).rstrip() + "\n" for row in signs.tolist())


def _shrunk(pixels: NDArray[np.uint8], columns: int, aspect: float) -> NDArray[np.uint8]:
    """Return the picture `columns` across with alpha, each pixel `aspect` times taller than wide."""
    rows = max(1, int(len(pixels) / pixels.shape[1] * columns / aspect + 0.5))
    image = Image.fromarray(pixels)
    if image.mode != "RGBA":
        image = image.convert("RGBA")
    return np.asarray(image.resize((columns, rows), Image.Resampling.BOX))


def _codes(colours: NDArray[np.uint32], depth: Depth) -> NDArray[np.int64]:
    """Return colours as the terminal takes them: 0xrrggbb, or a palette's index."""
    return (nearest(colours, depth) if depth in ("256", "16") else colours).astype(np.int64)


def _open_parts(
    small: NDArray[np.uint8],
    solid: NDArray[np.bool_],
    kind: CellKind,
    depth: Depth,
    cells: Cells,
    into: tuple[NDArray[np.uint32], NDArray[np.int64], NDArray[np.int64]],
) -> None:
    """Draw cells that are transparent in part as the shape of what is there, in its mean colour."""
    across, down = GRID[kind]
    rows, columns = cells.glyphs.shape
    blocks = solid.reshape(rows, down, columns, across).transpose(0, 2, 1, 3).reshape(rows, columns, down * across)
    some = ~blocks.all(axis=2)
    if not some.any():
        return
    parts = small[..., :3].reshape(rows, down, columns, across, 3).transpose(0, 2, 1, 3, 4)
    colours = parts.reshape(rows, columns, down * across, 3)[some].astype(float)
    there = blocks[some]
    mean = (colours * there[..., None]).sum(axis=1) / np.maximum(there.sum(axis=1), 1)[:, None]
    packed = mean.astype(np.uint32) @ np.array([1 << 16, 1 << 8, 1], np.uint32)
    glyphs, front, back = into
    shape = np.where(there[..., None], np.uint8(255), np.uint8(0)).repeat(3, axis=2)
    drawn = cells_of(shape.reshape(-1, down, across, 3).transpose(1, 0, 2, 3).reshape(down, -1, 3), kind)
    glyphs[some] = drawn.glyphs[0]
    front[some] = np.where(there.any(axis=1), _codes(packed.astype(np.uint32), depth), _NOTHING)
    back[some] = _NOTHING
    if kind == "half":  # its one shape is the upper half; a lone lower one needs the other
        glyphs[some] = np.where(there[:, 0], ord("▀"), np.where(there[:, 1], ord("▄"), ord(" ")))


def _line(glyphs: NDArray[np.uint32], front: NDArray[np.int64], back: NDArray[np.int64], depth: Depth) -> str:
    parts: list[str] = []
    last: tuple[int, int] | None = None
    for glyph, ink, ground in zip(glyphs.tolist(), front.tolist(), back.tolist(), strict=True):
        style = (ink, ground)
        if style != last:
            parts.append(_style(ink, ground, depth))
        parts.append(chr(glyph))
        last = style
    return "".join(parts).rstrip() + _RESET


def _style(ink: int, ground: int, depth: Depth) -> str:
    if ink == _NOTHING:
        return _RESET
    if ground == _NOTHING:
        return f"\x1b[0;{_code(38, ink, depth)}m"
    return f"\x1b[{_code(38, ink, depth)};{_code(48, ground, depth)}m"


def _code(layer: int, colour: int, depth: Depth) -> str:
    if depth == "16":
        return str((layer - 8 if colour < 8 else layer + 44) + colour)
    if depth == "256":
        return f"{layer};5;{colour}"
    return f"{layer};2;{colour >> 16};{colour >> 8 & 0xFF};{colour & 0xFF}"
