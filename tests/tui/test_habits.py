"""What users of good terminal programs expect, and what stands where: lists, menus, messages, words, small windows."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.pilot import Pilot
from textual.widgets import Input, Markdown, OptionList

from studio.pipeline.plan import plan
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign
from studio.tui.dialogs.glossary import GLOSSARY
from studio.tui.dialogs.help import HelpScreen, MessagesScreen
from studio.tui.dialogs.question import QuestionScreen, QuitScreen
from studio.tui.editor.draft import SignDraft
from studio.tui.orders.list_question import ListQuestionScreen
from studio.tui.orders.row_table import RowTable
from studio.tui.preview.painter import lettering_box
from studio.tui.preview.picture import Picture
from studio.tui.startup import FIRST_SIGN
from studio.tui.status_lines import HintLine
from tests.shared import assets
from tests.tui.conftest import app_of, press, screen_text, settled, told
from tests.tui.test_key_order import in_one_go

Studio = Callable[..., Any]
ROWS = "name,qty\n" + "".join(f"Guest {number},1\n" for number in range(1, 61))


async def _list(pilot: Pilot[None], file: Path, rows: str) -> Any:
    """Open a list and return its screen."""
    file.write_text(rows, "utf-8")
    app_of(pilot).open_list(str(file))
    for _ in range(500):
        await pilot.pause(0.02)
        screen: Any = pilot.app.screen
        if getattr(screen, "book", None) is not None or isinstance(screen, ListQuestionScreen):
            return screen
    raise AssertionError("the list never opened")


async def test_the_menu_is_the_screens_own(studio: Studio) -> None:
    """Opened with its key on the single sign, the menu finds what that screen can do, and does it."""
    async with studio((80, 24)) as pilot:
        await press(pilot, "ctrl+p")
        for letter in "new sign":
            await pilot.press("space" if letter == " " else letter)
        await pilot.pause(0.5)
        await press(pilot, "enter")
        for _ in range(100):
            await pilot.pause(0.02)
            if "new sign" in told(pilot):
                break
        assert "This is a new sign" in told(pilot)


async def test_the_last_row_is_in_sight(studio: Studio, tmp_path: Path) -> None:
    """End shows the last row, whatever the window; after the window shrinks the cursor's row is still seen."""
    async with studio((80, 24)) as pilot:
        await _list(pilot, tmp_path / "many.csv", ROWS)
        await press(pilot, "end")
        table = pilot.app.screen.query_one(RowTable)
        assert table.cursor == 59 and "Guest 60" in screen_text(pilot)
        assert not table.show_horizontal_scrollbar
        await pilot.resize_terminal(80, 22)
        await pilot.pause(0.3)
        assert "Guest 60" in screen_text(pilot)


async def test_rows_found_sorted_and_marked(studio: Studio, tmp_path: Path) -> None:
    """`/` goes to a row by its text; all rows can be marked, none, and the others; rows can be sorted by text."""
    async with studio((120, 40)) as pilot:
        screen = await _list(pilot, tmp_path / "few.csv", "name\nZoe\nAda\nBo\n")
        await in_one_go(pilot, "slash", "'bo")
        assert screen.book.rows[screen._place].text == "Bo"
        await in_one_go(pilot, "escape", "alt+a")
        assert screen.book.marked == {1, 2, 3} and "3 of 3 marked" in screen_text(pilot)
        await in_one_go(pilot, "alt+a", "space", "alt+i")
        assert screen.book.marked == {1, 2}
        await in_one_go(pilot, "alt+s")
        assert [screen.book.rows[place].text for place in screen.order.places] == ["Ada", "Bo", "Zoe"]
        assert screen.book.rows[screen._place].text == "Bo"


async def test_only_rows_with_warnings(studio: Studio, tmp_path: Path) -> None:
    """Only rows with warnings or errors are shown on one key, and all again on the same."""
    async with studio((120, 40)) as pilot:
        screen = await _list(pilot, tmp_path / "mixed.csv", "name,max_cap\nBo,\nAda,40\nUna,\n")
        for _ in range(500):
            await pilot.pause(0.02)
            if not screen.book.counts()[""]:
                break
        await in_one_go(pilot, "alt+w")
        assert [screen.book.rows[place].text for place in screen.order.places] == ["Ada"]
        await in_one_go(pilot, "alt+w")
        assert len(screen.order.places) == 3


async def test_a_refused_row_is_fixed_where_it_is_shown(studio: Studio, tmp_path: Path) -> None:
    """A length without a unit and a quantity of 0 have fields in the list, are told there, and can be fixed."""
    async with studio((120, 40)) as pilot:
        screen = await _list(pilot, tmp_path / "bad.csv", "name,max_cap,qty\nAda,40,1\nBo,,0\n")
        await settled(pilot)
        field = screen.query_one("#field-max_cap", Input)
        assert field.value == "40" and "no unit" in str(screen.query_one("#row-max_cap .fault").content)
        screen.set_focus(field)
        await in_one_go(pilot, "end", "'mm")
        assert dict(screen.book.rows[0].options)["max_cap"] == "40mm"
        await in_one_go(pilot, "f3", "down")
        await settled(pilot)
        screen.set_focus(screen.query_one("#field-quantity", Input))
        await in_one_go(pilot, "ctrl+u", "'2")
        assert screen.book.rows[1].quantity == 2 and screen.book.rows[1].faults == ()


async def test_a_guess_about_columns_is_asked(studio: Studio, tmp_path: Path) -> None:
    """A list whose text column is a guess is opened after an answer; what is answered is what stands on the signs."""
    rows = "Customer,What to write,Wood\nSmith,Rowan,birch\nJones,Una,birch\n"
    async with studio((120, 40)) as pilot:
        screen = await _list(pilot, tmp_path / "theirs.csv", rows)
        assert isinstance(screen, ListQuestionScreen)
        await pilot.pause(0.3)
        answers = [str(option.prompt) for option in screen.query_one(OptionList).options]
        place = next(number for number, words in enumerate(answers) if "What to write" in words)
        await press(pilot, *("down",) * place, "enter")
        for _ in range(500):
            await pilot.pause(0.02)
            if isinstance(pilot.app.screen, ListQuestionScreen) and pilot.app.screen is not screen:
                screen = pilot.app.screen
                await pilot.pause(0.3)
                await press(pilot, "enter")
            if isinstance(pilot.app.screen, QuestionScreen):
                await press(pilot, "escape")
            if getattr(pilot.app.screen, "book", None) is not None:
                break
        assert [row.text for row in pilot.app.screen.book.rows] == ["Rowan", "Una"]  # type: ignore[attr-defined]


async def test_the_signs_look_is_told_and_can_be_left_out(studio: Studio, tmp_path: Path) -> None:
    """The list says which look its rows take from the single sign, and leaves it out on one key."""
    state = SignDraft("Bo", (("face", "Lobster"), ("layout", "arc-top")))
    async with studio((120, 40), state=state) as pilot:
        screen = await _list(pilot, tmp_path / "few.csv", "name\nAda\n")
        assert "Lobster, arc-top" in screen_text(pilot)
        await in_one_go(pilot, "alt+l")
        for _ in range(300):
            await pilot.pause(0.02)
            if pilot.app.screen is not screen and getattr(pilot.app.screen, "book", None) is not None:
                break
        assert "Without the single sign's look" in screen_text(pilot)
        assert "face" not in pilot.app.screen.house  # type: ignore[attr-defined]


async def test_quitting_a_run_asks(studio: Studio, tmp_path: Path) -> None:
    """Ctrl+Q while a list is made asks first, and tells afterwards how far it came."""
    async with studio((120, 40)) as pilot:
        screen = await _list(pilot, tmp_path / "many.csv", ROWS)
        screen._stop, screen._done = asyncio.Event(), (23, 60)
        await press(pilot, "ctrl+q")
        assert isinstance(pilot.app.screen, QuitScreen)
        await press(pilot, "q")
        await pilot.pause(0.2)
        assert any("23 of 60 signs are made" in words for words in app_of(pilot).last_words)


async def test_undo_goes_by_steps(studio: Studio) -> None:
    """A rest, and the making of a sign, end a step: what was made is there again after one Ctrl+Z."""
    async with studio((80, 24)) as pilot:
        editor = app_of(pilot).editor_screen.editor
        await in_one_go(pilot, "'Marlow", "f10", "'Bo", "ctrl+z")
        assert editor.state.text == "Marlow"
        await in_one_go(pilot, "end", "'s")
        await pilot.pause(1.2)
        await in_one_go(pilot, "'t", "ctrl+z")
        assert editor.state.text == "Marlows"
        await in_one_go(pilot, "home", "'O", "ctrl+z")
        assert editor.state.text == "Marlows"


async def test_messages_are_kept(studio: Studio) -> None:
    """What was said lately can be read again on one key."""
    async with studio((80, 24)) as pilot:
        await press(pilot, "ctrl+n", "alt+m")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, MessagesScreen)
        assert "This is a new sign" in pilot.app.screen._text
        await press(pilot, "q")
        assert not isinstance(pilot.app.screen, MessagesScreen)


async def test_letters_on_the_picture_are_told(studio: Studio) -> None:
    """A letter typed while the picture has the keys goes nowhere, and a sentence says so."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "f7", "'B")
        assert "Esc goes back" in told(pilot)
        assert app_of(pilot).editor_screen.editor.state.text == "Pikewater"


async def test_a_small_window_says_so(studio: Studio) -> None:
    """In a window too small the parts stand one above the other, and a line asks for a larger one."""
    async with studio((50, 24)) as pilot:
        screen = pilot.app.screen
        assert "Make the window larger" in screen.query_one(HintLine).sentence
        assert screen.query_one(Picture).size.width >= 44


async def test_enter_begins_a_line(studio: Studio) -> None:
    """Enter in the name begins a new line, which no syntax is needed for; right after F4 it rubs nothing out."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "'Bramble", "enter", "'Hut")
        answer = app_of(pilot).editor_screen.answer
        assert answer is not None and answer.planned is not None
        assert answer.planned.sign.letterings[0].text == "Bramble\nHut"
        await in_one_go(pilot, "f4", "enter")
        assert app_of(pilot).editor_screen.editor.state.text == "Bramble\\nHut"
        await in_one_go(pilot, "down", "'est")
        assert app_of(pilot).editor_screen.editor.state.values["also"] == ("arc-bottom=est",)


async def test_the_name_fills_the_picture(studio: Studio) -> None:
    """At 80x24 the name that is typed takes nine tenths of the picture's width; elsewhere the whole sign is shown."""
    async with studio((80, 24)) as pilot:
        screen = app_of(pilot).editor_screen
        assert screen.answer is not None and screen.answer.painted is not None and screen.answer.planned is not None
        frame, placement = screen.answer.painted.frame, screen.answer.planned.placement
        assert placement is not None
        box = lettering_box(placement, 0)
        assert box is not None
        assert (box[2] - box[0]) / frame.mm_per_column >= 0.9 * screen.query_one(Picture).size.width
        await in_one_go(pilot, "f5")
        await settled(pilot)
        frame = screen.answer.painted.frame
        assert frame.mm_per_column * frame.columns >= screen.answer.planned.sign.blank.width_mm * 0.95


def test_the_first_sign_has_no_warning(catalogue: Catalogue) -> None:
    """What the very first start shows has neither errors nor warnings."""
    sign = build_sign(FIRST_SIGN.text, FIRST_SIGN.values, catalogue)
    found = plan(sign, assets(), remedies=False).findings
    assert {one.severity for one in found} <= {"note"}


def test_one_glossary() -> None:
    """The help's page of words is the table of DEVELOPERS.md, in order, of at most thirty words."""
    page = (Path(__file__).parent.parent.parent / "DEVELOPERS.md").read_text("utf-8")
    assert all(f"| {word} | {meaning} |" in page for word, meaning in GLOSSARY)
    assert len(GLOSSARY) <= 30 and [word for word, _ in GLOSSARY] == sorted(word for word, _ in GLOSSARY)


async def test_help_holds_the_words(studio: Studio) -> None:
    """Help ends with the glossary, and `w` shows that alone."""
    async with studio((80, 24)) as pilot:
        await press(pilot, "f1")
        await pilot.pause(0.3)
        assert isinstance(pilot.app.screen, HelpScreen)
        await press(pilot, "w")
        await pilot.pause(0.3)
        assert pilot.app.screen.query_one(Markdown) is not None
        assert "artwork" in screen_text(pilot) and "base picture" in screen_text(pilot)
