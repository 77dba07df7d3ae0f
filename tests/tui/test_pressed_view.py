"""The sign shown as pressed in the studio: one key flips it, and the print is not touched by it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from studio.tui.preview.picture import Picture
from tests.tui.conftest import SIZES, app_of, press, screen_text, settled

pytestmark = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
Studio = Callable[..., Any]


def _drawn(pilot: Any) -> list[str]:
    picture = pilot.app.screen.query_one(Picture)
    return [str([(segment.text, str(segment.style)) for segment in strip]) for strip in picture._lines]


async def test_one_key_flips_between_plain_and_pressed(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+R shows the sign as pressed, and again as it was, cell by cell."""
    async with studio(size) as pilot:
        await settled(pilot)
        plain = _drawn(pilot)
        await press(pilot, "ctrl+r")
        await settled(pilot)
        pressed = _drawn(pilot)
        assert "The sign as pressed" in screen_text(pilot)
        assert pressed != plain
        await press(pilot, "ctrl+r")
        await settled(pilot)

        assert _drawn(pilot) == plain
        assert app_of(pilot).editor_screen.is_printed is False
