"""What is drawn on a sheet beside its prints: lines, arrows, bars to measure and words, each where there is room.

Figures are given in a frame of the drawing's own, and come out on the page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from studio.geometry.shapes import Box, Contours, Points
from studio.sheets.page import BLACK, LINE_MM, Item, Shape
from studio.sheets.room import SheetRoom
from studio.sheets.words import Setter, length_mm, set_line

LINE_PITCH: Final = 1.35
"""Height of a line of words, in ems."""
_DESCENT_EM: Final = 0.3
_SMALLEST_EM_MM: Final = 1.6
_BAR_HEIGHT_MM: Final = 4.2
_BAR_EM_MM: Final = 2.4
_ARROW: Final[Points] = np.array(
    [(0.09, 0.0), (0.09, 0.5), (0.32, 0.5), (0.0, 1.0), (-0.32, 0.5), (-0.09, 0.5), (-0.09, 0.0)]
)
"""An arrow one high, pointing up, its foot at the origin."""


class DrawingFrame(Protocol):
    """Where the drawing's own frame lies on the page."""

    @property
    def turn_rad(self) -> float:
        """Its turn, counter-clockwise."""
        ...

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return a point on the page."""
        ...

    def contours(self, contours: Contours) -> Contours:
        """Return contours on the page."""
        ...


@dataclass(frozen=True, slots=True)
class PageFrame:
    """The page itself."""

    turn_rad: float = 0.0

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the point as it is."""
        return x_mm, y_mm

    def contours(self, contours: Contours) -> Contours:
        """Return the contours as they are."""
        return contours


@dataclass(frozen=True, slots=True)
class Bar:
    """A length to lay a ruler on.

    Attributes:
        label: What it should measure, in one unit.
    """

    length_mm: float
    label: str


METRIC_BARS: Final = (Bar(100.0, "100 mm"), Bar(50.0, "50 mm"))
INCH_BARS: Final = (Bar(101.6, "4 in"), Bar(50.8, "2 in"))


class Drawing:
    """A sheet's marks and words while they are put down."""

    def __init__(self, frame: DrawingFrame, room: SheetRoom, setter: Setter) -> None:
        self.frame, self.room, self._setter = frame, room, setter
        self.items: list[Item] = []

    def box(self, box: Box) -> None:
        """Fill a box, and take its place."""
        self.room.take(box)
        self.outline((_corners(box),))

    def outline(self, contours: Contours) -> None:
        """Fill contours; their place is taken by the caller."""
        self.items.append(Shape(self.frame.contours(contours)))

    def path(self, contours: Contours, *, line_mm: float = LINE_MM, closed: bool = True) -> None:
        """Draw lines along contours; their place is taken by the caller."""
        self.items.append(Shape(self.frame.contours(contours), None, BLACK, line_mm=line_mm, is_closed=closed))

    def words(self, text: str, x_mm: float, y_mm: float, em_mm: float, *, turn_rad: float = 0.0) -> None:
        """Set a line from a point of its baseline on; its place is taken by the caller."""
        x, y = self.frame.point(x_mm, y_mm)
        self.items.append(
            set_line(text, self._setter, x_mm=x, y_mm=y, em_mm=em_mm, turn_rad=self.frame.turn_rad + turn_rad)
        )

    def length_mm(self, text: str, em_mm: float) -> float:
        """Return how long a line of words is."""
        return length_mm(text, self._setter, em_mm)

    def label(
        self, text: str, near: tuple[float, float], em_mm: float, *, least_em_mm: float = _SMALLEST_EM_MM
    ) -> bool:
        """Set a line where there is room nearest to a place, smaller where it must be; tell whether there was any."""
        return self.block((text,), near, em_mm, least_em_mm=least_em_mm)

    def block(
        self,
        lines: Sequence[str],
        near: tuple[float, float],
        em_mm: float,
        *,
        least_em_mm: float = _SMALLEST_EM_MM,
        farthest_mm: float = math.inf,
    ) -> bool:
        """Set lines below one another where there is room nearest to a place, smaller where they must be.

        Returns:
            Whether there was room.
        """
        size = em_mm
        while size >= least_em_mm - 1e-9:
            widths = [self.length_mm(line, size) for line in lines]
            box = self.room.place(max(widths) + 0.2, len(lines) * LINE_PITCH * size, near)
            if box is not None:
                if math.hypot(box.centre_mm[0] - near[0], box.centre_mm[1] - near[1]) > farthest_mm:
                    self.room.give_back(box)
                    return False
                for index, line in enumerate(lines):
                    baseline = box.top_mm - (index + 1) * LINE_PITCH * size + _DESCENT_EM * size
                    self.words(line, box.left_mm + 0.1, baseline, size)
                return True
            size *= 0.85
        return False

    def bar(self, bars: Sequence[Bar], near: tuple[float, float], *, upright: bool) -> bool:
        """Draw the first bar that has room nearest to a place, and tell whether one had."""
        for bar in bars:
            sides = (bar.length_mm + LINE_MM, _BAR_HEIGHT_MM)
            box = self.room.place(*(sides[::-1] if upright else sides), near)
            if box is not None:
                self._draw_bar(bar, box, upright)
                return True
        return False

    def _draw_bar(self, bar: Bar, box: Box, upright: bool) -> None:
        """Draw a bar: a line with an upright at each end; it measures from outer edge to outer edge."""
        if upright:
            left = box.right_mm - _BAR_HEIGHT_MM
            low, high = box.bottom_mm, box.bottom_mm + bar.length_mm
            parts = (
                Box(box.right_mm - LINE_MM, low, box.right_mm, high),
                Box(left, low, box.right_mm, low + LINE_MM),
                Box(left, high - LINE_MM, box.right_mm, high),
            )
        else:
            low, high = box.left_mm, box.left_mm + bar.length_mm
            parts = (
                Box(low, box.bottom_mm, high, box.bottom_mm + LINE_MM),
                Box(low, box.bottom_mm, low + LINE_MM, box.top_mm),
                Box(high - LINE_MM, box.bottom_mm, high, box.top_mm),
            )
        for part in parts:
            self.outline((_corners(part),))
        start = (low + high - self.length_mm(bar.label, _BAR_EM_MM)) / 2
        if upright and self.frame.turn_rad:  # upright on the page, which is turned
            self.words(
                bar.label, box.right_mm - _BAR_HEIGHT_MM / 2, low + high - start, _BAR_EM_MM, turn_rad=-math.pi / 2
            )
        elif upright:
            self.words(bar.label, box.right_mm - 1.0, start, _BAR_EM_MM, turn_rad=math.pi / 2)
        else:
            self.words(bar.label, start, box.bottom_mm + 1.0, _BAR_EM_MM)

    def arrow(self, height_mm: float, near: tuple[float, float], *, turn_rad: float = 0.0) -> Box | None:
        """Draw an arrow where there is room nearest to a place; it points up before it is turned."""
        cos, sin = math.cos(turn_rad), math.sin(turn_rad)
        shape = height_mm * (_ARROW - np.array([0.0, 0.5])) @ np.array([[cos, sin], [-sin, cos]])
        low, high = shape.min(axis=0), shape.max(axis=0)
        box = self.room.place(float(high[0] - low[0]), float(high[1] - low[1]), near)
        if box is not None:
            self.outline((shape + np.array(box.centre_mm),))
        return box


def _corners(box: Box) -> Points:
    return np.array(
        [
            (box.left_mm, box.bottom_mm),
            (box.right_mm, box.bottom_mm),
            (box.right_mm, box.top_mm),
            (box.left_mm, box.top_mm),
        ]
    )
