"""The paper station by key alone: two sheets, the seam moved with its cost, and everything written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from textual import events

from studio.model.blank import parse_blank
from studio.model.printer import Printer
from studio.production import save_on_paper
from studio.storage.catalogue import Catalogue
from studio.tui.editor.draft import SignDraft
from studio.tui.lengths import said
from studio.tui.pressing.paper_screen import PaperScreen
from studio.tui.pressing.sheets_drawing import sheets_drawing
from tests.shared import assets
from tests.tui.conftest import app_of, at_both_sizes, at_the_small_size, press, screen_text, told

Studio = Callable[..., Any]
LAY = save_on_paper.lay
QUICK = SignDraft("Loon").with_values({"artwork": "none", "dpi": "60", "color": "#3b2314"})


async def _laid(pilot: Any, holds: str) -> str:
    """Wait until the station says something, and return the whole screen as one line."""
    for _ in range(1200):
        await pilot.pause(0.02)
        text = " ".join(screen_text(pilot).split())
        if holds in text:
            return text
    raise AssertionError(screen_text(pilot))


@at_both_sizes
async def test_name_to_sheets_in_two_keys(studio: Studio, size: tuple[int, int], tmp_path: Path) -> None:
    """Ctrl+S and F10 write the default's files with its sheets, template and press card, and say where."""
    async with studio(size, state=QUICK) as pilot:
        await press(pilot, "ctrl+s")
        assert isinstance(pilot.app.screen, PaperScreen)
        await _laid(pilot, "of letter")
        await press(pilot, "f10")
        await _laid(pilot, "Written into signs")
        written = {path.name for path in (tmp_path / "signs").iterdir()}

        assert {"loon-print.png", "loon-sheets.pdf", "loon-template.pdf", "loon-press-card.pdf"} <= written
        assert not {"loon-approval.pdf", "loon-hanging.pdf"} & written
        assert app_of(pilot).made == [Path("signs") / "loon-print.png"]
        await press(pilot, "f10")
        await _laid(pilot, "File already exists")
        await press(pilot, "k")
        await _laid(pilot, "loon-2-sheets.pdf")


@at_the_small_size
async def test_the_seam_is_moved_and_its_cost_told(
    studio: Studio, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full 10 in round takes two letter sheets; arrows move the seam by 1 mm, through lettering it says how much.

    While a key is held down, most of the places between are passed over.
    """
    laid = []
    monkeypatch.setattr(save_on_paper, "lay", lambda ready, wish: laid.append(1) or LAY(ready, wish))
    state = SignDraft("Loon").with_values({"dpi": "60"})
    async with studio(size, state=state) as pilot:
        await press(pilot, "ctrl+s")
        await _laid(pilot, "2 sheets of letter")
        screen = pilot.app.screen
        best = screen._sheets.tiling.seams[0]
        assert not best.is_upright
        assert best.cost.lettering_mm == 0
        way, step = ("up", 1) if best.at_mm < 0 else ("down", -1)
        await press(pilot, way)
        place = round(best.at_mm + step)
        await _laid(pilot, f"level, {said(place, 'mm')} from the centre")
        before = len(laid)
        for _ in range(abs(place)):
            pilot.app.post_message(events.Key(way, None))
        await _laid(pilot, "level, 0 mm (0 in) from the centre; cuts")
        assert "through" in told(pilot)
        assert abs(place) > 40 and len(laid) - before < abs(place) / 2
        await press(pilot, "equals_sign")
        await _laid(pilot, f"level, {said(best.at_mm, 'mm')} from the centre")


@at_the_small_size
async def test_larger_paper_needs_no_seam(studio: Studio, size: tuple[int, int]) -> None:
    """Stepping on to larger paper lays the sign anew; on one sheet there is no seam to move."""
    async with studio(size, state=QUICK) as pilot:
        await press(pilot, "ctrl+s")
        await _laid(pilot, "of letter")
        papers = [paper.name for paper in app_of(pilot).catalogue.papers if not paper.is_roll]
        steps = (papers.index("tabloid") - papers.index("letter")) % len(papers)
        await press(pilot, *["right"] * steps)
        await _laid(pilot, "One sheet of tabloid")
        await press(pilot, "up")
        assert "There is no seam" in told(pilot)


@at_the_small_size
async def test_escape_leads_back(studio: Studio, size: tuple[int, int]) -> None:
    """Escape leads back to the sign, and nothing is written."""
    async with studio(size, state=QUICK) as pilot:
        await press(pilot, "ctrl+s")
        await _laid(pilot, "of letter")
        await press(pilot, "escape")

        assert pilot.app.screen is app_of(pilot).editor_screen
        assert app_of(pilot).made == []


@at_both_sizes
def test_the_drawing_fits_its_room(size: tuple[int, int], catalogue: Catalogue) -> None:
    """The drawing of a sign fits its room and keeps the blank's shape, characters being twice as tall as wide."""
    columns, rows = size[0] // 2, size[1] // 2
    for shape in ("round:10in", "rect:16inx5in", "oval:8inx12in"):
        blank = parse_blank(shape)
        lines = sheets_drawing(blank, 3.0, None, columns, rows).plain.split("\n")
        assert len(lines) <= rows and max(map(len, lines)) <= columns
        shown = max(len(line.strip()) for line in lines) / (2 * len(lines))
        assert shown == pytest.approx((blank.width_mm + 6) / (blank.height_mm + 6), rel=0.25)
        assert "1" in "".join(lines)
    assert Printer().field(catalogue.paper("letter")).width_mm == pytest.approx(203.2)


@at_the_small_size
def test_pdf_of_the_station_is_the_commands(size: tuple[int, int], tmp_path: Path) -> None:
    """`render --paper letter` and the station lay a sign alike: the same bytes."""
    from studio.__main__ import main
    from studio.production.save_on_paper import lay, sign_for_paper
    from studio.production.sign_sheets import SheetOptions, sheets_pdf, wish_of
    from studio.storage.catalogue import read_catalogue
    from studio.storage.sign_builder import build_sign

    assert main(["render", "Loon", "--dpi", "60", "--paper", "letter", "-o", str(tmp_path / "out")]) == 0
    catalogue = read_catalogue()
    ready = sign_for_paper(build_sign("Loon", {"dpi": "60"}, catalogue), assets())
    wish = wish_of(SheetOptions(paper="letter"), catalogue)
    assert ready is not None and wish is not None
    sheets = lay(ready, wish)

    data = (tmp_path / "out" / "loon-sheets.pdf").read_bytes()
    assert sheets_pdf(sheets.pages, sheets.title) == data
    assert len(pypdfium2.PdfDocument(data)) == 2
