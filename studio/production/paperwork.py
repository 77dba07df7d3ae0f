"""Pages beside a print: placement template, press card, approval and hanging, each as a file of its own or in one PDF.

Invariant: a page of its own file goes on plain paper; in one PDF with the sheets it stands after them.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image

from studio.basics.errors import SettingsError
from studio.basics.units import spoken_size
from studio.geometry.shapes import Box
from studio.model.options import nearest
from studio.model.paper import Paper
from studio.model.printer import Printer
from studio.model.sign import Sign
from studio.pipeline.cache import proof_base_for
from studio.pipeline.make import Product
from studio.pipeline.types import Assets
from studio.production.captions import caption_line
from studio.production.sign_sheets import on_paper, sheet_name
from studio.sheets.page import Page
from studio.sheets.pdf import pdf_bytes
from studio.sheets.pressing.approval_page import approval_of, approval_pages, proof_px
from studio.sheets.pressing.hanging_page import hanging_pages
from studio.sheets.pressing.page_picture import E_MAIL_DPI, pages_pixels
from studio.sheets.pressing.press_card_page import press_card_pages
from studio.sheets.pressing.steps import press_card
from studio.sheets.pressing.template_page import TemplateTile, template_pages, tile_of_print
from studio.sheets.sign_on_paper import Wish
from studio.sheets.tiling import Job, Tiling, tiling_of
from studio.storage.catalogue import Catalogue

KINDS: Final = ("template", "card", "approval", "hanging")
ONE_FILE: Final = "one-file"
APPROVAL_PICTURE: Final = "approval-picture"
PAGES: Final = "pages"
_ALL: Final = "all"
_ENDINGS: Final = {
    "template": "template.pdf",
    "card": "press-card.pdf",
    "approval": "approval.pdf",
    "hanging": "hanging.pdf",
    APPROVAL_PICTURE: "approval.png",
    PAGES: "pages.pdf",
}
_NARROWEST_MM: Final = 148.0
"""Paper for words is at least as wide as A5; anything narrower, and any roll, gives way to letter."""


@dataclass(frozen=True, slots=True)
class Paperwork:
    """What is printed beside a sign.

    Attributes:
        kinds: Of `KINDS`, in their order.
        is_one_file: Whether the pages stand in one PDF with the sheets.
    """

    kinds: tuple[str, ...] = ()
    is_one_file: bool = False


def parse_paperwork(text: str) -> Paperwork:
    """Return what `template,card` and its like ask for; `all` is every kind, `one-file` joins them to the sheets.

    Raises:
        SettingsError: A word is not known, or no kind is named.
    """
    words = [word.strip().lower() for word in text.split(",") if word.strip()]
    known = (*KINDS, _ALL, ONE_FILE)
    for word in words:
        if word not in known:
            hint = nearest(word, known, listed=f"known are {', '.join(known)}")
            raise SettingsError(
                f"{word[:40]!r} is not a page{hint}", advice="Write it like template,card.", option="with"
            )
    kinds = KINDS if _ALL in words else tuple(kind for kind in KINDS if kind in words)
    if not kinds:
        raise SettingsError("No page is named.", advice=f"Name some of {', '.join(KINDS)}, or all.", option="with")
    return Paperwork(kinds, ONE_FILE in words)


def pages_wanted(text: str | None, sign: Sign, catalogue: Catalogue) -> Paperwork:
    """Return the pages that were asked for beside a sign; of no kind where nothing was said.

    Raises:
        SettingsError: A word is not known, no kind is named, or there are no press figures for the sign's surface.
    """
    wanted = Paperwork() if text is None else parse_paperwork(text)
    check_paperwork(sign, wanted, catalogue)
    return wanted


def paperwork_targets(folder: Path, stem: str, wanted: Paperwork, *, has_sheets: bool) -> dict[str, Path]:
    """Return the files of a sign's pages, by kind."""
    kinds = [PAGES] if wanted.is_one_file and not has_sheets else []
    kinds += [] if wanted.is_one_file else list(wanted.kinds)
    kinds += [APPROVAL_PICTURE] if "approval" in wanted.kinds else []
    return {kind: folder / f"{stem}-{_ENDINGS[kind]}" for kind in kinds}


def check_paperwork(sign: Sign, wanted: Paperwork, catalogue: Catalogue) -> None:
    """Raise where a page cannot be made, before anything is.

    Raises:
        SettingsError: There are no press figures for the sign's surface.
    """
    if "card" in wanted.kinds:
        catalogue.press_figures(sign.surface.name)


@dataclass(frozen=True, slots=True, eq=False)
class PaperworkMaker:
    """Draws the pages of one sign.

    Attributes:
        product: The sign as made, not refused.
        wish: How its sheets are wanted, where they are.
        tiling: How its sheets part it; `None` on a single one, or without sheets.
        is_for_all: Whether the page holds for all signs of its kind, so that none is named on it.
    """

    product: Product
    assets: Assets
    catalogue: Catalogue
    wish: Wish | None = None
    tiling: Tiling | None = None
    is_for_all: bool = False

    @property
    def sign(self) -> Sign:
        """The sign as it was set."""
        return self.product.plan.sign

    @property
    def paper(self) -> Paper:
        """The paper of the pages: that of the sheets, letter where that is a roll, too narrow, or not said."""
        if self.wish is None or self.wish.paper.is_roll or self.wish.paper.width_mm < _NARROWEST_MM:
            return self.catalogue.paper("letter")
        return self.wish.paper

    @property
    def about(self) -> str:
        """The sign in a line."""
        sign = self.sign
        size = spoken_size(sign.blank.width_mm, sign.blank.height_mm)
        if self.is_for_all:
            return f"{sign.blank.name}, {size}, {sign.surface.name}"
        order = f"{sign.order}: " if sign.order else ""
        return f"{order}{sheet_name(sign)}, {size}, {sign.surface.name}"

    def pages(self, kind: str) -> tuple[Page, ...]:
        """Return the pages of one kind."""
        sign, paper = self.sign, self.paper
        if kind == "card":
            card = press_card(self.catalogue.press_figures(sign.surface.name))
            return press_card_pages(card, paper, caption_line, about=self.about)
        if kind == "hanging":
            return hanging_pages(sign.blank, paper, caption_line, about=self.about)
        if kind == "approval":
            planned = self.product.plan
            approval = approval_of(sign, spelled=planned.spelled, confused=planned.confused)
            longer_px = proof_px(sign.blank.width_mm, sign.blank.height_mm, paper)
            proof = proof_base_for(sign.as_pressed, self.assets, longer_px).pixels_of(planned.placement)
            return approval_pages(sign, approval, proof, paper, caption_line)
        return self._template()

    def _template(self) -> tuple[Page, ...]:
        """Return the template, tiled like the sign's sheets; on plain paper it is one sheet where the blank fits."""
        paper = self.paper
        printer = self.wish.printer if self.wish is not None else Printer()
        printable = printer.field(paper)
        tiles = self._tiles(printable, printer, is_same_paper=self.wish is not None and self.wish.paper == paper)
        correction = printer.correction
        return template_pages(
            self.sign.blank, tiles, paper, printable, caption_line, about=self.about, correction=correction
        )

    def _tiles(self, printable: Box, printer: Printer, *, is_same_paper: bool) -> Sequence[TemplateTile]:
        blank = self.sign.blank
        wide, high = blank.width_mm / 2, blank.height_mm / 2
        if self.tiling is not None and is_same_paper:
            tiling = self.tiling
        else:
            for is_turned in (False, True):
                across, along = (high, wide) if is_turned else (wide, high)
                if 2 * across <= printable.width_mm and 2 * along <= printable.height_mm:
                    return (TemplateTile(Box(-wide, -high, wide, high), is_turned),)
            job = Job(blank.rim, 0.0, printable.width_mm, printable.height_mm, printer.is_measured)
            tiling = tiling_of(job, on_paper(self.product).costs())
        return [tile_of_print(tile.printed, is_turned=tile.is_turned) for tile in tiling.tiles]


def paperwork_files(
    maker: PaperworkMaker, wanted: Paperwork, sheets: Sequence[Page] = (), *, title: str
) -> tuple[dict[str, bytes], bytes | None]:
    """Return the bytes of a sign's pages by kind, and the PDF of its sheets with the pages that stand in it.

    Args:
        maker: Draws them.
        wanted: What is wanted.
        sheets: The sign's sheets; empty where none are wanted.
        title: Of the PDF.
    """
    drawn = {kind: maker.pages(kind) for kind in wanted.kinds}
    files: dict[str, bytes] = {}
    joined = [page for kind in wanted.kinds for page in drawn[kind]] if wanted.is_one_file else []
    if wanted.is_one_file and not sheets:
        files[PAGES] = pdf_bytes(joined, title=title)
    elif not wanted.is_one_file:
        files |= {kind: pdf_bytes(pages, title=f"{title}, {kind}") for kind, pages in drawn.items()}
    if "approval" in drawn:
        files[APPROVAL_PICTURE] = _picture(drawn["approval"])
    return files, pdf_bytes([*sheets, *joined], title=title) if sheets else None


def _picture(pages: Sequence[Page]) -> bytes:
    held = io.BytesIO()
    image = Image.fromarray(pages_pixels(pages))
    image.save(held, "PNG", optimize=True, dpi=(E_MAIL_DPI, E_MAIL_DPI))
    return held.getvalue()


def paperwork_told(files: Mapping[str, bytes], wanted: Paperwork) -> tuple[str, ...]:
    """Return what to know about the pages that were written."""
    if not files:
        return ()
    lines = []
    if "template" in wanted.kinds:
        lines.append("Template: print it on plain paper; never press it.")
    if wanted.is_one_file:
        lines.append("The pages stand in one PDF: print the sheets alone on transfer paper, the rest on plain paper.")
    if "approval" in wanted.kinds:
        size_kb = (len(files[APPROVAL_PICTURE]) + 999) // 1000
        lines.append(f"Approval: the PNG has {size_kb} kB, small enough for e-mail; wait for the customer's yes.")
    return tuple(lines)
