"""Sheets as PDF against programs and standards that no one here wrote: pikepdf (qpdf), pdfium, poppler, ISO 32000-1."""

from __future__ import annotations

import hashlib
import math
import re
from decimal import Decimal
from functools import lru_cache

import numpy as np
import pikepdf
import pytest
from numpy.typing import NDArray

from studio.geometry.shapes import Box
from studio.model.paper import parse_paper
from studio.model.printer import Printer
from studio.pipeline.make import Product, make
from studio.production.captions import caption_line
from studio.production.sign_sheets import SheetOptions, sheets_for, sheets_pdf, wish_of
from studio.render.pixel_grid import PixelBox
from studio.sheets.page import Page, PlacedPrint, Shape, packed_bytes, picture_of_pixels, picture_of_png
from studio.sheets.pdf import pdf_bytes
from studio.sheets.sign_sheets import SignSheets
from studio.sheets.words import set_line
from studio.storage.sign_builder import build_sign
from tests.outside.pdf_reading import (
    has_poppler,
    image_streams,
    opened,
    pdfium_pixels,
    pdfium_text,
    poppler_pixels,
)
from tests.shared import assets, catalogue

LETTER_300 = (2550, 3300)
_FINE = (21590, 27940)
"""Letter at 2540 dpi: a pixel is 0.01 mm."""
NEEDS_POPPLER = pytest.mark.skipif(not has_poppler(), reason="poppler is not on this machine")


@lru_cache(maxsize=8)
def _on_paper(text: str, paper: str, margins: str = "usual") -> tuple[Product, SignSheets, bytes]:
    product = make(build_sign(text, {}, catalogue()), assets())
    wish = wish_of(SheetOptions(paper=paper, margins=margins), catalogue())
    assert wish is not None
    sheets = sheets_for(product, wish)
    return product, sheets, sheets_pdf(sheets.pages, sheets.title)


def _outline_mask(product: Product) -> NDArray[np.bool_]:
    """Return which pixels of a print have their middle within blank plus bleed."""
    printed = product.print
    assert printed is not None
    rows, columns = printed.canvas.height_px, printed.canvas.width_px
    radius_px = (127.0 + 3.0) * 300 / 25.4
    y = np.arange(rows) + 0.5 - rows / 2
    x = np.arange(columns) + 0.5 - columns / 2
    mask: NDArray[np.bool_] = np.hypot(x[None, :], y[:, None]) <= radius_px
    return mask


def _shown(pixels: NDArray[np.uint8], placed: PlacedPrint) -> tuple[NDArray[np.uint8], tuple[slice, slice]]:
    """Return the print's window as cut from a page's pixels and turned back, and where it lies in the print."""
    window, picture = placed.window, placed.picture
    mask = np.zeros((picture.height_px, picture.width_px), dtype=bool)
    mask[window.rows, window.columns] = True
    turned = np.rot90(mask, placed.quarter_turns)
    rows, columns = np.flatnonzero(turned.any(axis=1)), np.flatnonzero(turned.any(axis=0))
    top, left = placed.top_px + int(rows[0]), placed.left_px + int(columns[0])
    cut = pixels[top : top + len(rows), left : left + len(columns)]
    return np.rot90(cut, -placed.quarter_turns), (window.rows, window.columns)


def _differing(product: Product, page: Page, pixels: NDArray[np.uint8]) -> int:
    """Return how many pixels of a page within blank plus bleed are not the print's."""
    assert product.print is not None
    placed = next(item for item in page.items if isinstance(item, PlacedPrint))
    cut, where = _shown(pixels, placed)
    whole = product.print.pixels()[where]
    assert cut.shape == whole.shape
    return int(((cut != whole).any(axis=2) & _outline_mask(product)[where]).sum())


def test_the_default_sign_takes_two_letter_sheets_clear_of_its_lettering() -> None:
    """The default sign on letter is two sheets, and their seam runs clear of the lettering."""
    _, sheets, data = _on_paper("Marlow & Tess", "letter")

    assert len(sheets.pages) == 2
    assert sheets.tiling is not None
    assert [seam.cost.lettering_mm for seam in sheets.tiling.seams] == [0.0]
    assert len(opened(data).pages) == 2


def test_the_print_goes_in_with_its_packed_bytes_as_they_are() -> None:
    """The one picture in the file is the print's own IDAT bytes, no more and no less."""
    product, _, data = _on_paper("Marlow & Tess", "letter")
    assert product.print is not None

    streams = image_streams(opened(data))

    assert len(streams) == 1
    assert hashlib.sha256(streams[0]).digest() == hashlib.sha256(packed_bytes(product.print.png)).digest()


@pytest.mark.parametrize("page", [0, 1])
def test_pdfium_shows_the_very_pixels_on_letter(page: int) -> None:
    """At 300 dpi on letter pdfium shows every pixel within blank plus bleed as the print has it."""
    product, sheets, data = _on_paper("Marlow & Tess", "letter")

    assert _differing(product, sheets.pages[page], pdfium_pixels(data, page, LETTER_300)) == 0


@NEEDS_POPPLER
@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("page", [0, 1])
def test_poppler_shows_the_very_pixels(paper: str, page: int) -> None:
    """At 300 dpi poppler shows every pixel within blank plus bleed as the print has it, on letter and A4."""
    product, sheets, data = _on_paper("Marlow & Tess", paper)

    assert _differing(product, sheets.pages[page], poppler_pixels(data, page, 300)) == 0


def test_the_comparison_of_pixels_can_fail() -> None:
    """One pixel shifted is found by the comparison."""
    product, sheets, data = _on_paper("Marlow & Tess", "letter")
    shifted = np.roll(pdfium_pixels(data, 0, LETTER_300), 1, axis=1)

    assert _differing(product, sheets.pages[0], shifted) > 10_000


def test_the_same_sheets_are_the_same_bytes() -> None:
    """Sheets made twice are the same bytes; there is no date in them, and their ID is a digest."""
    product, sheets, data = _on_paper("Marlow & Tess", "letter")
    wish = wish_of(SheetOptions(paper="letter"), catalogue())
    assert wish is not None

    again = sheets_for(product, wish)

    assert sheets_pdf(again.pages, again.title) == data
    assert b"/CreationDate" not in data and b"/ModDate" not in data
    assert sheets.title == again.title


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [
        ("letter", "612", "792"),
        ("a4", "595.275591", "841.889764"),
        ("legal", "612", "1008"),
        ("13x19in", "936", "1368"),
    ],
)
def test_every_page_is_the_sheet_exactly_and_upright(paper: str, width: str, height: str) -> None:
    """Media box and crop box are the sheet's size in points, and no page is turned. Source: ISO 216, inches."""
    sheet = parse_paper({"a4": "210mmx297mm", "letter": "8.5inx11in", "legal": "8.5inx14in"}.get(paper, paper))
    pdf = opened(pdf_bytes([Page(sheet.width_mm, sheet.height_mm)], title="x"))

    for page in pdf.pages:
        assert [Decimal(str(side)) for side in page.mediabox] == [0, 0, Decimal(width), Decimal(height)]
        assert list(page.cropbox) == list(page.mediabox)
        assert int(page.obj.get("/Rotate", 0)) == 0


def test_the_print_dialog_is_asked_not_to_scale() -> None:
    """Viewer preferences ask for no scaling, one side, the tray by size, one copy. Source: ISO 32000-1, table 150."""
    _, _, data = _on_paper("Marlow & Tess", "letter")

    pdf = opened(data)
    asked = pdf.Root.ViewerPreferences

    assert asked.PrintScaling == "/None"
    assert list(asked.Enforce) == ["/PrintScaling"]
    assert asked.Duplex == "/Simplex"
    assert bool(asked.PickTrayByPDFSize) is True
    assert int(asked.NumCopies) == 1
    assert data.startswith(b"%PDF-1.7")


def test_a_whole_sign_on_one_sheet_has_its_trim_and_bleed_boxes() -> None:
    """On a one-sign sheet the trim box is the blank and the bleed box is 3 mm larger on every side."""
    _, sheets, data = _on_paper("Nora", "13x19in")
    pdf = opened(data)
    page = pdf.pages[0]
    trim, bleed = ([float(side) / 72 * 25.4 for side in page.obj[name]] for name in ("/TrimBox", "/BleedBox"))

    assert len(sheets.pages) == 1
    assert trim[2] - trim[0] == pytest.approx(254.0, abs=0.001)
    assert trim[3] - trim[1] == pytest.approx(254.0, abs=0.001)
    assert [a - b for a, b in zip(trim, bleed, strict=True)] == pytest.approx([3, 3, -3, -3], abs=0.001)


@pytest.mark.parametrize("scales", [(1.0, 1.0), (0.996, 1.003)])
def test_a_print_lies_within_a_hundredth_of_a_millimetre(scales: tuple[float, float]) -> None:
    """At 2540 dpi, 0.01 mm to the pixel, a black picture's edges lie where they were put, corrected or not."""
    black = picture_of_pixels(np.zeros((1181, 1181, 3), np.uint8), 300.0)
    across, feed = scales
    printer = Printer(scale_across=across, scale_feed=feed)
    page = Page(
        215.9, 279.4, (PlacedPrint(black, 236, 177, PixelBox(0, 0, 1181, 1181)),), correction=printer.correction
    )
    data = pdf_bytes([page], title="x")
    across_px, down_px = round(236 * 25.4 / 300 * 100), round(177 * 25.4 / 300 * 100)
    level = pdfium_pixels(data, 0, _FINE, (0, down_px + 5000, _FINE[0], 1))[0, :, 0] < 128
    upright = pdfium_pixels(data, 0, _FINE, (across_px + 5000, 0, 1, _FINE[1]))[:, 0, 0] < 128
    columns, rows = np.flatnonzero(level), np.flatnonzero(upright)

    def on_paper(wanted_mm: float, size_mm: float, scale: float) -> float:
        return size_mm / 2 + (wanted_mm - size_mm / 2) / scale

    px_mm = 25.4 / 300
    assert columns[0] / 100 == pytest.approx(on_paper(236 * px_mm, 215.9, across), abs=0.01)
    assert (columns[-1] + 1) / 100 == pytest.approx(on_paper(1417 * px_mm, 215.9, across), abs=0.01)
    assert rows[0] / 100 == pytest.approx(on_paper(177 * px_mm, 279.4, feed), abs=0.01)
    assert (rows[-1] + 1) / 100 == pytest.approx(on_paper(1358 * px_mm, 279.4, feed), abs=0.01)


def test_the_bar_of_a_hundred_millimetres_measures_a_hundred() -> None:
    """The page's bar is a line of 100 mm between its outer edges, found in the drawn pixels to 0.01 mm."""
    _, sheets, data = _on_paper("Marlow & Tess", "letter")
    bars = [
        item
        for item in sheets.pages[0].items
        if isinstance(item, Shape)
        and item.fill is not None
        and abs(np.ptp(item.contours[0], axis=0).max() - 100) < 1e-9
    ]
    assert len(bars) == 1
    low, high = bars[0].contours[0].min(axis=0), bars[0].contours[0].max(axis=0)
    left, top = round(low[0] * 100), _FINE[1] - round(high[1] * 100)
    middle = round((low[0] + high[0]) * 50), _FINE[1] - round((low[1] + high[1]) * 50)
    if high[0] - low[0] > high[1] - low[1]:
        dark = pdfium_pixels(data, 0, _FINE, (left - 50, middle[1], 10_100, 1))[0, :, 0] < 128
    else:
        dark = pdfium_pixels(data, 0, _FINE, (middle[0], top - 50, 1, 10_100))[:, 0, 0] < 128
    found = np.flatnonzero(dark)

    assert (found[-1] - found[0] + 1) / 100 == pytest.approx(100.0, abs=0.015)


@pytest.mark.parametrize(
    "text",
    ["Marlow & Tess", "Zoë Łukasz", "محمد علي", "प्रियंका देवी", "שלום עולם"],
    ids=["latin", "accents", "arabic", "devanagari", "hebrew"],
)
def test_the_text_layer_gives_the_text_back(text: str) -> None:
    """Copied by pdfium, an outlined line is its own text again, whatever its script."""
    page = Page(215.9, 279.4, (set_line(text, caption_line, x_mm=30, y_mm=200, em_mm=6),))

    assert pdfium_text(pdf_bytes([page], title="x"), 0).strip() == text


def test_the_words_on_a_sheet_can_be_copied() -> None:
    """A sheet's words come back as text: the name, its number, and how to print it."""
    _, _, data = _on_paper("Marlow & Tess", "letter")

    text = re.sub(r"\s+", " ", pdfium_text(data, 1))

    for words in ("Marlow & Tess", "sheet 2 of 2", "already mirrored, print at 100 %", "trim here", "100 mm", "4 in"):
        assert words in text


def test_no_picture_with_transparency_is_laid() -> None:
    """A print with an alpha channel is refused with a way out, since its bytes cannot go in as they are."""
    from studio.basics.errors import SettingsError
    from studio.render.png.bands import BandedPicture

    png = BandedPicture.encode(np.zeros((8, 8, 4), np.uint8), dpi=300).whole().data

    with pytest.raises(SettingsError, match="transparent"):
        picture_of_png(png)


def test_the_diagonals_printed_are_those_of_the_corners() -> None:
    """The words give the diagonal of the corners drawn: 381.84 mm for 270 x 270 mm. Source: Pythagoras."""
    _, sheets, data = _on_paper("Nora", "13x19in")
    assert len(sheets.pages) == 1

    text = pdfium_text(data, 0)

    assert math.hypot(270, 270) == pytest.approx(381.84, abs=0.005)
    assert "381.84 mm both ways" in text


def test_nothing_is_drawn_inside_blank_plus_bleed() -> None:
    """No mark or word of any sheet touches blank plus bleed and half a millimetre, in the joined sign's frame."""
    for text, paper in (("Marlow & Tess", "letter"), ("Nora", "a4"), ("Nora", "13x19in")):
        _, sheets, _ = _on_paper(text, paper)
        for page in sheets.pages:
            placed = next(item for item in page.items if isinstance(item, PlacedPrint))
            picture = placed.picture
            across, down = (picture.width_px, picture.height_px)[:: -1 if placed.quarter_turns % 2 else 1]
            centre = np.array(
                [
                    (placed.left_px + across / 2) * 25.4 / 300,
                    page.height_mm - (placed.top_px + down / 2) * 25.4 / 300,
                ]
            )
            for item in page.items:
                if isinstance(item, Shape):
                    points = np.concatenate(item.contours)
                elif isinstance(item, PlacedPrint):
                    continue
                else:
                    ink: Box = item.ink
                    points = np.array(
                        [(x, y) for x in (ink.left_mm, ink.right_mm) for y in (ink.bottom_mm, ink.top_mm)]
                    )
                assert (np.hypot(*(points - centre).T) >= 130.0 + 0.5 - 1e-6).all()


def test_pikepdf_is_the_one_that_is_meant() -> None:
    """The structure is written by pikepdf at the range that the project states."""
    assert pikepdf.__version__.split(".")[0] == "10"
