"""Sheets joined as a maker joins them: by the marks found on the pages that pdfium shows, held against the print."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.geometry.shapes import Box
from studio.pipeline.make import Product, make
from studio.production.sign_sheets import SheetOptions, sheets_for, sheets_pdf, wish_of
from studio.sheets.page import Page, PlacedPrint
from studio.sheets.sign_sheets import SignSheets
from studio.sheets.tiling import Seam
from studio.storage.sign_builder import build_sign
from tests.outside.pdf_reading import pdfium_pixels
from tests.shared import assets, catalogue

_DPI = 100
_PX_MM = 25.4 / _DPI
_FARTHEST_PX = 9

_TEXTS = ("Marlow & Tess", "Nora", "Wilhelmina", "Zoë Łukasz", "Cabin 12", "محمد علي")
_SIGNS = (
    {"blank": "round-10in"},
    {"blank": "round-10in", "artwork": "canoe-dawn"},
    {"blank": "round-12in", "artwork": "loon-lake"},
    {"blank": "rect:24inx8in", "artwork": "none", "face": "Nunito"},
    {"blank": "oval:12inx8in", "artwork": "fern-berries", "artwork_fit": "cover"},
)
CASES = [(text, values) for values, text in itertools.product(_SIGNS, _TEXTS)][::2]
assert len(CASES) == 15


@dataclass(frozen=True)
class _Sheet:
    """A page as a hand turns it upright, moved by a hand that is not exact; and where the print's corner should lie."""

    pixels: NDArray[np.uint8]
    left_px: int
    top_px: int


def _in_hand(page: Page, pixels: NDArray[np.uint8], slip: tuple[int, int]) -> _Sheet:
    placed = next(item for item in page.items if isinstance(item, PlacedPrint))
    left, top = placed.left_px, placed.top_px
    if placed.quarter_turns % 2:  # turned back, clockwise: the page's lower edge comes to lie at the left
        pixels = np.rot90(pixels, -1)
        left, top = pixels.shape[1] - (placed.top_px + placed.picture.width_px), placed.left_px
    return _Sheet(np.roll(pixels, slip, axis=(0, 1)), left, top)


def _patch(sheet: _Sheet, box: Box, size: tuple[int, int], moved: tuple[int, int] = (0, 0)) -> NDArray[np.int64]:
    """Return the pixels of a box of the print's frame on a sheet that is thought to be moved."""
    rows, columns = size
    left = round(columns / 2 + box.left_mm / _PX_MM) + sheet.left_px + moved[1]
    top = round(rows / 2 - box.top_mm / _PX_MM) + sheet.top_px + moved[0]
    high, wide = round(box.height_mm / _PX_MM), round(box.width_mm / _PX_MM)
    return sheet.pixels[max(0, top) : top + high, max(0, left) : left + wide].astype(np.int64)


def _end_boxes(seam: Seam) -> list[Box]:
    """Return boxes about the marks at a seam's open ends."""
    boxes = []
    for end, way, is_open in ((seam.start_mm, -1, seam.is_open[0]), (seam.end_mm, 1, seam.is_open[1])):
        low, high = sorted((end + way * 1.2, end + way * 7.4))
        if is_open and seam.is_upright:
            boxes.append(Box(seam.at_mm - 1.5, low, seam.at_mm + 1.5, high))
        elif is_open:
            boxes.append(Box(low, seam.at_mm - 1.5, high, seam.at_mm + 1.5))
    return boxes


def _slip_between(one: _Sheet, other: _Sheet, seam: Seam, size: tuple[int, int]) -> tuple[int, int]:
    """Return how far a sheet lies from where its marks at a seam meet those of another, by the marks' pixels alone."""
    wanted = [_patch(one, box, size) for box in _end_boxes(seam)]
    errors = {}
    span = range(-_FARTHEST_PX, _FARTHEST_PX + 1)
    for moved in itertools.product(span, span):
        found = [_patch(other, box, size, moved) for box in _end_boxes(seam)]
        if all(a.shape == b.shape for a, b in zip(found, wanted, strict=True)):
            errors[moved] = sum(int(np.abs(a - b).sum()) for a, b in zip(found, wanted, strict=True))
    best = min(errors, key=lambda moved: (errors[moved], moved))
    assert sum(int((255 - patch).sum()) for patch in wanted) > 0, "there are no marks at the seam"
    assert sorted(errors.values())[1] > errors[best], "the marks fit in more than one place"
    return best


def _made(text: str, values: dict[str, str]) -> tuple[Product, SignSheets, bytes]:
    sign = build_sign(text, {"dpi": str(_DPI), **values}, catalogue())
    product = make(sign, assets(), remedies=False)
    wish = wish_of(SheetOptions(paper="letter"), catalogue())
    assert wish is not None and product.print is not None
    sheets = sheets_for(product, wish)
    return product, sheets, sheets_pdf(sheets.pages, sheets.title)


_PARAMETERS = [
    pytest.param(
        text,
        values,
        id=f"{text}-{values['blank']}-{values.get('artwork', 'pine-ring')}",
        marks=() if index % 4 == 0 else pytest.mark.slow,
    )
    for index, (text, values) in enumerate(CASES)
]


@pytest.mark.parametrize(("text", "values"), _PARAMETERS)
def test_joined_sheets_are_the_print(text: str, values: dict[str, str]) -> None:
    """Sheets laid together by their marks alone show every pixel of the print over blank plus bleed."""
    product, sheets, data = _made(text, values)
    assert product.print is not None and sheets.tiling is not None
    print_pixels = product.print.pixels()
    size = print_pixels.shape[:2]
    slips = {number: (3 * number - 5, 4 - 2 * number) if number > 1 else (0, 0) for number in range(1, 10)}
    held = {
        tile.number: _in_hand(
            sheets.pages[tile.number - 1],
            pdfium_pixels(data, tile.number - 1, (_DPI * 17 // 2, _DPI * 11)),
            slips[tile.number],
        )
        for tile in sheets.tiling.tiles
    }
    joined = np.zeros_like(print_pixels)
    told = np.zeros(size, dtype=np.int64)
    moved = {1: (0, 0)}
    waiting = list(sheets.tiling.seams) * 3
    for seam in waiting:
        known = [number for number in seam.sheets if number in moved]
        for number in seam.sheets:
            if known and number not in moved and any(seam.is_open):
                first = held[known[0]]
                shifted = _Sheet(
                    np.roll(first.pixels, (-moved[known[0]][0], -moved[known[0]][1]), axis=(0, 1)),
                    first.left_px,
                    first.top_px,
                )
                ends = [
                    box for box in _end_boxes(seam) if _is_on(sheets, known[0], box) and _is_on(sheets, number, box)
                ]
                if ends:
                    moved[number] = _slip_between(shifted, held[number], _only(seam, ends), size)
    assert set(moved) == set(held)
    assert all(moved[number] == slips[number] for number in held), "the marks lead to other places than the sheets' own"
    y = (size[0] / 2 - 0.5 - np.arange(size[0])) * _PX_MM
    x = (np.arange(size[1]) + 0.5 - size[1] / 2) * _PX_MM
    for tile in sheets.tiling.tiles:
        rows = np.flatnonzero((y >= tile.kept.bottom_mm) & (y < tile.kept.top_mm))
        columns = np.flatnonzero((x >= tile.kept.left_mm) & (x < tile.kept.right_mm))
        sheet = held[tile.number]
        top, left = sheet.top_px + moved[tile.number][0], sheet.left_px + moved[tile.number][1]
        inside = np.ix_(rows, columns)
        joined[inside] = sheet.pixels[np.ix_(rows + top, columns + left)]
        told[inside] += 1
    sign = product.plan.sign
    points = np.stack(np.meshgrid(x, y), axis=-1)
    within = sign.blank.rim.depth_mm(points) >= -sign.bleed_mm
    assert (told[within] == 1).all()
    assert int((joined != print_pixels).any(axis=2)[within].sum()) == 0


def _is_on(sheets: SignSheets, number: int, box: Box) -> bool:
    """Tell whether a sheet's own piece reaches to a seam's end."""
    assert sheets.tiling is not None
    kept = sheets.tiling.tiles[number - 1].kept
    x, y = box.centre_mm
    return kept.left_mm - 12 <= x <= kept.right_mm + 12 and kept.bottom_mm - 12 <= y <= kept.top_mm + 12


def _only(seam: Seam, ends: list[Box]) -> Seam:
    """Return a seam open only at the ends that both sheets reach."""
    every = iter(_end_boxes(seam))
    kept = tuple(is_open and next(every) in ends for is_open in seam.is_open)
    return Seam(seam.letter, seam.is_upright, seam.at_mm, seam.start_mm, seam.end_mm, kept, seam.sheets, seam.cost)
