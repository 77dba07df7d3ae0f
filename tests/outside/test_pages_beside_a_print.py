"""Pages beside a print, opened by two readers that no one here wrote, and looked at in their pixels.

Sources: pikepdf (qpdf) for the file's structure, pypdfium2 for pixels and text; sizes are ISO 216 and the inch.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Sequence

import numpy as np
import pikepdf
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image

from studio.geometry.shapes import Box
from studio.model.blank import Blank, Hole
from studio.model.printer import Printer
from studio.pipeline.make import make
from studio.production.captions import caption_line
from studio.production.paperwork import (
    APPROVAL_PICTURE,
    PAGES,
    Paperwork,
    PaperworkMaker,
    paperwork_files,
    parse_paperwork,
)
from studio.sheets.page import Line, Page
from studio.sheets.pdf import pdf_bytes
from studio.sheets.pressing.approval_page import approval_of, proof_scale
from studio.sheets.pressing.hanging_page import hanging_pages
from studio.sheets.pressing.press_card_page import press_card_pages
from studio.sheets.pressing.steps import press_card
from studio.sheets.pressing.template_page import TemplateTile, template_pages
from studio.sheets.ruler_page import frame_corner, ruler_page
from studio.sheets.ruler_readings import tick_mm
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign
from tests import shared

MM_PER_INCH = 25.4
SURFACES = ("factory", "laminate", "film", "clear-coat", "painted", "bare")


@pytest.fixture(scope="module", name="catalogue")
def _catalogue() -> Catalogue:
    """What ships with the program."""
    return shared.catalogue()


@pytest.fixture(scope="module")
def maker(catalogue: Catalogue) -> PaperworkMaker:
    """The pages of one small sign with a look-alike letter in a script of its own."""
    values = {"blank": "round:8in", "artwork": "none", "dpi": "100", "also": ("arc-bottom=Мarlow Ill 10",)}
    assets = shared.assets()
    return PaperworkMaker(make(build_sign("Zoë & Łukasz", values, catalogue), assets), assets, catalogue)


def _words(pages: Sequence[Page]) -> list[str]:
    """Return the text of each page as pypdfium2 reads it, spaces made one."""
    document = pypdfium2.PdfDocument(pdf_bytes(pages, title="t"))
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def _window(pages: Sequence[Page], box: Box, dpi: float, number: int = 0) -> NDArray[np.uint8]:
    """Return the grey pixels of a box of a page, mm from its lower left corner, drawn by pypdfium2."""
    page = pypdfium2.PdfDocument(pdf_bytes(pages, title="t"))[number]
    wide, high = page.get_size()
    points = [edge / MM_PER_INCH * 72 for edge in (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)]
    crop = (points[0], points[1], wide - points[2], high - points[3])
    return np.asarray(page.render(scale=dpi / 72, crop=crop).to_pil().convert("L"))


@pytest.mark.parametrize("surface", SURFACES)
def test_press_cards_open_without_a_warning(catalogue: Catalogue, surface: str) -> None:
    """Each surface's card is one letter page that qpdf finds nothing wrong with, and reads with heat in both scales."""
    card = press_card(catalogue.press_figures(surface))
    pages = press_card_pages(card, catalogue.paper("letter"), caption_line)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pikepdf.open(io.BytesIO(pdf_bytes(pages, title="t"))) as pdf:
            assert pdf.check_pdf_syntax() == []
            assert [[float(edge) for edge in page.mediabox] for page in pdf.pages] == [[0, 0, 612, 792]]

    (text,) = _words(pages)
    assert "makers of press, ink, paper" in text
    for step in card.steps:
        assert step.title in text
        assert step.figures in text
    assert text.index("come first, wherever they differ") < text.index("Steps") < text.index(card.steps[0].title)


def test_the_same_card_twice_is_the_same_bytes(catalogue: Catalogue) -> None:
    """A page is the same file each time that it is made."""
    card = press_card(catalogue.press_figures("film"))
    one, other = (pdf_bytes(press_card_pages(card, catalogue.paper("a4"), caption_line), title="t") for _ in range(2))

    assert one == other


def test_the_ruler_frame_is_true_to_a_hundredth(catalogue: Catalogue) -> None:
    """The frame's ends and its last ticks stand where they should to 0.01 mm, drawn at 2540 dpi (0.01 mm a pixel)."""
    paper = catalogue.paper("letter")
    pages = (ruler_page(paper.width_mm, paper.height_mm, caption_line, printer="p", paper="letter"),)
    x, y = frame_corner(paper.width_mm, paper.height_mm)

    for tick in (0, 5, 10):
        wanted = x + tick_mm("across", tick)
        row = _window(pages, Box(wanted - 0.4, y - 1.7, wanted + 0.4, y - 1.2), 2540)
        assert _middle_mm(row.mean(axis=0)) + wanted - 0.4 == pytest.approx(wanted, abs=0.011)
        wanted = y + tick_mm("feed", tick)
        column = _window(pages, Box(x + 180 - 1.7, wanted - 0.4, x + 180 - 1.2, wanted + 0.4), 2540)
        assert wanted + 0.4 - _middle_mm(column.mean(axis=1)) == pytest.approx(wanted, abs=0.011)
    bar = _window(pages, Box(x - 0.6, y - 5, x + 0.6, y - 4), 2540).mean(axis=0)
    assert x - 0.6 + (np.flatnonzero(bar < 128)[-1] + 1) / 100 == pytest.approx(x, abs=0.011)


def _middle_mm(tones: NDArray[np.float64]) -> float:
    """Return where a dark line's middle lies along some pixels of 0.01 mm."""
    dark = np.flatnonzero(tones < 128)
    return float(dark[0] + dark[-1] + 1) / 200


def test_the_proof_page_is_sent_corrected(catalogue: Catalogue) -> None:
    """On the proof page the far end of the frame lies where the correction sends it, about the sheet's centre."""
    paper = catalogue.paper("letter")
    printer = Printer("p", scale_across=0.9965, scale_feed=1.0042, skew=0.0015)
    pages = (ruler_page(paper.width_mm, paper.height_mm, caption_line, printer="p", paper="letter", measured=printer),)
    x, y = frame_corner(paper.width_mm, paper.height_mm)
    far_x, far_y = x + 180 - paper.width_mm / 2, y - 1.5 - paper.height_mm / 2
    sent_y = far_y / 1.0042 + paper.height_mm / 2
    sent_x = far_x / 0.9965 - 0.0015 * far_y / 1.0042 + paper.width_mm / 2

    row = _window(pages, Box(sent_x - 0.4, sent_y - 0.02, sent_x + 0.4, sent_y + 0.02), 2540)
    assert _middle_mm(row.mean(axis=0)) + sent_x - 0.4 == pytest.approx(sent_x, abs=0.012)


@pytest.mark.parametrize("name", ["letter", "a4"])
def test_the_ruler_page_keeps_to_the_widest_margins(catalogue: Catalogue, name: str) -> None:
    """But for the ladders all of the ruler page lies inside 6.35, 12.7, 6.35 and 3.2 mm of a sheet's edges."""
    paper = catalogue.paper(name)
    page = ruler_page(paper.width_mm, paper.height_mm, caption_line, printer="p", paper=name)
    pixels = _window((page,), Box(0, 0, paper.width_mm, paper.height_mm), 100)
    px_per_mm = 100 / MM_PER_INCH
    middle_rows = slice(int(paper.height_mm * 0.3 * px_per_mm), int(paper.height_mm * 0.9 * px_per_mm))
    pixels = pixels.copy()
    pixels[middle_rows] = 255
    pixels[:, int(50 * px_per_mm) : int((paper.width_mm - 50) * px_per_mm)] = 255
    rows, columns = np.nonzero(pixels < 128)

    assert columns.min() / px_per_mm >= 6.35 and columns.max() / px_per_mm <= paper.width_mm - 6.35
    assert rows.min() / px_per_mm >= 3.2 and rows.max() / px_per_mm <= paper.height_mm - 12.7


def test_the_ladder_tells_the_margin(catalogue: Catalogue) -> None:
    """Line n of each ladder lies n mm from its edge, so that the first whole one is the printer's margin."""
    paper = catalogue.paper("letter")
    pages = (ruler_page(paper.width_mm, paper.height_mm, caption_line, printer="p", paper="letter"),)
    strip = _window(pages, Box(0, paper.height_mm / 2 - 80, 7.5, paper.height_mm / 2 + 20), 1270)
    dark = (strip < 128).sum(axis=0) / 50
    lines = [column / 50 for column in np.flatnonzero(dark > 4.4)]

    assert sorted({round(line) for line in lines}) == [1, 2, 3, 4, 5, 6, 7]
    assert all(abs(line - round(line)) <= 0.14 for line in lines)


def test_a_template_is_not_mirrored(catalogue: Catalogue) -> None:
    """A hole on the left of the blank is on the left of its template, as the sign is read, at its place to 0.02 mm."""
    blank = Blank("b", "rect", 160, 100, holes=(Hole(-50, 30, 8),))
    paper = catalogue.paper("letter")
    printable = Printer().field(paper)
    pages = template_pages(blank, [TemplateTile(Box(-80, -50, 80, 50))], paper, printable, caption_line)
    x = (printable.left_mm + printable.right_mm) / 2 - 50
    y = (printable.bottom_mm + printable.top_mm) / 2 + 30
    row = _window(pages, Box(x - 4.5, y + 0.5, x - 3.5, y + 0.6), 2540).mean(axis=0)
    wanted = x - np.sqrt(16 - 0.55**2)

    assert _middle_mm(row) + x - 4.5 == pytest.approx(wanted, abs=0.02)
    mirrored = _window(pages, Box(x + 96, y - 5, x + 104, y + 5), 300)
    assert (mirrored < 128).sum() == 0


def test_every_sheet_of_a_template_says_that_it_is_not_for_pressing(maker: PaperworkMaker) -> None:
    """A 12 in blank on letter paper takes several sheets; each says PLAIN PAPER, and 100 mm on it are 100 mm."""
    paper = maker.catalogue.paper("letter")
    tiles = [TemplateTile(Box(-155, -10, 155, 155), True), TemplateTile(Box(-155, -155, 155, 0), True)]
    blank = maker.catalogue.blank("round-12in-rope")
    pages = template_pages(blank, tiles, paper, Printer().field(paper), caption_line, about="Loon")

    texts = [" ".join(item.text for item in page.items if isinstance(item, Line)) for page in pages]
    assert len(texts) == 2
    assert all("PLAIN PAPER – NOT FOR PRESSING" in text and "100 mm: measure it." in text for text in texts)
    assert all("100 mm: measure it." in text for text in _words(pages))
    left = Printer().field(paper).left_mm + 3
    foot = _window(pages, Box(left - 1, 16.5, left + 101, 17.1), 254).mean(axis=0)
    ends = np.flatnonzero(foot < 200)
    assert (ends[-1] - ends[0] + 1) / 10 == pytest.approx(100.3, abs=0.11)  # from middle to middle of two lines of 0.3


def test_the_approval_says_all_that_is_approved(maker: PaperworkMaker) -> None:
    """The page holds the exact text, its spelling, look-alikes by name, size, surface, no white, yes and date."""
    pages = maker.pages("approval")
    text = " ".join(_words(pages))

    for words in (
        "Zoë & Łukasz",
        "Spelled: Z-o-ë",
        "Мarlow Ill 10",
        "'Мarlow' mixes Latin and Cyrillic letters",
        "“I” (U+0049 LATIN CAPITAL LETTER I) is capital i, not small L or digit one.",
        "“0” (U+0030 DIGIT ZERO) is digit zero, not capital o.",
        "203.2 x 203.2 mm (8.00 x 8.00 in)",
        "Surface: painted",
        "Dye has no white",
        "Yes, make it exactly like this.",
        "Date",
        "Not for pressing",
    ):
        assert words in text


def test_the_approval_is_small_enough_for_e_mail(catalogue: Catalogue) -> None:
    """With the default artwork both files stay under 1,000,000 bytes, and the PNG shows the page at 150 dpi."""
    assets = shared.assets()
    product = make(build_sign("Marlow & Tess", {"dpi": "72"}, catalogue), assets)
    wanted = parse_paperwork("approval")
    files, _ = paperwork_files(PaperworkMaker(product, assets, catalogue), wanted, title="t")

    assert len(files["approval"]) < 1_000_000
    assert len(files[APPROVAL_PICTURE]) < 1_000_000
    with Image.open(io.BytesIO(files[APPROVAL_PICTURE])) as picture:
        assert picture.size == (1275, 1650)  # 8.5 x 11 in at 150 dpi
        seen = np.asarray(picture.convert("L"), dtype=np.float64)
    page = pypdfium2.PdfDocument(files["approval"])[0].render(scale=150 / 72).to_pil().convert("L")
    drawn = np.asarray(page.resize((1275, 1650)), dtype=np.float64)
    assert np.abs(seen - drawn).mean() < 2.0


def test_the_proof_is_as_large_as_it_says(maker: PaperworkMaker) -> None:
    """The approval's proof is as wide as its stated scale says, to 0.3 mm."""
    paper = maker.catalogue.paper("letter")
    (page,) = maker.pages("approval")
    pixels = _window((page,), Box(0, 0, paper.width_mm, paper.height_mm), 254)
    rows = pixels[300:1000]
    widest = max(np.flatnonzero(row < 253)[-1] - np.flatnonzero(row < 253)[0] + 1 for row in rows if (row < 253).any())
    stated = re.search(r"Shown at (\d+) % of its true size, which is 203.2 x 203.2 mm", _words((page,))[0])

    assert stated is not None
    assert widest / 10 == pytest.approx(203.2 * int(stated[1]) / 100, abs=0.3)


def test_a_small_sign_is_approved_at_true_size(catalogue: Catalogue) -> None:
    """A 4 in round fits the page as it is, and the page says so."""
    assert proof_scale(101.6, 101.6, catalogue.paper("letter")) == 1.0
    assert approval_of(build_sign("Loon", {"blank": "round:4in"}, catalogue)).size.startswith("round, 101.6 x 101.6 mm")


@pytest.mark.parametrize("blank", ["round-10in", "round-12in-rope", "plaque-16x5in"])
def test_hanging_pages(catalogue: Catalogue, blank: str) -> None:
    """The hanging page names the hook's height and warns of beds, on one page."""
    (text,) = _words(hanging_pages(catalogue.blank(blank), catalogue.paper("a4"), caption_line))

    assert "1448 mm (57 in)" in text
    assert "Hang nothing heavy over a bed" in text


def test_one_file_joins_all_pages(maker: PaperworkMaker) -> None:
    """`one-file` gives one PDF of all pages; without it each kind is a file of its own."""
    apart, none = paperwork_files(maker, Paperwork(("card", "hanging")), title="t")
    joined, _ = paperwork_files(maker, Paperwork(("card", "hanging"), is_one_file=True), title="t")

    assert (sorted(apart), sorted(joined), none) == (["card", "hanging"], [PAGES], None)
    assert len(pypdfium2.PdfDocument(joined[PAGES])) == 2


def test_every_page_is_a_sound_pdf(maker: PaperworkMaker) -> None:
    """Every kind of page of a sign comes out as a PDF that qpdf finds nothing wrong with."""
    files, _ = paperwork_files(maker, parse_paperwork("all"), title="t")

    assert sorted(files) == ["approval", APPROVAL_PICTURE, "card", "hanging", "template"]
    for kind, data in files.items():
        if kind != APPROVAL_PICTURE:
            with pikepdf.open(io.BytesIO(data)) as pdf:
                assert pdf.check_pdf_syntax() == []


@pytest.mark.parametrize(
    "text",
    [
        "Zoë Łukasz",
        "مريم وليلى",
        "राम सीता",
        "The Extraordinarily Long Family Name of the Pikewater Lakeside Boat House Number Seventeen",
    ],
)
def test_the_text_comes_back_from_the_page(catalogue: Catalogue, text: str) -> None:
    """The exact text, never cut short, is read back from the approval page in every script."""
    assets = shared.assets()
    values = {"artwork": "none", "dpi": "72", "min_cap": "2mm", "layout": "box"}
    made = PaperworkMaker(make(build_sign(text, values, catalogue), assets), assets, catalogue)
    pages = made.pages("approval")

    assert len(pages) == 1
    assert text in _words(pages)[0]
