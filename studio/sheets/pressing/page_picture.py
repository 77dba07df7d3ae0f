"""A page as a picture, for e-mail and screens: shapes, letters and scaled pictures at a density of its own.

Invariant: a print laid pixel for pixel is never drawn here; what is pressed comes from the PDF alone.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.basics.colour import Colour
from studio.basics.units import MM_PER_INCH, round_half_up
from studio.geometry.shapes import Contours, Points, bounds
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow
from studio.sheets.page import Line, PackedPicture, Page, PlacedPrint, ScaledPicture, Shape

E_MAIL_DPI: Final = 150.0
_CURVE_STEPS: Final = 6

Pixels = NDArray[np.uint8]


def page_pixels(page: Page, dpi: float = E_MAIL_DPI) -> Pixels:
    """Return a page on white, shape (rows, columns, 3).

    Raises:
        ValueError: The page holds a print.
    """
    px_per_mm = dpi / MM_PER_INCH
    width, height = round_half_up(page.width_mm * px_per_mm), round_half_up(page.height_mm * px_per_mm)
    pixels = np.full((height, width, 3), 255, np.uint8)
    for item in page.items:
        match item:
            case Shape():
                _draw_shape(pixels, item, page.height_mm, px_per_mm)
            case Line():
                _ink(pixels, line_contours(item), item.colour, page.height_mm, px_per_mm)
            case ScaledPicture():
                _draw_picture(pixels, item, page.height_mm, px_per_mm)
            case PlacedPrint():
                raise ValueError("a print is not drawn into a picture of a page")
    return pixels


def pages_pixels(pages: Sequence[Page], dpi: float = E_MAIL_DPI) -> Pixels:
    """Return pages one below the other, shape (rows, columns, 3)."""
    return np.concatenate([page_pixels(page, dpi) for page in pages])


def line_contours(line: Line) -> Contours:
    """Return a line's letters as outlines on the page, mm."""
    contours: list[Points] = []
    points: list[tuple[float, float]] = []
    for verb, numbers in line.curves:
        if verb == "m":
            points = [(numbers[0], numbers[1])]
        elif verb == "l":
            points.append((numbers[0], numbers[1]))
        elif verb == "c":
            start = points[-1]
            for step in range(1, _CURVE_STEPS + 1):
                points.append(_on_cubic(start, numbers, step / _CURVE_STEPS))
        elif len(points) > 2:
            contours.append(np.array(points, dtype=np.float64))
    cos, sin = math.cos(line.turn_rad), math.sin(line.turn_rad)
    turn = np.array([[cos, sin], [-sin, cos]])
    return tuple(contour @ turn + np.array([line.x_mm, line.y_mm]) for contour in contours)


def _on_cubic(start: tuple[float, float], numbers: tuple[float, ...], t: float) -> tuple[float, float]:
    u = 1 - t
    weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    xs, ys = (start[0], *numbers[0::2]), (start[1], *numbers[1::2])
    return sum(w * x for w, x in zip(weights, xs, strict=True)), sum(w * y for w, y in zip(weights, ys, strict=True))


def _draw_shape(pixels: Pixels, shape: Shape, height_mm: float, px_per_mm: float) -> None:
    if shape.fill is not None:
        _ink(pixels, shape.contours, shape.fill, height_mm, px_per_mm)
    if shape.stroke is not None:
        bars = tuple(bar for contour in shape.contours for bar in _bars(contour, shape))
        _ink(pixels, bars, shape.stroke, height_mm, px_per_mm)


def _bars(contour: Points, shape: Shape) -> list[Points]:
    """Return a line as rectangles, one a stretch between points and dashes."""
    points = np.vstack([contour, contour[:1]]) if shape.is_closed else contour
    bars, travelled = [], 0.0
    for start, end in pairwise(points):
        length = float(np.hypot(*(end - start)))
        if length == 0:
            continue
        way = (end - start) / length
        side = np.array([-way[1], way[0]]) * shape.line_mm / 2
        for begin, stop in _dashes(travelled, length, shape.dashes_mm):
            a, b = start + way * begin, start + way * stop
            bars.append(np.array([a - side, b - side, b + side, a + side]))
        travelled += length
    return bars


def _dashes(travelled: float, length: float, dashes_mm: tuple[float, ...]) -> list[tuple[float, float]]:
    """Return from where to where a stretch is inked, when so much of its line lies behind it already."""
    if not dashes_mm:
        return [(0.0, length)]
    period, drawn = sum(dashes_mm), dashes_mm[0]
    first = math.floor(travelled / period)
    found = []
    for number in range(first, math.floor((travelled + length) / period) + 1):
        begin, stop = number * period - travelled, number * period + drawn - travelled
        if stop > 0 and begin < length:
            found.append((max(begin, 0.0), min(stop, length)))
    return found


def _ink(pixels: Pixels, contours: Contours, colour: Colour, height_mm: float, px_per_mm: float) -> None:
    """Lay one colour over the pixels that contours cover."""
    if not contours:
        return
    rows, columns = pixels.shape[:2]
    box = bounds(contours)
    left, top = math.floor(box.left_mm * px_per_mm) - 1, math.floor((height_mm - box.top_mm) * px_per_mm) - 1
    right, low = math.ceil(box.right_mm * px_per_mm) + 1, math.ceil((height_mm - box.bottom_mm) * px_per_mm) + 1
    left, top, right, low = max(left, 0), max(top, 0), min(right, columns), min(low, rows)
    if left >= right or top >= low:
        return
    window = PixelWindow(px_per_mm, left / px_per_mm, height_mm - top / px_per_mm, right - left, low - top)
    share = coverage(contours, window).astype(np.float64)[..., None] / 255
    under = pixels[top:low, left:right]
    ink = np.array([colour.red, colour.green, colour.blue], dtype=np.float64)
    under[:] = np.floor(under * (1 - share) + ink * share + 0.5).astype(np.uint8)


def _draw_picture(pixels: Pixels, placed: ScaledPicture, height_mm: float, px_per_mm: float) -> None:
    box = placed.box
    left, top = round_half_up(box.left_mm * px_per_mm), round_half_up((height_mm - box.top_mm) * px_per_mm)
    width, height = round_half_up(box.width_mm * px_per_mm), round_half_up(box.height_mm * px_per_mm)
    image = Image.fromarray(_unpacked(placed.picture)).resize((width, height), Image.Resampling.LANCZOS)
    pixels[top : top + height, left : left + width] = np.asarray(image)


def _unpacked(picture: PackedPicture) -> Pixels:
    """Return the pixels of a picture whose rows all carry the filter of their left neighbour or none."""
    data = np.frombuffer(zlib.decompress(picture.packed()), np.uint8).reshape(picture.height_px, -1)
    rows = data[:, 1:].reshape(picture.height_px, picture.width_px, 3)
    if not np.isin(data[:, 0], (0, 1)).all():
        raise ValueError("a picture packed with other filters")
    summed: Pixels = np.where(data[:, 0, None, None] == 1, np.cumsum(rows, axis=1, dtype=np.uint8), rows)
    return summed
