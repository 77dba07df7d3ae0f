"""A column of a page, filled from the top: headings, paragraphs broken into lines, boxes behind them.

Invariant: nothing is placed below the column's foot; what does not fit goes on to another page, never off the paper.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.shapes import Points, circle
from studio.model.paper import Paper
from studio.sheets.page import BLACK, Item, Page, Shape
from studio.sheets.words import Anchor, Setter, broken, set_line

GREY: Final = Colour(95, 95, 95)
PALE: Final = Colour(244, 239, 230)
RUST: Final = Colour(150, 62, 20)
RULE: Final = Colour(190, 180, 165)
MARGIN_MM: Final = 16.0
"""Wider than any printer's unprintable edge."""
LEADING: Final = 1.35
"""Line height in ems."""
BODY_MM: Final = 3.6


class TextColumn:
    """Fills pages from the top down; a new page is begun where the foot is reached."""

    def __init__(self, paper: Paper, setter: Setter, *, foot: str = "") -> None:
        """Set up.

        Args:
            paper: Size of each page.
            setter: Shapes lines of text.
            foot: A line at the foot of every page.
        """
        self.paper = paper
        self.setter = setter
        self.left_mm = MARGIN_MM
        self.right_mm = paper.width_mm - MARGIN_MM
        self._foot = foot
        self._done: list[Page] = []
        self._items: list[Item] = []
        self.y_mm = paper.height_mm - MARGIN_MM

    @staticmethod
    def width_on(paper: Paper) -> float:
        """Return the width between the margins of a paper."""
        return paper.width_mm - 2 * MARGIN_MM

    @property
    def width_mm(self) -> float:
        """Width between the margins."""
        return self.right_mm - self.left_mm

    @property
    def room_mm(self) -> float:
        """Height that is left on this page."""
        return self.y_mm - MARGIN_MM - (2 * BODY_MM if self._foot else 0)

    def add(self, *items: Item) -> None:
        """Draw something that stands in no line."""
        self._items += items

    def space(self, height_mm: float) -> None:
        """Leave room."""
        self.y_mm -= height_mm

    def need(self, height_mm: float) -> None:
        """Begin a new page unless so much room is left."""
        if self.room_mm < height_mm and self._items:
            self._finish()

    def line(
        self,
        text: str,
        *,
        em_mm: float = BODY_MM,
        x_mm: float | None = None,
        anchor: Anchor = "left",
        colour: Colour = BLACK,
        widest_mm: float | None = None,
        advance: bool = True,
    ) -> None:
        """Set one line; without `advance` the next stands on the same baseline."""
        height = em_mm * LEADING
        if advance:
            self.need(height)
        place = {"left": self.left_mm, "middle": (self.left_mm + self.right_mm) / 2, "right": self.right_mm}[anchor]
        baseline = self.y_mm - em_mm
        at = place if x_mm is None else x_mm
        words = set_line(
            text, self.setter, x_mm=at, y_mm=baseline, em_mm=em_mm, anchor=anchor, colour=colour, widest_mm=widest_mm
        )
        self._items.append(words)
        if advance:
            self.y_mm -= height

    def paragraph(
        self,
        text: str,
        *,
        em_mm: float = BODY_MM,
        left_mm: float | None = None,
        right_mm: float | None = None,
        colour: Colour = BLACK,
    ) -> None:
        """Set a text in as many lines as it takes."""
        left = self.left_mm if left_mm is None else left_mm
        right = self.right_mm if right_mm is None else right_mm
        for line in broken(text, self.setter, em_mm, right - left):
            self.line(line, em_mm=em_mm, x_mm=left, colour=colour)

    def height_of(self, text: str, width_mm: float, em_mm: float = BODY_MM) -> float:
        """Return how high a paragraph comes out."""
        return len(broken(text, self.setter, em_mm, width_mm)) * em_mm * LEADING

    def heading(self, text: str, *, em_mm: float = 5.0) -> None:
        """Set a heading with a rule below; it never stands alone at a page's foot."""
        self.need(em_mm * LEADING + 3 * BODY_MM * LEADING)
        self.line(text, em_mm=em_mm, colour=RUST)
        self.y_mm -= 0.6
        self.add(rule(self.left_mm, self.right_mm, self.y_mm))
        self.y_mm -= 1.6

    def bullets(self, texts: tuple[str, ...], *, em_mm: float = BODY_MM, boxed: bool = False) -> None:
        """Set paragraphs with a dot before each; boxed on a pale ground."""
        left = self.left_mm + (3.0 if boxed else 0.0)
        right = self.right_mm - (3.0 if boxed else 0.0)
        height = sum(self.height_of(text, right - left - 4, em_mm) for text in texts) + (4.0 if boxed else 0.0)
        self.need(height)
        if boxed:
            box = rectangle(self.left_mm, self.y_mm - height, self.right_mm, self.y_mm)
            bar = rectangle(self.left_mm, self.y_mm - height, self.left_mm + 1.2, self.y_mm)
            self.add(Shape((box,), PALE), Shape((bar,), RUST))
            self.y_mm -= 2.0
        for text in texts:
            dot = circle(left + 1.2, self.y_mm - em_mm * 0.72, 0.5)
            self.add(Shape((dot,), BLACK))
            self.paragraph(text, em_mm=em_mm, left_mm=left + 4, right_mm=right)
        if boxed:
            self.y_mm -= 2.0

    def pages(self) -> tuple[Page, ...]:
        """Return all pages."""
        if self._items:
            self._finish()
        return tuple(self._done)

    def _finish(self) -> None:
        if self._foot:
            y = MARGIN_MM - 2.0
            self._items.append(
                set_line(
                    self._foot, self.setter, x_mm=self.left_mm, y_mm=y, em_mm=2.6, colour=GREY, widest_mm=self.width_mm
                )
            )
        self._done.append(Page(self.paper.width_mm, self.paper.height_mm, tuple(self._items)))
        self._items = []
        self.y_mm = self.paper.height_mm - MARGIN_MM


def rectangle(left_mm: float, bottom_mm: float, right_mm: float, top_mm: float) -> Points:
    """Return a rectangle's corners, counter-clockwise, shape (4, 2)."""
    corners = [(left_mm, bottom_mm), (right_mm, bottom_mm), (right_mm, top_mm), (left_mm, top_mm)]
    return np.array(corners, dtype=np.float64)


def segment(
    x1_mm: float,
    y1_mm: float,
    x2_mm: float,
    y2_mm: float,
    *,
    line_mm: float = 0.25,
    colour: Colour = BLACK,
    dashes_mm: tuple[float, ...] = (),
) -> Shape:
    """Return a straight line."""
    points = np.array([(x1_mm, y1_mm), (x2_mm, y2_mm)], dtype=np.float64)
    return Shape((points,), None, colour, line_mm, is_closed=False, dashes_mm=dashes_mm)


def rule(left_mm: float, right_mm: float, y_mm: float) -> Shape:
    """Return a thin rule across."""
    return segment(left_mm, y_mm, right_mm, y_mm, line_mm=0.3, colour=RULE)
