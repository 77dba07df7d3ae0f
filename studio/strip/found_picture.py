"""A picture of what was found: the strip set upright, with rings, edges and every rung of the ladders marked.

Good, soft and lost are told by shape as well as by colour: a filled dot, an open ring, a cross.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.basics.units import MM_PER_INCH
from studio.geometry.shapes import Contours, Points, bounds
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow, inked_box
from studio.render.pixels import blend_ink
from studio.render.png.bands import BandedPicture
from studio.render.printer_marks import LineSetter
from studio.strip.ladders import Rung
from studio.strip.layout import RING_OUTER_MM, RINGS_MM, SQUARE_MM, strip_layout
from studio.strip.reading import StripReading

_PX_PER_MM: Final = 12.0
_LEFT_MM, _TOP_MM, _WIDE_MM, _TALL_MM = -63.0, 38.0, 126.0, 89.0
_COLOURS: Final = {"good": Colour(0, 122, 84), "soft": Colour(206, 128, 0), "lost": Colour(196, 30, 58)}
_FOUND: Final = Colour(20, 110, 200)
_INK: Final = Colour(20, 20, 20)
_WOUND: Final = 0.62


def found_picture(reading: StripReading, set_line: LineSetter) -> bytes:
    """Return the picture as a PNG.

    Args:
        reading: What was found.
        set_line: Sets the words below.
    """
    window = PixelWindow(_PX_PER_MM, _LEFT_MM, _TOP_MM, round(_WIDE_MM * _PX_PER_MM), round(_TALL_MM * _PX_PER_MM))
    pixels = _upright(reading, window)
    for contours, colour in (*_rings(reading), *_edges(reading), *_grades(reading), *_legend(reading, set_line)):
        box = inked_box(contours, window)
        if not box.is_empty:
            blend_ink(pixels[box.rows, box.columns], coverage(contours, window.cut(box)), colour)
    return BandedPicture.encode(pixels, dpi=_PX_PER_MM * MM_PER_INCH).with_patches(()).data


def _upright(reading: StripReading, window: PixelWindow) -> NDArray[np.uint8]:
    """Return the photo brought to the strip's own mm, white where the words go."""
    view = reading.view
    x, y = np.meshgrid(window.left_mm + (np.arange(window.width_px) + 0.5) / _PX_PER_MM,
                       window.top_mm - (np.arange(window.height_px) + 0.5) / _PX_PER_MM)  # fmt: skip
    at = view.pose.to_px(np.column_stack((x.ravel(), y.ravel()))) - 0.5
    rows, columns = view.codes.shape[:2]
    column = np.clip(np.rint(at[:, 0]).astype(int), 0, columns - 1)
    row = np.clip(np.rint(at[:, 1]).astype(int), 0, rows - 1)
    pixels: NDArray[np.uint8] = view.codes[row, column].reshape(window.height_px, window.width_px, 3).copy()
    outside = (at[:, 0] < -1) | (at[:, 1] < -1) | (at[:, 0] > columns) | (at[:, 1] > rows)
    pixels[outside.reshape(pixels.shape[:2]) | (y < -38.0)] = 255
    return pixels


def _rings(reading: StripReading) -> Iterator[tuple[Contours, Colour]]:
    for index, (x_mm, y_mm) in enumerate(RINGS_MM):
        if index in reading.pose.rings:
            yield _hoop(x_mm, y_mm, RING_OUTER_MM + 0.55, 0.35), _FOUND
        else:
            yield _cross(x_mm, y_mm, 2.4, 0.5), _COLOURS["lost"]


def _edges(reading: StripReading) -> Iterator[tuple[Contours, Colour]]:
    """Yield a line where each edge lies at half the light."""
    for square in strip_layout().squares:
        for edge in reading.edges:
            turns = (edge.normal_rad - square.turn_rad) / (math.pi / 2)
            if abs(turns - round(turns)) > 1e-6 or not -0.5 < turns < 3.5:
                continue
            normal = np.array([math.cos(edge.normal_rad), math.sin(edge.normal_rad)])
            along = np.array([-normal[1], normal[0]])
            middle = np.array([square.x_mm, square.y_mm]) + normal * (SQUARE_MM / 2 + edge.half_light_mm)
            yield (_bar(middle - along * 4.1, middle + along * 4.1, 0.16),), _FOUND


def _grades(reading: StripReading) -> Iterator[tuple[Contours, Colour]]:
    for rung in reading.rungs:
        x_mm, y_mm = _beside(rung)
        yield _mark(rung.grade, x_mm, y_mm), _COLOURS[rung.grade]


def _beside(rung: Rung) -> tuple[float, float]:
    """Return where a rung's mark stands: below rows, right of columns, above holes."""
    if rung.direction == "along":
        return rung.x_mm, rung.y_mm - 3.5
    if rung.direction == "across":
        return rung.x_mm + 3.5, rung.y_mm
    return rung.x_mm, rung.y_mm + (2.7 if rung.kind == "dot" else 4.7)


def _mark(grade: str, x_mm: float, y_mm: float) -> Contours:
    if grade == "good":
        return (_circle(x_mm, y_mm, _WOUND),)
    return _hoop(x_mm, y_mm, _WOUND, 0.26) if grade == "soft" else _cross(x_mm, y_mm, _WOUND, 0.3)


def _legend(reading: StripReading, set_line: LineSetter) -> Iterator[tuple[Contours, Colour]]:
    spread = reading.spread
    x_mm = -59.0
    for grade, words in (("good", "good: keeps 70 %"), ("soft", "soft: 50 to 70 %"), ("lost", "lost: under 50 %")):
        yield _mark(grade, x_mm, -41.2), _COLOURS[grade]
        yield _words(words, x_mm + 1.8, -41.9, 2.6, set_line), _INK
        x_mm += 27.0
    yield _words("blue: rings and edges found", x_mm, -41.9, 2.6, set_line), _FOUND
    what = "dye spreads" if reading.mixing == "dye" else "light is blurred"
    lines = (
        f"spread {spread.along_mm:.2f} mm along the grain (within {spread.along_error_mm:.2f}), "
        f"{spread.across_mm:.2f} mm across (within {spread.across_error_mm:.2f}); {what}",
        f"solid density {reading.density:.2f}, edges grow by {reading.growth_mm:.2f} mm, "
        f"{reading.px_per_mm:.0f} pixels a mm{', seen mirrored' if reading.is_mirrored else ''}",
    )
    for index, line in enumerate(lines):
        yield _words(line, -59.6, -45.9 - 3.6 * index, 2.6, set_line), _INK


def _words(text: str, x_mm: float, y_mm: float, em_mm: float, set_line: LineSetter) -> Contours:
    line = set_line(text)
    around = bounds(line)
    em_mm = min(em_mm, 119.0 / around.width_mm)
    return tuple(contour * em_mm + (x_mm - around.left_mm * em_mm, y_mm) for contour in line)


def _circle(x_mm: float, y_mm: float, radius_mm: float) -> Points:
    turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    circle: Points = np.column_stack((x_mm + radius_mm * np.cos(turn), y_mm + radius_mm * np.sin(turn)))
    return circle


def _hoop(x_mm: float, y_mm: float, radius_mm: float, line_mm: float) -> Contours:
    return _circle(x_mm, y_mm, radius_mm), _circle(x_mm, y_mm, radius_mm - line_mm)[::-1]


def _cross(x_mm: float, y_mm: float, reach_mm: float, line_mm: float) -> Contours:
    middle, half = np.array([x_mm, y_mm]), reach_mm * 0.8
    return tuple(
        _bar(middle - half * np.array(way), middle + half * np.array(way), line_mm) for way in ((1.0, 1.0), (1.0, -1.0))
    )


def _bar(start: Points, stop: Points, line_mm: float) -> Points:
    along = (stop - start) / np.hypot(*(stop - start))
    aside = np.array([along[1], -along[0]]) * line_mm / 2
    bar: Points = np.array([start + aside, stop + aside, stop - aside, start - aside])
    return bar
