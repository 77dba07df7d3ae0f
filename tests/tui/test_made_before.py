"""Rows that an earlier run has made show as made when their list is opened again, and only those."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.tui.conftest import app_of, press, screen_text, told

Studio = Callable[..., Any]
SEASON = "name,order\nAda,1\nBo,2\nZoe,3\n"


async def _opened(pilot: Any) -> Any:
    app_of(pilot).open_list("season.csv")
    for _ in range(600):
        await pilot.pause(0.02)
        book = getattr(pilot.app.screen, "book", None)
        if book is not None and not book.counts()[""]:
            break
    await pilot.pause(0.5)
    return pilot.app.screen


async def _until(pilot: Any, holds: Callable[[], bool]) -> None:
    for _ in range(600):
        await pilot.pause(0.02)
        if holds():
            return
    raise AssertionError("it did not come to hold within 12 s")


def _states(screen: Any) -> list[str]:
    return [screen.book.fact(place).state for place in range(3)]


async def test_made_rows_show_as_made(studio: Studio) -> None:
    """Opened again, two of three rows are made; a changed one is not until that is undone, nor is any elsewhere."""
    Path("season.csv").write_text(SEASON, encoding="utf-8")
    async with studio((80, 24)) as pilot:
        screen = await _opened(pilot)
        await press(pilot, "space", "space", "f10")
        await _until(pilot, lambda: screen._stop is None and _states(screen) == ["made", "made", "fits"])
        await press(pilot, "f9")
        screen = await _opened(pilot)
        await _until(pilot, lambda: _states(screen) == ["made", "made", "fits"])
        assert told(pilot) == "2 of 3 rows are made, in season-signs. F10 resumes the rest."
        assert "3 rows: 2 made" in screen_text(pilot)
        await press(pilot, "f3", "home", "f4", "end", "m")
        await _until(pilot, lambda: _states(screen) == ["fits", "made", "fits"])
        await press(pilot, "backspace")
        await _until(pilot, lambda: _states(screen) == ["made", "made", "fits"])
        await press(pilot, "f8", "end", "2")
        await _until(pilot, lambda: _states(screen) == ["fits", "fits", "fits"])


async def test_a_print_that_is_gone_is_not_made(studio: Studio) -> None:
    """A row whose print was removed, and a sign with another look, are not told to be made."""
    Path("season.csv").write_text(SEASON, encoding="utf-8")
    async with studio((80, 24)) as pilot:
        screen = await _opened(pilot)
        await press(pilot, "f10")
        await _until(pilot, lambda: screen._stop is None and _states(screen) == ["made"] * 3)
        await press(pilot, "f9")
        next(Path("season-signs/prints").glob("*bo*")).unlink()
        screen = await _opened(pilot)
        await _until(pilot, lambda: _states(screen) == ["made", "fits", "made"])
        await press(pilot, "f9")
        app_of(pilot).take("face", "Righteous")
        screen = await _opened(pilot)
        await pilot.pause(0.5)
        assert _states(screen) == ["fits"] * 3
