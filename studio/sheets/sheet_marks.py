"""What stands on every sheet of a sign beside its print: ticks, trim corners, key map, bars to measure, and words."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from studio.geometry.shapes import Box
from studio.model.printer import Printer
from studio.sheets.drawing import INCH_BARS, METRIC_BARS, Drawing
from studio.sheets.page import LINE_MM
from studio.sheets.seam_marks import clipped
from studio.sheets.sign_on_paper import SignOnPaper
from studio.sheets.tiling import Tile, Tiling
from studio.sheets.words import isolated

_TICK_FROM_MM: Final = 0.6
_TICKS_MM: Final = (5.0, 4.0, 3.0, 2.0, 1.0)
_ARMS_MM: Final = (6.0, 4.0, 2.0)
_KEY_MM: Final = 12.0
_EM_MM: Final = 2.9
_LONGEST_NAME: Final = 60


def clock_ticks(sign: SignOnPaper, drawings: dict[int, Drawing]) -> None:
    """Draw ticks at 12, 3, 6 and 9 o'clock, which find the blank's centre, on every sheet that has the room."""
    half = LINE_MM / 2
    x0, y0 = (
        sign.rim.width_mm / 2 + sign.bleed_mm + _TICK_FROM_MM,
        sign.rim.height_mm / 2 + sign.bleed_mm + _TICK_FROM_MM,
    )
    for drawing in drawings.values():
        for across, up in ((0, 1), (1, 0), (0, -1), (-1, 0)):
            for length in _TICKS_MM:
                if up:
                    ends = sorted((up * y0, up * (y0 + length)))
                    tick = Box(-half, ends[0], half, ends[1])
                else:
                    ends = sorted((across * x0, across * (x0 + length)))
                    tick = Box(ends[0], -half, ends[1], half)
                if drawing.room.has(tick):
                    drawing.box(tick)
                    break


def trim_corners(sign: SignOnPaper, drawings: dict[int, Drawing], fields: list[Box]) -> tuple[float, float] | None:
    """Draw the four trim corners, each on the sheet that reaches farthest there, and return half their rectangle.

    The rectangle is the print's own, or the largest that the sheets can print; without room at all four there is none.
    """
    chosen = []
    for across, up in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        ends = [
            (
                field.right_mm if across > 0 else -field.left_mm,
                field.top_mm if up > 0 else -field.bottom_mm,
                number,
            )
            for number, field in zip(sorted(drawings), fields, strict=True)
        ]
        chosen.append((across, up, max(ends, key=lambda end: (round(min(end[0], end[1]), 3), -end[2]))))
    half = LINE_MM / 2
    x = min(sign.trim_mm[0], *(end[0] - half - 0.05 for _, _, end in chosen))
    y = min(sign.trim_mm[1], *(end[1] - half - 0.05 for _, _, end in chosen))
    if x <= 0 or y <= 0:
        return None
    for arm in _ARMS_MM:
        placed = []
        for across, up, (_, _, number) in chosen:
            near, far = sorted((across * (x + half), across * (x - arm)))
            level = Box(near, up * y - half, far, up * y + half)
            near, far = sorted((up * (y + half), up * (y - arm)))
            placed.append((drawings[number], level, Box(across * x - half, near, across * x + half, far)))
        if all(drawing.room.has(level) and drawing.room.has(upright) for drawing, level, upright in placed):
            for drawing, level, upright in placed:
                drawing.box(level)
                drawing.box(upright)
            return x, y
    return None


def finish(
    sign: SignOnPaper,
    drawing: Drawing,
    printer: Printer,
    lines: list[str],
    corners: tuple[float, float] | None,
    key: list[tuple[Tile, Tiling]],
) -> None:
    """Put key map, words and bars where the sheet has room, the most needed first."""
    field = drawing.room.field
    spots = sorted(
        ((x, y) for x in (field.left_mm, field.right_mm) for y in (field.top_mm, field.bottom_mm)),
        key=lambda spot: (-round(math.hypot(*spot), 3), -spot[1], spot[0]),
    )
    for tile, tiling in key:
        _key_map(sign, drawing, tile, tiling, spots[0])
    if corners is not None:
        length_mm = 2 * math.hypot(*corners)
        joined = "joined sheets, " if key else ""
        lines.append(f"{joined}trim corner to trim corner: {length_mm:.2f} mm both ways")
    if key:
        lines.append("tape the back; try the joint on scrap first")
    if printer.is_corrected:
        lines.append(_correction(printer))
    name = sign.name if len(sign.name) <= _LONGEST_NAME else sign.name[: _LONGEST_NAME - 1] + "…"
    title = f"{isolated(name)}  ({sign.order})" if sign.order and sign.order != sign.name else name
    if not drawing.block((title, *lines), spots[0], _EM_MM, least_em_mm=2.0):
        for line in (title, *lines):
            drawing.label(line, spots[0], _EM_MM)
    drawing.bar(METRIC_BARS, spots[1], upright=False)
    drawing.bar(INCH_BARS, spots[1], upright=True)
    drawing.arrow(6.0, spots[1])


def _key_map(sign: SignOnPaper, drawing: Drawing, tile: Tile, tiling: Tiling, near: tuple[float, float]) -> None:
    """Draw the whole sign small with its sheets, this one filled, as seen from the printed side."""
    covered = sign.covered
    scale = _KEY_MM / max(covered.width_mm, covered.height_mm)
    words, em_mm = "seen from the printed side", 1.7
    wide = max(covered.width_mm * scale, drawing.length_mm(words, em_mm)) + 0.4
    box = drawing.room.place(wide, covered.height_mm * scale + 1.4 * em_mm + 0.4, near)
    if box is None:
        return
    middle = np.array([box.centre_mm[0], box.top_mm - 0.2 - covered.height_mm * scale / 2])
    outline = sign.rim.contour(sign.bleed_mm, 0.1)
    for part in clipped(outline, tile.kept):
        drawing.outline((part * scale + middle,))
    drawing.path((outline * scale + middle,), line_mm=0.2)
    for seam in tiling.seams:
        ends = np.array([(seam.start_mm, seam.at_mm), (seam.end_mm, seam.at_mm)])
        drawing.path(((ends[:, ::-1] if seam.is_upright else ends) * scale + middle,), line_mm=0.2, closed=False)
    drawing.words(words, box.left_mm + 0.2, box.bottom_mm + 0.4 * em_mm, em_mm)


def _correction(printer: Printer) -> str:
    measured = f", measured {printer.measured}" if printer.measured else ""
    return (
        f"corrected for {printer.name}{measured}: across {printer.scale_across:.4f}, feed {printer.scale_feed:.4f}, "
        f"skew {printer.skew:.4f}"
    )
