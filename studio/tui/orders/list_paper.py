"""What a list is laid out on once it is made: the paper of its sheets, and the pages that go with it.

Invariant: whatever would refuse the sheets is found out before the first sign is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.basics.errors import StudioError
from studio.tui.editor.fields import Field

if TYPE_CHECKING:
    from studio.model.sign import Sign
    from studio.orders.order_list import OrderList
    from studio.orders.order_row import OrderRow
    from studio.production.paperwork import Paperwork
    from studio.production.row_result import RunRow
    from studio.production.sign_source import ShopMaker, ShopMakerSetup
    from studio.sheets.sign_on_paper import Wish
    from studio.storage.catalogue import Catalogue

NO_SHEETS: Final = "no sheets"
USUAL_PAPER: Final = "letter"
_PAGES: Final = {
    "none": "",
    "press card": "card",
    "template and card": "template,card",
    "approvals": "approval",
    "all": "template,card,approval,hanging",
}
"""What can be chosen of pages -> their kinds."""
PAPER: Final = Field("list_paper", "Sheets", "choice", "The paper that the list is laid out on, in a PDF at true size.")
PAGES: Final = Field(
    "list_pages", "Pages", "choice", "What is written beside the sheets, for plain paper.", tuple(_PAGES)
)


def paper_names(catalogue: Catalogue) -> tuple[str, ...]:
    """Return what can be chosen as the paper of a list, the papers that printers hold before the others."""
    names = [paper.name for paper in catalogue.papers]
    first = [printer.paper for printer in catalogue.printers if printer.paper in names]
    return (NO_SHEETS, *dict.fromkeys((*first, USUAL_PAPER, *names)))


def wish_for(paper: str, catalogue: Catalogue) -> Wish | None:
    """Return how a list's sheets are wanted, on the printer of the settings that holds this paper; `None` for none.

    Raises:
        SettingsError: There is no such paper.
    """
    if paper in ("", NO_SHEETS):
        return None
    from studio.production.sign_sheets import SheetOptions, wish_of

    printer = next((one.name for one in catalogue.printers if one.paper == paper), "")
    return wish_of(SheetOptions(paper=paper, printer=printer), catalogue)


def signs_of(rows: Iterable[OrderRow], maker: ShopMaker) -> Iterator[tuple[Sign, int]]:
    """Yield the signs of rows with their pieces; rows that cannot be one tell themselves what is wrong with them."""
    for row in rows:
        with suppress(StudioError):
            yield maker.sign_of(row), row.quantity


class ListPaper:
    """The sheets and pages of one run of a list."""

    def __init__(self, paper: str, pages: str, catalogue: Catalogue) -> None:
        """Set up. Raises SettingsError when there is no such paper.

        Args:
            paper: The paper's name, or `NO_SHEETS`.
            pages: What was chosen of pages.
            catalogue: Where papers, printers and press figures are.
        """
        self._catalogue = catalogue
        self._wish = wish_for(paper, catalogue)
        self._kinds = _PAGES.get(pages, "")

    def check(self, orders: OrderList, rows: Sequence[OrderRow], setup: ShopMakerSetup) -> None:
        """Raise StudioError where a sign does not go on the paper, or a page cannot be made."""
        if self._wish is None and not self._kinds:
            return
        from studio.production.run_pages import check_run_pages
        from studio.production.sheet_count import sheets_needed

        maker = setup()
        if self._kinds:
            check_run_pages(orders, maker, self._wanted(), self._catalogue)
        if self._wish is None:
            return
        sheets_needed(signs_of(rows, maker), self._wish)

    def write(self, rows: Sequence[RunRow], orders: OrderList, setup: ShopMakerSetup, folder: Path) -> str:
        """Lay out what was made, and tell what was written in a sentence; empty where nothing was wanted."""
        if self._wish is None and not self._kinds:
            return ""
        from studio.production.run_pages import write_run_pages
        from studio.production.run_sheets import lay_run

        maker, written, placed = setup(), [], rows
        if self._wish is not None:
            laid = lay_run(rows, orders, maker, folder, self._wish)
            if laid is None:
                return ""
            placed = laid.rows
            many = f"{laid.pages} sheet{'' if laid.pages == 1 else 's'}"
            written.append(f"{many} of {self._wish.paper.told} in {laid.file.name}")
        if self._kinds:
            files = write_run_pages(
                placed, orders, maker, self._catalogue, folder, self._wanted(), self._wish, overwrite=True
            )
            names = dict.fromkeys(file.name if file.parent == folder else file.parent.name for file in files)
            written.append(", ".join(names))
        return f"Beside them: {'; '.join(written)}. Print at 100 %."

    def _wanted(self) -> Paperwork:
        from studio.production.paperwork import parse_paperwork

        return parse_paperwork(self._kinds)
