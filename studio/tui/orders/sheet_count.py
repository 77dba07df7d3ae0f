"""How many sheets the rows of a list take, counted away from the interface's thread."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from textual.worker import get_current_worker

from studio.model.options import Value
from studio.tui.error_text import sentence_for
from studio.tui.orders.list_paper import USUAL_PAPER, signs_of, wish_for

if TYPE_CHECKING:
    from studio.tui.orders.order_book import OrderBook
    from studio.tui.preview.sign_screen import SignScreen


def count_sheets(screen: SignScreen, book: OrderBook, house: Mapping[str, Value]) -> None:
    """Tell on a screen how many sheets the marked rows of a list take, or all rows where none is marked.

    Args:
        screen: The list.
        book: Its rows.
        house: Option values that hold for every row.

    The paper is the one chosen for the list; without any that of the first printer in the settings, else letter.
    """
    marked = frozenset(book.marked)
    rows = [row for row in book.rows if (not marked or row.row in marked) and not row.faults]
    catalogue, paper = screen.studio.catalogue, screen.studio.habits.list_paper

    def count() -> None:
        from studio.production.sheet_count import sheets_needed
        from studio.production.sign_source import ShopMakerSetup

        worker = get_current_worker()
        try:
            usual = next((one.paper for one in catalogue.printers if one.paper), USUAL_PAPER)
            wish = wish_for(paper, catalogue) or wish_for(usual, catalogue)
            assert wish is not None
            maker = ShopMakerSetup(catalogue, house)()
            signs = []
            for sign in signs_of(rows, maker):
                signs.append(sign)
                if worker.is_cancelled:
                    return
            sheets = sheets_needed(signs, wish) if signs else 0
            many = f"{sheets} sheet{'' if sheets == 1 else 's'}"
            pieces = sum(quantity for _, quantity in signs)
            which = "The marked rows" if marked else "All rows"
            words = f"{which}, {pieces} sign{'' if pieces == 1 else 's'}, take {many} of {wish.paper.told}."
        except Exception as problem:
            words = sentence_for(problem)
        if not worker.is_cancelled:
            screen.app.call_from_thread(screen.tell, words)

    screen.run_worker(count, thread=True, group="sheets", exclusive=True, exit_on_error=False)
