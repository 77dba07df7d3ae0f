"""Cells as lines that the terminal app draws, with marks laid over them.

Invariant: every segment carries a style; a segment without one breaks the colourless filters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from studio.terminal.cells import Cells
from studio.terminal.palette import Depth, nearest, palette_codes

_MOST_STYLES: Final = 20_000
GROUND_BITS: Final = 0xF8F8F8
_styles: dict[int, Style] = {}


PLAIN: Final = Style()
MARK_GROUND: Final = "#ffd75f"
MARKED: Final = Style(bold=True, color="#000000", bgcolor=MARK_GROUND)
MARKED_PLAIN: Final = Style(bold=True, reverse=True)


@dataclass(frozen=True, slots=True)
class Mark:
    """A short word or number that stands over a picture, its first letter at a cell."""

    row: int
    column: int
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A picture in cells with what stands over it; what runs off its edge is cut."""

    cells: Cells
    marks: tuple[Mark, ...] = ()


class StripMaker:
    """Makes a picture's lines; a line that is as it was in the picture before is the same object again."""

    def __init__(self) -> None:
        self._kept: dict[tuple[object, ...], Strip] = {}

    def strips_of(self, drawn: Drawn) -> list[Strip]:
        """Return a picture's lines; one without colours has them in the terminal's own."""
        cells = drawn.cells
        by_row: dict[int, list[Mark]] = {}
        for mark in drawn.marks:
            by_row.setdefault(mark.row, []).append(mark)
        lines = cells.glyphs.astype("<u4")
        made: dict[tuple[object, ...], Strip] = {}
        strips = []
        for row in range(cells.glyphs.shape[0]):
            letters = lines[row].tobytes()
            over = tuple(by_row.get(row, ()))
            key = (letters, cells.front[row].tobytes(), cells.back[row].tobytes(), over, cells.is_coloured)
            strip = made.get(key) or self._kept.get(key) or _strip(letters, cells, row, over)
            made[key] = strip
            strips.append(strip)
        self._kept = made
        return strips


def with_ground(cells: Cells, ground: int) -> Cells:
    """Return a picture with the exact colour of its ground, as 0xrrggbb, in place of what fewer bits made of it."""
    if not cells.is_coloured:
        return cells
    coarse = ground & GROUND_BITS
    front, back = (np.where(codes == coarse, np.uint32(ground), codes) for codes in (cells.front, cells.back))
    return replace(cells, front=front, back=back)


def few_colours(cells: Cells, depth: Depth, ground: int) -> Cells:
    """Return a picture in the colours that a terminal has, the nearest to the eye; its ground stays as it is."""
    if depth not in ("256", "16") or not cells.is_coloured:
        return cells
    table = palette_codes(depth)
    front, back = (
        np.where(codes == ground, codes, table[nearest(codes, depth)]).astype(np.uint32)
        for codes in (cells.front, cells.back)
    )
    return replace(cells, front=front, back=back)


def _strip(letters: bytes, cells: Cells, row: int, marks: Sequence[Mark]) -> Strip:
    text, width = letters.decode("utf-32-le"), cells.glyphs.shape[1]
    segments = _runs(text, cells.front[row], cells.back[row]) if cells.is_coloured else [Segment(text, PLAIN)]
    strip = Strip(segments, width)
    for mark in marks:
        strip = _over(strip, mark, MARKED if cells.is_coloured else MARKED_PLAIN, width)
    return strip


def _runs(text: str, front: NDArray[np.uint32], back: NDArray[np.uint32]) -> list[Segment]:
    """Return one segment for each run of cells with the same colours."""
    keys = (front.astype(np.uint64) << np.uint64(24)) | back.astype(np.uint64)
    starts = np.flatnonzero(np.concatenate(([True], keys[1:] != keys[:-1])))
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
