"""The sheets of a sign drawn in characters: the blank, its seams, and the number of each sheet."""

from __future__ import annotations

import math
from typing import Final

from rich.text import Text

from studio.geometry.shapes import Box
from studio.model.blank import Blank
from studio.sheets.tiling import Tiling

_TALL: Final = 2.0
"""A character is about twice as tall as it is wide."""
_FILLS: Final = "░▒▓"
_SEAM: Final = "bold"


def sheets_drawing(blank: Blank, bleed_mm: float, tiling: Tiling | None, columns: int, rows: int) -> Text:
    """Return the sign as it is read, each sheet in a tone of its own with its number, seams as lines.

    Args:
        blank: The piece of wood.
        bleed_mm: Its bleed.
        tiling: Its sheets; `None` for one.
        columns: Characters across at most.
        rows: Lines at most.
    """
    wide, high = blank.width_mm / 2 + bleed_mm, blank.height_mm / 2 + bleed_mm
    step = max(2 * wide / max(columns, 4), 2 * high / max(rows, 3) / _TALL)
    across, down = max(1, round(2 * wide / step)), max(1, round(2 * high / (step * _TALL)))
    lines = []
    for row in range(down):
        y = high - (row + 0.5) * 2 * high / down
        line = ""
        for column in range(across):
            x = -wide + (column + 0.5) * 2 * wide / across
            line += _cell(blank, wide, high, tiling, x, y)
        lines.append(list(line))
    for number, box in _boxes(tiling, wide, high):
        x, y = _middle(blank, box, wide, high)
        row, column = int((high - y) / (2 * high) * down), int((x + wide) / (2 * wide) * across)
        _put(lines, min(max(row, 0), down - 1), column, f" {number} ")
    for seam in tiling.seams if tiling is not None else ():
        at, start, end = seam.at_mm, seam.start_mm, seam.end_mm
        if seam.is_upright:
            column = min(across - 1, int((-at + wide) / (2 * wide) * across))
            for row in range(down):
                y = high - (row + 0.5) * 2 * high / down
                if start <= y <= end:
                    lines[row][column] = "┃"
        else:
            row = min(down - 1, max(0, int((high - at) / (2 * high) * down)))
            for column in range(across):
                x = -wide + (column + 0.5) * 2 * wide / across
                if start <= -x <= end:
                    lines[row][column] = "━"
    return Text("\n".join("".join(line) for line in lines), no_wrap=True)


def _cell(blank: Blank, wide: float, high: float, tiling: Tiling | None, x: float, y: float) -> str:
    inside = blank.shape == "rect" or math.hypot(x / wide, y / high) <= 1
    if not inside:
        return " "
    for number, box in _boxes(tiling, wide, high):
        if box.left_mm <= x <= box.right_mm and box.bottom_mm <= y <= box.top_mm:
            return _FILLS[(number - 1) % len(_FILLS)]
    return _FILLS[0]


def _boxes(tiling: Tiling | None, wide: float, high: float) -> list[tuple[int, Box]]:
    """Return each sheet's number and what is left of it, as the sign is read: the print's frame flipped."""
    if tiling is None:
        return [(1, Box(-wide, -high, wide, high))]
    return [
        (tile.number, Box(-tile.kept.right_mm, tile.kept.bottom_mm, -tile.kept.left_mm, tile.kept.top_mm))
        for tile in tiling.tiles
    ]


def _middle(blank: Blank, box: Box, wide: float, high: float) -> tuple[float, float]:
    """Return where a sheet's number stands: the middle of what it holds of the blank's box."""
    left, right = max(box.left_mm, -wide), min(box.right_mm, wide)
    low, top = max(box.bottom_mm, -high), min(box.top_mm, high)
    x, y = (left + right) / 2, (low + top) / 2
    return (0.7 * x if blank.shape != "rect" and abs(x) > wide / 2 and abs(y) > high / 2 else x), y


def _put(lines: list[list[str]], row: int, column: int, text: str) -> None:
    start = column - len(text) // 2
    for offset, letter in enumerate(text):
        if 0 <= start + offset < len(lines[row]):
            lines[row][start + offset] = letter
