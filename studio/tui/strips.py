"""Cells as lines that the terminal app draws, with marks laid over them.

Invariant: every segment carries a style; a segment without one breaks the colourless filters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from studio.tui.cells import Cells

_MOST_STYLES: Final = 20_000
GROUND_BITS: Final = 0xF8F8F8
_styles: dict[int, Style] = {}


@dataclass(frozen=True, slots=True)
class Mark:
    """A short word or number that stands over a picture, its first letter at a cell."""

    row: int
    column: int
    text: str


def strips_of(
    cells: Cells, plain: Style, marked: Style, marks: Sequence[Mark] = (), ground: int | None = None
) -> list[Strip]:
    """Return the picture's lines.

    Args:
        cells: The picture.
        plain: The style of a picture without colours.
        marked: The style of marks.
        marks: What stands over it; what runs off its edge is cut.
        ground: The exact colour, as 0xrrggbb, in place of the one that fewer bits made of it.
    """
    if ground is not None:
        coarse = ground & GROUND_BITS
        cells = replace(
            cells,
            front=np.where(cells.front == coarse, np.uint32(ground), cells.front),
            back=np.where(cells.back == coarse, np.uint32(ground), cells.back),
        )
    by_row: dict[int, list[Mark]] = {}
    for mark in marks:
        by_row.setdefault(mark.row, []).append(mark)
    lines = cells.glyphs.astype("<u4")
    width = cells.glyphs.shape[1]
    strips = []
    for row in range(cells.glyphs.shape[0]):
        text = lines[row].tobytes().decode("utf-32-le")
        segments = _runs(text, cells.front[row], cells.back[row]) if cells.is_coloured else [Segment(text, plain)]
        strip = Strip(segments, width)
        for mark in by_row.get(row, ()):
            strip = _over(strip, mark, marked, width)
        strips.append(strip)
    return strips


def _runs(text: str, front: np.ndarray, back: np.ndarray) -> list[Segment]:
    """Return one segment for each run of cells with the same colours."""
    keys = (front.astype(np.uint64) << np.uint64(24)) | back
    starts = np.flatnonzero(np.r_[True, keys[1:] != keys[:-1]])
    ends = [*starts[1:].tolist(), len(text)]
    return [
        Segment(text[start:end], _style(key))
        for start, end, key in zip(starts.tolist(), ends, keys[starts].tolist(), strict=True)
    ]


def _style(key: int) -> Style:
    """Return the style of a pair of colours packed in 48 bits."""
    style = _styles.get(key)
    if style is None:
        if len(_styles) >= _MOST_STYLES:
            _styles.clear()
        front, back = key >> 24, key & 0xFFFFFF
        style = Style.from_color(_colour(front), _colour(back))
        _styles[key] = style
    return style


def _colour(code: int) -> Color:
    return Color.from_rgb(code >> 16, code >> 8 & 0xFF, code & 0xFF)


def _over(strip: Strip, mark: Mark, style: Style, width: int) -> Strip:
    """Return a line with a mark laid over it."""
    start = max(0, mark.column)
    text = mark.text[start - mark.column : width - mark.column]
    if not text:
        return strip
    end = start + len(text)
    parts = [strip.crop(0, start), Strip([Segment(text, style)], len(text)), strip.crop(end, width)]
    return Strip.join(parts)
