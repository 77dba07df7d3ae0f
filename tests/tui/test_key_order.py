"""Keys act in the order in which they were pressed, however many a terminal hands over at once.

All keys of a test are put into the app's queue in one go, as one read of a terminal does. Pressing them with the pilot
would wait between them, and could never see one act too early.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import SignDraft
from studio.tui.preview.findings import FindingsPane
from tests.tui.conftest import app_of, fault_of, settled, told

Studio = Callable[..., Any]
SEASON = "name,order\nAda,1\nBo,2\nMarlow,3\n"


def _pressed(key: str) -> list[events.Key]:
    """Return what a terminal hands over for a key, or for the letters of a word that begins with a quotation mark."""
    if key.startswith("'"):
        return [events.Key("space" if letter == " " else letter, letter) for letter in key[1:]]
    return [events.Key(key, None)]


async def in_one_go(pilot: Pilot[None], *keys: str | events.Paste) -> None:
    """Put keys and pastes into the app's queue at once, and wait until all they do is done."""
    app = app_of(pilot)
    for key in keys:
        for event in [key] if isinstance(key, events.Paste) else _pressed(key):
            app.post_message(event)
    for _ in range(500):
        await pilot.pause(0.01)
        if app.key_order.is_clear:
            break
    await settled(pilot)


def _name(pilot: Pilot[None]) -> str:
    return app_of(pilot).editor_screen.editor.history.state.text


NINE = ("backspace",) * 9
IN_THE_NAME: tuple[tuple[tuple[str, ...], str], ...] = (
    (("end", *NINE, "'Quillon"), "Quillon"),
    (("end", "backspace", "'Q"), "PikewateQ"),
    (("end", "left", "'Q"), "PikewateQr"),
    (("home", "'Q"), "QPikewater"),
    (("home", "delete", "'B"), "Bikewater"),
    (("end", "ctrl+u", "'Quillon"), "Quillon"),
    (("end", "left", "left", "ctrl+k", "'Q"), "PikewatQ"),
    (("end", "ctrl+w", "'Two words", "ctrl+w", "'signs"), "Two signs"),
    (("end", "'ab", "ctrl+z", "'cd"), "Pikewatercd"),
    (("end", "'ab", "ctrl+z", "ctrl+y", "'cd"), "Pikewaterabcd"),
    (("'Quillom", "backspace", "'n"), "Quillon"),
    (("'owan", "home", "'R"), "Rowan"),
    (("end", "'" + "x" * 200), "Pikewater" + "x" * 200),
)


@pytest.mark.parametrize(("keys", "wanted"), IN_THE_NAME, ids=lambda value: str(value)[:50])
async def test_inside_the_name(studio: Studio, keys: tuple[str, ...], wanted: str) -> None:
    """Letters and the keys that rub out, move and take back act in the order pressed, in field and sign alike."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, *keys)
        assert pilot.app.screen.query_one("#field-text", Input).value == wanted
        assert _name(pilot) == wanted


async def test_from_field_to_field(studio: Studio) -> None:
    """What is typed after Tab goes into the next field, twice Tab goes two fields on, and Shift+Tab comes back."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "'Bo", "tab", "'est. 2019")
        state = app_of(pilot).editor_screen.editor.history.state
        assert (state.text, state.values["also"]) == ("Bo", ("arc-bottom=est. 2019",))
        await in_one_go(pilot, "shift+tab", "'Marlow", "tab", "tab", "shift+tab", "'Tess")
        state = app_of(pilot).editor_screen.editor.history.state
        assert (state.text, state.values["also"]) == ("Marlow", ("arc-bottom=Tess",))


async def test_into_a_list(studio: Studio) -> None:
    """Letters typed on a field with a list go into the list, also while it opens, and Enter takes what they leave."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "f5", "'lob", "enter")
        state = app_of(pilot).editor_screen.editor.history.state
        assert (state.text, state.values.get("face")) == ("Pikewater", "Lobster")
        await in_one_go(pilot, "enter", "'pacx", "backspace", "enter", "f4", "'Bo")
        state = app_of(pilot).editor_screen.editor.history.state
        assert (state.text, state.values.get("face", "Pacifico")) == ("Bo", "Pacifico")


@pytest.mark.parametrize("field", ["text", "face"])
async def test_a_key_with_alt_puts_no_letter_in(studio: Studio, field: str) -> None:
    """Alt+U, which terminals send as Escape and a letter, swaps the units and leaves name and lists alone."""
    async with studio() as pilot:
        app = app_of(pilot)
        before, unit = _name(pilot), app.habits.length_unit
        pilot.app.screen.set_focus(pilot.app.screen.query_one(f"#field-{field}"))
        app.post_message(events.Key("alt+u", "u"))
        await in_one_go(pilot)
        assert app.habits.length_unit != unit
        assert _name(pilot) == before
        assert pilot.app.screen is app.editor_screen
        assert not any(one.display for one in pilot.app.screen.query(Chooser))


async def test_escape_and_a_letter_read_as_one_lose_nothing(studio: Studio) -> None:
    """Escape and a letter in one read come as a key with Alt; where none is bound the letter is typed."""
    async with studio() as pilot:
        app = app_of(pilot)
        pilot.app.screen.set_focus(pilot.app.screen.query_one("#field-text"))
        app.post_message(events.Key("end", None))
        app.post_message(events.Key("alt+x", "x"))
        app.post_message(events.Key("alt+shift+q", "Q"))
        await in_one_go(pilot)
        assert _name(pilot).endswith("xQ")


async def test_list_left_with_escape(studio: Studio) -> None:
    """Escape leaves a list with all as it was, and what is typed after F4 is the name."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "f5", "'lob", "escape", "f4", "'Bo")
        state = app_of(pilot).editor_screen.editor.history.state
        assert (state.text, state.values.get("face", "Pacifico")) == ("Bo", "Pacifico")


async def test_pastes_take_their_turn(studio: Studio) -> None:
    """A paste stands where it was pasted, between the keys before and after it."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "end", *NINE, events.Paste("Bramble"), "backspace", "'y")
        assert _name(pilot) == "Brambly"
        await in_one_go(pilot, "tab", events.Paste("est. 2019"), "backspace", "'8")
        assert app_of(pilot).editor_screen.editor.history.state.values["also"] == ("arc-bottom=est. 2018",)


async def test_in_the_list_of_names(studio: Studio, tmp_path: Path) -> None:
    """In the list of names keys mend the text of the row, and F4 begins it anew."""
    file = tmp_path / "season.csv"
    file.write_text(SEASON)
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        app.open_list(str(file))
        for _ in range(300):
            await pilot.pause(0.02)
            book = getattr(app.screen, "book", None)
            if book is not None:
                break
        await in_one_go(pilot, "f4", "end", *("backspace",) * 3, "'Quillon")
        assert app.screen.book.rows[0].text == "Quillon"
        await in_one_go(pilot, "f3", "down", "f4", "'Zoe", "f3", "down", "f4", "'Una")
        assert [row.text for row in app.screen.book.rows] == ["Quillon", "Zoe", "Una"]


async def test_a_key_that_leads_nowhere_holds_nothing_back(studio: Studio) -> None:
    """Keys without any action, and one after whose field is gone, let those after them through."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "f24", "f23", "'Bo")
        assert _name(pilot) == "Bo"
        await in_one_go(pilot, "f1", "escape", "f4", "'Una")
        assert _name(pilot) == "Una"


async def test_quitting_waits_for_the_letters(studio: Studio) -> None:
    """What was typed before Ctrl+Q is on the sign that is kept for next time."""
    async with studio((80, 24), state=SignDraft("Ada")) as pilot:
        app = app_of(pilot)
        for event in [*_pressed("'Quillon"), *_pressed("ctrl+q")]:
            app.post_message(event)
        for _ in range(300):
            await asyncio.sleep(0.01)
            if app._exit:
                break
        assert _name(pilot) == "Quillon"


async def _made(pilot: Pilot[None]) -> None:
    for _ in range(1000):
        await pilot.pause(0.02)
        if not app_of(pilot).editor_screen._is_making:
            return


async def test_the_next_name_replaces_the_last(studio: Studio) -> None:
    """After making, on a fresh sign and after F4, what is typed next is the whole name."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "'Marlow", "f10", "'Bo")
        assert _name(pilot) == "Bo"
        await _made(pilot)
        await in_one_go(pilot, "end", "ctrl+n", "'Ada")
        assert _name(pilot) == "Ada"
        await in_one_go(pilot, "end", "f4", "'Una")
        assert _name(pilot) == "Una"
        await in_one_go(pilot, "f5", "f10", "'Zoe")
        assert _name(pilot) == "Zoe"
        await _made(pilot)
    assert sorted(file.name for file in Path("signs").glob("*-print.png")) == ["marlow-print.png", "una-print.png"]


@pytest.mark.parametrize("name", ["mine.csv", "boat.png", "two words.svg", "prices.docx", "photo.webp", "a.heic"])
async def test_a_dropped_file_is_no_name(studio: Studio, tmp_path: Path, name: str) -> None:
    """A file dropped on a name that is being typed leaves the name as it was, and something is said about it."""
    file = tmp_path / name
    file.write_text(SEASON)
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        await in_one_go(pilot, "end", "'s", events.Paste(str(file).replace(" ", "\\ ")))
        assert _name(pilot) == "Pikewaters"
        assert app.editor_screen.query_one("#field-text", Input).value == "Pikewaters"
        if name.endswith(("svg", "docx", "webp", "heic")):
            assert f"{name} was not used" in app.editor_screen.query_one("#told").sentence


async def test_a_pasted_second_line_stays(studio: Studio) -> None:
    """Two lines that are pasted are two lines of the sign."""
    async with studio((80, 24)) as pilot:
        await in_one_go(pilot, "ctrl+u", events.Paste("Bramble\r\nHut\n"))
        assert _name(pilot) == "Bramble\\nHut"
        answer = app_of(pilot).editor_screen.answer
        assert answer.planned.sign.letterings[0].text == "Bramble\nHut"
        await in_one_go(pilot, "f4", events.Paste("/Bo"))
        assert _name(pilot) == "/Bo"


async def test_only_the_newest_findings_act(studio: Studio) -> None:
    """F8 right behind a new name never applies the remedy of the old one; F10 right behind it is not barred by it."""
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        await settled(pilot, final=True)
        assert any(one.remedies for one in app.editor_screen.query_one(FindingsPane).told)
        await in_one_go(pilot, "'Bo", "f8")
        await settled(pilot, final=True)
        assert app.editor_screen.editor.history.state == SignDraft("Bo")
        await in_one_go(pilot, "ctrl+u")
        assert fault_of(pilot, "text")
        await in_one_go(pilot, "'Una", "f10")
        for _ in range(300):
            await pilot.pause(0.02)
            if "Made" in told(pilot):
                break
        assert "Made" in told(pilot)


async def test_f8_waits_for_the_newest_findings(studio: Studio) -> None:
    """F8 right behind a name that needs a remedy applies the remedy of that name, as soon as it is known."""
    async with studio((80, 24), state=SignDraft("Bo")) as pilot:
        app = app_of(pilot)
        await in_one_go(pilot, "'Pikewater", "f8")
        for _ in range(500):
            await pilot.pause(0.02)
            if told(pilot).startswith(("Applied", "No finding")):
                break
        assert told(pilot).startswith("Applied"), told(pilot)
        assert app.editor_screen.editor.history.state.text.startswith("Pikewater")
        assert app.editor_screen.editor.history.state != SignDraft("Pikewater")


async def test_reading_a_finding_changes_nothing(studio: Studio) -> None:
    """A click, or Enter, on what a finding says leaves the sign as it is; on a remedy's line it applies that."""
    async with studio((120, 40)) as pilot:
        app = app_of(pilot)
        await settled(pilot, final=True)
        pane = app.editor_screen.query_one(FindingsPane)
        place = next(number for number, one in enumerate(pane.told) if one.remedies)
        pane.highlighted = pane.get_option_index(f"finding-{place}")
        app.editor_screen.set_focus(pane)
        await in_one_go(pilot, "enter")
        assert app.editor_screen.editor.history.state == SignDraft()
        pane.highlighted = pane.get_option_index(f"remedy-{place}-0")
        await in_one_go(pilot, "enter")
        assert app.editor_screen.editor.history.state != SignDraft()
