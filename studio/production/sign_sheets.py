"""A made sign brought on to paper: what its sheets need of it, the wish as typed, and the PDF."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.geometry.shapes import Box, Contours
from studio.model.artwork import ArtworkSetting
from studio.model.paper import Paper
from studio.model.printer import Printer, parse_margins
from studio.model.sign import Sign
from studio.pipeline.make import Product
from studio.production.captions import caption_line
from studio.sheets.cover import OVERLAP_MM
from studio.sheets.page import Page, picture_of_png
from studio.sheets.pdf import pdf_bytes
from studio.sheets.seam_cost import CostMap, cost_map
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import SignSheets, ink_box, sheets_of
from studio.sheets.tiling import parse_seams
from studio.storage.catalogue import Catalogue

_MIRRORED: Final = np.array([-1.0, 1.0])
_TRIM_INSET_MM: Final = 1.0
"""How far inside the print's edge its trim corners stand, as on the print itself."""


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What was typed about paper; empty where nothing was.

    Attributes:
        paper: A name or a size.
        printer: A name of the settings'.
        margins: The printer's unprintable edges.
        seam: Where seams are wanted.
        overlap: What neighbouring sheets both print.
    """

    paper: str = ""
    printer: str = ""
    margins: str = ""
    seam: str = ""
    overlap: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether no sheets are wanted."""
        return not (self.paper or self.printer)


def wish_of(options: SheetOptions, catalogue: Catalogue) -> Wish | None:
    """Return how sheets are wanted; `None` when they are not.

    Raises:
        SettingsError: A paper, printer or length is wrong, or nothing is left to print on.
    """
    if options.is_empty:
        for name, value in (
            ("--seam", options.seam),
            ("--printer-margins", options.margins),
            ("--overlap", options.overlap),
        ):
            if value:
                raise SettingsError(
                    f"{name} says how sheets are made, and there are none.",
                    advice="Add a paper, such as letter.",
                    ways=("paper",),
                )
        return None
    printer = catalogue.printer(options.printer) if options.printer else Printer()
    paper = catalogue.paper(options.paper or _usual_paper(printer))
    if not _was_measured_on(printer, paper, catalogue):
        printer = replace(printer, scale_across=1.0, scale_feed=1.0, skew=0.0, measured="")
    if options.margins:
        printer = replace(printer, margins=parse_margins(options.margins))
    overlap_mm = parse_length_mm(options.overlap, what="--overlap") if options.overlap else OVERLAP_MM
    wish = Wish(paper, printer, overlap_mm, parse_seams(options.seam) if options.seam else None)
    printer.field(paper)  # refused now rather than after the sign is made
    return wish


def _usual_paper(printer: Printer) -> str:
    if not printer.paper and not printer.measured_paper:
        raise SettingsError(
            f"--printer {printer.name}: it is not known which paper it holds.",
            advice=f'Add a paper, or write paper = "letter" into [printer.{printer.name}].',
            ways=("paper",),
        )
    return printer.paper or printer.measured_paper


def _was_measured_on(printer: Printer, paper: Paper, catalogue: Catalogue) -> bool:
    """Whether a printer's scale holds for a paper: no other paper is fed quite alike."""
    if not printer.measured_paper or printer.measured_paper == paper.name:
        return True
    known = catalogue.paper(printer.measured_paper)
    return (known.width_mm, known.height_mm, known.is_roll) == (paper.width_mm, paper.height_mm, paper.is_roll)


def printer_remarks(wish: Wish) -> tuple[str, ...]:
    """Return what to know of a printer that was measured on other paper than is wanted now."""
    printer = wish.printer
    if printer.measured or not printer.measured_paper:
        return ()
    return (
        f"{printer.name} was measured on {printer.measured_paper}; on {wish.paper.name} its prints are not corrected. "
        f"Measure it there: sapwood ruler --printer {printer.name} --paper {wish.paper.name}.",
    )


def sheets_for(product: Product, wish: Wish) -> SignSheets:
    """Return the sheets of a sign that was made.

    Raises:
        SettingsError: The paper is too small, the seams do not do, or the print's background is transparent.
    """
    return sheets_of(on_paper(product), wish, caption_line)


def sheets_pdf(sheets: Sequence[Page], title: str) -> bytes:
    """Return the file of some pages."""
    return pdf_bytes(sheets, title=title)


def on_paper(product: Product) -> SignOnPaper:
    """Return what sheets need to know of a sign that was made; a refused one has none.

    Raises:
        SettingsError: The print's background is transparent.
    """
    printed, planned = product.print, product.plan
    assert printed is not None and planned.placement is not None
    sign, canvas = planned.sign, printed.canvas
    picture = picture_of_png(printed.png)
    pixels = printed.pixels()
    letterings = [(*one.contours, *one.ring_contours) for one in planned.placement.letterings]

    def costs() -> CostMap:
        return cost_map(
            [mirrored(contours) for contours in letterings],
            reach_mm=sign.surface.finest_stroke_mm,
            kept=kept_boxes(sign),
            pixels=pixels,
            dpi=sign.dpi,
            outline=(sign.blank.rim.contour(sign.bleed_mm),),
        )

    inset_mm = min(_TRIM_INSET_MM, canvas.waste_mm / 3)
    return SignOnPaper(
        name=sheet_name(sign),
        order=sign.order,
        rim=sign.blank.rim,
        bleed_mm=sign.bleed_mm,
        trim_mm=(canvas.width_mm / 2 - inset_mm, canvas.height_mm / 2 - inset_mm),
        picture=picture,
        ink=ink_box(pixels, sign.blank.rim, sign.bleed_mm, sign.dpi),
        costs=costs,
    )


def sheet_name(sign: Sign) -> str:
    """Return what a sheet calls a sign: its first text on one line."""
    return " / ".join(part.strip() for part in sign.letterings[0].text.splitlines() if part.strip())


def mirrored(contours: Contours) -> Contours:
    """Return contours flipped left for right, as they are printed."""
    return tuple(contour * _MIRRORED for contour in contours)


def kept_boxes(sign: Sign) -> tuple[Box, ...]:
    """Return the boxes that the artwork wants whole, where they lie on the print."""
    setting = sign.artwork
    if setting is None or not setting.artwork.keep:
        return ()
    covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
    width_mm, _ = setting.printed_size_mm(*covered)
    scale = width_mm / (setting.artwork.width_mm or width_mm)
    return tuple(_laid(box, setting, scale) for box in setting.artwork.keep)


def _laid(box: Box, setting: ArtworkSetting, scale: float) -> Box:
    """Return a box of the artwork as it is laid and mirrored: the upright box round it where it is turned."""
    corners = scale * np.array([(x, y) for x in (box.left_mm, box.right_mm) for y in (box.bottom_mm, box.top_mm)])
    cos, sin = math.cos(setting.turn_rad), math.sin(setting.turn_rad)
    turned = corners @ np.array([[cos, sin], [-sin, cos]]) + np.array([setting.x_mm, setting.y_mm])
    x, y = -turned[:, 0], turned[:, 1]
    return Box(float(x.min()), float(y.min()), float(x.max()), float(y.max()))
