"""Shared sheets as pdfium shows them: every small sign's pixels, cut to its own outline, nothing of its neighbours'."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from studio.pipeline.make import make
from studio.production.captions import caption_line
from studio.production.sign_sheets import SheetOptions, on_paper, sheets_pdf, wish_of
from studio.sheets.gang import GangSign
from studio.sheets.gang_sheets import GangSheets, gang_sheets
from studio.sheets.page import PlacedPrint
from studio.storage.sign_builder import build_sign
from tests.outside.pdf_reading import image_streams, opened, pdfium_pixels, pdfium_text
from tests.shared import assets, catalogue

_DPI = 150
_SIZE = (1275, 1650)
_BLANKS = ("round:3in", "oval:4inx2.5in", "rect:4inx2in:4mm", "round:2.5in", "rect:2inx4in")
_NAMES = ("Marlow", "Nora", "Zoë Łukasz", "Tess", "Bram", "محمد علي", "Cabin 7")


@lru_cache(maxsize=2)
def _shared(paper: str) -> tuple[list[GangSign], list[np.ndarray], GangSheets, bytes]:
    wish = wish_of(SheetOptions(paper=paper), catalogue())
    assert wish is not None
    signs, pixels = [], []
    for number, name in enumerate(_NAMES):
        options = {"blank": _BLANKS[number % len(_BLANKS)], "artwork": "pine-ring", "artwork_fit": "cover"}
        options |= {"dpi": str(_DPI), "min_cap": "1mm"}
        product = make(build_sign(name, options, catalogue()), assets(), remedies=False)
        assert product.print is not None
        known = on_paper(product)
        count = 2 if number == 0 else 1
        signs.append(GangSign(known.name, f"PW-{number}", known.rim, known.bleed_mm, known.picture, count))
        pixels.append(product.print.pixels())
    shared = gang_sheets(signs, wish, caption_line)
    return signs, pixels, shared, sheets_pdf(shared.pages, "Signs")


def test_every_sign_shows_its_very_pixels() -> None:
    """Within its own blank plus bleed each sign is the print's pixels, upright or turned."""
    signs, pixels, shared, data = _shared("letter")
    looked_at = 0
    for number, page in enumerate(shared.pages):
        seen = pdfium_pixels(data, number, _SIZE)
        prints = [item for item in page.items if isinstance(item, PlacedPrint)]
        here = [place for place in shared.places if place.sheet == number + 1]
        assert len(prints) == len(here)
        for placed, place in zip(prints, here, strict=True):
            sign, whole = signs[place.sign], pixels[place.sign]
            rows, columns = whole.shape[:2]
            x = (np.arange(columns) + 0.5 - columns / 2) * 25.4 / _DPI
            y = (rows / 2 - 0.5 - np.arange(rows)) * 25.4 / _DPI
            depth = sign.rim.depth_mm(np.stack(np.meshgrid(x, y), axis=-1))
            within = np.rot90(depth >= -sign.bleed_mm, placed.quarter_turns)
            wanted = np.rot90(whole, placed.quarter_turns)
            high, wide = wanted.shape[:2]
            top, left = placed.top_px, placed.left_px
            cut = np.full_like(wanted, 255)
            y0, x0 = max(0, top), max(0, left)
            part = seen[y0 : top + high, x0 : left + wide]
            cut[y0 - top : y0 - top + part.shape[0], x0 - left : x0 - left + part.shape[1]] = part
            assert int((cut != wanted).any(axis=2)[within].sum()) == 0
            looked_at += int(within.sum())
    assert looked_at > 500_000


def test_each_print_stands_in_the_file_once() -> None:
    """A sign that is wanted twice is one picture in the file, its packed bytes as they are."""
    signs, _, shared, data = _shared("letter")

    streams = image_streams(opened(data))

    assert sorted(map(len, streams)) == sorted(len(sign.picture.packed()) for sign in signs)
    assert {bytes(stream) for stream in streams} == {sign.picture.packed() for sign in signs}
    assert len(shared.places) == len(signs) + 1


def test_the_foot_says_what_is_on_the_sheet() -> None:
    """Every sign's number, name and order can be copied from the foot of its sheet."""
    signs, _, shared, data = _shared("letter")
    for number in range(len(shared.pages)):
        text = " ".join(pdfium_text(data, number).split())
        assert f"sheet {number + 1} of {len(shared.pages)}" in text
        for place in shared.places:
            if place.sheet == number + 1:
                assert signs[place.sign].name in text
                assert signs[place.sign].order in text


def test_no_page_box_tells_of_one_blank() -> None:
    """Shared sheets have neither trim nor bleed box, since no one blank is meant. Source: ISO 32000-1, 14.11.2."""
    _, _, _, data = _shared("letter")
    pdf = opened(data)

    assert all("/TrimBox" not in page.obj and "/BleedBox" not in page.obj for page in pdf.pages)


@pytest.mark.parametrize("paper", ["roll:17in"])
def test_a_roll_is_as_long_as_what_stands_on_it(paper: str) -> None:
    """On a roll all signs stand on one page of the roll's width, no longer than they and their words need."""
    signs, _, shared, data = _shared(paper)
    pdf = opened(data)
    box = [float(side) for side in pdf.pages[0].mediabox]

    assert len(shared.pages) == 1
    assert box[2] == pytest.approx(17 * 72)
    assert box[3] < 72 * 17
    assert len(shared.places) == len(signs) + 1
