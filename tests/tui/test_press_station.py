"""The press station and the measuring of a printer, by key alone, at the two sizes that matter most."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.widgets import Input

from studio.sheets.pressing.steps import press_card
from studio.storage.catalogue import Catalogue
from studio.tui.pressing.paper_screen import PaperScreen
from studio.tui.pressing.ruler_screen import QUESTIONS, RulerScreen, drawing
from studio.tui.pressing.timer_screen import PressScreen
from tests.tui.conftest import app_of, at_both_sizes, at_the_small_size, press, screen_text, told

Studio = Callable[..., Any]


class _Clock:
    """A clock that stands until it is moved on."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


async def _at_the_press(pilot: Any, catalogue: Catalogue, surface: str) -> tuple[PressScreen, _Clock, list[float]]:
    """Open the station on a clock of the test's own, past the cautions; bells are noted with the time they rang."""
    clock, bells = _Clock(), []
    screen = PressScreen(press_card(catalogue.press_figures(surface)), clock)
    pilot.app.bell = lambda: bells.append(clock.now_s)
    await pilot.app.push_screen(screen)
    await pilot.pause()
    return screen, clock, bells


@at_both_sizes
async def test_f11_shows_cautions_first(studio: Studio, size: tuple[int, int]) -> None:
    """F11 opens the press with the cautions alone; no step and no clock is to be seen before Enter."""
    async with studio(size) as pilot:
        await press(pilot, "f11")
        text = screen_text(pilot)

        assert isinstance(pilot.app.screen, PressScreen)
        for words in ("makers of press", "press burns", "fumes", "local", "licensed"):
            assert words in " ".join(text.split())
        assert "Step 1" not in text
        await press(pilot, "space", "2")
        assert len(pilot.app.screen.timer.signs) == 1
        await press(pilot, "enter")
        assert "Step 1 of 8: Paint" in screen_text(pilot)


@at_the_small_size
async def test_the_surface_of_the_sign_is_pressed(studio: Studio, size: tuple[int, int], catalogue: Catalogue) -> None:
    """The station shows the steps of the surface that the sign is set to."""
    async with studio(size) as pilot:
        app_of(pilot).editor_screen.take("surface", "film")
        await pilot.pause()
        await press(pilot, "f11", "enter")

        assert "Press, film." in screen_text(pilot)
        assert pilot.app.screen.card == press_card(catalogue.press_figures("film"))


@at_both_sizes
async def test_start_bell_next(studio: Studio, size: tuple[int, int], catalogue: Catalogue) -> None:
    """A clock starts, rings at its end, rings on while the press stays closed, and is quiet after the next step."""
    async with studio(size) as pilot:
        screen, clock, bells = await _at_the_press(pilot, catalogue, "bare")
        await press(pilot, "enter", "space")
        clock.now_s += 49.0
        screen.look()
        assert bells == []
        assert "running" in screen_text(pilot)
        clock.now_s += 1.0
        screen.look()
        await pilot.pause()
        assert bells == [1050.0]
        assert "TIME IS UP: open the press" in screen_text(pilot)
        assert "the time of “Moisture out” is up, open the press" in told(pilot)
        clock.now_s += 3.5
        screen.look()
        screen.look()
        assert bells == [1050.0, 1053.5]
        await press(pilot, "enter")
        clock.now_s += 30.0
        screen.look()
        assert bells == [1050.0, 1053.5]
        assert "Step 2 of 7: Edges of the paper" in screen_text(pilot)


@at_the_small_size
async def test_two_signs_alternate(studio: Studio, size: tuple[int, int], catalogue: Catalogue) -> None:
    """A second sign cannot go into a closed press; once the first is at a step without the press it can."""
    async with studio(size) as pilot:
        screen, clock, _ = await _at_the_press(pilot, catalogue, "bare")
        await press(pilot, "enter", "space", "2", "space")
        assert "The press is closed on Sign 1" in told(pilot)
        clock.now_s += 50.0
        await press(pilot, "tab", "enter", "tab", "space")
        assert [sign.started_s for sign in screen.timer.signs] == [None, 1050.0]
        assert "Sign 2" in screen_text(pilot) and "Sign 1" in screen_text(pilot)


@at_the_small_size
async def test_leaving_asks_while_the_press_is_closed(
    studio: Studio, size: tuple[int, int], catalogue: Catalogue
) -> None:
    """Escape leaves at once when no press is closed, and asks while one is."""
    async with studio(size) as pilot:
        await _at_the_press(pilot, catalogue, "bare")
        await press(pilot, "enter", "space", "escape")
        assert "Its clock is lost if you leave now" in " ".join(screen_text(pilot).split())
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, PressScreen)
        await press(pilot, "escape", "l")
        assert pilot.app.screen is app_of(pilot).editor_screen


@at_the_small_size
async def test_a_printer_is_measured_reading_by_reading(studio: Studio, size: tuple[int, int], tmp_path: Path) -> None:
    """M on the paper screen asks reading by reading; a wrong one is told and asked for again; then all is kept."""
    async with studio(size) as pilot:
        await press(pilot, "ctrl+s", "m")
        screen = pilot.app.screen
        assert isinstance(screen, RulerScreen)
        await _answer(pilot, "kitchen")
        await _answer(pilot, "letter")
        assert (tmp_path / "signs" / "kitchen-ruler.pdf").is_file()
        await _answer(pilot, "9@245")
        assert "It would fit FEED (240 mm)" in " ".join(screen_text(pilot).split())
        assert not (tmp_path / "sapwood.toml").exists()
        for reading in ("7@186", "9@249", "", "", "3", "13", "", "31"):
            await _answer(pilot, reading)
        assert "'31' is not a line of the ladder" in screen_text(pilot)
        await _answer(pilot, "3")

        paper = pilot.app.screen
        assert isinstance(paper, PaperScreen)
        kept = (tmp_path / "sapwood.toml").read_text(encoding="utf-8")
        assert kept.splitlines()[0] == "[printer.kitchen]"
        assert f"scale_across = {round(186 / 186.3, 6)}" in kept
        assert 'margins = "3mm,13mm,6.35mm,3mm"' in kept
        assert (tmp_path / "signs" / "kitchen-ruler-proof.pdf").is_file()
        for _ in range(1500):
            await pilot.pause(0.02)
            if "Kept in" in told(pilot):
                break
        assert "Kept in" in told(pilot)
        assert "‹ kitchen ›" in screen_text(pilot)


@at_the_small_size
async def test_leaving_the_measuring_keeps_nothing(studio: Studio, size: tuple[int, int], tmp_path: Path) -> None:
    """Escape in the midst of it leaves the settings as they were."""
    async with studio(size) as pilot:
        await press(pilot, "ctrl+s", "m")
        for answer in ("kitchen", "letter", "180", "240"):
            await _answer(pilot, answer)
        await press(pilot, "escape")

        assert isinstance(pilot.app.screen, PaperScreen)
        assert not (tmp_path / "sapwood.toml").exists()


async def _answer(pilot: Any, text: str) -> None:
    pilot.app.screen.query_one("#ruler-input", Input).value = text
    await press(pilot, "enter")


@at_both_sizes
def test_each_question_has_its_drawing(size: tuple[int, int]) -> None:
    """Each length and each edge is drawn in full on the page, and no two drawings are alike."""
    drawn = [drawing(question.key).plain for question in QUESTIONS[2:]]

    assert len(set(drawn)) == 8
    assert all("█" in picture for picture in drawn)
