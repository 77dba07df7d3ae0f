"""Pages of ganged signs: each print cut to its own outline, its number and name beside it, the list at the foot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from studio.geometry.shapes import Box
from studio.render.printer_marks import REMINDER
from studio.sheets.bottom_left import Footprint
from studio.sheets.drawing import INCH_BARS, METRIC_BARS, Drawing, PageFrame
from studio.sheets.frame import frame_at
from studio.sheets.gang import GAP_MM, GangSign, Place, fits, ganged, region_of
from studio.sheets.page import LINE_MM, Page, PlacedPrint
from studio.sheets.room import Pressed, SheetRoom
from studio.sheets.sign_on_paper import CLIP_BEYOND_MM, Wish
from studio.sheets.words import Setter, isolated, length_mm

_FEET_MM: Final = (18.0, 12.0, 0.0)
"""What the foot may take; the first that costs no sheet is taken."""
_TICK_FROM_MM: Final = 0.6
_TICKS_MM: Final = (3.0, 2.0, 1.0)
_NAME_EM_MM: Final = 2.4
_FOOT_EMS_MM: Final = (2.6, 2.2, 1.9, 1.6)
_NAME_AWAY_MM: Final = 14.0
_LONGEST_NAME: Final = 32


@dataclass(frozen=True, slots=True, eq=False)
class GangSheets:
    """Shared sheets.

    Attributes:
        places: Where every piece lies, sheet by sheet in reading order.
    """

    pages: tuple[Page, ...]
    places: tuple[Place, ...]


def gang_sheets(
    signs: Sequence[GangSign], wish: Wish, setter: Setter, *, gap_mm: float = GAP_MM, first_sheet: int = 1, of: int = 0
) -> GangSheets:
    """Return the pages of small signs.

    Args:
        signs: Each fits a sheet by itself.
        wish: The paper and the printer.
        setter: Shapes the words.
        gap_mm: Kept between any two signs.
        first_sheet: Number of the first page.
        of: How many sheets there are in all; what is laid here when 0.

    Raises:
        SettingsError: There is nothing to lay, or more than can be laid at once.
    """
    printable = wish.printer.field(wish.paper)
    foot_mm, places = _laid(signs, wish, printable, gap_mm)
    sheets = _sheets(places)
    pages = []
    for sheet in range(1, sheets + 1):
        here = [place for place in places if place.sheet == sheet]
        pages.append(_page(signs, here, wish, foot_mm, f"sheet {first_sheet + sheet - 1} of {of or sheets}", setter))
    return GangSheets(tuple(pages), places)


def _laid(signs: Sequence[GangSign], wish: Wish, printable: Box, gap_mm: float) -> tuple[float, tuple[Place, ...]]:
    """Return what the foot takes, and the places; the widest foot that costs no sheet."""
    if wish.paper.is_roll:
        foot_mm = _FEET_MM[0]
        return foot_mm, ganged(signs, *region_of(printable, 2 * foot_mm), gap_mm, is_roll=True)
    found: dict[float, tuple[Place, ...]] = {}
    for foot_mm in _FEET_MM:
        size = region_of(printable, foot_mm)
        if all(fits(sign.footprint, *size) for sign in signs):
            found[foot_mm] = ganged(signs, *size, gap_mm)
            if len(found) == 1 and foot_mm and _sheets(found[foot_mm]) <= _least_sheets(signs, printable):
                break
    fewest = min(_sheets(places) for places in found.values())
    return next((foot_mm, places) for foot_mm, places in found.items() if _sheets(places) == fewest)


def _sheets(places: Sequence[Place]) -> int:
    return max(place.sheet for place in places)


def _least_sheets(signs: Sequence[GangSign], printable: Box) -> int:
    """Return how many sheets the signs' area alone takes."""
    area = sum(sign.footprint.area_mm2 * sign.count for sign in signs)
    return math.ceil(area / (printable.width_mm * printable.height_mm) - 1e-9)


def _page(
    signs: Sequence[GangSign], places: Sequence[Place], wish: Wish, foot_mm: float, title: str, setter: Setter
) -> Page:
    page_height_mm = wish.paper.height_mm
    if wish.paper.is_roll:
        used = max(place.y_mm + _lying(signs[place.sign], place).half_mm[1] for place in places)
        edge = wish.printer.margins
        page_height_mm = float(math.ceil((used + edge.bottom_mm + edge.top_mm + foot_mm) * 1.021))
    printable = wish.printer.field(wish.paper, page_height_mm)
    prints, pressed = [], []
    for place in places:
        placed, blank = _placed(signs[place.sign], place, printable, foot_mm, page_height_mm)
        prints.append(placed)
        pressed.append(blank)
    drawing = Drawing(PageFrame(), SheetRoom(printable, pressed), setter)
    for blank in pressed:
        _ticks(drawing, blank)
    lines = [f"{title}, {REMINDER} (Actual size)"]
    if wish.printer.is_corrected:
        lines.append(f"corrected for {wish.printer.name}, measured {wish.printer.measured or 'before'}")
    _foot(drawing, lines, _listed(signs, places), setter)
    for place, blank in zip(places, pressed, strict=True):
        _name(drawing, signs[place.sign], place, blank)
    return Page(wish.paper.width_mm, page_height_mm, (*prints, *drawing.items), correction=wish.printer.correction)


def _lying(sign: GangSign, place: Place) -> Footprint:
    return Footprint(sign.rim, sign.bleed_mm, place.is_turned)


def _placed(
    sign: GangSign, place: Place, printable: Box, foot_mm: float, page_height_mm: float
) -> tuple[PlacedPrint, Pressed]:
    """Return a sign's print where it lies, on whole pixels, and the blank that goes there."""
    middle = (printable.left_mm + place.x_mm, printable.bottom_mm + foot_mm + place.y_mm)
    frame = frame_at(sign.picture, page_height_mm, middle, quarter_turns=1 if place.is_turned else 0)
    wide = sign.rim.width_mm / 2 + sign.bleed_mm + CLIP_BEYOND_MM
    high = sign.rim.height_mm / 2 + sign.bleed_mm + CLIP_BEYOND_MM
    outline = (sign.rim.contour(sign.bleed_mm + CLIP_BEYOND_MM),)
    x_mm, y_mm = frame.centre_mm
    return (
        frame.placed(Box(-wide, -high, wide, high), outline),
        Pressed(sign.rim, x_mm, y_mm, sign.bleed_mm, place.is_turned),
    )


def _ticks(drawing: Drawing, blank: Pressed) -> None:
    """Draw ticks at 12, 3, 6 and 9 o'clock of a blank where there is room."""
    box, half = blank.box, LINE_MM / 2
    off = _TICK_FROM_MM - 0.5
    for length in _TICKS_MM:
        ticks = (
            Box(blank.x_mm - half, box.top_mm + off, blank.x_mm + half, box.top_mm + off + length),
            Box(blank.x_mm - half, box.bottom_mm - off - length, blank.x_mm + half, box.bottom_mm - off),
            Box(box.right_mm + off, blank.y_mm - half, box.right_mm + off + length, blank.y_mm + half),
            Box(box.left_mm - off - length, blank.y_mm - half, box.left_mm - off, blank.y_mm + half),
        )
        if all(drawing.room.has(tick) for tick in ticks):
            break
    for tick in ticks:
        if drawing.room.has(tick):
            drawing.box(tick)


def _name(drawing: Drawing, sign: GangSign, place: Place, blank: Pressed) -> None:
    """Set a sign's number and name beside it, its number alone where there is not the room."""
    near = (blank.x_mm, blank.box.bottom_mm - 1.5)
    away = (blank.box.width_mm + blank.box.height_mm) / 4 + _NAME_AWAY_MM
    words = f"{place.number} {isolated(_short(sign.name))}"
    if not drawing.block((words,), near, _NAME_EM_MM, least_em_mm=1.7, farthest_mm=away):
        drawing.block((str(place.number),), near, _NAME_EM_MM, least_em_mm=1.5, farthest_mm=away)


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"


def _listed(signs: Sequence[GangSign], places: Sequence[Place]) -> list[str]:
    """Return what is on a sheet, `1 Marlow & Tess (1042)`; neighbours that are the same sign are one entry."""
    entries: list[tuple[int, int, int]] = []
    for place in places:
        if entries and entries[-1][0] == place.sign and entries[-1][2] == place.number - 1:
            entries[-1] = (place.sign, entries[-1][1], place.number)
        else:
            entries.append((place.sign, place.number, place.number))
    listed = []
    for index, first, last in entries:
        sign = signs[index]
        order = f" ({sign.order})" if sign.order and sign.order != sign.name else ""
        listed.append(f"{first if first == last else f'{first}-{last}'} {isolated(_short(sign.name))}{order}")
    return listed


def _foot(drawing: Drawing, head: list[str], entries: list[str], setter: Setter) -> None:
    """Set head and list at the sheet's foot, as large as there is room; then the bars to measure."""
    field = drawing.room.field
    corner = (field.left_mm, field.bottom_mm)
    drawing.bar(METRIC_BARS, (field.right_mm, field.bottom_mm), upright=False)
    for share in (1.0, 0.62, 0.45):
        for em_mm in _FOOT_EMS_MM:
            lines = [
                *_wrapped(head, field.width_mm * share, em_mm, setter, ""),
                *_wrapped(entries, field.width_mm * share, em_mm, setter, "  ·  "),
            ]
            if drawing.block(lines, corner, em_mm, least_em_mm=em_mm):
                drawing.bar(INCH_BARS, (field.right_mm, field.top_mm), upright=True)
                return
    for line in [*head, *_wrapped(entries, field.width_mm * 0.3, _FOOT_EMS_MM[-1], setter, "  ·  ")]:
        drawing.label(line, corner, _FOOT_EMS_MM[1], least_em_mm=1.2)
    drawing.bar(INCH_BARS, (field.right_mm, field.top_mm), upright=True)


def _wrapped(entries: Sequence[str], widest_mm: float, em_mm: float, setter: Setter, between: str) -> list[str]:
    """Return entries run together into lines that are not too wide; without `between` each has a line of its own."""
    lines: list[str] = []
    for entry in entries:
        longer = f"{lines[-1]}{between}{entry}" if lines and between else ""
        if longer and length_mm(longer, setter, em_mm) <= widest_mm - 0.4:
            lines[-1] = longer
        else:
            lines.append(entry)
    return lines
