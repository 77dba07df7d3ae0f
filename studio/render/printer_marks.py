"""The marks in the waste: trim corners, clock ticks, the arrow for up, the reminder and the order.

Invariant: no mark reaches into blank plus bleed, where it would be pressed into the wood; what has no room there is
left out. Marks are given unmirrored, in mm; words are set mirrored, so that the one flip of the print makes them
readable on the sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from studio.basics.units import MM_PER_INCH
from studio.geometry.shapes import Box, Contours, Points, bounds
from studio.model.blank import Blank
from studio.render.canvas import Canvas

LineSetter: TypeAlias = Callable[[str], Contours]
"""Text -> its contours at an em of 1 mm, origin at the left end of the baseline."""

REMINDER: Final = "already mirrored, print at 100 %"
_REMINDERS: Final = ((REMINDER,), ("already mirrored,", "print at 100 %"))
CLEARANCE_MM: Final = 0.5
"""Kept between any mark and blank plus bleed."""
_TRIM_INSET_MM: Final = 1.0
_CORNER_ARMS_MM: Final = (6.0, 5.0, 4.0, 3.0, 2.0, 1.2)
_LINE_MM: Final = 0.25
_SHORTEST_TICK_MM: Final = 1.0
_LONGEST_TICK_MM: Final = 5.0
_ARROWS_MM: Final = (5.0, 4.4, 3.8, 3.2, 2.6)
_GAP_MM: Final = 0.8
_EMS_MM: Final = (3.0, 2.6, 2.2, 1.9, 1.6)
_LEAST_EM_PX: Final = 7.0
_LONGEST_ORDER: Final = 48
_STEP_MM: Final = 0.25
"""Spacing of the points at which an edge is tested; at this spacing a rim cannot bulge through unseen by more than
the clearance."""


@dataclass(frozen=True, slots=True)
class Waste:
    """The room for marks: inside the canvas, outside blank plus bleed."""

    canvas: Canvas
    blank: Blank

    @property
    def line_mm(self) -> float:
        """The width of a mark's line: a quarter of a millimetre, and at least a pixel."""
        return max(_LINE_MM, MM_PER_INCH / self.canvas.dpi)

    @property
    def trim(self) -> Box:
        """The rectangle that the trim corners mark; its middle is the blank's centre."""
        inset_mm = max(min(_TRIM_INSET_MM, self.canvas.waste_mm / 3), self.line_mm / 2)
        half_width, half_height = self.canvas.width_mm / 2 - inset_mm, self.canvas.height_mm / 2 - inset_mm
        return Box(-half_width, -half_height, half_width, half_height)

    def has_room(self, box: Box) -> bool:
        """Tell whether a rectangle lies on the canvas and clear of blank plus bleed."""
        half_width, half_height = self.canvas.width_mm / 2 + 1e-9, self.canvas.height_mm / 2 + 1e-9
        if max(-box.left_mm, box.right_mm) > half_width or max(-box.bottom_mm, box.top_mm) > half_height:
            return False
        depth_mm = self.blank.rim.depth_mm(box.edge_points(_STEP_MM))
        return bool((depth_mm <= -(self.canvas.bleed_mm + CLEARANCE_MM)).all())


@dataclass(frozen=True, slots=True, eq=False)
class FixedMarks:
    """The marks that do not change with the order, and the rectangles they take up.

    Attributes:
        shapes: Corners, ticks and arrow, each one contour.
        words: The reminder's contours, filled together.
    """

    shapes: Contours
    words: Contours
    taken: tuple[Box, ...]


def fixed_marks(waste: Waste, set_line: LineSetter | None = None) -> FixedMarks:
    """Return trim corners, ticks, arrow and the reminder to print as is, as far as there is room for them.

    Args:
        waste: Where they may stand.
        set_line: Sets the reminder in a face; without it there is none.
    """
    ticks = tuple(_ticks(waste))
    lines = (*_trim_corners(waste), *ticks)
    arrow = _arrow(waste, ticks)
    taken = lines + ((bounds((arrow,)),) if arrow is not None else ())
    shapes = tuple(_outline(box) for box in lines) + ((arrow,) if arrow is not None else ())
    words = _in_any_arrangement(waste, taken, _REMINDERS, set_line) if set_line is not None else ()
    return FixedMarks(shapes, words, taken + ((bounds(words),) if words else ()))


def marks_without_room(waste: Waste, set_line: LineSetter) -> tuple[str, ...]:
    """The names of the marks that find no room at all in the waste.

    Args:
        waste: Where they may stand.
        set_line: Sets the reminder in a face.
    """
    ticks = tuple(_ticks(waste))
    there = {
        "trim corners": bool(tuple(_trim_corners(waste))),
        "ticks": bool(ticks),
        "arrow for up": _arrow(waste, ticks) is not None,
        "reminder that it is mirrored": bool(fixed_marks(waste, set_line).words),
    }
    return tuple(name for name, is_there in there.items() if not is_there)


def order_line(waste: Waste, taken: tuple[Box, ...], order: str, set_line: LineSetter) -> Contours:
    """Return the order's number or name, mirrored and at its place; empty when the waste has no room.

    Args:
        waste: Where it may stand.
        taken: Rectangles of the other marks.
        order: What the sign is called; a long name is cut short.
        set_line: Sets a line in a face.
    """
    name = order if len(order) <= _LONGEST_ORDER else order[: _LONGEST_ORDER - 1] + "…"
    return _in_any_arrangement(waste, taken, ((name,),), set_line) if name.strip() else ()


def _in_any_arrangement(
    waste: Waste, taken: tuple[Box, ...], arrangements: tuple[tuple[str, ...], ...], set_line: LineSetter
) -> Contours:
    """Return the first arrangement of lines that has room, as large as it has."""
    for lines in arrangements:
        stack = _stacked([set_line(line) for line in lines])
        placed = _first_place(waste, taken, stack) if stack else ()
        if placed:
            return placed
    return ()


def _first_place(waste: Waste, taken: tuple[Box, ...], stack: Contours) -> Contours:
    """Return lines of an em of 1 mm mirrored, as large as fits and where it does; empty when nowhere."""
    for em_mm in _EMS_MM:
        if em_mm * waste.canvas.dpi / MM_PER_INCH < _LEAST_EM_PX:
            return ()
        mirrored = tuple((contour * (-em_mm, em_mm))[::-1] for contour in stack)
        around = bounds(mirrored)
        for move in _places(waste, around):
            box = _moved(around, move)
            if waste.has_room(box) and not any(_overlap(box, other) for other in taken):
                return tuple(contour + move for contour in mirrored)
    return ()


def _places(waste: Waste, box: Box) -> Iterator[tuple[float, float]]:
    """Yield moves that put a box along the trim rectangle's lower edge, then its upper one, corners first."""
    trim = waste.trim
    keep_off = waste.line_mm / 2 + _GAP_MM / 2
    rows = (trim.bottom_mm + keep_off - box.bottom_mm, trim.top_mm - keep_off - box.top_mm)
    start, stop = trim.left_mm + 3 * keep_off - box.left_mm, trim.right_mm - 3 * keep_off - box.right_mm
    inwards_mm = np.arange(0.0, max(stop - start, 0.0) / 2, 2.0)
    for y_mm in rows:
        for inward_mm in inwards_mm:
            yield (stop - inward_mm, y_mm)
            yield (start + inward_mm, y_mm)


def _stacked(lines: list[Contours]) -> Contours:
    """Return lines one below the other at 1.25 em, the last on the baseline."""
    inked = [line for line in lines if line]
    raised = [np.array([0.0, 1.25 * (len(inked) - 1 - index)]) for index in range(len(inked))]
    return tuple(contour + up for line, up in zip(inked, raised, strict=True) for contour in line)


def _trim_corners(waste: Waste) -> Iterator[Box]:
    """Yield two arms for each corner of the trim rectangle, all as long as there is room for at any of them."""
    trim, half_mm = waste.trim, waste.line_mm / 2
    for arm_mm in _CORNER_ARMS_MM:
        arms = []
        for x_mm, inward_x in ((trim.left_mm, 1), (trim.right_mm, -1)):
            for y_mm, inward_y in ((trim.bottom_mm, 1), (trim.top_mm, -1)):
                near, far = x_mm - inward_x * half_mm, x_mm + inward_x * arm_mm
                arms.append(Box(min(near, far), y_mm - half_mm, max(near, far), y_mm + half_mm))
                near, far = y_mm - inward_y * half_mm, y_mm + inward_y * arm_mm
                arms.append(Box(x_mm - half_mm, min(near, far), x_mm + half_mm, max(near, far)))
        if all(waste.has_room(arm) for arm in arms):
            yield from arms
            return


def _ticks(waste: Waste) -> Iterator[Box]:
    """Yield the ticks at 12, 6, 3 and 9 o'clock, from blank plus bleed out to the trim rectangle."""
    trim, half_mm = waste.trim, waste.line_mm / 2
    beyond_mm = waste.canvas.bleed_mm + CLEARANCE_MM + 0.1
    from_y, from_x = waste.blank.height_mm / 2 + beyond_mm, waste.blank.width_mm / 2 + beyond_mm
    to_y, to_x = min(trim.top_mm, from_y + _LONGEST_TICK_MM), min(trim.right_mm, from_x + _LONGEST_TICK_MM)
    for box, length_mm in (
        (Box(-half_mm, from_y, half_mm, to_y), to_y - from_y),
        (Box(-half_mm, -to_y, half_mm, -from_y), to_y - from_y),
        (Box(from_x, -half_mm, to_x, half_mm), to_x - from_x),
        (Box(-to_x, -half_mm, -from_x, half_mm), to_x - from_x),
    ):
        if length_mm >= _SHORTEST_TICK_MM and waste.has_room(box):
            yield box


def _arrow(waste: Waste, ticks: tuple[Box, ...]) -> Points | None:
    """Return an arrow pointing up, beside the tick at 12 o'clock or in an upper corner, or `None` without room."""
    for place in ("tick", "right", "left"):
        for height_mm in _ARROWS_MM:
            shape = height_mm * _ARROW
            box = bounds((shape,))
            down_mm = waste.trim.top_mm - waste.line_mm / 2 - _GAP_MM / 2 - box.top_mm
            corner_mm = waste.trim.right_mm - waste.line_mm / 2 - _GAP_MM - box.right_mm
            across_mm = {"tick": -_GAP_MM - box.right_mm, "right": corner_mm, "left": -corner_mm}[place]
            taken = _moved(box, (across_mm, down_mm))
            if waste.has_room(taken) and not any(_overlap(taken, tick) for tick in ticks):
                arrow: Points = shape + np.array([across_mm, down_mm])
                return arrow
    return None


_ARROW: Final[Points] = np.array(
    [(0.08, 0.0), (0.08, 0.5), (0.32, 0.5), (0.0, 1.0), (-0.32, 0.5), (-0.08, 0.5), (-0.08, 0.0)]
)
"""An arrow one high, its foot at the origin."""


def _outline(box: Box) -> Points:
    corners = ((box.left_mm, box.bottom_mm), (box.right_mm, box.bottom_mm))
    return np.array([*corners, (box.right_mm, box.top_mm), (box.left_mm, box.top_mm)])


def _moved(box: Box, move: tuple[float, float]) -> Box:
    return Box(box.left_mm + move[0], box.bottom_mm + move[1], box.right_mm + move[0], box.top_mm + move[1])


def _overlap(box: Box, other: Box) -> bool:
    return (
        box.left_mm < other.right_mm + _GAP_MM / 4
        and other.left_mm < box.right_mm + _GAP_MM / 4
        and box.bottom_mm < other.top_mm + _GAP_MM / 4
        and other.bottom_mm < box.top_mm + _GAP_MM / 4
    )
