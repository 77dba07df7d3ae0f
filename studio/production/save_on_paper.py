"""One sign made into a folder together with its sheets and the pages beside them.

Invariant: nothing that is there is replaced unless that was chosen; the report is written last and names every file.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from studio.basics.errors import StudioError
from studio.model.sign import Sign
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets
from studio.production.captions import caption_line
from studio.production.file_names import single_stem
from studio.production.paperwork import Paperwork, PaperworkMaker, paperwork_files, paperwork_targets
from studio.production.save_sign import Instead, InTheWay, save_product, targets
from studio.production.sign_sheets import on_paper
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import SignSheets, sheets_of
from studio.storage.atomic_write import ready_folder
from studio.storage.catalogue import Catalogue

_MOST_COPIES = 999


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
    stem = single_stem(ready.sign.letterings[0].text.replace("\n", " "))

    def paths_for(name: str) -> dict[str, Path]:
        return targets(folder, name, sheets=True) | paperwork_targets(folder, name, wanted, has_sheets=True)

    there = tuple(path for path in paths_for(stem).values() if os.path.lexists(path))
    if there and instead == "ask":
        return InTheWay(there)
    if there and instead == "keep-both":
        stem = next(
            (
                f"{stem}-{number}"
                for number in range(2, _MOST_COPIES + 1)
                if not any(os.path.lexists(path) for path in paths_for(f"{stem}-{number}").values())
            ),
            "",
        )
        if not stem:
            raise StudioError(f"{folder} holds {_MOST_COPIES} signs of that name.", advice="Choose another folder.")
    sheets = lay(ready, wish)
    maker = PaperworkMaker(ready.product, assets, catalogue, wish, sheets.tiling)
    beside, pdf = paperwork_files(maker, wanted, sheets.pages, title=sheets.title)
    ready_folder(folder)
    return save_product(
        ready.product,
        paths_for(stem),
        papers=catalogue.papers,
        overwrite=instead == "replace",
        sheets=pdf,
        beside=beside,
    )
