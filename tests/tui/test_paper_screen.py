"""The sign on paper in the studio: paper and printer, seams moved by keys, the PDF, and sheets counted for a list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from textual.pilot import Pilot

from studio.tui.editor.draft import SignDraft
from studio.tui.saved.memory import Habits
from studio.tui.sheets.screen import PaperScreen
from studio.tui.sheets.seam_view import SeamView
from studio.tui.status_lines import ToldLine
from tests.tui.conftest import SIZES, Opened, app_of

_SIGN = SignDraft("Nora").with_values({"dpi": "60"})


async def _until(pilot: Pilot[None], is_so: Callable[[], bool]) -> None:
    for _ in range(400):
        if is_so():
            return
        await pilot.pause(0.05)
    raise AssertionError("it never came to that")


def _told(pilot: Pilot[None]) -> str:
    return pilot.app.screen.query_one(ToldLine).sentence


async def _on_paper(pilot: Pilot[None]) -> PaperScreen:
    await pilot.press("ctrl+s")
    await _until(pilot, lambda: isinstance(pilot.app.screen, PaperScreen))
    screen = pilot.app.screen
    assert isinstance(screen, PaperScreen)
    await _until(pilot, lambda: bool(screen.query_one(SeamView).lines))
    return screen


@pytest.mark.parametrize("size", SIZES)
async def test_name_to_two_sheets_by_keys(studio: Callable[..., Opened], size: tuple[int, int], tmp_path: Path) -> None:
    """Ctrl+S, F10: the sign's sheets are written beside its print, two of them, and where is told."""
    async with studio(size, state=_SIGN) as pilot:
        screen = await _on_paper(pilot)
        assert "Seam A at" in _told(pilot) and "clear of lettering" in _told(pilot)
        assert any("═" in line or "║" in line for line in screen.query_one(SeamView).lines)
        await pilot.press("f10")
        await _until(pilot, lambda: "Written: nora-sheets.pdf" in _told(pilot))
        with pikepdf.open(tmp_path / "signs" / "nora-sheets.pdf") as pdf:
            assert len(pdf.pages) == 2
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, PaperScreen)


async def test_arrows_move_the_seam_and_tell_its_cost(studio: Callable[..., Opened]) -> None:
    """An arrow moves the seam by a millimetre and tells what it cuts there; B puts it back where it costs least."""
    async with studio(state=_SIGN) as pilot:
        await _on_paper(pilot)
        best = _told(pilot)
        place = float(best.split(" mm:")[0].split()[-1])
        pilot.app.screen.query_one(SeamView).focus()
        key = "right" if " x " in best else "up"
        await pilot.press(key)
        await _until(pilot, lambda: _told(pilot) != best)
        moved = _told(pilot)
        assert f"{place + 1:.1f} mm" in moved or "The seam stays" in moved
        await pilot.press("b")
        await _until(pilot, lambda: _told(pilot) == best)


async def test_larger_paper_needs_one_sheet_and_is_remembered(studio: Callable[..., Opened]) -> None:
    """Another paper is stepped to, the drawing follows, and the choice is kept for next time."""
    async with studio(state=_SIGN, habits=Habits(paper="13x19in")) as pilot:
        await _on_paper(pilot)
        assert "fits one sheet" in _told(pilot)
        await pilot.press("right")
        await _until(pilot, lambda: app_of(pilot).habits.paper != "13x19in")


async def test_the_list_tells_the_sheets_of_its_rows(studio: Callable[..., Opened], tmp_path: Path) -> None:
    """In the list Ctrl+S tells how many sheets the rows take, and marking tells it for the marked ones."""
    rows = "text,blank,artwork,dpi\nNora,round:80mm,none,60\nTess,round:80mm,none,60\nBram,round:10in,none,60\n"
    (tmp_path / "orders.csv").write_text(rows, encoding="utf-8")
    async with studio(habits=Habits(paper="letter")) as pilot:
        app_of(pilot).open_list(str(tmp_path / "orders.csv"))
        await pilot.pause(0.5)
        await pilot.press("f3")
        await pilot.press("ctrl+s")
        await _until(pilot, lambda: "All rows, 3 signs, take 3 sheets of letter" in _told(pilot))
        await pilot.press("f7")
        await _until(pilot, lambda: "The marked rows, 1 sign, take 1 sheet of letter" in _told(pilot))
