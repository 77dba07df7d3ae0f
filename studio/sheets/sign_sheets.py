"""One sign on paper: on one sheet where what is inked fits, else on several that are joined.

Sheets are laid in the print's own frame: mm from the blank's centre, x to the right as seen on the printed side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.errors import SettingsError
from studio.basics.units import spoken_size
from studio.geometry.shapes import Box, Rim
from studio.render.printer_marks import REMINDER
from studio.sheets.drawing import Drawing
from studio.sheets.frame import SheetFrame, frame_at
from studio.sheets.page import Page
from studio.sheets.room import Pressed, SheetRoom
from studio.sheets.seam_marks import draw_seam
from studio.sheets.sheet_marks import clock_ticks, finish, trim_corners
from studio.sheets.sign_on_paper import CLIP_BEYOND_MM, SignOnPaper, Wish
from studio.sheets.tiling import Job, Seam, Tile, Tiling, fewest_for, tiling_of
from studio.sheets.words import Setter

_ROLL_FOOT_MM: Final = 34.0


@dataclass(frozen=True, slots=True, eq=False)
class SignSheets:
    """A sign's pages.

    Attributes:
        frames: How the print lies on each page.
        tiling: How it is parted; `None` on a single sheet.
        remarks: Sentences that the maker should hear.
    """

    title: str
    pages: tuple[Page, ...]
    frames: tuple[SheetFrame, ...]
    tiling: Tiling | None
    remarks: tuple[str, ...]


def ink_box(pixels: NDArray[np.uint8], rim: Rim, bleed_mm: float, dpi: float) -> Box:
    """Return the box of all that is not white within blank plus bleed, in the print's frame.

    Args:
        pixels: The print, shape (rows, columns, 3).
        rim: The blank's.
        bleed_mm: Its bleed.
        dpi: Its density.
    """
    rows, columns = pixels.shape[:2]
    px_per_mm = dpi / 25.4
    points = rim.contour(bleed_mm + CLIP_BEYOND_MM)
    order = np.argsort(points[:, 1], kind="stable")
    right = points[order][points[order][:, 0] >= 0]
    heights = (rows / 2 - 0.5 - np.arange(rows)) / px_per_mm
    half_px = np.interp(heights, right[:, 1], right[:, 0], left=-1.0, right=-1.0) * px_per_mm
    inside = np.abs(np.arange(columns) + 0.5 - columns / 2)[None, :] <= half_px[:, None]
    inked = ((pixels[..., 0] & pixels[..., 1] & pixels[..., 2]) != 255) & inside
    lines, places = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    if not len(lines):
        return Box(0.0, 0.0, 0.0, 0.0)
    return Box(
        (int(places[0]) - columns / 2) / px_per_mm,
        (rows / 2 - int(lines[-1]) - 1) / px_per_mm,
        (int(places[-1]) + 1 - columns / 2) / px_per_mm,
        (rows / 2 - int(lines[0])) / px_per_mm,
    )


def way_on_one_sheet(size: Box, printable: Box) -> bool | None:
    """Return whether a box must be turned a quarter to fit a sheet; `None` when it does not fit at all."""
    for is_turned in (False, True):
        wide, high = (size.height_mm, size.width_mm) if is_turned else (size.width_mm, size.height_mm)
        if wide <= printable.width_mm + 1e-6 and high <= printable.height_mm + 1e-6:
            return is_turned
    return None


def job_of(sign: SignOnPaper, wish: Wish) -> Job:
    """Return what is to be tiled.

    Raises:
        SettingsError: The printer's margins leave too little of the paper.
    """
    printable = wish.printer.field(wish.paper)
    is_measured = wish.printer.is_measured
    return Job(sign.rim, sign.bleed_mm, printable.width_mm, printable.height_mm, is_measured, wish.overlap_mm)


def sheets_of(sign: SignOnPaper, wish: Wish, setter: Setter) -> SignSheets:
    """Return a sign's pages.

    Raises:
        SettingsError: The paper is too small for it, or the seams wanted do not do.
    """
    printable = wish.printer.field(wish.paper)
    if wish.seams is None:
        is_turned = way_on_one_sheet(sign.ink, printable)
        if is_turned is not None:
            return _single(sign, wish, setter, is_turned)
    job = job_of(sign, wish)
    tiling = tiling_of(job, sign.costs(), wish.seams)
    remarks = _bleed_remarks(sign, job, tiling) if wish.seams is None else ()
    return _tiled(sign, wish, setter, tiling, (*remarks, *_seam_remarks(wish, tiling)))


def _bleed_remarks(sign: SignOnPaper, job: Job, tiling: Tiling) -> tuple[str, ...]:
    """Return a sentence where a smaller bleed saves a sheet."""
    for bleed_mm in (2.0, 1.0, 0.0):
        if bleed_mm < sign.bleed_mm:
            fewer = fewest_for(Job(sign.rim, bleed_mm, job.width_mm, job.height_mm, job.is_measured, job.overlap_mm))
            if 0 < fewer < len(tiling.tiles):
                sheets = "one sheet" if fewer == 1 else f"{fewer} sheets"
                return (f"With a bleed of {bleed_mm:g} mm it takes {sheets}, not {len(tiling.tiles)}.",)
    return ()


def _seam_remarks(wish: Wish, tiling: Tiling) -> tuple[str, ...]:
    """Return sentences on seams that the maker should know of before printing."""
    remarks = []
    for seam in tiling.seams:
        if seam.cost.lettering_mm > 0:
            remarks.append(
                f"Seam {seam.letter} runs through {seam.cost.lettering_mm:.1f} mm of lettering: no line without it is "
                "left with so few sheets. Moving the seam moves it, larger paper spares it."
                if wish.seams is None
                else f"Seam {seam.letter} runs through {seam.cost.lettering_mm:.1f} mm of lettering."
            )
    if tiling.is_mixed and not wish.printer.is_measured:
        remarks.append(
            "Its sheets are not all printed the same way round, and a printer may be off by 0.5 % between the two: "
            "measure the joint before pressing."
        )
    return tuple(remarks)


def _single(sign: SignOnPaper, wish: Wish, setter: Setter, is_turned: bool) -> SignSheets:
    """Return a sign on one sheet, what is inked in its middle."""
    size = sign.ink
    high = size.width_mm if is_turned else size.height_mm
    page_height_mm, printable = _page(wish, high)
    middle_x, middle_y = size.centre_mm
    if is_turned:
        middle_x, middle_y = -middle_y, middle_x
    x, y = printable.centre_mm
    frame = frame_at(sign.picture, page_height_mm, (x - middle_x, y - middle_y), quarter_turns=1 if is_turned else 0)
    drawing = _drawing(sign, frame, printable, setter)
    clock_ticks(sign, {1: drawing})
    corners = trim_corners(sign, {1: drawing}, [drawing.room.field])
    lines = [f"one sheet, job {sign.picture.key[:6]}", _reminder()]
    if way_on_one_sheet(sign.covered, printable) is None:
        left, top = frame.centre_mm[0], page_height_mm - frame.centre_mm[1]
        lines.append(f"blank's centre {left:.1f} mm from the sheet's left edge, {top:.1f} mm from its top")
    finish(sign, drawing, wish.printer, lines, corners, [])
    box = _grown(sign.ink, 1.0) if not _is_empty(sign.ink) else sign.covered
    placed = frame.placed(box, sign.clip)
    trim = frame.box(
        Box(-sign.rim.width_mm / 2, -sign.rim.height_mm / 2, sign.rim.width_mm / 2, sign.rim.height_mm / 2)
    )
    page = Page(
        wish.paper.width_mm,
        page_height_mm,
        (placed, *drawing.items),
        trim,
        frame.box(sign.covered),
        wish.printer.correction,
    )
    remarks: tuple[str, ...] = ()
    if way_on_one_sheet(sign.covered, printable) is None:
        remarks = (
            f"What is inked is {spoken_size(size.width_mm, size.height_mm)} and fits one sheet of {wish.paper.name}, "
            "though the blank does not: where no ink is, the wood stays bare.",
        )
    return SignSheets(sign.name, (page,), (frame,), None, remarks)


def _tiled(sign: SignOnPaper, wish: Wish, setter: Setter, tiling: Tiling, remarks: tuple[str, ...]) -> SignSheets:
    """Return a sign on several sheets with the marks by which they are joined."""
    frames, drawings, heights = {}, {}, {}
    for tile in tiling.tiles:
        printed = tile.printed
        high = printed.width_mm if tile.is_turned else printed.height_mm
        heights[tile.number], printable = _page(wish, high)
        frames[tile.number] = _tile_frame(sign, tile, printable, heights[tile.number])
        drawings[tile.number] = _drawing(sign, frames[tile.number], printable, setter)
    tiles = {tile.number: tile for tile in tiling.tiles}
    for seam in tiling.seams:
        draw_seam(seam, drawings, tiles)
    clock_ticks(sign, drawings)
    corners = trim_corners(sign, drawings, [drawings[number].room.field for number in sorted(drawings)])
    pages = []
    for tile in tiling.tiles:
        drawing = drawings[tile.number]
        lines = [f"sheet {tile.number} of {len(tiling.tiles)}, job {sign.picture.key[:6]}", _reminder()]
        lines += [_seam_words(seam, tile.number) for seam in tiling.seams if tile.number in seam.sheets]
        finish(sign, drawing, wish.printer, lines, corners, [(tile, tiling)])
        placed = frames[tile.number].placed(tile.printed, sign.clip)
        pages.append(
            Page(
                wish.paper.width_mm,
                heights[tile.number],
                (placed, *drawing.items),
                correction=wish.printer.correction,
            )
        )
    laid = tuple(frames[tile.number] for tile in tiling.tiles)
    return SignSheets(sign.name, tuple(pages), laid, tiling, remarks)


def _page(wish: Wish, content_mm: float) -> tuple[float, Box]:
    """Return a page's height, and what is printed of it; on a roll it is as long as what stands on it and its words."""
    if not wish.paper.is_roll:
        return wish.paper.height_mm, wish.printer.field(wish.paper)
    edge = wish.printer.margins
    height_mm = math.ceil((content_mm + edge.bottom_mm + edge.top_mm) * 1.021 + _ROLL_FOOT_MM)
    if height_mm > wish.paper.height_mm:
        raise SettingsError(
            f"The sign is {content_mm:.0f} mm long, and a page is at most {wish.paper.height_mm:.0f} mm.",
            advice="Check the blank's size.",
        )
    return float(height_mm), wish.printer.field(wish.paper, float(height_mm))


def _tile_frame(sign: SignOnPaper, tile: Tile, printable: Box, page_height_mm: float) -> SheetFrame:
    """Return where a tile lies: pushed to its one seam's side, so that the free paper lies outside the sign."""
    covered, printed = sign.covered, tile.printed
    wide, high = (
        (printable.height_mm, printable.width_mm) if tile.is_turned else (printable.width_mm, printable.height_mm)
    )
    x = _pushed(
        printed.left_mm,
        printed.right_mm,
        covered.left_mm,
        covered.right_mm,
        wide,
        tile.kept.left_mm,
        tile.kept.right_mm,
    )
    y = _pushed(
        printed.bottom_mm,
        printed.top_mm,
        covered.bottom_mm,
        covered.top_mm,
        high,
        tile.kept.bottom_mm,
        tile.kept.top_mm,
    )
    # x, y: the printable box's middle in the print's frame
    if tile.is_turned:
        x, y = -y, x
    middle_x, middle_y = printable.centre_mm
    centre = (middle_x - x, middle_y - y)
    return frame_at(sign.picture, page_height_mm, centre, quarter_turns=1 if tile.is_turned else 0)


def _pushed(
    low: float, high: float, edge_low: float, edge_high: float, room: float, kept_low: float, kept_high: float
) -> float:
    """Return where the middle of the printable room lies along one axis of the print's frame."""
    free = room - (high - low)
    seam_low, seam_high = kept_low - low > 1e-6, high - kept_high > 1e-6
    if seam_low and not seam_high:
        return low + room / 2
    if seam_high and not seam_low:
        return high - room / 2
    return (low + high) / 2 if free >= 0 else (edge_low + edge_high) / 2


def _drawing(sign: SignOnPaper, frame: SheetFrame, printable: Box, setter: Setter) -> Drawing:
    room = SheetRoom(frame.seen_from(printable), (Pressed(sign.rim, 0.0, 0.0, sign.bleed_mm),))
    return Drawing(frame, room, setter)


def _seam_words(seam: Seam, number: int) -> str:
    others = [str(other) for other in seam.sheets if other != number]
    named = f"sheet {others[0]}" if len(others) == 1 else f"sheets {' and '.join(others)}"
    if number == max(seam.sheets):
        return f"{seam.letter}: trim here, this sheet lies on top of {named}"
    return f"{seam.letter}: do not trim; {named} on top, cut edge on the marks {seam.letter}"


def _reminder() -> str:
    return f"{REMINDER} (Actual size)"


def _grown(box: Box, by_mm: float) -> Box:
    return Box(box.left_mm - by_mm, box.bottom_mm - by_mm, box.right_mm + by_mm, box.top_mm + by_mm)


def _is_empty(box: Box) -> bool:
    return box.width_mm <= 0 or box.height_mm <= 0
