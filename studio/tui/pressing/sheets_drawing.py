"""The sheets of a sign drawn in characters: the blank, its seams, and the number of each sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from rich.text import Text

from studio.model.blank import Blank
from studio.sheets.tiling import Tiling

_TALL: Final = 2.0
"""A character is about twice as tall as it is wide."""
_FILLS: Final = "░▒▓"


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet's number and what it holds of the sign, in mm as the sign is read."""

    number: int
    left: float
    low: float
    right: float
    top: float

    def holds(self, x: float, y: float) -> bool:
        return self.left <= x <= self.right and self.low <= y <= self.top


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
    for sheet in _sheets(tiling, wide, high):
        x, y = _middle(blank, sheet, wide, high)
        row, column = int((high - y) / (2 * high) * down), int((x + wide) / (2 * wide) * across)
        _put(lines, min(max(row, 0), down - 1), column, f" {sheet.number} ")
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
    for sheet in _sheets(tiling, wide, high):
        if sheet.holds(x, y):
            return _FILLS[(sheet.number - 1) % len(_FILLS)]
    return _FILLS[0]


def _sheets(tiling: Tiling | None, wide: float, high: float) -> list[_Sheet]:
    """Return the sheets as the sign is read: the print's frame flipped."""
    if tiling is None:
        return [_Sheet(1, -wide, -high, wide, high)]
    kept = [(tile.number, tile.kept) for tile in tiling.tiles]
    return [_Sheet(number, -box.right_mm, box.bottom_mm, -box.left_mm, box.top_mm) for number, box in kept]


def _middle(blank: Blank, sheet: _Sheet, wide: float, high: float) -> tuple[float, float]:
    """Return where a sheet's number stands: the middle of what it holds of the blank's box."""
    left, right = max(sheet.left, -wide), min(sheet.right, wide)
    low, top = max(sheet.low, -high), min(sheet.top, high)
    x, y = (left + right) / 2, (low + top) / 2
    return (0.7 * x if blank.shape != "rect" and abs(x) > wide / 2 and abs(y) > high / 2 else x), y


def _put(lines: list[list[str]], row: int, column: int, text: str) -> None:
    start = column - len(text) // 2
    for offset, letter in enumerate(text):
        if 0 <= start + offset < len(lines[row]):
            lines[row][start + offset] = letter
