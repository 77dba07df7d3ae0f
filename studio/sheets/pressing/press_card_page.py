"""The press card on paper: cautions, the steps of one surface in order, and lines for the shop's own figures."""

from __future__ import annotations

from typing import Final

from studio.basics.colour import Colour
from studio.geometry.shapes import circle
from studio.model.paper import Paper
from studio.sheets.page import Page, Shape
from studio.sheets.pressing.steps import PressCard, Step
from studio.sheets.pressing.text_column import BODY_MM, GREY, LEADING, RULE, RUST, TextColumn, segment
from studio.sheets.words import Setter, length_mm, set_line

_TITLE_MM: Final = 4.0
_FIGURES_MM: Final = 4.6
_BADGE_MM: Final = 3.1
_TOLD_MM: Final = 52.0
"""Where what is to be done begins, from the left margin."""
_WHITE: Final = Colour(255, 255, 255)


def press_card_pages(card: PressCard, paper: Paper, setter: Setter, *, about: str = "") -> tuple[Page, ...]:
    """Return a surface's press card.

    Args:
        card: What stands on it.
        paper: Size of the pages.
        setter: Shapes lines of text.
        about: The sign that it goes with; may be empty.
    """
    column = TextColumn(paper, setter, foot=f"Press card, {card.surface}. Figures: {card.figures_from}.")
    column.line(f"Press card: {card.surface}", em_mm=8.5)
    if about:
        column.line(about, em_mm=4.2, colour=GREY, widest_mm=column.width_mm)
    column.space(1.5)
    column.heading("First of all")
    column.bullets(card.cautions, em_mm=3.3, boxed=True)
    column.space(3.0)
    column.heading("Steps")
    for number, step in enumerate(card.steps, 1):
        _draw_step(column, number, step)
    column.space(3.0)
    column.heading("Good to know")
    column.bullets((*card.notes, f"Figures: {card.figures_from}. Other sizes and woods take other times: try scrap."))
    column.space(2.0)
    _draw_own_figures(column)
    return column.pages()


def _draw_step(column: TextColumn, number: int, step: Step) -> None:
    """Draw a step: its number, its title, and beside that heat and time in large figures, then what to do."""
    left = column.left_mm + _TOLD_MM
    figures_mm = _FIGURES_MM * LEADING if step.figures else 0.0
    column.need(figures_mm + column.height_of(step.told, column.right_mm - left) + 2)
    top = column.y_mm
    badge_mm = column.left_mm + _BADGE_MM
    y = top - _BADGE_MM - 0.2
    column.add(Shape((circle(badge_mm, y, _BADGE_MM),), RUST if step.takes_press else GREY))
    title_mm = column.left_mm + 2 * _BADGE_MM + 2.0
    room = column.left_mm + _TOLD_MM - title_mm - 2.0
    base = y - 1.3
    column.add(
        set_line(str(number), column.setter, x_mm=badge_mm, y_mm=base, em_mm=3.7, anchor="middle", colour=_WHITE),
        set_line(step.title, column.setter, x_mm=title_mm, y_mm=base, em_mm=_TITLE_MM, widest_mm=room),
    )
    if step.figures:
        column.line(step.figures, em_mm=_FIGURES_MM, x_mm=left, colour=RUST)
    else:
        column.space(0.9)
    column.paragraph(step.told, left_mm=left)
    column.y_mm = min(column.y_mm, top - 2 * _BADGE_MM) - 1.3


def _draw_own_figures(column: TextColumn) -> None:
    """Draw lines to fill in what the makers' instructions say."""
    column.need(3 * BODY_MM * LEADING + 6)
    column.line("From your makers' instructions, which come first:", em_mm=BODY_MM, colour=GREY)
    column.space(4.0)
    x, y = column.left_mm, column.y_mm - BODY_MM
    share = column.width_mm / 4
    for number, label in enumerate(("heat", "time", "pressure", "date")):
        start = x + number * share
        column.add(set_line(label, column.setter, x_mm=start, y_mm=y, em_mm=3.2, colour=GREY))
        begin = start + length_mm(label, column.setter, 3.2) + 1.5
        column.add(segment(begin, y - 0.6, start + share - 3, y - 0.6, colour=RULE, line_mm=0.3))
    column.space(BODY_MM * LEADING)
