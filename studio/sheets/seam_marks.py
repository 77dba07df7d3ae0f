"""Marks by which sheets are joined: at each end of a seam the same figure on every sheet that meets there.

All of them lie on the line of the seam, outside blank plus bleed of the joined sign, in the print's own frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from studio.geometry.shapes import Box, Contours, Points
from studio.sheets.drawing import Drawing
from studio.sheets.page import LINE_MM
from studio.sheets.tiling import Seam, Tile

_FROM_BLEED_MM: Final = 0.6
_FARTHEST_FROM_MM: Final = 4.0
_TICKS_MM: Final = (6.0, 5.0, 4.0, 3.0, 2.0, 1.0)
_DIAMOND_MM: Final = 5.0
_TIMES: Final = 11
_PITCH_MM: Final = 1.0
_VERNIER_PITCH_MM: Final = 0.9
_VERNIER_TICK_MM: Final = 2.0
_LETTER_EM_MM: Final = 3.4


def draw_seam(seam: Seam, drawings: dict[int, Drawing], tiles: dict[int, Tile]) -> None:
    """Draw a seam's marks on all sheets that meet at it: a figure is on all of them or on none.

    Args:
        seam: The seam.
        drawings: Sheet number -> its drawing.
        tiles: Sheet number -> its tile.
    """
    for is_start, (end, is_open) in enumerate(zip((seam.end_mm, seam.start_mm), seam.is_open[::-1], strict=True)):
        if not is_open:
            continue
        way = -1.0 if is_start else 1.0
        meeting = [number for number in seam.sheets if _reaches(tiles[number], seam, end)]
        sheets = [drawings[number] for number in meeting]
        start = end + way * _first_free_mm(seam, end, way, sheets)
        _tick(seam, start, way, sheets)
        _letters(seam, end + way * 4.0, [(drawings[number], tiles[number]) for number in meeting])


def _first_free_mm(seam: Seam, end: float, way: float, sheets: Sequence[Drawing]) -> float:
    """Return how far from the outline a tick may begin: the farther, the flatter the seam meets it."""
    for tenth in range(round(_FARTHEST_FROM_MM * 10)):
        from_mm = _FROM_BLEED_MM + tenth / 10
        first = _box(seam, end + way * from_mm, end + way * (from_mm + _TICKS_MM[-1]), LINE_MM / 2)
        if all(sheet.room.has(first) for sheet in sheets):
            return from_mm
    return _FROM_BLEED_MM


def _tick(seam: Seam, start: float, way: float, sheets: Sequence[Drawing]) -> None:
    """Draw the tick on the seam's line, the diamond about it, and the vernier beyond, as far as all have room."""
    for length in _TICKS_MM:
        tick = _box(seam, start, start + way * length, LINE_MM / 2)
        if all(sheet.room.has(tick) for sheet in sheets):
            break
    else:
        return
    half = _DIAMOND_MM / 2
    beyond = start + way * (length + 0.8)
    for middle in (beyond + way * half, start + way * (length - half), start + way * half):
        around, corners = _box(seam, middle - half, middle + half, half), _diamond(seam, middle)
        if all(sheet.room.has_shape(corners, around) for sheet in sheets):
            for sheet in sheets:
                sheet.room.take(around)
                sheet.path((_diamond(seam, middle),), line_mm=0.2)
            beyond = max(beyond, middle + half + 0.8) if way > 0 else min(beyond, middle - half - 0.8)
            break
    for sheet in sheets:
        sheet.box(tick)
    length_mm = (_TIMES - 1) * _PITCH_MM
    middle = beyond + way * (length_mm / 2 + LINE_MM)
    around = _box(seam, middle - length_mm / 2 - 0.2, middle + length_mm / 2 + 0.2, _VERNIER_TICK_MM)
    if all(sheet.room.has(around) for sheet in sheets):
        for sheet in sheets:
            sheet.room.take(around)
            sheet.outline(tuple(_vernier(seam, middle)))


def _letters(seam: Seam, along: float, sheets: Sequence[tuple[Drawing, Tile]]) -> None:
    """Set the seam's letter beside its end, on each sheet on its own side, with an arrow to the neighbour."""
    for drawing, tile in sheets:
        low = tile.kept.left_mm if seam.is_upright else tile.kept.bottom_mm
        side = 1.0 if low >= seam.at_mm - 1e-6 else -1.0
        across = seam.at_mm + side * 5.5
        near = (across, along) if seam.is_upright else (along, across)
        drawing.block((seam.letter,), near, _LETTER_EM_MM, least_em_mm=2.4, farthest_mm=25.0)
        turn = (np.pi / 2 if side > 0 else -np.pi / 2) if seam.is_upright else (np.pi if side > 0 else 0.0)
        drawing.arrow(4.0, near, turn_rad=float(turn))


def _reaches(tile: Tile, seam: Seam, end: float) -> bool:
    low, high = (tile.kept.bottom_mm, tile.kept.top_mm) if seam.is_upright else (tile.kept.left_mm, tile.kept.right_mm)
    middle = (seam.start_mm + seam.end_mm) / 2
    return high >= end - 0.1 * abs(end - middle) if end > middle else low <= end + 0.1 * abs(end - middle)


def _box(seam: Seam, first: float, second: float, half_mm: float) -> Box:
    """Return a box about a stretch of the seam's line."""
    low, high = sorted((first, second))
    if seam.is_upright:
        return Box(seam.at_mm - half_mm, low, seam.at_mm + half_mm, high)
    return Box(low, seam.at_mm - half_mm, high, seam.at_mm + half_mm)


def _diamond(seam: Seam, middle: float) -> Points:
    half = _DIAMOND_MM / 2 - 0.1
    centre = (seam.at_mm, middle) if seam.is_upright else (middle, seam.at_mm)
    return np.array(centre) + half * np.array([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)])


def _vernier(seam: Seam, middle: float) -> Iterator[Points]:
    """Yield 11 ticks on either side of the seam: those that line up tell how far the sheets have slipped, in 0.1 mm."""
    half = _TIMES // 2
    for pitch, side in ((_PITCH_MM, 1.0), (_VERNIER_PITCH_MM, -1.0)):
        for count in range(-half, half + 1):
            at = middle + count * pitch
            box = _box(seam, at - 0.06, at + 0.06, 0.0)
            far = seam.at_mm + side * _VERNIER_TICK_MM
            low, high = sorted((seam.at_mm, far))
            if seam.is_upright:
                box = Box(low, box.bottom_mm, high, box.top_mm)
            else:
                box = Box(box.left_mm, low, box.right_mm, high)
            yield np.array(
                [
                    (box.left_mm, box.bottom_mm),
                    (box.right_mm, box.bottom_mm),
                    (box.right_mm, box.top_mm),
                    (box.left_mm, box.top_mm),
                ]
            )


def clipped(contour: Points, box: Box) -> Contours:
    """Return the part of a convex contour that lies in a box; nothing when they do not meet."""
    points = contour
    for axis, limit, sign in ((0, box.left_mm, 1), (0, box.right_mm, -1), (1, box.bottom_mm, 1), (1, box.top_mm, -1)):
        if not len(points):
            return ()
        after = np.roll(points, -1, axis=0)
        inside, next_inside = sign * (points[:, axis] - limit) >= 0, sign * (after[:, axis] - limit) >= 0
        kept: list[Points] = []
        for point, following, is_in, next_in in zip(points, after, inside, next_inside, strict=True):
            if is_in:
                kept.append(point)
            if is_in != next_in:
                share = (limit - point[axis]) / (following[axis] - point[axis])
                kept.append(point + share * (following - point))
        points = np.array(kept)
    return (points,) if len(points) > 2 else ()
