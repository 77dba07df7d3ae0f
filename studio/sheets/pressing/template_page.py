"""The placement template on plain paper: the blank's outline, centre, holes and clock ticks, the right way round.

Invariant: it holds no picture and is never mirrored, and every sheet of it says that it is not for pressing. It is laid
on as many sheets as its sign, each the mirror image of one sheet of the print.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.shapes import Box, Points, circle
from studio.model.blank import Blank
from studio.model.paper import Paper
from studio.sheets.page import BLACK, IDENTITY, Item, Matrix, Page, Shape
from studio.sheets.words import Anchor, Setter, set_line

NOT_FOR_PRESSING: Final = "PLAIN PAPER – NOT FOR PRESSING"
_GREY: Final = Colour(120, 120, 120)
_RED: Final = Colour(170, 40, 20)
_TICK_MM: Final = (5.0, 8.0)
"""How far a clock tick reaches inside and outside the rim."""
_CROSS_MM: Final = 12.0
_BAR_MM: Final = 100.0
_OFF_EDGE_MM: Final = 3.0
_PLACES: Final = 24
_BLOCK_MM: Final = 30.0
"""Height of all words below the first line."""
_WORDS_MM: Final = 9.0
_SMALLEST_MM: Final = 1.5
_SHARES: Final = (1.0, 0.6, 0.4, 0.25)
"""Sizes that the words are tried at."""


@dataclass(frozen=True, slots=True)
class TemplateTile:
    """One sheet of a template.

    Attributes:
        part: What it shows of the sign as it is read, mm from the blank's centre.
        is_turned: Whether the sign's up runs across the page.
    """

    part: Box
    is_turned: bool = False


def tile_of_print(printed: Box, *, is_turned: bool) -> TemplateTile:
    """Return the template's sheet for a sheet of the print, whose frame is the mirror image of the sign's."""
    return TemplateTile(Box(-printed.right_mm, printed.bottom_mm, -printed.left_mm, printed.top_mm), is_turned)


def template_pages(
    blank: Blank,
    tiles: Sequence[TemplateTile],
    paper: Paper,
    printable: Box,
    setter: Setter,
    *,
    about: str = "",
    correction: Matrix = IDENTITY,
) -> tuple[Page, ...]:
    """Return a blank's template.

    Args:
        blank: The piece of wood.
        tiles: Its sheets, each with what it shows.
        paper: The paper.
        printable: What the printer reaches of it, mm from the sheet's lower left corner.
        setter: Shapes lines of text.
        about: The sign that it goes with; may be empty.
        correction: What undoes the printer's scale.
    """
    pages = []
    for number, tile in enumerate(tiles, 1):
        placing = _Placing.of(tile, printable)
        items = (
            *_blank_items(blank, placing, setter),
            *_seams(tile, tiles, placing),
            *_words(blank, tile, placing, printable, setter, about, number, len(tiles)),
        )
        pages.append(Page(paper.width_mm, paper.height_mm, items, correction=correction))
    return tuple(pages)


@dataclass(frozen=True, slots=True)
class _Placing:
    """Where the sign lies on a page: its centre there, and its turn."""

    x_mm: float
    y_mm: float
    is_turned: bool

    @classmethod
    def of(cls, tile: TemplateTile, printable: Box) -> _Placing:
        """Return the placing that brings a tile's part to the middle of what can be printed."""
        part = tile.part
        x, y = (part.left_mm + part.right_mm) / 2, (part.bottom_mm + part.top_mm) / 2
        across, up = (-y, x) if tile.is_turned else (x, y)
        middle_x = (printable.left_mm + printable.right_mm) / 2
        middle_y = (printable.bottom_mm + printable.top_mm) / 2
        return cls(middle_x - across, middle_y - up, tile.is_turned)

    @property
    def turn_rad(self) -> float:
        return math.pi / 2 if self.is_turned else 0.0

    def points(self, points: Points) -> Points:
        turned = np.column_stack((-points[:, 1], points[:, 0])) if self.is_turned else points
        placed: Points = turned + np.array([self.x_mm, self.y_mm])
        return placed

    def line(
        self, start: tuple[float, float], end: tuple[float, float], *, line_mm: float = 0.25,
        colour: Colour = BLACK, dashes_mm: tuple[float, ...] = (),
    ) -> Shape:  # fmt: skip
        points = self.points(np.array([start, end], dtype=np.float64))
        return Shape((points,), None, colour, line_mm, is_closed=False, dashes_mm=dashes_mm)

    def words(
        self, text: str, x_mm: float, y_mm: float, setter: Setter, em_mm: float, *, anchor: Anchor = "middle",
        colour: Colour = BLACK, is_upright: bool = False,
    ) -> Item:  # fmt: skip
        ((x, y),) = self.points(np.array([[x_mm, y_mm]])).tolist()
        turn_rad = self.turn_rad + (math.pi / 2 if is_upright else 0.0)
        return set_line(text, setter, x_mm=x, y_mm=y, em_mm=em_mm, turn_rad=turn_rad, anchor=anchor, colour=colour)


def _blank_items(blank: Blank, placing: _Placing, setter: Setter) -> list[Item]:
    """Return outline, axes, centre cross, holes and clock ticks."""
    wide, high = blank.width_mm / 2, blank.height_mm / 2
    items: list[Item] = [
        Shape((placing.points(blank.rim.contour()),), None, BLACK, 0.35),
        placing.line((-wide, 0), (wide, 0), line_mm=0.15, colour=_GREY, dashes_mm=(3.0, 2.0)),
        placing.line((0, -high), (0, high), line_mm=0.15, colour=_GREY, dashes_mm=(3.0, 2.0)),
        placing.line((-_CROSS_MM, 0), (_CROSS_MM, 0), line_mm=0.3),
        placing.line((0, -_CROSS_MM), (0, _CROSS_MM), line_mm=0.3),
        Shape((placing.points(circle(0, 0, 3.0)),), None, BLACK, 0.25),
    ]
    for hole in blank.holes:
        x, y, radius = hole.x_mm, hole.y_mm, hole.diameter_mm / 2
        items.append(Shape((placing.points(circle(x, y, radius)),), None, BLACK, 0.3))
        items.append(placing.line((x - radius - 2, y), (x + radius + 2, y), line_mm=0.15))
        items.append(placing.line((x, y - radius - 2), (x, y + radius + 2), line_mm=0.15))
    inside, outside = _TICK_MM
    for hour, (x, y) in {"12": (0, 1), "3": (1, 0), "6": (0, -1), "9": (-1, 0)}.items():
        rim_x, rim_y = x * wide, y * high
        start, end = (rim_x - x * inside, rim_y - y * inside), (rim_x + x * outside, rim_y + y * outside)
        items.append(placing.line(start, end, line_mm=0.5))
        items.append(placing.words(hour, rim_x - x * 10, rim_y - y * 10 - 1.8, setter, 5.0))
    return items


def _seams(tile: TemplateTile, tiles: Sequence[TemplateTile], placing: _Placing) -> list[Item]:
    """Return a dashed line in the middle of each overlap with another sheet."""
    items: list[Item] = []
    for other in tiles:
        if other is tile:
            continue
        left, right = max(tile.part.left_mm, other.part.left_mm), min(tile.part.right_mm, other.part.right_mm)
        low, high = max(tile.part.bottom_mm, other.part.bottom_mm), min(tile.part.top_mm, other.part.top_mm)
        if left >= right or low >= high:
            continue
        if right - left < high - low:
            middle = (left + right) / 2
            items.append(placing.line((middle, low), (middle, high), colour=_RED, dashes_mm=(4.0, 2.0)))
        else:
            middle = (low + high) / 2
            items.append(placing.line((left, middle), (right, middle), colour=_RED, dashes_mm=(4.0, 2.0)))
    return items


def _words(
    blank: Blank,
    tile: TemplateTile,
    placing: _Placing,
    printable: Box,
    setter: Setter,
    about: str,
    number: int,
    count: int,
) -> list[Item]:
    """Return what it is, across the part shown, and how to use it with a bar to measure at the page's foot."""
    lines = [
        (NOT_FOR_PRESSING, _WORDS_MM, _RED),
        (about, 5.0, BLACK),
        ("The right way round, as the sign is read. Up is up.", 4.0, BLACK),
    ]
    if count > 1:
        told = f"Sheet {number} of {count}. Cut one sheet at the red dashes, lay it on the other's, and tape."
        lines.append((told, 3.6, _RED))
    wide_em = setter(NOT_FOR_PRESSING).advance_em
    block = max(_best_place(blank, tile.part, wide_em, is_upright=upright) for upright in (False, True))
    items: list[Item] = []
    along = block.along_mm
    up = block.up_mm
    for text, em, colour in lines:
        if text:
            fitted = min(em * block.share, block.room_mm / setter(text).advance_em)
            x, y = (-up, along) if block.is_upright else (along, up)
            items.append(placing.words(text, x, y, setter, fitted, colour=colour, is_upright=block.is_upright))
            up -= fitted * 1.5
    items += _bar(printable, setter)
    return items


class _Block(NamedTuple):
    """Where words stand: the size of the first line, level before upright, then along and up in their own frame."""

    em_mm: float
    is_level: bool
    near_middle: float
    along_mm: float
    up_mm: float
    room_mm: float
    share: float

    @property
    def is_upright(self) -> bool:
        return not self.is_level


def _best_place(blank: Blank, part: Box, wide_em: float, *, is_upright: bool) -> _Block:
    """Return where words stand largest on a part, clear of holes and centre cross, level or running upwards.

    Args:
        blank: The piece of wood.
        part: What the sheet shows.
        wide_em: Length of the longest line.
        is_upright: Whether they run upwards: all is then seen turned, along is up and up is to the left.
    """
    high, wide = blank.height_mm / 2, blank.width_mm / 2
    spots = [(0.0, 0.0, _CROSS_MM), *((hole.x_mm, hole.y_mm, hole.diameter_mm) for hole in blank.holes)]
    taken = [(y - reach, y + reach) for _, y, reach in spots]
    if is_upright:
        high, wide = wide, high
        part = Box(part.bottom_mm, -part.right_mm, part.top_mm, -part.left_mm)
        taken = [(-x - reach, -x + reach) for x, _, reach in spots]
    along = (part.left_mm + part.right_mm) / 2
    found = [
        _Block(
            _SMALLEST_MM,
            not is_upright,
            0.0,
            along,
            (part.bottom_mm + part.top_mm) / 2,
            part.width_mm * 0.8,
            _SHARES[-1],
        )
    ]
    for share, number in itertools.product(_SHARES, range(_PLACES)):
        up = part.bottom_mm + part.height_mm * (number + 0.5) / _PLACES
        top, low = up + _WORDS_MM * share, up - _BLOCK_MM * share
        if low < part.bottom_mm + 6 or top > part.top_mm - 6 or any(top > one and low < two for one, two in taken):
            continue
        half = min(_chord(blank, wide, high, top), _chord(blank, wide, high, low)) / 2
        start, end = max(part.left_mm + 6, -half), min(part.right_mm - 6, half)
        room = 0.95 * (end - start)
        found.append(
            _Block(min(_WORDS_MM * share, room / wide_em), not is_upright, -abs(up), (start + end) / 2, up, room, share)
        )
    return max(found)


def _chord(blank: Blank, wide_mm: float, high_mm: float, up_mm: float) -> float:
    """Return how wide a blank of such half measurements is at a height; 0 off it."""
    share = abs(up_mm) / high_mm
    if share >= 1:
        return 0.0
    return 2 * wide_mm * (1.0 if blank.shape == "rect" else math.sqrt(1 - share * share))


def _bar(printable: Box, setter: Setter) -> list[Item]:
    """Return a bar of 100 mm at the page's foot, with what to do about it."""
    left, y = printable.left_mm + _OFF_EDGE_MM, printable.bottom_mm + _OFF_EDGE_MM + 1.5
    ends = (left, left + _BAR_MM)
    marks = [((left, y), (left + _BAR_MM, y)), *(((x, y - 1.5), (x, y + 1.5)) for x in ends)]
    lines = [np.array(mark, dtype=np.float64) for mark in marks]
    items: list[Item] = [Shape((line,), None, BLACK, 0.3, is_closed=False) for line in lines]
    words = "100 mm: measure it. Print at 100 % (Actual size, no fit)."
    items.append(set_line(words, setter, x_mm=left + 2, y_mm=y + 1.2, em_mm=3.0))
    return items
