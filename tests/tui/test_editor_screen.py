"""The bench by key alone, at the two sizes that matter most."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from textual.widgets import Input

from studio.basics.units import parse_length_mm
from studio.storage.paths import draft_file
from studio.tui.dialogs.help import HelpScreen
from studio.tui.dialogs.question import ReplaceScreen
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import SignDraft
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.stepper import Stepper
from studio.tui.preview.findings import FindingsPane
from studio.tui.preview.picture import Lines, Picture
from studio.tui.saved.memory import Habits
from studio.tui.status_lines import HintLine
from tests.tui.conftest import (
    app_of,
    at_both_sizes,
    at_the_small_size,
    fault_of,
    press,
    screen_text,
    settled,
    told,
    type_in,
)

Studio = Callable[..., Any]


async def _made(pilot: Any) -> str:
    for _ in range(600):
        await pilot.pause(0.02)
        if isinstance(pilot.app.screen, ReplaceScreen):
            return "asked"
        if told(pilot).startswith(("Made", "Not made")):
            return told(pilot)
    raise AssertionError(told(pilot))


@at_both_sizes
async def test_opens_ready(studio: Studio, size: tuple[int, int]) -> None:
    """A sign of Pikewater lies in the editor, the cursor stands in the name, and a line says what to do."""
    async with studio(size) as pilot:
        assert pilot.app.focused.id == "field-text"
        assert pilot.app.focused.value == "Pikewater"
        assert "Type the customer's name" in pilot.app.screen.query_one(HintLine).sentence
        answer = app_of(pilot).editor_screen.answer
        assert answer is not None and answer.planned is not None and answer.planned.placement is not None
        assert "The sign as you read it" in screen_text(pilot)


@at_both_sizes
async def test_typing_replaces_the_sample(studio: Studio, size: tuple[int, int]) -> None:
    """The first key replaces the sample's name, and the picture is that of what is typed."""
    async with studio(size) as pilot:
        await press(pilot, "B", "o")
        await settled(pilot)
        editor_screen = app_of(pilot).editor_screen
        assert editor_screen.editor.state.text == "Bo"
        assert editor_screen.answer is not None and editor_screen.answer.planned is not None
        assert editor_screen.answer.planned.sign.letterings[0].text == "Bo"


@at_the_small_size
async def test_tab_goes_through_everything_and_round(studio: Studio, size: tuple[int, int]) -> None:
    """Tab leads through all fields in the order of work, then picture and findings, and round to the name."""
    async with studio(size) as pilot:
        seen = []
        for _ in range(60):
            await press(pilot, "tab")
            seen.append(pilot.app.focused.id)
            if seen[-1] == "field-text":
                break
        assert seen[-1] == "field-text"
        for key in ("also_text", "face", "layout", "folder", "blank", "surface", "artwork"):
            assert f"field-{key}" in seen
        assert seen.index("picture") < seen.index("findings") < seen.index("field-blank") < seen.index("field-artwork")
        await press(pilot, "shift+tab")
        assert pilot.app.focused.id == seen[-2]


@at_both_sizes
async def test_what_has_the_focus_is_in_sight(studio: Studio, size: tuple[int, int]) -> None:
    """Wherever Tab leads, the field with the focus stands on the screen."""
    async with studio(size) as pilot:
        for _ in range(35):
            await press(pilot, "tab")
            await pilot.pause()
            region = pilot.app.focused.region
            assert region.height > 0 and pilot.app.screen.region.contains_region(region), pilot.app.focused


@at_the_small_size
@pytest.mark.parametrize(
    ("key", "field"), [("f2", "blank"), ("f3", "artwork"), ("f4", "text"), ("f5", "face"), ("ctrl+o", "folder")]
)
async def test_station_keys(studio: Studio, size: tuple[int, int], key: str, field: str) -> None:
    """Each station's key leads to its first field."""
    async with studio(size) as pilot:
        await press(pilot, key)
        assert pilot.app.focused.id == f"field-{field}"


@at_the_small_size
async def test_choosing_a_face_shows_each(studio: Studio, size: tuple[int, int]) -> None:
    """Moving through the faces shows each on the sign; Escape leaves all as it was; Enter takes one."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        await press(pilot, "f5", "enter", "down")
        await settled(pilot)
        assert editor_screen.answer is not None and editor_screen.answer.planned is not None
        tried = editor_screen.answer.planned.sign.letterings[0].face.name
        assert tried != "Pacifico" and editor_screen.editor.history.state == SignDraft()
        await press(pilot, "escape")
        await settled(pilot)
        assert editor_screen.editor.state == SignDraft() and pilot.app.focused.id == "field-face"
        await press(pilot, "enter", *"lobst", "enter")
        await settled(pilot)
        assert editor_screen.editor.state.value("face") == "Lobster"
        assert not editor_screen.query(Chooser)


@at_the_small_size
async def test_stepping_through_choices(studio: Studio, size: tuple[int, int]) -> None:
    """The arrow keys step through a field's choices, and each step can be taken back."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        await press(pilot, "f5", "tab", "tab", "right", "right")
        assert editor_screen.editor.state.value("layout") == "arc-bottom"
        await press(pilot, "ctrl+z")
        assert editor_screen.editor.state.value("layout") == "arc-top"
        assert editor_screen.query_one("#field-layout", Stepper).value == "arc-top"
        await press(pilot, "ctrl+y")
        assert editor_screen.editor.state.value("layout") == "arc-bottom"


@at_the_small_size
async def test_own_measurements(studio: Studio, size: tuple[int, int]) -> None:
    """A width typed makes a blank of its own, a bare number in the maker's unit; what is none is told beneath it."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        editor_screen.query_one("#field-width", Input).focus()
        await type_in(pilot, "25q")
        await settled(pilot)
        assert "is not known" in fault_of(pilot, "width")
        await pilot.press("backspace", "0")
        await settled(pilot)
        assert fault_of(pilot, "width") == ""
        assert editor_screen.answer is not None and editor_screen.answer.planned is not None
        assert editor_screen.answer.planned.sign.blank.width_mm == 250.0


@at_the_small_size
async def test_a_wrong_value_keeps_the_picture(studio: Studio, size: tuple[int, int]) -> None:
    """A value that will not do is told beside its field, the last picture stays and is called that."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        editor_screen.query_one("#field-weight", Input).focus()
        await pilot.pause(0.2)
        await settled(pilot)
        before = editor_screen.query_one(Picture)._lines
        await type_in(pilot, "heavy")
        await settled(pilot)
        assert "is not a number" in fault_of(pilot, "weight")
        assert "as before" in screen_text(pilot)
        assert editor_screen.query_one(Picture)._lines == before
        await press(pilot, "f10")
        assert "fix Weight first" in told(pilot)


@at_the_small_size
async def test_no_name_is_no_error(studio: Studio, size: tuple[int, int]) -> None:
    """An empty name shows the board with its picture and asks for one; nothing is made of it."""
    async with studio(size) as pilot:
        await press(pilot, "backspace")
        await settled(pilot)
        editor_screen = app_of(pilot).editor_screen
        assert (
            editor_screen.answer is not None
            and editor_screen.answer.painted is not None
            and editor_screen.answer.planned is None
        )
        assert "No name yet" in fault_of(pilot, "text")
        await press(pilot, "f10")
        assert told(pilot).startswith("Not made")


@at_both_sizes
async def test_as_it_prints_and_back(studio: Studio, size: tuple[int, int]) -> None:
    """F6 shows the mirrored print and says so; Escape shows the sign as it is read again."""
    async with studio(size, state=SignDraft("Lee", (("artwork", "none"), ("layout", "box")))) as pilot:
        read = screen_text(pilot)
        await press(pilot, "f6")
        await settled(pilot)
        assert "AS IT PRINTS: mirrored" in screen_text(pilot)
        editor_screen = app_of(pilot).editor_screen
        assert (
            editor_screen.answer is not None
            and editor_screen.answer.painted is not None
            and editor_screen.answer.painted.frame.is_mirrored
        )
        await press(pilot, "escape")
        await settled(pilot)
        assert "The sign as you read it" in screen_text(pilot)
        assert read.splitlines()[2:12] == screen_text(pilot).splitlines()[2:12]


@at_both_sizes
async def test_the_loupe(studio: Studio, size: tuple[int, int]) -> None:
    """F7 shows the letters large at the first weak place; arrows, + and n lead it; Escape puts it away."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        await press(pilot, "f7")
        await settled(pilot)
        assert "Zoom" in screen_text(pilot) and isinstance(pilot.app.focused, Picture)
        assert editor_screen.answer is not None and editor_screen.answer.painted is not None
        wide = editor_screen.answer.painted.frame
        weak = next(one for one in editor_screen.answer.findings if one.where.x_mm is not None)
        assert wide.cell_of(weak.where.x_mm, weak.where.y_mm) is not None  # type: ignore[arg-type]
        assert "1►" in screen_text(pilot)
        await press(pilot, "plus")
        await settled(pilot)
        near = editor_screen.answer.painted.frame
        assert near.mm_per_column == wide.mm_per_column / 2
        await press(pilot, "right")
        await settled(pilot)
        assert editor_screen.answer.painted.frame.left_mm > near.left_mm
        await press(pilot, "n")
        assert "Finding" in told(pilot) or "no weak place" in told(pilot)
        await press(pilot, "escape")
        await settled(pilot)
        assert editor_screen.loupe is None and pilot.app.focused.id == "field-text"


@at_both_sizes
async def test_limits_and_cells(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+L draws the limits, F12 draws with other cells, and both are remembered."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        plain = [strip.text for strip in editor_screen.query_one(Picture)._lines]
        before = list(editor_screen.query_one(Picture)._lines)
        await press(pilot, "ctrl+l")
        await settled(pilot)
        assert editor_screen.query_one(Picture)._lines != before
        await press(pilot, "f12", "f12")
        await settled(pilot)
        assert app_of(pilot).cell_kind == "octant"
        assert [strip.text for strip in editor_screen.query_one(Picture)._lines] != plain
        assert app_of(pilot).habits == Habits(cells="octant", limits_shown=True)


@at_the_small_size
async def test_remedy_by_one_key(studio: Studio, size: tuple[int, int]) -> None:
    """F8 applies the first remedy, the weak place is gone, and Ctrl+Z brings all back."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        await settled(pilot, final=True)
        pane = editor_screen.query_one(FindingsPane)
        assert any(one.finding.severity == "warn" and one.remedies for one in pane.told)
        before = editor_screen.editor.state
        await press(pilot, "f8")
        await settled(pilot)
        assert editor_screen.answer is not None
        assert told(pilot).startswith("Applied:")
        assert not any(one.severity == "warn" for one in editor_screen.answer.findings)
        await press(pilot, "ctrl+z")
        await settled(pilot)
        assert editor_screen.editor.state == before


@at_the_small_size
async def test_remedy_from_the_list(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+F goes to the findings, where Enter applies the remedy under the cursor."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        await settled(pilot, final=True)
        await press(pilot, "ctrl+f", "down", "down", "enter")
        await settled(pilot)
        second = editor_screen.editor.state
        assert second != SignDraft() and told(pilot).startswith("Applied:")


@at_the_small_size
async def test_making(studio: Studio, size: tuple[int, int]) -> None:
    """F10 makes the sign into the folder, tells the file and its size in mm and inches, and the print is that size."""
    async with studio(size, state=SignDraft("Bo")) as pilot:
        await press(pilot, "f10")
        sentence = await _made(pilot)
        assert "bo-print.png" in sentence and "272.0 x 272.0 mm (10.71 x 10.71 in)" in sentence
        with Image.open("signs/bo-print.png") as picture:
            assert picture.size == (3213, 3213)
        assert json.loads(Path("signs/bo-report.json").read_text())["text"] == "Bo"
        assert app_of(pilot).made == [Path("signs/bo-print.png")]
        assert "signs" in screen_text(pilot)


@at_the_small_size
async def test_making_again_asks_once(studio: Studio, size: tuple[int, int]) -> None:
    """A sign of the same name is asked about: keeping both is the first answer, Escape leaves all as it was."""
    state = SignDraft("Bo", (("artwork", "none"), ("dpi", "72")))
    async with studio(size, state=state) as pilot:
        await press(pilot, "f10")
        await _made(pilot)
        first = Path("signs/bo-print.png").stat().st_mtime_ns
        app_of(pilot).editor_screen.tell("")
        await press(pilot, "f10")
        assert await _made(pilot) == "asked"
        await press(pilot, "escape")
        assert told(pilot) == "Not made; the files are as they were."
        assert sorted(file.name for file in Path("signs").glob("*print.png")) == ["bo-print.png"]
        app_of(pilot).editor_screen.tell("")
        await press(pilot, "f10")
        assert await _made(pilot) == "asked"
        await press(pilot, "enter")
        await asyncio.sleep(0.1)
        assert "bo-2-print.png" in await _made(pilot)
        app_of(pilot).editor_screen.tell("")
        await press(pilot, "f10")
        assert await _made(pilot) == "asked"
        await press(pilot, "r")
        await asyncio.sleep(0.1)
        assert "bo-print.png" in await _made(pilot)
        assert Path("signs/bo-print.png").stat().st_mtime_ns > first


@at_the_small_size
async def test_a_folder_that_cannot_be(studio: Studio, size: tuple[int, int]) -> None:
    """A folder that is a file is told beside the field, and making says so and keeps the sign."""
    Path("taken").write_text("x")
    async with studio(size, state=SignDraft("Bo")) as pilot:
        await press(pilot, "ctrl+o")
        await type_in(pilot, "taken")
        await pilot.pause(0.1)
        assert "is a file, not a folder" in fault_of(pilot, "folder")
        await press(pilot, "f10")
        assert told(pilot).startswith("Not made")
        assert app_of(pilot).editor_screen.editor.state.text == "Bo"


@at_the_small_size
async def test_help_is_about_the_focused_part(studio: Studio, size: tuple[int, int]) -> None:
    """F1 tells about the field and lists the keys; Escape goes back to the field."""
    async with studio(size) as pilot:
        await press(pilot, "f5", "f1")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, HelpScreen)
        assert "Face" in screen_text(pilot)
        await press(pilot, "escape")
        assert pilot.app.focused.id == "field-face"


@at_the_small_size
async def test_the_palette_finds_actions_and_choices(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+P lists the actions, and finds blanks, surfaces, artwork and faces by name."""
    async with studio(size) as pilot:
        await press(pilot, "ctrl+p", *"Lobster")
        await pilot.pause(0.6)
        await press(pilot, "enter")
        await pilot.pause(0.2)
        await press(pilot, "enter")
        await pilot.pause(0.3)
        await settled(pilot)
        assert app_of(pilot).editor_screen.editor.state.value("face") == "Lobster"
        commands = {command.title for command in app_of(pilot).get_system_commands(pilot.app.screen)}
        assert {"Make", "Zoom", "Undo", "List", "Quit", "Colours", "Limits"} <= commands


@at_the_small_size
async def test_a_fresh_sign_and_back(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+N lays a fresh sign in the editor, and Ctrl+Z brings the one before back."""
    state = SignDraft("Bo", (("face", "Lobster"),))
    async with studio(size, state=state) as pilot:
        assert "Your last sign is open again" in told(pilot)
        await press(pilot, "ctrl+n")
        assert app_of(pilot).editor_screen.editor.state == SignDraft()
        await press(pilot, "ctrl+z")
        assert app_of(pilot).editor_screen.editor.state == state


@at_the_small_size
async def test_the_draft_is_kept_within_a_second(studio: Studio, size: tuple[int, int]) -> None:
    """What is typed lies on the disk a second later, and what is typed at the very end as well."""
    async with studio(size) as pilot:
        await press(pilot, "B", "o")
        await asyncio.sleep(1.0)
        assert json.loads(draft_file().read_text())["text"] == "Bo"
        await press(pilot, "b")
        await press(pilot, "ctrl+q")
    assert json.loads(draft_file().read_text())["text"] == "Bob"


@at_the_small_size
async def test_a_dropped_picture_becomes_the_artwork(studio: Studio, size: tuple[int, int], tmp_path: Path) -> None:
    """A path that is pasted into the name becomes the artwork; a broken picture is told, and the name stays."""
    good, broken = tmp_path / "my art.png", tmp_path / "broken.png"
    Image.new("RGBA", (300, 300), (0, 90, 0, 0)).save(good, dpi=(30, 30))
    broken.write_bytes(b"\x89PNG\r\n\x1a\nnothing")
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        pilot.app.focused.value = f"'{good}'"
        await pilot.pause(0.1)
        await settled(pilot)
        assert editor_screen.editor.state.value("artwork") == str(good)
        assert editor_screen.query_one("#field-text", Input).value == "Pikewater"
        assert editor_screen.answer is not None and editor_screen.answer.planned is not None
        pilot.app.focused.value = str(broken)
        await pilot.pause(0.1)
        await settled(pilot)
        assert editor_screen.query_one("#row-artwork", FieldRow).has_class("faulty")
        assert editor_screen.editor.state.text == "Pikewater"


@at_the_small_size
async def test_a_bug_in_the_engine_is_a_sentence(
    studio: Studio, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bug on the engine's thread is told with the log's path; the next key is answered again."""
    async with studio(size) as pilot:
        editor_screen = app_of(pilot).editor_screen
        engine = editor_screen.room._engine
        assert engine is not None
        real = engine._painter.paint

        def broken(*arguments: Any) -> None:
            raise ZeroDivisionError("boom")

        monkeypatch.setattr(engine._painter, "paint", broken)
        await press(pilot, "B")
        await pilot.pause(0.5)
        assert "Something went wrong (ZeroDivisionError)" in told(pilot) and "sapwood.log" in told(pilot)
        monkeypatch.setattr(engine._painter, "paint", real)
        await press(pilot, "o")
        await settled(pilot)
        assert (
            editor_screen.editor.state.text == "Bo"
            and editor_screen.answer is not None
            and editor_screen.answer.planned is not None
        )


@at_the_small_size
async def test_resizing_keeps_everything(studio: Studio, size: tuple[int, int]) -> None:
    """After any resize the picture fits its room again, down to windows that hold hardly anything."""
    async with studio(size) as pilot:
        for width, height in ((60, 18), (200, 60), (40, 12), size):
            await pilot.resize_terminal(width, height)
            await pilot.pause(0.1)
            await settled(pilot)
            picture = app_of(pilot).editor_screen.query_one(Picture)
            if picture.size.width >= 4 and picture.size.height >= 2:
                assert [line.cell_length for line in picture._lines] == [picture.size.width] * picture.size.height
        assert pilot.app.focused.id == "field-text"


@at_the_small_size
async def test_colours_cycle(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+T shows the studio in other colours and remembers them."""
    async with studio(size) as pilot:
        seen = [pilot.app.theme]
        for _ in range(3):
            await press(pilot, "ctrl+t")
            seen.append(pilot.app.theme)
        assert len(set(seen)) == 4 and app_of(pilot).habits.theme == seen[-1]


@at_the_small_size
async def test_no_colours(studio: Studio, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR the picture is made of dots, no cell has a colour, and nothing breaks."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with studio(size, environment={"NO_COLOR": "1", "TERM": "xterm"}) as pilot:
        await press(pilot, "B", "o")
        await settled(pilot)
        assert any(0x2800 < ord(letter) < 0x2900 for letter in screen_text(pilot))
        await press(pilot, "f6")
        await settled(pilot)
        await press(pilot, "f7")
        await settled(pilot)
        assert "Zoom" in screen_text(pilot)


@at_the_small_size
async def test_the_artwork_under_the_cursor_is_shown_by_itself(studio: Studio, size: tuple[int, int]) -> None:
    """Under the list of artworks stands the one under the cursor; bare wood shows none, and other lists have none."""
    async with studio(size) as pilot:
        await press(pilot, "f3", "enter")
        await settled(pilot)
        small = pilot.app.screen.query_one("#chooser-small", Lines)
        seen = []
        for _ in range(2):
            await press(pilot, "up")
            await settled(pilot)
            seen.append([strip.text for strip in small._lines])
            assert len(seen[-1]) == small.size.height and any(line.strip() for line in seen[-1])
        assert seen[0] != seen[1]
        await press(pilot, "down", "down", "down")
        await settled(pilot)
        assert small._lines == []
        await press(pilot, "escape", "f2", "enter")
        await settled(pilot)
        assert not pilot.app.screen.query("#chooser-small")


@at_the_small_size
@pytest.mark.parametrize("word", ["lantern", "/nowhere/a.png"])
async def test_letters_typed_while_the_list_opens_are_not_lost(
    studio: Studio, size: tuple[int, int], word: str
) -> None:
    """However fast a hand types, all letters stand in the list's field, in their order."""
    async with studio(size) as pilot:
        await press(pilot, "f3")
        for letter in word:
            pilot.app.simulate_key(letter)
        await pilot.pause(0.3)
        await settled(pilot)
        assert pilot.app.screen.query_one("#chooser-typed", Input).value == word
        await press(pilot, "escape")


@at_the_small_size
async def test_one_key_steps_through_other_ways(studio: Studio, size: tuple[int, int]) -> None:
    """Ctrl+B sets the name in its next best ways with their price in words, comes round, and undo takes it back."""
    state = SignDraft("Grandma & Grandpa’s Porch", (("artwork", "none"), ("face", "Nunito")))
    async with studio(size, state=state) as pilot:
        editor_screen = app_of(pilot).editor_screen
        first = editor_screen.answer.planned.placement.letterings[0].lines
        await press(pilot, "ctrl+b")
        await settled(pilot)
        second = editor_screen.answer.planned.placement.letterings[0].lines
        assert second != first
        assert told(pilot).startswith("2 of 3: ") and ("larger" in told(pilot) or "smaller" in told(pilot))
        await press(pilot, "ctrl+b")
        await settled(pilot)
        await press(pilot, "ctrl+b")
        await settled(pilot)
        assert editor_screen.answer.planned.placement.letterings[0].lines == first
        assert editor_screen.editor.state == state
        await press(pilot, "ctrl+z")
        await settled(pilot)
        assert editor_screen.editor.state != state


@at_the_small_size
async def test_a_name_with_one_way_says_so(studio: Studio, size: tuple[int, int]) -> None:
    """Where nothing else comes near, the key changes nothing and tells it."""
    async with studio(size, state=SignDraft("Bo", (("artwork", "none"), ("face", "Nunito")))) as pilot:
        await press(pilot, "ctrl+b")
        assert told(pilot) == "There is no other way that comes near this one."
        assert app_of(pilot).editor_screen.editor.state.text == "Bo"


@at_the_small_size
async def test_arrows_lead_through_the_fields_that_were_hidden(studio: Studio, size: tuple[int, int]) -> None:
    """A hole is typed by arrow keys alone: down to the line of hidden fields, Enter, and on down through them."""
    async with studio(size) as pilot:
        await press(pilot, "f2")
        for _ in range(8):
            if str(pilot.app.focused.id).startswith("finer-"):
                break
            await press(pilot, "down")
        line = pilot.app.focused.id
        assert str(line).startswith("finer-")
        await press(pilot, "enter", "down", *"1/4in", "down", *"3/4in", "up", "up")
        await settled(pilot)
        assert pilot.app.focused.id == line
        hole = app_of(pilot).editor_screen.editor.history.state.values["hole"]
        assert len(hole) == 1
        x_mm, y_mm, across_mm = (parse_length_mm(part) for part in hole[0].split(","))
        assert (x_mm, across_mm) == pytest.approx((0.0, 6.35), abs=0.01)
        assert y_mm == pytest.approx(127.0 - 19.05, abs=0.01)
