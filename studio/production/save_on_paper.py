"""One sign made into a folder together with its sheets and the pages beside them.

Invariant: nothing that is there is replaced unless that was chosen; the report is written last and names every file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from studio.model.sign import Sign
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets
from studio.production.captions import caption_line
from studio.production.paperwork import Paperwork, PaperworkMaker, paperwork_files, paperwork_targets
from studio.production.save_sign import Instead, InTheWay, paths_instead, save_product, targets
from studio.production.sign_sheets import on_paper, sheet_name, sheets_for
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import SignSheets, sheets_of
from studio.storage.atomic_write import ready_folder
from studio.storage.catalogue import Catalogue
from studio.storage.write_errors import taken


@dataclass(frozen=True, slots=True, eq=False)
class SignForPaper:
    """A sign drawn, ready to be laid on any paper.

    Attributes:
        on_paper: What sheets need to know of it; what its seams would cut is worked out once.
    """

    product: Product
    on_paper: SignOnPaper

    @property
    def sign(self) -> Sign:
        """The sign as it was set."""
        return self.product.plan.sign


def sign_for_paper(sign: Sign, assets: Assets) -> SignForPaper | None:
    """Return a sign drawn for paper; `None` where it is refused.

    Raises:
        StudioError: It cannot be fitted or drawn, or its print's background is transparent.
    """
    planned = plan(sign, assets, remedies=False)
    if planned.status == "refused":
        return None
    product = make_planned(planned, assets)
    known = on_paper(product)
    costs = known.costs()
    held = SignOnPaper(
        known.name, known.order, known.rim, known.bleed_mm, known.trim_mm, known.picture, known.ink, lambda: costs
    )
    return SignForPaper(product, held)


def lay(ready: SignForPaper, wish: Wish) -> SignSheets:
    """Return a sign's sheets.

    Raises:
        SettingsError: The paper is too small, or the seams wanted do not do.
    """
    return sheets_of(ready.on_paper, wish, caption_line)


@dataclass(frozen=True, slots=True, eq=False)
class PagesMade:
    """What goes on paper with a sign's print.

    Attributes:
        sheets: Its sheets, where they are wanted.
        pdf: Their PDF, with the pages that stand in it.
        beside: The other pages' files, by kind.
    """

    sheets: SignSheets | None = None
    pdf: bytes | None = None
    beside: Mapping[str, bytes] = field(default_factory=dict)


def pages_made(
    product: Product, wish: Wish | None, wanted: Paperwork, assets: Assets, catalogue: Catalogue
) -> PagesMade:
    """Return the sheets and pages of a sign that was made; none of a refused one.

    Raises:
        StudioError: The paper is too small, the seams do not do, or a page cannot be made.
    """
    if product.print is None:
        return PagesMade()
    return _with_pages(product, None if wish is None else sheets_for(product, wish), wish, wanted, assets, catalogue)


def _with_pages(
    product: Product,
    sheets: SignSheets | None,
    wish: Wish | None,
    wanted: Paperwork,
    assets: Assets,
    catalogue: Catalogue,
) -> PagesMade:
    maker = PaperworkMaker(product, assets, catalogue, wish, None if sheets is None else sheets.tiling)
    pages, title = ((), sheet_name(product.plan.sign)) if sheets is None else (sheets.pages, sheets.title)
    beside, pdf = paperwork_files(maker, wanted, pages, title=title)
    return PagesMade(sheets, pdf, beside)


def paths_on_paper(folder: Path, stem: str, wanted: Paperwork, *, has_sheets: bool) -> dict[str, Path]:
    """Return where the files of a sign go, by kind, its sheets and pages among them."""
    return targets(folder, stem, sheets=has_sheets) | paperwork_targets(folder, stem, wanted, has_sheets=has_sheets)


def free_paths(folder: Path, text: str, wanted: Paperwork, *, has_sheets: bool, overwrite: bool) -> dict[str, Path]:
    """Return where the files of a sign of this text go, its folder made.

    Raises:
        OutputError: One of them is there and may not be replaced, or the folder cannot be written.
    """
    instead: Instead = "replace" if overwrite else "ask"
    paths = paths_instead(text, lambda stem: paths_on_paper(folder, stem, wanted, has_sheets=has_sheets), instead)
    if isinstance(paths, InTheWay):
        raise taken(paths.files[0])
    ready_folder(folder)
    return paths


def save_on_paper(
    ready: SignForPaper,
    wish: Wish,
    wanted: Paperwork,
    assets: Assets,
    catalogue: Catalogue,
    folder: Path,
    *,
    instead: Instead,
) -> Mapping[str, Path] | InTheWay:
    """Write a sign's files, its sheets and its pages, and return them by kind.

    Args:
        ready: The sign.
        wish: How its sheets are wanted.
        wanted: The pages beside them; of no kind for none.
        assets: Where faces and pictures come from.
        catalogue: Where press figures are.
        folder: Where they go; made when missing.
        instead: What to do about files of the same name.

    Raises:
        StudioError: A page cannot be made, or a file cannot be written.
    """
    text = ready.sign.letterings[0].text
    paths = paths_instead(text, lambda stem: paths_on_paper(folder, stem, wanted, has_sheets=True), instead)
    if isinstance(paths, InTheWay):
        return paths
    made = _with_pages(ready.product, lay(ready, wish), wish, wanted, assets, catalogue)
    ready_folder(folder)
    return save_product(
        ready.product,
        paths,
        papers=catalogue.papers,
        overwrite=instead == "replace",
        sheets=made.pdf,
        beside=made.beside,
    )
