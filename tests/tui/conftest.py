"""What the studio's tests share: a home of their own, one set of assets with everything loaded, and an app on it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from studio.model.sign import Sign
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets, Plan
from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.storage.settings import Settings
from studio.storage.workspace import Shop
from studio.tui.app import StudioApp
from studio.tui.editor.draft import SignDraft
from studio.tui.saved.memory import Habits
from tests import shared

SIZES = ((80, 24), (120, 40))
at_both_sizes = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
at_the_small_size = pytest.mark.parametrize("size", SIZES[:1], ids=lambda size: f"{size[0]}x{size[1]}")
"""For what does not depend on the size, but must have room in the smaller one."""
PLAIN = {"TERM": "xterm-256color", "COLORTERM": "truecolor"}
Opened = AbstractAsyncContextManager[Pilot[None]]


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of the person who runs the tests is read or written."""
    monkeypatch.setenv("SAPWOOD_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("TEXTUAL_THEME", raising=False)
    monkeypatch.chdir(tmp_path)


_PLANNED: dict[tuple[Sign, bool], Plan] = {}


def _planned_once(sign: Sign, assets: Assets, *, remedies: bool = True) -> Plan:
    """Fit and check a sign as the engine does; what came of one made of shipped files alone is kept for all tests."""
    shipped = {entry.name for entry in shared.catalogue().faces} | {art.source for art in shared.catalogue().artworks}
    named = {order.face.name for order in sign.letterings}
    named |= set() if sign.artwork is None else {sign.artwork.artwork.source}
    if not named <= shipped:
        return plan(sign, assets, remedies=remedies)
    key = (sign, remedies)
    if key not in _PLANNED:
        _PLANNED[key] = plan(sign, assets, remedies=remedies)
    return _PLANNED[key]


@pytest.fixture(autouse=True)
def _engine_plans_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The remedies of the sign that the studio opens with take half a second, and most tests open with it."""
    monkeypatch.setattr("studio.tui.engine.engine.plan", _planned_once)


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """What ships with the program."""
    return shared.catalogue()


@pytest.fixture(scope="session")
def shop_assets() -> FileAssets:
    """One set of assets for all tests, so that pictures are read once."""
    return shared.assets()


@pytest.fixture
def studio(catalogue: Catalogue, shop_assets: FileAssets) -> Callable[..., Opened]:
    """Opens the studio at a size, and waits for its first picture."""

    @asynccontextmanager
    async def opened(
        size: tuple[int, int] = (120, 40),
        *,
        state: SignDraft | None = None,
        habits: Habits | None = None,
        environment: Mapping[str, str] | None = None,
        settings: Settings | None = None,
        values: Mapping[str, Any] | None = None,
    ) -> AsyncIterator[Pilot[None]]:
        shop = Shop(catalogue, values or {}, settings or Settings())
        app = StudioApp(
            shop,
            draft=state,
            habits=habits,
            environment=PLAIN if environment is None else environment,
            assets=shop_assets,
        )
        app.cursor_blink = False  # type: ignore[attr-defined]
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            yield pilot

    return opened


def app_of(pilot: Pilot[Any]) -> StudioApp:
    """Return the app that a pilot flies."""
    app = pilot.app
    assert isinstance(app, StudioApp)
    return app


async def settled(pilot: Pilot[Any], *, final: bool = False) -> None:
    """Wait until the newest question is answered and its findings are listed.

    Args:
        pilot: Flies the app.
        final: Whether the remedies are waited for as well.
    """
    for _ in range(600):
        await pilot.pause(0.02)
        screen: Any = pilot.app.screen
        answer = getattr(screen, "answer", None)
        if answer is None or answer.ask.number != screen._asked or screen._findings_timer is not None:
            continue
        if final and not answer.is_final:
            continue
        await pilot.pause()
        return
    raise AssertionError("the studio did not come to rest within 12 s")


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Press keys one after another, and wait until the studio is at rest."""
    await pilot.press(*keys)
    await pilot.pause(0.05)


async def type_in(pilot: Pilot[Any], text: str) -> None:
    """Type a text over what stands in the focused field."""
    names = {" ": "space", "&": "ampersand", ",": "comma", ":": "colon", ".": "full_stop", "#": "number_sign"}
    names |= {"-": "minus", "/": "slash", "\\": "backslash", "_": "underscore", ";": "semicolon", "~": "tilde"}
    await pilot.press("ctrl+a", "ctrl+k", *(names.get(letter, letter) for letter in text))
    await pilot.pause(0.05)


def screen_text(pilot: Pilot[Any]) -> str:
    """Return what stands on the screen, line by line, without colours."""
    app = pilot.app
    width, height = app.size
    strips = app.screen._compositor.render_strips()
    lines = ["".join(segment.text for segment in strip).ljust(width)[:width].rstrip() for strip in strips]
    return "\n".join(lines[:height]) + "\n"


def told(pilot: Pilot[Any]) -> str:
    """Return what the lower line says."""
    from studio.tui.status_lines import ToldLine

    return pilot.app.screen.query_one(ToldLine).sentence


def fault_of(pilot: Pilot[Any], key: str) -> str:
    """Return what is said to be wrong beneath a field; empty when nothing is shown there."""
    from textual.widgets import Static

    shown = pilot.app.screen.query(f"#row-{key} .fault")
    return str(shown.first(Static).content) if shown else ""
