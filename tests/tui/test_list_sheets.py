"""Sheets counted for the rows of a list, before any is made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pikepdf
from textual.pilot import Pilot
from textual.widgets import Input

from studio.tui.status_lines import ToldLine
from tests.tui.conftest import Opened, app_of


async def _until(pilot: Pilot[None], words: str) -> None:
    seen: dict[str, None] = {}
    for _ in range(400):
        seen |= {line.sentence: None for line in pilot.app.screen.query(ToldLine)}
        if any(words in line.sentence for line in pilot.app.screen.query(ToldLine)):
            return
        await pilot.pause(0.05)
    raise AssertionError(f"never told: {words}; told was {list(seen)}")


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


ROWS = "text,blank,artwork,dpi\nNora,round:80mm,none,60\nTess,round:80mm,none,60\n"


async def test_a_list_is_made_with_its_sheets_and_pages(studio: Callable[..., Opened], tmp_path: Path) -> None:
    """Paper and pages are chosen in the list; F10 then writes the PDF of the sheets and the press card too."""
    (tmp_path / "orders.csv").write_text(ROWS, encoding="utf-8")
    async with studio() as pilot:
        app_of(pilot).open_list(str(tmp_path / "orders.csv"))
        await _until(pilot, "2 rows")
        pilot.app.screen.query_one("#field-list_folder", Input).value = str(tmp_path / "made")
        pilot.app.screen.set_focus(pilot.app.screen.query_one("#field-list_paper"))
        await pilot.press("right")
        await _until(pilot, "All rows, 2 signs, take 1 sheet of letter")
        pilot.app.screen.set_focus(pilot.app.screen.query_one("#field-list_pages"))
        await pilot.press("right")
        await pilot.press("f10")
        await _until(pilot, "Beside them: 1 sheet of letter")
    with pikepdf.open(tmp_path / "made" / "sheets.pdf") as sheets:
        assert len(sheets.pages) == 1
        assert [round(float(side)) for side in sheets.pages[0].MediaBox] == [0, 0, 612, 792]
    assert (tmp_path / "made" / "press-cards.pdf").exists()
    assert "sheet" in (tmp_path / "made" / "report.csv").read_text(encoding="utf-8").splitlines()[0]


async def test_what_hinders_the_sheets_is_told_before_any_sign_is_made(
    studio: Callable[..., Opened], tmp_path: Path
) -> None:
    """Where the paper is smaller than any that is printed, nothing is made and the reason is told."""
    (tmp_path / "orders.csv").write_text(ROWS.replace("80mm", "10in"), encoding="utf-8")
    async with studio() as pilot:
        app_of(pilot).open_list(str(tmp_path / "orders.csv"))
        await _until(pilot, "2 rows")
        pilot.app.screen.query_one("#field-list_folder", Input).value = str(tmp_path / "made")
        app_of(pilot).keep_habits(list_paper="30mmx40mm")
        await pilot.press("f10")
        await _until(pilot, "30.0 x 40.0 mm (1.18 x 1.57 in) is smaller than any")
    assert not (tmp_path / "made" / "prints").exists()
