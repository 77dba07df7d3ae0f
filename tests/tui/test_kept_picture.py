"""The picture kept from one start to the next: shown for the very same question, and for no other."""

from __future__ import annotations

import io
import os
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from textual.pilot import Pilot
from textual.strip import Strip

from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.storage.settings import Settings
from studio.storage.workspace import Shop
from studio.terminal.cells import CELL_KINDS, GRID, CellKind, cells_of
from studio.tui.app import StudioApp
from studio.tui.editor.draft import SignDraft
from studio.tui.engine.engine import Engine
from studio.tui.engine.service import EngineRoom
from studio.tui.preview.findings import FindingsPane
from studio.tui.preview.picture import Picture
from studio.tui.preview.strips import Drawn, Mark, StripMaker
from studio.tui.preview.view import Ask, View
from studio.tui.saved import stamps
from studio.tui.saved.memory import Habits
from studio.tui.saved.preview import KeptPicture, kept_picture_file
from tests.tui.conftest import PLAIN, app_of, screen_text, settled, told

STATE = SignDraft("Marlow", (("artwork", "none"),))
VIEW = View(20, 6, "half", ground=(0x17, 0x15, 0x12))


def _drawn(view: View, seed: int = 1) -> Drawn:
    across, down = GRID[view.kind]
    pixels = np.random.default_rng(seed).integers(0, 256, (view.rows * down, view.columns * across, 3)).astype(np.uint8)
    return Drawn(cells_of(pixels, view.kind), (Mark(1, 3, "2"), Mark(2, view.columns - 1, "11")))


@pytest.fixture
def kept(catalogue: Catalogue) -> Drawn:
    """A picture of `STATE` in `VIEW`, kept by an earlier studio."""
    drawn = _drawn(VIEW)
    KeptPicture(catalogue, {}).keep(STATE, VIEW, drawn)
    return drawn


@pytest.mark.parametrize("kind", CELL_KINDS)
def test_the_same_question_has_the_same_lines(catalogue: Catalogue, kind: CellKind) -> None:
    """What is read again are the lines that were shown, colours, shapes and numbers, whatever the cells."""
    view = replace(VIEW, kind=kind)
    drawn = _drawn(view)
    KeptPicture(catalogue, {}).keep(STATE, view, drawn)
    again = KeptPicture(catalogue, {})
    assert again.is_of(STATE)
    assert again.lines_for(STATE, view) == StripMaker().strips_of(drawn)


@pytest.mark.parametrize(
    "view",
    [
        replace(VIEW, columns=21),
        replace(VIEW, rows=5),
        replace(VIEW, kind="quadrant"),
        replace(VIEW, is_printed=True),
        replace(VIEW, limits_shown=True),
        replace(VIEW, ground=(0, 0, 0)),
    ],
)
def test_another_view_is_not_shown(catalogue: Catalogue, kept: Drawn, view: View) -> None:
    """Size, cells, limits, ground and side belong to the question."""
    again = KeptPicture(catalogue, {})
    assert again.lines_for(STATE, view) is None
    assert again.lines_for(STATE, VIEW) == StripMaker().strips_of(kept)


@pytest.mark.parametrize("state", [SignDraft("Marlows", STATE.said), SignDraft("Marlow"), SignDraft()])
def test_another_sign_is_not_shown(catalogue: Catalogue, kept: Drawn, state: SignDraft) -> None:
    """Text and option values belong to the question."""
    again = KeptPicture(catalogue, {})
    assert not again.is_of(state) and again.lines_for(state, VIEW) is None


def test_other_settings_and_another_catalogue_are_another_question(catalogue: Catalogue, kept: Drawn) -> None:
    """Values of settings files, and what can be chosen by name, belong to the question."""
    thicker = replace(catalogue.blanks[0], width_mm=catalogue.blanks[0].width_mm + 1)
    other = replace(catalogue, blanks=(thicker, *catalogue.blanks[1:]))
    assert not KeptPicture(catalogue, {"margin": "7mm"}).is_of(STATE)
    assert not KeptPicture(other, {}).is_of(STATE)
    assert KeptPicture(catalogue, {}).is_of(STATE)


def test_another_program_is_another_question(
    catalogue: Catalogue, kept: Drawn, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What an earlier program had drawn is not shown by a later one."""
    monkeypatch.setattr("studio.tui.saved.preview.program_stamp", lambda: ("another",))
    assert not KeptPicture(catalogue, {}).is_of(STATE)


def test_the_program_is_told_by_its_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of the program that is changed, new or gone makes another program, and its caches do not."""
    package = tmp_path / "package"
    (package / "room" / "__pycache__").mkdir(parents=True)
    (package / "__init__.py").write_text("one")
    module = package / "room" / "one.py"
    module.write_text("one")
    monkeypatch.setattr("studio.tui.saved.stamps.studio.__file__", str(package / "__init__.py"))
    monkeypatch.setattr("studio.tui.saved.stamps.shipped_folder", lambda kind: tmp_path / kind)
    told = [stamps.program_stamp.__wrapped__()]
    (package / "room" / "__pycache__" / "one.pyc").write_text("cache")
    assert stamps.program_stamp.__wrapped__() == told[0]
    os.utime(module, ns=(1, 1))
    told.append(stamps.program_stamp.__wrapped__())
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / "face.ttf").write_text("face")
    told.append(stamps.program_stamp.__wrapped__())
    module.unlink()
    told.append(stamps.program_stamp.__wrapped__())
    assert len(set(told)) == 4


@pytest.mark.parametrize("what", ["time", "size", "gone", "note beside it"])
@pytest.mark.parametrize("key", ["artwork", "face"])
def test_a_file_that_has_changed_is_another_question(catalogue: Catalogue, tmp_path: Path, key: str, what: str) -> None:
    """The time and the size of a file that the sign is made from belong to the question; so does what is said of it."""
    file = tmp_path / ("own.png" if key == "artwork" else "own.ttf")
    file.write_bytes(b"as it was")
    os.utime(file, ns=(10**18, 10**18))
    state = STATE.with_value(key, str(file))
    KeptPicture(catalogue, {}).keep(state, VIEW, _drawn(VIEW))
    assert KeptPicture(catalogue, {}).is_of(state)
    if what == "size":
        file.write_bytes(b"as it was and more")
        os.utime(file, ns=(10**18, 10**18))
    elif what == "time":
        os.utime(file, ns=(10**18, 10**18 + 1))
    elif what == "gone":
        file.unlink()
    else:
        file.with_suffix(".toml").write_text("width_mm = 100.0")
    assert not KeptPicture(catalogue, {}).is_of(state)


def test_a_face_of_the_catalogue_that_has_changed_is_another_question(catalogue: Catalogue, tmp_path: Path) -> None:
    """Faces of the workshop's own folder are looked at as well, since any may lend a letter."""
    file = tmp_path / "own.ttf"
    file.write_bytes(b"as it was")
    other = replace(catalogue, faces=(*catalogue.faces, replace(catalogue.faces[0], name="Own", file=file)))
    KeptPicture(other, {}).keep(STATE, VIEW, _drawn(VIEW))
    assert KeptPicture(other, {}).is_of(STATE)
    os.utime(file, ns=(1, 1))
    assert not KeptPicture(other, {}).is_of(STATE)


def test_a_file_changed_while_the_studio_is_open_is_told_from_the_one_that_was_drawn(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    """A picture kept after a file has changed counts for the file as it was when the studio opened."""
    file = tmp_path / "own.png"
    file.write_bytes(b"as it was")
    state = STATE.with_value("artwork", str(file))
    open_one = KeptPicture(catalogue, {})
    open_one.keep(state, VIEW, _drawn(VIEW))
    os.utime(file, ns=(1, 1))
    open_one.keep(state, VIEW, _drawn(VIEW, seed=2))
    assert not KeptPicture(catalogue, {}).is_of(state)


def _parts(data: bytes) -> tuple[str, np.ndarray[Any, Any]]:
    """Return what a record tells, as JSON, and its layers."""
    with np.load(io.BytesIO(data)) as kept:
        return str(kept["told"]), kept["layers"]


def _record(told: object, layers: np.ndarray[Any, Any]) -> bytes:
    stream = io.BytesIO()
    np.savez_compressed(stream, told=np.array(told), layers=layers)
    return stream.getvalue()


def _retold(data: bytes, old: str, new: str) -> bytes:
    told, layers = _parts(data)
    assert old in told
    return _record(told.replace(old, new), layers)


def _damages() -> Iterator[tuple[str, Callable[[bytes], bytes]]]:
    yield "empty", lambda data: b""
    yield "short", lambda data: data[:-1]
    yield (
        "changed",
        lambda data: data[: len(data) // 2] + bytes([data[len(data) // 2] ^ 1]) + data[len(data) // 2 + 1 :],
    )
    yield "garbage", lambda data: bytes(range(256)) * 40
    yield "too large", lambda data: data + bytes(1_000_000)
    yield "unpacks too large", lambda data: _record(_parts(data)[0], np.zeros((3, 1000, 1000), np.uint32))
    yield "no table", lambda data: _record("[]", _parts(data)[1])
    yield "nested", lambda data: _record("[" * 100_000, _parts(data)[1])
    yield "no cells", lambda data: _record(_parts(data)[0], np.zeros((3, 0, 0), np.uint32))
    yield "cells of another kind", lambda data: _record(_parts(data)[0], _parts(data)[1].astype(float))
    yield "objects", lambda data: _record(_parts(data)[0], np.array([{}], object))
    yield "mark outside", lambda data: _retold(data, "[1, 3,", "[9, 3,")
    yield "mark no number", lambda data: _retold(data, '[1, 3, "2"]', '[1, 3, "\\u001b"]')
    yield "mark no mark", lambda data: _retold(data, '[1, 3, "2"]', "7")
    yield "no colours", lambda data: _retold(data, '"is_coloured": true', '"is_coloured": false')


@pytest.mark.parametrize("damage", [one[1] for one in _damages()], ids=[one[0] for one in _damages()])
def test_a_damaged_record_is_no_record(catalogue: Catalogue, kept: Drawn, damage: Callable[[bytes], bytes]) -> None:
    """A record that is not whole, or not one of this view, counts as nothing kept."""
    file = kept_picture_file()
    data = file.read_bytes()
    assert damage(data) != data
    file.write_bytes(damage(data))
    assert KeptPicture(catalogue, {}).lines_for(STATE, VIEW) is None


@pytest.mark.parametrize(
    "cells",
    [
        lambda cells: replace(cells, glyphs=np.full_like(cells.glyphs, 0x1B)),
        lambda cells: replace(cells, glyphs=np.full_like(cells.glyphs, 0xD800)),
        lambda cells: replace(cells, front=np.full_like(cells.front, 0x1000000)),
        lambda cells: replace(cells, **{name: getattr(cells, name)[1:] for name in ("glyphs", "front", "back")}),
    ],
    ids=["control", "half a letter", "no colour", "a row less"],
)
def test_cells_that_no_picture_has_are_not_shown(catalogue: Catalogue, cells: Callable[[Any], Any]) -> None:
    """Other shapes than those of the view's cells, other colours and other sizes count as nothing kept."""
    drawn = _drawn(VIEW)
    KeptPicture(catalogue, {}).keep(STATE, VIEW, replace(drawn, cells=cells(drawn.cells)))
    again = KeptPicture(catalogue, {})
    assert again.is_of(STATE) and again.lines_for(STATE, VIEW) is None


def test_a_folder_in_the_record_s_place_is_nothing_kept_and_nothing_said(catalogue: Catalogue) -> None:
    """Where the record can be neither read nor written, the studio goes on."""
    kept_picture_file().mkdir(parents=True)
    KeptPicture(catalogue, {}).keep(STATE, VIEW, _drawn(VIEW))
    assert kept_picture_file().is_dir()
    assert KeptPicture(catalogue, {}).lines_for(STATE, VIEW) is None


# In the studio


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """Holds the engine back until it is set."""
    free = threading.Event()
    opened = EngineRoom._opened

    def waits(room: EngineRoom) -> Engine:
        assert free.wait(20)
        return opened(room)

    monkeypatch.setattr(EngineRoom, "_opened", waits)
    return free


def _app(
    catalogue: Catalogue,
    editor_screen: FileAssets,
    state: SignDraft,
    habits: Habits | None,
    environment: dict[str, str],
) -> StudioApp:
    app = StudioApp(
        Shop(catalogue, {}, Settings()),
        draft=state,
        habits=habits,
        environment=environment,
        assets=editor_screen,
    )
    app.cursor_blink = False  # type: ignore[attr-defined]
    return app


def _lines(pilot: Pilot[Any]) -> list[Strip]:
    return _lines_of(app_of(pilot))


def _lines_of(app: StudioApp) -> list[Strip]:
    return list(app.editor_screen.query_one(Picture)._lines)


def _pane_text(pilot: Pilot[Any]) -> str:
    pane = app_of(pilot).editor_screen.query_one(FindingsPane)
    return "\n".join(str(option.prompt) for option in pane.options)


async def _left(app: StudioApp, size: tuple[int, int]) -> list[Strip]:
    """Open the studio, wait for its picture, leave, and return the picture."""
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        return _lines(pilot)


async def _kept_of(
    state: SignDraft, catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event
) -> list[Strip]:
    """Have a sign's picture kept at 120x40, the engine free meanwhile and held back afterwards; return its lines."""
    held.set()
    lines = await _left(_app(catalogue, shop_assets, state, None, PLAIN), (120, 40))
    held.clear()
    return lines


SIGNS = [SignDraft("Marlow"), SignDraft("Willow & Tess", (("artwork", "none"), ("spread", "3mm")))]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("state", SIGNS, ids=lambda state: state.text)
async def test_the_kept_picture_stands_first_and_the_true_one_takes_its_place(
    catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event, size: tuple[int, int], state: SignDraft
) -> None:
    """The second start shows the picture of the first before the engine answers; then nothing in it changes."""
    held.set()
    before = await _left(_app(catalogue, shop_assets, state, None, PLAIN), size)
    held.clear()
    async with _app(catalogue, shop_assets, state, None, PLAIN).run_test(size=size) as pilot:
        for _ in range(100):
            await pilot.pause(0.02)
            if _lines(pilot):
                break
        editor_screen = app_of(pilot).editor_screen
        assert editor_screen.answer is None
        assert _lines(pilot) == before and len(before) > 4
        assert _pane_text(pilot) == "… The sign is being checked."
        held.set()
        await settled(pilot)
        assert editor_screen.answer is not None and editor_screen.answer.painted is not None
        assert _lines(pilot) is not before and _lines(pilot) == editor_screen.answer.painted.strips == before
        assert "being checked" not in screen_text(pilot)


@pytest.mark.parametrize(
    ("habits", "environment"),
    [(Habits(cells="sextant"), PLAIN), (None, {**PLAIN, "NO_COLOR": "1"}), (Habits(limits_shown=True), PLAIN)],
    ids=["sextants", "no colours", "limits"],
)
async def test_every_way_of_drawing_is_kept(
    catalogue: Catalogue,
    shop_assets: FileAssets,
    held: threading.Event,
    habits: Habits | None,
    environment: dict[str, str],
) -> None:
    """Other cells, no colours and drawn limits come back as they were, and not where something else is asked for."""
    held.set()
    before = await _left(_app(catalogue, shop_assets, SIGNS[0], habits, environment), (80, 24))
    held.clear()
    async with _app(catalogue, shop_assets, SIGNS[0], habits, environment).run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.2)
        assert _lines(pilot) == before
        held.set()
    held.clear()
    async with _app(catalogue, shop_assets, SIGNS[0], None, PLAIN).run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.2)
        assert _lines(pilot) == []
        held.set()


async def test_what_is_kept_is_the_whole_sign_in_the_editor(catalogue: Catalogue, shop_assets: FileAssets) -> None:
    """Neither the print, nor the loupe, nor a choice that is only tried takes the place of the kept picture."""
    app = _app(catalogue, shop_assets, SIGNS[0], None, PLAIN)
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        whole = app._shown
        assert whole is not None and whole[0] == SIGNS[0]
        for keys in (["f6"], ["f6", "f7"], ["escape", "f5", "enter", "down"]):
            await pilot.press(*keys)
            await settled(pilot)
            assert app._shown is not None and app._shown[:2] == whole[:2]
        await pilot.press("escape")
        await settled(pilot)


async def test_a_sign_without_a_name_is_not_kept(catalogue: Catalogue, shop_assets: FileAssets) -> None:
    """A bare board comes with something to mend, and is drawn anew."""
    await _left(_app(catalogue, shop_assets, SignDraft(""), None, PLAIN), (80, 24))
    assert not kept_picture_file().exists()


async def test_keys_pressed_early_wait_for_the_true_answer(
    catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event
) -> None:
    """While the kept picture stands, mending says that the sign is still being checked, and changes nothing."""
    await _kept_of(SIGNS[1], catalogue, shop_assets, held)
    async with _app(catalogue, shop_assets, SIGNS[1], None, PLAIN).run_test(size=(120, 40)) as pilot:
        await pilot.pause(0.2)
        await pilot.press("f8")
        assert told(pilot) == "The sign is still being checked. The remedy is applied as soon as it is known."
        assert app_of(pilot).editor_screen.editor.state == SIGNS[1]
        await pilot.press("ctrl+z")
        held.set()
        await settled(pilot)
        answer = app_of(pilot).editor_screen.answer
        assert answer is not None and answer.ask.state == SignDraft()


async def test_making_does_not_need_the_answer(
    catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event, tmp_path: Path
) -> None:
    """F10 makes the sign from a plan of its own while only the kept picture stands."""
    await _kept_of(SIGNS[0], catalogue, shop_assets, held)
    async with _app(catalogue, shop_assets, SIGNS[0], None, PLAIN).run_test(size=(120, 40)) as pilot:
        await pilot.pause(0.2)
        assert _lines(pilot) and app_of(pilot).editor_screen.answer is None
        await pilot.press("f10")
        for _ in range(300):
            await pilot.pause(0.05)
            if not app_of(pilot).editor_screen._is_making:
                break
        assert told(pilot).startswith("Made")
        assert app_of(pilot).editor_screen.answer is None
        assert [file.suffix for file in app_of(pilot).made] == [".png"] and app_of(pilot).made[0].is_file()
        held.set()


async def test_the_kept_picture_comes_with_the_very_first_drawing(
    catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is drawn before it, so that the place of the picture is never empty."""
    before = await _kept_of(SIGNS[0], catalogue, shop_assets, held)
    app = _app(catalogue, shop_assets, SIGNS[0], None, PLAIN)
    drawn: list[list[Strip]] = []
    display = app._display
    monkeypatch.setattr(app, "_display", lambda screen, update: (drawn.append(_lines_of(app)), display(screen, update)))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause(0.1)
        held.set()
    assert drawn[0] == before


async def test_another_view_asked_for_early_takes_the_kept_picture_away(
    catalogue: Catalogue, shop_assets: FileAssets, held: threading.Event
) -> None:
    """The kept picture does not stand under the title of the print, nor in another size."""
    await _kept_of(SIGNS[0], catalogue, shop_assets, held)
    async with _app(catalogue, shop_assets, SIGNS[0], None, PLAIN).run_test(size=(120, 40)) as pilot:
        await pilot.pause(0.2)
        assert _lines(pilot)
        await pilot.press("f6")
        assert app_of(pilot).editor_screen.answer is None and not _lines(pilot)
        held.set()
        await settled(pilot)
        assert _lines(pilot)


async def test_the_engine_waits_for_the_kept_picture_and_for_nothing_else(
    catalogue: Catalogue, shop_assets: FileAssets, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a picture kept the engine starts after it is shown; without one it starts before there is a layout."""
    started: list[int] = []
    start = EngineRoom.start

    def noted(room: EngineRoom, first: SignDraft | None = None) -> None:
        screen: Any = room._target
        started.append(len(screen.query_one(Picture)._lines) if screen.is_mounted else -1)
        start(room, first)

    monkeypatch.setattr(EngineRoom, "start", noted)
    await _left(_app(catalogue, shop_assets, SIGNS[0], None, PLAIN), (80, 24))
    assert started[0] == -1
    started.clear()
    await _left(_app(catalogue, shop_assets, SIGNS[0], None, PLAIN), (80, 24))
    assert started[0] > 4


def test_the_engine_answers_as_the_kept_picture_showed(catalogue: Catalogue, shop_assets: FileAssets) -> None:
    """What an answer hands over to be kept makes the very lines that it shows, numbers of findings included."""
    painted = Engine(catalogue, {}, shop_assets).answer(Ask(1, SIGNS[1], View(60, 28))).painted
    assert painted is not None and painted.drawn.marks
    assert StripMaker().strips_of(painted.drawn) == painted.strips
