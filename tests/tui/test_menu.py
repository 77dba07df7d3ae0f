"""The menu: its actions are those of the screen, what was taken lately comes first, and colours have names."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.command import CommandPalette
from textual.widgets import OptionList

from studio.tui.saved.memory import read_habits
from studio.tui.themes import NOON
from tests.tui.conftest import app_of, press, settled, told

Studio = Callable[..., Any]


async def _listed(pilot: Any) -> list[str]:
    """Open the menu and return its titles."""
    await press(pilot, "ctrl+p")
    assert isinstance(pilot.app.screen, CommandPalette)
    options: list[Any] = []
    for _ in range(100):
        await pilot.pause(0.05)
        options = pilot.app.screen.query_one(OptionList)._options
        if len(options) > 10:
            break
    return [str(option.hit.text) for option in options]


async def _taken(pilot: Any, words: str) -> None:
    """Take from the menu what some words find."""
    await press(pilot, "ctrl+p", *("space" if letter == " " else letter for letter in words))
    await pilot.pause(0.6)
    await press(pilot, "enter")
    await pilot.pause(0.2)
    if isinstance(pilot.app.screen, CommandPalette):
        await press(pilot, "enter")
        await pilot.pause(0.3)


async def test_what_was_taken_lately_comes_first(studio: Studio) -> None:
    """The empty menu begins with the last choices, the latest first, an action or a face alike, and is kept so."""
    async with studio((80, 24)) as pilot:
        before = await _listed(pilot)
        assert before[0] != "Limits" and {"Make", "Zoom", "Undo", "Colours: noon"} <= set(before)
        assert len(before) == len(set(before))
        await press(pilot, "escape")
        await _taken(pilot, "Limits")
        await _taken(pilot, "Face Righteous")
        await settled(pilot)
        assert app_of(pilot).editor_screen.editor.state.value("face") == "Righteous"
        now = await _listed(pilot)
        assert now[:2] == ["Face: Righteous", "Limits"]
        assert len(now) == len(set(now))
    assert read_habits().recent == "Face: Righteous\nLimits"


async def test_colours_by_name(studio: Studio) -> None:
    """A theme is found by its name, shown, told and kept."""
    async with studio((80, 24)) as pilot:
        await _taken(pilot, "noon")
        assert pilot.app.theme == NOON.name
        assert told(pilot) == "Colours: noon. Ctrl+T shows the next."
    assert read_habits().theme == NOON.name
