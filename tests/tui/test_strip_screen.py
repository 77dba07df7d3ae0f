"""The test strip in the studio."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from textual.widgets import Button, Input, Static

from studio.production.strip_files import set_line
from studio.storage.catalogue import known_keys
from studio.storage.settings import read_settings
from studio.strip.drawing import strip_png
from studio.tui.dialogs.strip import StripScreen
from tests.strip.simulator import Camera, Press, photographed, pressed
from tests.tui.conftest import SIZES, Opened, app_of, screen_text


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A photo of a pressed strip, on disk."""
    scene = pressed(strip_png(set_line), Press(wood="film", texture=0.02), 1)
    path = tmp_path_factory.mktemp("strip") / "photo.jpg"
    Image.fromarray(photographed(scene, Camera(px_per_mm=12, turn_deg=5, noise=0.004), 1)).save(path, quality=92)
    return path


@pytest.mark.parametrize("size", SIZES)
async def test_the_screen_leads_from_the_photo_to_a_kept_surface(
    studio: Callable[..., Opened], photo: Path, size: tuple[int, int]
) -> None:
    """A photo is read, shown beside the starting value, and kept as a surface that settings read back."""
    async with studio(size) as pilot:
        app = app_of(pilot)
        app.action_test_strip()
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, StripScreen)
        assert "Press it like a sign" in screen_text(pilot)
        screen.query_one("#strip-photo", Input).value = str(photo)
        await pilot.press("enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        told = str(screen.query_one("#strip-told", Static).render())
        assert "starting value" in told
        assert "Dye itself spreads." in told
        assert "0.35 mm" in told
        assert "What was found" in told
        screen.query_one("#strip-name", Input).value = "maple-film"
        screen.query_one("#strip-keep", Button).press()
        await pilot.pause()
        assert "Kept: surface maple-film, measured" in str(screen.query_one("#strip-told", Static).render())
        entry = next(entry for entry in read_settings(Path("sapwood.toml"), known_keys()).surfaces)
        assert entry.name == "maple-film"
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is app.editor_screen


async def test_a_picture_without_a_strip_is_told(studio: Callable[..., Opened], tmp_path: Path) -> None:
    """A photo of something else gives the reader's sentence, and nothing to keep."""
    path = tmp_path / "wrong.png"
    Image.new("RGB", (300, 200), (200, 180, 150)).save(path)
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        app.action_test_strip()
        await pilot.pause()
        screen = app.screen
        screen.query_one("#strip-photo", Input).value = str(path)
        await pilot.press("enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "no test strip in this picture" in str(screen.query_one("#strip-told", Static).render())
        assert not screen.query_one("#strip-keep", Button).display
