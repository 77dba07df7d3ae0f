"""The list of names by key alone, at the two sizes that matter most."""

from __future__ import annotations

import csv
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studio.tui.dialogs.question import RunAgainScreen
from studio.tui.editor.draft import SignDraft
from studio.tui.editor.screen import EditorScreen
from studio.tui.orders.row_table import RowTable
from studio.tui.orders.saved_fixes import fixes_file
from studio.tui.orders.screen import NamesScreen
from tests.tui.conftest import app_of, at_both_sizes, at_the_small_size, press, screen_text, settled, told, type_in

Studio = Callable[..., Any]

ORDERS = "Name,Order,face\nMarlow,P-1,\nZoë,P-2,Lobster\n,P-3,\nJuniper,P-4,Nosuchface\nBo,P-5,\n"
SMALL = SignDraft("Pikewater", (("artwork", "none"), ("dpi", "72")))


@pytest.fixture
def orders() -> Path:
    """A list with two rows that cannot be made."""
    file = Path("orders.csv")
    file.write_text(ORDERS, encoding="utf-8")
    return file


async def _open(pilot: Any, path: str) -> NamesScreen:
    await press(pilot, "f9")
    await pilot.pause(0.1)
    await type_in(pilot, path)
    await pilot.pause(0.1)
    await press(pilot, "enter")
    screen = pilot.app.screen
    assert isinstance(screen, NamesScreen)
    for _ in range(200):
        await pilot.pause(0.02)
        if screen.book is not None or not told(pilot).startswith("Reading"):
            break
    return screen


async def _known(pilot: Any, screen: NamesScreen) -> None:
    for _ in range(900):
        await pilot.pause(0.02)
        if screen.book is not None and not screen.book.counts()[""]:
            return
    raise AssertionError("rows were not checked in time")


async def _ended(pilot: Any, screen: NamesScreen) -> str:
    for _ in range(1500):
        await pilot.pause(0.02)
        if screen._stop is None:
            return "asked" if isinstance(pilot.app.screen, RunAgainScreen) else told(pilot)
    raise AssertionError("the run did not end in time")


@at_both_sizes
async def test_every_row_with_its_state(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """A list shows every row with its state, the sign under the cursor, and what is wrong with a row."""
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        await _known(pilot, screen)
        await settled(pilot)
        text = screen_text(pilot)
        assert "5 rows: " in text and "Marlow" in text and "Zoë" in text
        assert screen.book is not None
        assert [screen.book.fact(place).word for place in range(5)] == ["ok", "ok", "error", "error", "ok"]
        assert screen.answer is not None and screen.answer.planned is not None
        assert screen.answer.planned.sign.letterings[0].text == "Marlow"
        await press(pilot, "down")
        await settled(pilot)
        assert screen.answer.planned.sign.letterings[0].face.name == "Lobster"
        await press(pilot, "f5")
        assert "has no text" in told(pilot)
        await press(pilot, "f5")
        assert "no face called" in told(pilot)


@at_both_sizes
async def test_a_row_is_mended_there(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """A row's text, face and layout are changed on the spot, checked anew, and taken back by Ctrl+Z."""
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        await _known(pilot, screen)
        await press(pilot, "down", "down", "f4", *"Wren")
        await _known(pilot, screen)
        assert screen.book is not None
        assert screen.book.rows[2].text == "Wren" and screen.book.fact(2).word == "ok"
        await press(pilot, "f3", "down", "f4", "tab", "right")
        await _known(pilot, screen)
        assert "face" not in dict(screen.book.rows[3].options) and screen.book.fact(3).word == "ok"
        await press(pilot, "f3", "ctrl+z", "ctrl+z")
        assert screen.book.rows[2].text == "" and dict(screen.book.rows[3].options)["face"] == "Nosuchface"
        assert orders.read_text(encoding="utf-8") == ORDERS


@at_the_small_size
async def test_making_stopping_and_going_on(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """F10 makes the list by the run engine, tells what could not be made, and going on makes nothing twice."""
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        await press(pilot, "f8")
        await type_in(pilot, "out")
        await press(pilot, "f10")
        sentence = await _ended(pilot, screen)
        assert sentence.startswith("3 signs are made, 2 could not be made")
        assert len(list(Path("out/prints").glob("*.png"))) == 3
        with Path("out/report.csv").open(encoding="utf-8-sig", newline="") as stream:
            states = [row["state"] for row in csv.DictReader(stream)]
        assert states == ["made", "made", "refused", "refused", "made"]
        assert screen.book is not None and screen.book.fact(0).word == "made"
        await press(pilot, "f10")
        assert await _ended(pilot, screen) == "asked"
        await press(pilot, "r")
        await pilot.pause(0.1)
        assert "of them before" in await _ended(pilot, screen)


@at_the_small_size
async def test_only_marked_rows(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """When rows are marked, those alone are made."""
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        await press(pilot, "down", "f7")
        assert screen.book is not None and screen.book.marked == {2}
        assert "1 of 5 marked" in screen_text(pilot)
        await press(pilot, "f10")
        assert (await _ended(pilot, screen)).startswith("1 signs are made")
        assert [file.name for file in Path("orders-signs/prints").glob("*.png")] == ["0002-p-2-zoë.png"]


@at_the_small_size
async def test_there_and_back(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """F9 and Escape lead back to the editor, which is as it was; the list is offered again next time."""
    async with studio(size, state=SMALL) as pilot:
        await press(pilot, "f9")
        await pilot.pause(0.1)
        await press(pilot, "escape")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, EditorScreen)
        await _open(pilot, "./orders.csv")
        await press(pilot, "escape")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, EditorScreen)
        assert app_of(pilot).editor_screen.editor.state == SMALL
        assert app_of(pilot).habits.last_list == str(orders.absolute())


@at_the_small_size
@pytest.mark.parametrize(
    ("name", "data", "why"),
    [
        ("gone.csv", None, "no order list"),
        ("empty.csv", b"", "no orders"),
        ("odd.csv", b"Colour,Size\nred,3\n", "holds the text"),
    ],
)
async def test_lists_that_cannot_be_read(
    studio: Studio, size: tuple[int, int], name: str, data: bytes | None, why: str
) -> None:
    """A list that is missing, empty or without names is told in a sentence, and the studio goes on."""
    if data is not None:
        Path(name).write_bytes(data)
    async with studio(size, state=SMALL) as pilot:
        app_of(pilot).open_list(name)
        for _ in range(100):
            await pilot.pause(0.02)
            if why in told(pilot):
                break
        assert why in told(pilot)
        await press(pilot, "f9")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, EditorScreen)


@at_both_sizes
async def test_five_thousand_rows(studio: Studio, size: tuple[int, int]) -> None:
    """A list of 5,000 rows opens and scrolls; the last row is one key away."""
    Path("long.csv").write_text("Name\n" + "".join(f"Guest {number}\n" for number in range(1, 5001)))
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./long.csv")
        table = screen.query_one(RowTable)
        assert table.count == 5000
        began = time.monotonic()
        await press(pilot, "end")
        assert "Guest 5000" in screen_text(pilot)
        await press(pilot, "pageup", "pageup", "home")
        assert "Guest 1 " in screen_text(pilot)
        assert time.monotonic() - began < 20


@at_the_small_size
async def test_fixes_are_there_again_next_time(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """Fixes outlive the screen and can be taken back; a row that has changed in the file keeps what it says now."""
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        await press(pilot, "down", "down", "f4")
        await type_in(pilot, "Fern")
        await press(pilot, "f3", "down", "f4", "tab", "right")
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, EditorScreen)
    assert orders.read_text(encoding="utf-8") == ORDERS
    orders.write_text(ORDERS.replace("Juniper", "Jasper"), encoding="utf-8")
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        assert screen.book is not None
        assert [row.text for row in screen.book.rows] == ["Marlow", "Zoë", "Fern", "Jasper", "Bo"]
        assert dict(screen.book.rows[3].options)["face"] == "Nosuchface"
        assert "1 row as fixed last time" in told(pilot) and "1 fix left out" in told(pilot)
        await press(pilot, "ctrl+z")
        assert screen.book.rows[2].text == ""


@at_the_small_size
async def test_fixes_that_cannot_be_read_are_told(studio: Studio, size: tuple[int, int], orders: Path) -> None:
    """A damaged file of fixes is told in a sentence, and the list opens as it is."""
    kept = fixes_file(orders)
    kept.parent.mkdir(parents=True)
    kept.write_text("{")
    async with studio(size, state=SMALL) as pilot:
        screen = await _open(pilot, "./orders.csv")
        assert screen.book is not None and screen.book.rows == screen.book.as_read
        assert "cannot be read" in told(pilot)
