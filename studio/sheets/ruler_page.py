"""The ruler page: a frame of 180 by 240 mm with a vernier at the far end of each length, and a ladder at each edge.

Invariant: it is always sent as it is, without the printer's correction, since it measures what that has to undo; only
a proof page is sent with it, and says so. Corners: A lower left, D lower right, B upper left, C upper right.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.geometry.shapes import Points
from studio.model.printer import Printer
from studio.sheets.page import BLACK, IDENTITY, Item, Page, Shape
from studio.sheets.ruler_readings import ACROSS_MM, FEED_MM, LONGEST_LADDER, NOMINAL_MM, TICKS, Side, tick_mm
from studio.sheets.words import Anchor, Setter, broken, set_line

HAIRLINE_MM: Final = 0.2
SMALLEST_MM: Final = (205.0, 275.0)
"""The smallest sheet that the frame fits on with its verniers."""
_BAR_MM: Final = (6.0, 1.2)
"""Length and thickness of a start bar; the edge towards the line is measured from."""
_TICK_MM: Final = (2.6, 3.8)
_GREY: Final = Colour(110, 110, 110)
_REACH_MM: Final = (5.4, 190.5)
"""How far the frame with its verniers reaches left and right of corner A."""
_FOOT_MM: Final = 20.0
"""Room below the frame for the widest unprintable edge and the vernier."""


def ruler_page(
    width_mm: float, height_mm: float, setter: Setter, *, printer: str, paper: str, measured: Printer | None = None
) -> Page:
    """Return the ruler page of a sheet.

    Args:
        width_mm: Of the portrait sheet.
        height_mm: The same.
        setter: Shapes lines of text.
        printer: Name of the printer.
        paper: Name of the sheet.
        measured: The printer as measured: the page becomes a proof, sent with its correction on.

    Raises:
        SettingsError: The sheet is too small for the frame.
    """
    if width_mm < SMALLEST_MM[0] or height_mm < SMALLEST_MM[1]:
        raise SettingsError(
            f"The ruler page needs a sheet of {SMALLEST_MM[0]:g} x {SMALLEST_MM[1]:g} mm; {paper} is "
            f"{width_mm:.1f} x {height_mm:.1f} mm.",
            advice="Measure the printer on letter or A4 paper.",
            ways=("paper",),
        )
    corner = frame_corner(width_mm, height_mm)
    items = (
        *_frame(corner),
        *(item for side in ("across", "feed", "ac", "bd") for item in _vernier(side, corner, setter)),
        *_ladders(width_mm, height_mm, setter),
        *_words(corner, setter, printer, paper, is_proof=measured is not None),
    )
    return Page(width_mm, height_mm, items, correction=IDENTITY if measured is None else measured.correction)


def frame_corner(width_mm: float, height_mm: float) -> tuple[float, float]:
    """Return where the frame's corner A lies on a sheet, mm from its lower left corner."""
    left, right = _REACH_MM
    return (width_mm - right + left) / 2, max(_FOOT_MM, (height_mm - FEED_MM) / 2 - 1.5)


def side_ends(side: Side, corner: tuple[float, float]) -> tuple[Points, Points]:
    """Return where a length starts and the direction that it runs in, each of shape (2,)."""
    x, y = corner
    starts = {"across": (x, y), "feed": (x + ACROSS_MM, y), "ac": (x, y), "bd": (x + ACROSS_MM, y)}
    ways = {"across": (1.0, 0.0), "feed": (0.0, 1.0), "ac": (0.6, 0.8), "bd": (-0.6, 0.8)}
    return np.array(starts[side]), np.array(ways[side])


def _beside(side: Side, way: Points) -> Points:
    """Return the direction across a length, to the side where its bar and ticks stand, clear of all others."""
    left = np.array([-way[1], way[0]])
    return left if side == "feed" else -left


def _vernier(side: Side, corner: tuple[float, float], setter: Setter) -> list[Item]:
    """Return a length's start bar, its 11 ticks with their numbers, and its name along it."""
    start, way = side_ends(side, corner)
    beside = _beside(side, way)
    length, thick = _BAR_MM
    gap = 0.0 if side in ("across", "feed") else 1.6
    bar = np.array(
        [
            start + beside * gap,
            start + beside * length,
            start + beside * length - way * thick,
            start + beside * gap - way * thick,
        ]
    )
    items: list[Item] = [Shape((bar,), BLACK)]
    turn = math.atan2(way[1], way[0])
    for tick in range(TICKS):
        at = start + way * tick_mm(side, tick)
        reach = _TICK_MM[1] if tick % 5 == 0 else _TICK_MM[0]
        items.append(_hairline(at, at + beside * reach))
    for tick in (0, 5, 10):
        at = start + way * tick_mm(side, tick) + beside * (_TICK_MM[1] + 1.5)
        items.append(_number(str(tick), at, turn, setter))
    middle = start + way * (NOMINAL_MM[side] * (0.42 if side == "bd" else 0.58 if side == "ac" else 0.5))
    words = {"across": "ACROSS", "feed": "FEED", "ac": "DIAGONAL ac", "bd": "DIAGONAL bd"}[side]
    upright = turn if abs(turn) <= math.pi / 2 else turn + math.pi
    lifted = np.array([-math.sin(upright), math.cos(upright)]) * 1.2
    at = middle + lifted
    text = f"{words}: {NOMINAL_MM[side]:g} mm"
    items.append(_line(text, at, setter, 3.0, anchor="middle", turn_rad=upright))
    return items


def _frame(corner: tuple[float, float]) -> list[Item]:
    """Return the measured lines; the left and upper sides are left open for the ladders."""
    return [
        _hairline(start, start + way * NOMINAL_MM[side])
        for side in ("across", "feed", "ac", "bd")
        for start, way in [side_ends(side, corner)]
    ]


def _ladders(width_mm: float, height_mm: float, setter: Setter) -> list[Item]:
    """Return a ladder at each edge: a line at each whole mm from the edge, stepped so that each stands by itself."""
    items: list[Item] = []
    step, reach = 6.0, 4.6
    for edge in ("left", "right", "bottom", "top"):
        middle = height_mm / 2 - 30 if edge in ("left", "right") else width_mm / 2
        for deep in range(1, LONGEST_LADDER + 1):
            along = middle + (deep - (LONGEST_LADDER + 1) / 2) * step
            ends = {
                "left": ((deep, along), (deep, along + reach)),
                "right": ((width_mm - deep, along), (width_mm - deep, along + reach)),
                "bottom": ((along, deep), (along + reach, deep)),
                "top": ((along, height_mm - deep), (along + reach, height_mm - deep)),
            }[edge]
            items.append(_hairline(np.array(ends[0]), np.array(ends[1])))
            place = {
                "left": (deep + 0.7, along + 1.5),
                "right": (width_mm - deep - 0.7, along + 1.5),
                "bottom": (along + reach / 2, deep + 0.7),
                "top": (along + reach / 2, height_mm - deep - 2.3),
            }[edge]
            anchor: Anchor = {"left": "left", "right": "right"}.get(edge, "middle")  # type: ignore[assignment]
            items.append(_line(str(deep), np.array(place), setter, 2.2, anchor=anchor, colour=_GREY))
    return items


def _words(corner: tuple[float, float], setter: Setter, printer: str, paper: str, *, is_proof: bool) -> list[Item]:
    """Return what to do, in the upper and lower parts of the frame, and the corners' letters."""
    x, y = corner
    items: list[Item] = []
    for letter, at in (
        ("A", (6, 3)),
        ("D", (ACROSS_MM - 9, 3)),
        ("C", (ACROSS_MM - 14, FEED_MM - 8)),
        ("B", (8, FEED_MM - 6)),
    ):
        items.append(_line(letter, np.array((x + at[0], y + at[1])), setter, 5.0))
    told = _PROOF if is_proof else _STEPS
    top = y + FEED_MM - 22.0
    title = f"{'Proof of the correction' if is_proof else 'Ruler page'}: {printer}, {paper}"
    items.append(_line(title, np.array((x + ACROSS_MM / 2, top)), setter, 6.0, anchor="middle"))
    top -= 9.0
    for paragraph in told[0]:
        for text in broken(paragraph, setter, 3.2, 92.0):
            items.append(_line(text, np.array((x + ACROSS_MM / 2, top)), setter, 3.2, anchor="middle"))
            top -= 4.4
        top -= 1.2
    low = y + 52.0
    for paragraph in told[1]:
        for text in broken(paragraph, setter, 3.2, 96.0):
            items.append(_line(text, np.array((x + ACROSS_MM / 2, low)), setter, 3.2, anchor="middle"))
            low -= 4.4
        low -= 1.2
    return items


_STEPS: Final = (
    (
        "Print at 100 % (Actual size, no fit), on the paper, tray and quality of your signs.",
        "For each length: lay a steel ruler along it, its 0 on the edge of the thick bar that faces the ticks.",
    ),
    (
        "At the far end find the tick that meets a whole millimetre of the ruler, and type tick@millimetre: "
        "tick 7 on 186 is 7@186.",
        "Ladders at the edges: the smallest number whose line is whole is your printer's margin there.",
        "Never measure against the edge of the paper.",
    ),
)
_PROOF: Final = (
    ("Sent with the correction on. Tick 0 meets 180 across, 240 along the feed, and 300 on both diagonals.",),
    (
        "If one is off by more than 0.3 mm, print the ruler page again, read it again, and keep the new readings.",
        "Do not type readings of this page: the correction would be applied twice.",
    ),
)


def _hairline(start: Points, end: Points) -> Shape:
    return Shape((np.array([start, end], dtype=np.float64),), None, BLACK, HAIRLINE_MM, is_closed=False)


def _number(text: str, at: Points, turn_rad: float, setter: Setter) -> Item:
    """Return a number centred on a point, turned with its line and never upside down."""
    em = 2.4
    upright = turn_rad if abs(turn_rad) <= math.pi / 2 else turn_rad + math.pi
    up = np.array([-math.sin(upright), math.cos(upright)])
    return _line(text, at - up * em * 0.36, setter, em, anchor="middle", turn_rad=upright)


def _line(
    text: str,
    at: Points,
    setter: Setter,
    em_mm: float,
    *,
    anchor: Anchor = "left",
    turn_rad: float = 0.0,
    colour: Colour = BLACK,
) -> Item:
    x, y = float(at[0]), float(at[1])
    return set_line(text, setter, x_mm=x, y_mm=y, em_mm=em_mm, anchor=anchor, turn_rad=turn_rad, colour=colour)
