"""The pages that go with a run: an approval for each sign, and one press card, template and hanging page for each kind.

Invariant: they are drawn from the same orders and options as the run's signs, and written whole beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from pathlib import Path
from typing import Final

from studio.basics.errors import StudioError
from studio.model.sign import Sign
from studio.orders.order_list import OrderList
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.production.make_row import RowMaker
from studio.production.paperwork import APPROVAL_PICTURE, Paperwork, PaperworkMaker, paperwork_files
from studio.production.row_result import SOUND, RunRow
from studio.sheets.page import Page
from studio.sheets.pdf import pdf_bytes
from studio.sheets.sign_on_paper import Wish
from studio.storage.atomic_write import ready_folder, remove_stale_parts, write_whole
from studio.storage.catalogue import Catalogue

APPROVALS: Final = "approvals"
_FILES: Final = {"template": "templates.pdf", "card": "press-cards.pdf", "hanging": "hanging.pdf"}
_ALIKE: Final[dict[str, Callable[[Sign], Hashable]]] = {
    "template": lambda sign: sign.blank,
    "card": lambda sign: sign.surface.name,
    "hanging": lambda sign: sign.blank,
}
"""Kind of page -> what signs share that need only one of it."""


def check_run_pages(orders: OrderList, maker: RowMaker, wanted: Paperwork, catalogue: Catalogue) -> None:
    """Raise where a page cannot be made, before any row is.

    Raises:
        SettingsError: There are no press figures for the surface of a row.
    """
    if "card" not in wanted.kinds:
        return
    for surface in dict.fromkeys(sign.surface.name for sign in _readable(orders, maker)):
        catalogue.press_figures(surface)


def _readable(orders: OrderList, maker: RowMaker) -> Iterable[Sign]:
    """Yield the signs of rows whose options hold; the others are refused in the run itself."""
    for order in orders.rows:
        try:
            yield maker.sign_of(order)
        except StudioError:
            continue


def write_run_pages(
    rows: Iterable[RunRow],
    orders: OrderList,
    maker: RowMaker,
    catalogue: Catalogue,
    folder: Path,
    wanted: Paperwork,
    wish: Wish | None,
    *,
    overwrite: bool,
) -> tuple[Path, ...]:
    """Write the pages of a run, and return their files: approvals in a folder of their own, by the print's name.

    Args:
        rows: What became of the run's rows; only those that were made have pages.
        orders: The list.
        maker: Turns an order into a sign.
        catalogue: Where papers and press figures are.
        folder: The run's.
        wanted: Which kinds.
        wish: How the run's sheets were wanted, where they were.
        overwrite: Whether files that are there are replaced.

    Raises:
        StudioError: A page cannot be made, or a file cannot be written.
    """
    remove_stale_parts(folder / APPROVALS)
    by_row = {order.row: order for order in orders.rows}
    shared: dict[str, dict[Hashable, tuple[Page, ...]]] = {kind: {} for kind in wanted.kinds if kind in _FILES}
    written: list[Path] = []
    for row in rows:
        if row.state not in SOUND or row.print is None:
            continue
        sign = maker.sign_of(by_row[row.row])
        missing = [kind for kind, drawn in shared.items() if _ALIKE[kind](sign) not in drawn]
        if not missing and "approval" not in wanted.kinds:
            continue
        planned = plan(sign, maker.assets, remedies=False)
        product = make_planned(planned, maker.assets) if "template" in missing else Product(planned, None, None, "")
        pages = PaperworkMaker(product, maker.assets, catalogue, wish, is_for_all=True)
        for kind in missing:
            shared[kind][_ALIKE[kind](sign)] = pages.pages(kind)
        if "approval" in wanted.kinds:
            own = PaperworkMaker(product, maker.assets, catalogue, wish)
            files, _ = paperwork_files(own, Paperwork(("approval",)), title=f"Approval, {row.text}")
            stem = Path(row.print).stem
            ready_folder(folder / APPROVALS)
            for kind, ending in (("approval", "pdf"), (APPROVAL_PICTURE, "png")):
                target = folder / APPROVALS / f"{stem}.{ending}"
                write_whole(target, files[kind], overwrite=overwrite)
                written.append(target)
    for kind, drawn in shared.items():
        if drawn:
            target = folder / _FILES[kind]
            every = [page for pages_of_one in drawn.values() for page in pages_of_one]
            write_whole(target, pdf_bytes(every, title=target.stem), overwrite=overwrite)
            written.append(target)
    return tuple(written)
