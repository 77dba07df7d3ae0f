"""Sheets counted for the rows of a list, before any is made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual.pilot import Pilot

from studio.tui.status_lines import ToldLine
from tests.tui.conftest import Opened, app_of


async def _until(pilot: Pilot[None], words: str) -> None:
    for _ in range(400):
        if words in pilot.app.screen.query_one(ToldLine).sentence:
            return
        await pilot.pause(0.05)
    raise AssertionError(f"never told: {words}; told was {pilot.app.screen.query_one(ToldLine).sentence!r}")


async def test_the_list_tells_the_sheets_of_its_rows(studio: Callable[..., Opened], tmp_path: Path) -> None:
    """In the list Ctrl+E tells how many sheets the rows take, and marking tells it for the marked ones."""
    rows = "text,blank,artwork,dpi\nNora,round:80mm,none,60\nTess,round:80mm,none,60\nBram,round:10in,none,60\n"
    (tmp_path / "orders.csv").write_text(rows, encoding="utf-8")
    async with studio() as pilot:
        app_of(pilot).open_list(str(tmp_path / "orders.csv"))
        await pilot.pause(0.5)
        await pilot.press("f3")
        await pilot.press("ctrl+e")
        await _until(pilot, "All rows, 3 signs, take 3 sheets of letter")
        await pilot.press("f7")
        await _until(pilot, "The marked rows, 1 sign, take 1 sheet of letter")
