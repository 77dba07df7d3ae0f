"""A picture in the terminal: two pixels a character in colour, or tones in plain ASCII.

Invariant: every line of colour ends with colours reset; ASCII lines hold printable characters only.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.render.ascii_art import TONES

Depth: TypeAlias = Literal["truecolor", "256", "none"]
_UPPER: Final = "▀"
_LOWER: Final = "▄"
_RESET: Final = "\x1b[0m"
_CELL_ASPECT: Final = 2.0
"""How much taller than wide a character is."""


def colour_depth(environment: Mapping[str, str], *, is_terminal: bool, encoding: str) -> Depth:
    """Return how many colours may be used: none unless the terminal is one that can show half blocks."""
    if not is_terminal or environment.get("NO_COLOR") or environment.get("TERM", "") in ("", "dumb", "unknown"):
        return "none"
    if encoding.lower().replace("-", "").replace("_", "") != "utf8":
        return "none"
    return "truecolor" if environment.get("COLORTERM", "").lower() in ("truecolor", "24bit") else "256"


def half_blocks(pixels: NDArray[np.uint8], columns: int, depth: Depth) -> str:
    """Return a picture as lines of half blocks, `columns` wide.

    Args:
        pixels: Shape (rows, columns, 3 or 4); what is less than half opaque shows the terminal.
        columns: Characters across.
        depth: `truecolor` or `256`.
    """
    small = _shrunk(pixels, columns, 1.0)
    if len(small) % 2:
        small = np.concatenate([small, np.zeros((1, *small.shape[1:]), np.uint8)])
    codes = small[..., :3].astype(int)
    if depth == "256":
        codes = _palette(codes)[..., None]
    solid = small[..., 3] >= 128
    lines = [_line(codes[row], codes[row + 1], solid[row], solid[row + 1]) for row in range(0, len(small), 2)]
    return "".join(f"{line}\n" for line in lines)


def ascii_tones(pixels: NDArray[np.uint8], columns: int) -> str:
    """Return a picture in tones of plain ASCII, `columns` wide."""
    small = _shrunk(pixels, columns, _CELL_ASPECT).astype(float)
    grey = small[..., :3] @ np.array([0.2126, 0.7152, 0.0722])
    darkness = (255 - grey) / 256 * (small[..., 3] / 255)
    signs = np.array(list(TONES))[np.clip((darkness * len(TONES)).astype(int), 0, len(TONES) - 1)]
    return "".join("".join(row).rstrip() + "\n" for row in signs.tolist())


def _shrunk(pixels: NDArray[np.uint8], columns: int, aspect: float) -> NDArray[np.uint8]:
    """Return the picture `columns` across with alpha, each pixel `aspect` times taller than wide."""
    rows = max(1, int(len(pixels) / pixels.shape[1] * columns / aspect + 0.5))
    image = Image.fromarray(pixels)
    if image.mode != "RGBA":
        image = image.convert("RGBA")
    return np.asarray(image.resize((columns, rows), Image.Resampling.BOX))


def _palette(codes: NDArray[np.int_]) -> NDArray[np.int_]:
    """Return the nearest colours of the 6 x 6 x 6 cube or the greys. Source: xterm's 256 colours (from memory)."""
    levels = np.array([0, 95, 135, 175, 215, 255])
    nearest = np.abs(codes[..., None] - levels).argmin(axis=-1)
    cube = 16 + 36 * nearest[..., 0] + 6 * nearest[..., 1] + nearest[..., 2]
    mean = codes.mean(axis=-1)
    step = np.clip(((mean - 3) / 10).astype(int), 0, 23)
    off_cube = np.abs(codes - levels[nearest]).sum(axis=-1)
    off_grey = np.abs(codes - (8 + 10 * step)[..., None]).sum(axis=-1)
    index: NDArray[np.int_] = np.where(off_grey < off_cube, 232 + step, cube)
    return index


def _line(
    upper: NDArray[np.int_], lower: NDArray[np.int_], upper_solid: NDArray[np.bool_], lower_solid: NDArray[np.bool_]
) -> str:
    parts: list[str] = []
    last = ""
    for above, below, has_above, has_below in zip(
        upper.tolist(), lower.tolist(), upper_solid.tolist(), lower_solid.tolist(), strict=True
    ):
        if has_above and has_below:
            style, sign = f"\x1b[{_code(38, above)};{_code(48, below)}m", _UPPER
        elif has_above:
            style, sign = f"\x1b[0;{_code(38, above)}m", _UPPER
        elif has_below:
            style, sign = f"\x1b[0;{_code(38, below)}m", _LOWER
        else:
            style, sign = _RESET, " "
        parts.append(sign if style == last else style + sign)
        last = style
    return "".join(parts).rstrip() + _RESET


def _code(layer: int, colour: list[int]) -> str:
    return f"{layer};5;{colour[0]}" if len(colour) == 1 else f"{layer};2;{colour[0]};{colour[1]};{colour[2]}"
