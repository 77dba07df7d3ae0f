"""The strip drawn: its shapes as contours, and the print's pixels at true size, mirrored."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.units import MM_PER_INCH, px_count
from studio.geometry.shapes import Contours, Points, bounds
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow, centred_window
from studio.render.pixels import codes_of, mirror
from studio.render.png.bands import BandedPicture
from studio.render.printer_marks import LineSetter
from studio.strip.layout import (
    HEIGHT_MM,
    RING_DOT_MM,
    RING_INNER_MM,
    RING_OUTER_MM,
    RINGS_MM,
    WIDTH_MM,
    Rectangle,
    Stripe,
    StripLayout,
    strip_layout,
)

DPI: Final = 600.0
"""At 600 dots an inch the finest line is 2.4 pixels wide."""
_CIRCLE_POINTS: Final = 96


def black_contours(layout: StripLayout) -> Contours:
    """Return all that is printed in full black but the words: contours in mm, filled non-zero."""
    contours: list[Points] = []
    for x_mm, y_mm in RINGS_MM:
        contours += [
            _circle(x_mm, y_mm, RING_OUTER_MM),
            _circle(x_mm, y_mm, RING_INNER_MM)[::-1],
            _circle(x_mm, y_mm, RING_DOT_MM),
        ]
    contours += [np.array(square.corners_mm) for square in layout.squares]
    contours += [_box(line.box) for line in layout.lines]
    for bar in layout.gap_bars:
        contours += [_box(wall) for wall in _walls(bar, layout.gaps)]
    contours += [_circle(dot.x_mm, dot.y_mm, dot.diameter_mm / 2) for dot in layout.dots]
    contours.append(_box(layout.counter_bar))
    contours += [_circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2)[::-1] for hole in layout.counters]
    contours += [_box(tick) for tick in layout.ticks]
    contours.append(np.array(layout.arrow_mm))
    return tuple(contours)


def word_contours(layout: StripLayout, set_line: LineSetter) -> Contours:
    """Return the strip's words: contours in mm."""
    cap_em = bounds(set_line("H")).height_mm
    contours: list[Points] = []
    for words in layout.words:
        line = set_line(words.text)
        around = bounds(line)
        em_mm = min(words.cap_mm / cap_em, words.room_mm / around.width_mm)
        contours += [contour * em_mm + (words.x_mm - around.left_mm * em_mm, words.y_mm) for contour in line]
    return tuple(contours)


def strip_light(window: PixelWindow, set_line: LineSetter | None = None) -> NDArray[np.float32]:
    """Return the light that the strip's print leaves, 0 to 1, shape (rows, columns, 3), not mirrored.

    Args:
        window: The pixels wanted, the strip's centre at the origin.
        set_line: Sets the words; without it there are none.
    """
    layout = strip_layout()
    light = np.ones((window.height_px, window.width_px, 3), np.float32)
    inked: list[tuple[Contours, tuple[float, float, float]]] = [(black_contours(layout), (0.0, 0.0, 0.0))]
    if set_line is not None:
        inked.append((word_contours(layout, set_line), (0.0, 0.0, 0.0)))
    inked += [((_box(patch.box),), patch.light) for patch in layout.patches]
    for contours, left in inked:
        share = coverage(contours, window)[..., None].astype(np.float32) / 255.0
        light += share * (np.array(left, np.float32) - light)
    return light


def strip_png(set_line: LineSetter | None, *, dpi: float = DPI) -> bytes:
    """Return the strip's print as a PNG at true size, mirrored, RGB.

    Args:
        set_line: Sets the words.
        dpi: Pixels an inch, as the file states it.
    """
    window = centred_window(px_count(WIDTH_MM, dpi), px_count(HEIGHT_MM, dpi), dpi / MM_PER_INCH)
    pixels = mirror(codes_of(strip_light(window, set_line)))
    return BandedPicture.encode(pixels, dpi=dpi).with_patches(()).data


def _circle(x_mm: float, y_mm: float, radius_mm: float) -> Points:
    turn = np.linspace(0, 2 * math.pi, _CIRCLE_POINTS, endpoint=False)
    grown_mm = radius_mm * math.sqrt(2 * math.pi / (_CIRCLE_POINTS * math.sin(2 * math.pi / _CIRCLE_POINTS)))
    circle: Points = np.column_stack((x_mm + grown_mm * np.cos(turn), y_mm + grown_mm * np.sin(turn)))
    return circle


def _box(box: Rectangle) -> Points:
    return np.array(box.corners_mm)


def _walls(bar: Rectangle, gaps: tuple[Stripe, ...]) -> list[Rectangle]:
    """Return what is left of a bar between the gaps that run through it."""
    inside = [
        gap.box for gap in gaps if bar.left_mm < gap.x_mm < bar.right_mm and bar.bottom_mm < gap.y_mm < bar.top_mm
    ]
    upright = bar.right_mm - bar.left_mm > bar.top_mm - bar.bottom_mm
    walls = []
    if upright:
        starts = [bar.left_mm, *(box.right_mm for box in inside)]
        stops = [*(box.left_mm for box in inside), bar.right_mm]
        walls += [Rectangle(a, bar.bottom_mm, b, bar.top_mm) for a, b in zip(starts, stops, strict=True)]
    else:
        starts = [bar.bottom_mm, *(box.top_mm for box in inside)]
        stops = [*(box.bottom_mm for box in inside), bar.top_mm]
        walls += [Rectangle(bar.left_mm, a, bar.right_mm, b) for a, b in zip(starts, stops, strict=True)]
    return walls
