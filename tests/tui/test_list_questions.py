"""A list whose reading would be a guess is asked about before it opens, by key alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual import events

from studio.tui.editor.draft import SignDraft
from studio.tui.orders.list_question import ListQuestionScreen
from studio.tui.orders.screen import NamesScreen
from tests.tui.conftest import app_of, at_both_sizes, at_the_small_size, press, screen_text, told, type_in

Studio = Callable[..., Any]
SMALL = SignDraft("Pikewater", (("artwork", "none"), ("dpi", "72")))
ORDERS = "Name,Custom text,Weight\nAnn Lee,Birch,350\nJoe Ray,Pine,350\nLin Oz,Fir,400\n"


async def _asked(pilot: Any, path: str) -> ListQuestionScreen:
    """Open a list and wait for the question."""
    await press(pilot, "f9")
    await pilot.pause(0.1)
    await type_in(pilot, path)
    await pilot.pause(0.1)
    await press(pilot, "enter")
    return await _question(pilot)


async def _question(pilot: Any) -> ListQuestionScreen:
    for _ in range(300):
        await pilot.pause(0.02)
        if isinstance(pilot.app.screen, ListQuestionScreen):
            await pilot.pause(0.1)
            return pilot.app.screen
    raise AssertionError("nothing was asked")


async def _opened(pilot: Any) -> NamesScreen:
    for _ in range(300):
        await pilot.pause(0.02)
        for screen in pilot.app.screen_stack:
            if isinstance(screen, NamesScreen) and screen.book is not None:
                return screen
    raise AssertionError("the list did not open")


@at_both_sizes
async def test_each_guess_is_asked_about(studio: Studio, size: tuple[int, int]) -> None:
    """The text's column and a column of grams are asked about in turn; the answers decide, and can be kept."""
    Path("shop.csv").write_text(ORDERS, encoding="utf-8")
    async with studio(size, state=SMALL) as pilot:
        await _asked(pilot, "./shop.csv")
        text = " ".join(screen_text(pilot).split())
        assert "Which column holds" in text and "Custom text" in text and "Name" in text
        await press(pilot, "1")
        await pilot.pause(0.3)
        await _question(pilot)
        assert "350" in screen_text(pilot)
        await press(pilot, "enter")
        screen = await _opened(pilot)
        assert screen.book is not None and [row.text for row in screen.book.rows] == ["Birch", "Pine", "Fir"]
        assert screen.book.orders.passed_through == ("Name", "Weight")
        await pilot.pause(0.2)
        await press(pilot, "k")
        await pilot.pause(0.3)
        kept = Path("sapwood.toml").read_text(encoding="utf-8")
        assert "[lists.shop]" in kept and "Custom text" in kept


@at_the_small_size
async def test_escape_leaves_the_list_closed(studio: Studio, size: tuple[int, int]) -> None:
    """Without an answer nothing is opened, and the screen says so."""
    Path("shop.csv").write_text(ORDERS, encoding="utf-8")
    async with studio(size, state=SMALL) as pilot:
        await _asked(pilot, "./shop.csv")
        await press(pilot, "escape")
        await pilot.pause(0.3)
        screen = pilot.app.screen
        assert isinstance(screen, NamesScreen) and screen.book is None
        assert "was not opened" in told(pilot)


@at_the_small_size
async def test_rows_of_a_spreadsheet_are_pasted(studio: Studio, size: tuple[int, int]) -> None:
    """Cells copied in a spreadsheet become a list when they are pasted."""
    async with studio(size, state=SMALL) as pilot:
        await press(pilot, "f9")
        await pilot.pause(0.2)
        await press(pilot, "escape")
        await press(pilot, "f9")
        await pilot.pause(0.2)
        Path("one.csv").write_text("name\nIda\n", encoding="utf-8")
        await type_in(pilot, "./one.csv")
        await press(pilot, "enter")
        screen = await _opened(pilot)
        screen.post_message(events.Paste("Name\tQty\nZoë\t2\nTom\t1\n"))
        for _ in range(300):
            await pilot.pause(0.02)
            if screen.book is not None and len(screen.book.rows) == 2:
                break
        assert screen.book is not None
        assert [(row.text, row.quantity) for row in screen.book.rows] == [("Zoë", 2), ("Tom", 1)]


@at_the_small_size
@pytest.mark.parametrize("name", ["season.xlsx", "season.ods"])
async def test_a_dropped_workbook_opens_as_a_list(studio: Studio, size: tuple[int, int], name: str) -> None:
    """A workbook that is dropped on the name opens on the list screen, and no part of its path ends in the name."""
    import pandas

    pandas.DataFrame({"Name": ["Zoë", "Tom"], "Qty": [2, 1]}).to_excel(name, index=False)
    async with studio(size, state=SMALL) as pilot:
        before = app_of(pilot).editor_screen.editor.state
        pilot.app.screen.post_message(events.Paste(f"./{name}"))
        screen = await _opened(pilot)
        assert screen.book is not None
        assert [(row.text, row.quantity) for row in screen.book.rows] == [("Zoë", 2), ("Tom", 1)]
        assert app_of(pilot).editor_screen.editor.state == before
