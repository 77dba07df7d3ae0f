"""The hanging page: the back of the sign with its hanger or knots, the wall with the hook's height, and cautions."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.shapes import Points, circle
from studio.model.blank import Blank
from studio.model.paper import Paper
from studio.sheets.page import BLACK, Item, Page, Shape
from studio.sheets.pressing.hanging import CAUTIONS, FOOT_BELOW_TOP_MM, KNOT_ROPE_MM, Hanging, hanging_of, tape_words
from studio.sheets.pressing.text_column import GREY, PALE, RULE, RUST, TextColumn, rectangle, segment
from studio.sheets.words import Anchor, Setter, set_line

_DRAWING_MM: Final = 96.0
_WOOD: Final = Colour(232, 214, 184)
_WHITE: Final = Colour(255, 255, 255)
_ABOVE_HOOK_MM: Final = 250.0
"""Wall shown above the hook."""


def hanging_pages(blank: Blank, paper: Paper, setter: Setter, *, about: str = "") -> tuple[Page, ...]:
    """Return how a sign is hung.

    Args:
        blank: The piece of wood.
        paper: Size of the page.
        setter: Shapes lines of text.
        about: The sign that it goes with; may be empty.
    """
    hanging = hanging_of(blank)
    column = TextColumn(paper, setter, foot="Hanger and heights: common practice, no source. Local codes come first.")
    column.line("Hanging it straight", em_mm=8.0)
    if about:
        column.line(about, em_mm=4.2, colour=GREY, widest_mm=column.width_mm)
    column.space(1.5)
    column.heading("First of all")
    column.bullets(CAUTIONS, em_mm=3.3, boxed=True)
    column.space(4.0)
    half = column.width_mm / 2
    top = column.y_mm
    column.add(*_back(blank, hanging, column, column.left_mm, half - 8, top))
    column.add(*_wall(blank, hanging, column, column.left_mm + half + 4, half - 4, top))
    column.space(_DRAWING_MM + 10.0)
    column.heading("Steps")
    for number, step in enumerate(hanging_steps(hanging), 1):
        column.need(column.height_of(step, column.width_mm - 8))
        column.line(f"{number}.", x_mm=column.left_mm, colour=RUST, advance=False)
        column.paragraph(step, left_mm=column.left_mm + 8)
        column.space(0.8)
    return column.pages()


def hanging_steps(hanging: Hanging) -> tuple[str, ...]:
    """Return what to do, in order, with every measure in mm and inches."""
    hook = tape_words(hanging.hook_mm)
    first: tuple[str, ...]
    if hanging.by == "hanger":
        first = (
            "Lay the sign face down on something soft. Rule the upright line through its centre, up to the top edge.",
            f"Fix the hanger on that line, its foot {tape_words(hanging.drop_mm)} below the top edge"
            f"{'' if hanging.drop_mm >= FOOT_BELOW_TOP_MM else ' (3 in on a taller sign)'}; take screws shorter than "
            "the wood is thick.",
        )
    elif hanging.by == "rope":
        knot = hanging.knots[0]
        first = (
            f"Cut {tape_words(hanging.rope_mm)} of rope; each knot takes about {tape_words(KNOT_ROPE_MM)} of it.",
            f"Thread the ends from the front through both holes and knot them behind: each knot at least "
            f"{tape_words(knot.least_mm)} wide, twice its hole, at the same length on both sides.",
            f"The rope's top then stands {tape_words(-hanging.drop_mm)} above the top edge.",
        )
    else:
        first = (f"The sign hangs by its hole, whose upper edge is {tape_words(hanging.drop_mm)} below the top edge.",)
    return (
        *first,
        f"Mark the wall {hook} above the floor: the sign's centre then hangs at {tape_words(hanging.centre_mm)}. "
        "On a door or over furniture hold it up first and move the mark.",
        "Fix a hook rated for well over the weight, hang the sign, and set it straight with a level on its centre.",
    )


def _back(blank: Blank, hanging: Hanging, column: TextColumn, left: float, width: float, top: float) -> list[Item]:
    """Return the sign from behind, with its hanger or knots and their distance from the top edge."""
    rise = max(0.0, -hanging.drop_mm)
    scale = min((width - 24) / blank.width_mm, (_DRAWING_MM - 8) / (blank.height_mm + rise))
    x, y = left + (width - 20) / 2, top - 8 - (rise + blank.height_mm / 2) * scale
    half = blank.height_mm / 2 * scale
    items: list[Item] = [
        _label("The back", left + (width - 20) / 2, top - 3, column, em_mm=3.8, anchor="middle", colour=RUST),
        Shape((_at(blank.rim.contour(), x, y, scale),), _WOOD, BLACK, 0.35),
        segment(
            x, y - blank.height_mm / 2 * scale, x, y + blank.height_mm / 2 * scale, colour=GREY, dashes_mm=(2, 1.5)
        ),
    ]
    for hole in blank.holes:
        spot = circle(x - hole.x_mm * scale, y + hole.y_mm * scale, max(hole.diameter_mm / 2 * scale, 0.5))
        items.append(Shape((spot,), _WHITE, BLACK, 0.25))
    edge = y + half
    hook = edge - hanging.drop_mm * scale
    if hanging.by == "rope":
        for knot in hanging.knots:
            kx, ky = x - knot.x_mm * scale, y + knot.y_mm * scale
            items.append(segment(kx, ky, x, hook, line_mm=0.7, colour=RUST))
            items.append(Shape((circle(kx, ky, max(knot.least_mm / 2 * scale, 1.2)),), RUST))
    elif hanging.by == "hanger":
        plate = rectangle(x - 4, hook, x + 4, hook + 2.2)
        items.append(Shape((plate,), GREY, BLACK, 0.25))
    items.append(Shape((circle(x, hook, 0.9),), BLACK))
    side = x + blank.width_mm / 2 * scale + 4
    items += _measure(side, edge, hook, tape_words(hanging.drop_mm), column, x)
    return items


def _wall(blank: Blank, hanging: Hanging, column: TextColumn, left: float, width: float, top: float) -> list[Item]:
    """Return the wall to scale: floor, sign, hook, and both heights."""
    tall = hanging.hook_mm + _ABOVE_HOOK_MM
    scale = min((_DRAWING_MM - 6) / tall, (width - 52) / blank.width_mm)
    floor = top - 6 - tall * scale
    x = left + 26 + blank.width_mm * scale / 2
    right = left + width
    centre = floor + hanging.centre_mm * scale
    hook = floor + hanging.hook_mm * scale
    items: list[Item] = [
        _label("The wall", left + width / 2, top - 3, column, em_mm=3.8, anchor="middle", colour=RUST),
        Shape((rectangle(left, floor - 2, right, floor),), PALE),
        segment(left, floor, right, floor, line_mm=0.5),
        _label("floor", right, floor - 5, column, em_mm=3.0, anchor="right", colour=GREY),
        Shape((_at(blank.rim.contour(), x, centre, scale),), _WOOD, BLACK, 0.3),
        segment(left + 20, centre, x + blank.width_mm * scale / 2 + 3, centre, colour=RULE, dashes_mm=(1.5, 1)),
    ]
    if hanging.by == "rope":
        items += [segment(x + k.x_mm * scale, centre + k.y_mm * scale, x, hook, colour=RUST) for k in hanging.knots]
    items.append(Shape((circle(x, hook, 0.8),), BLACK))
    items += _measure(left + 20, centre, floor, f"centre {tape_words(hanging.centre_mm)}", column, x, is_left=True)
    items += _measure(x + blank.width_mm * scale / 2 + 8, hook, floor, f"hook {tape_words(hanging.hook_mm)}", column, x)
    return items


def _measure(
    x: float, high: float, low: float, text: str, column: TextColumn, from_mm: float, *, is_left: bool = False
) -> list[Item]:
    """Return an upright dimension line with its text beside it, and thin lines from what it measures."""
    upper, lower = max(high, low), min(high, low)
    items: list[Item] = [segment(x, lower, x, upper, line_mm=0.3)]
    for y in (upper, lower):
        items.append(segment(min(x, from_mm) - 1, y, max(x, from_mm) + 1, y, line_mm=0.15, colour=GREY))
        items.append(Shape((_arrow(x, y, up=y == upper),), BLACK))
    middle = (upper + lower) / 2
    if upper - lower < 30:
        items.append(_label(text, x + 2, middle - 1, column, em_mm=3.0))
    else:
        items.append(_label(text, x - 1.5 if is_left else x + 4.0, middle, column, em_mm=3.0, turn=True))
    return items


def _arrow(x: float, y: float, *, up: bool) -> Points:
    step = -2.0 if up else 2.0
    return np.array([(x, y), (x - 0.7, y + step), (x + 0.7, y + step)], dtype=np.float64)


def _at(contour: Points, x: float, y: float, scale: float) -> Points:
    moved: Points = contour * scale + np.array([x, y])
    return moved


def _label(
    text: str,
    x: float,
    y: float,
    column: TextColumn,
    *,
    em_mm: float,
    anchor: Anchor = "left",
    colour: Colour = BLACK,
    turn: bool = False,
) -> Item:
    return set_line(
        text,
        column.setter,
        x_mm=x,
        y_mm=y,
        em_mm=em_mm,
        anchor="middle" if turn else anchor,
        colour=colour,
        turn_rad=math.pi / 2 if turn else 0.0,
    )
