"""Each screen against its kept text; run with REWRITE_REFERENCES=1 to write them anew, and read the difference."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from difflib import unified_diff
from pathlib import Path
from typing import Any

import pytest

from studio.tui.dialogs.question import ReplaceScreen, RunAgainScreen
from studio.tui.editor.draft import SignDraft
from tests.tui.conftest import SIZES, app_of, press, screen_text, settled, type_in

FOLDER = Path(__file__).parent / "references"
STATE = SignDraft("Lee", (("artwork", "none"), ("layout", "box")))
"""A sign without a picture: what stands in it is decided by the words of the screen and not by artwork."""
Studio = Callable[..., Any]


def plain(text: str) -> str:
    """Return a screen without what changes with the lettering: picture cells become dots, figures become #."""
    text = re.sub("[▀▄█▌▐▘▝▖▗▚▞▛▜▙▟]", ".", text)
    return re.sub(r"\d+\.\d+", "#", text)


def compared(name: str, text: str, folder: Path = FOLDER) -> str:
    """Return how a screen differs from its reference; empty when it does not."""
    file = folder / f"{name}.txt"
    if os.environ.get("REWRITE_REFERENCES"):
        file.write_text(plain(text), encoding="utf-8")
    kept = file.read_text(encoding="utf-8") if file.exists() else ""
    return "\n".join(unified_diff(kept.splitlines(), plain(text).splitlines(), "kept", "now", lineterm="", n=1))


def test_the_comparison_can_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A changed word, a moved word and a missing reference are all seen; the same screen is not."""
    monkeypatch.delenv("REWRITE_REFERENCES", raising=False)
    (tmp_path / "a.txt").write_text(plain("Wood  F2 ▀▀ 1.25 mm\n"), encoding="utf-8")
    assert compared("a", "Wood  F2 ▀▄ 9.75 mm\n", tmp_path) == ""
    assert "Wool" in compared("a", "Wool  F2 ▀▀ 1.25 mm\n", tmp_path)
    assert compared("a", " Wood F2 ▀▀ 1.25 mm\n", tmp_path) != ""
    assert compared("b", "Wood\n", tmp_path) != ""


async def _assets(pilot: Any) -> None:
    return


async def _finer(pilot: Any) -> None:
    await press(pilot, "f2", *["tab"] * 5, "enter")


async def _faces(pilot: Any) -> None:
    await press(pilot, "f5", "enter")
    await pilot.pause(0.1)


async def _fault(pilot: Any) -> None:
    await press(pilot, "f5", *["tab"] * 3)
    await type_in(pilot, "green")


async def _printed(pilot: Any) -> None:
    await press(pilot, "f6")


async def _help(pilot: Any) -> None:
    await press(pilot, "f1")
    await pilot.pause(0.3)


async def _replace(pilot: Any) -> None:
    pilot.app.push_screen(ReplaceScreen([Path("signs/lee-print.png"), Path("signs/lee-proof.png")]))
    await pilot.pause(0.2)


async def _run_again(pilot: Any) -> None:
    pilot.app.push_screen(RunAgainScreen(Path("orders-signs")))
    await pilot.pause(0.2)


async def _names(pilot: Any) -> None:
    Path("orders.csv").write_text("Name,Order\nLee,P-1\nMo,P-2\n,P-3\n", encoding="utf-8")
    app_of(pilot).open_list("orders.csv")
    for _ in range(600):
        await pilot.pause(0.02)
        book = getattr(pilot.app.screen, "book", None)
        if book is not None and not book.counts()[""]:
            return


SCREENS = {
    "editor": _assets,
    "finer": _finer,
    "faces": _faces,
    "fault": _fault,
    "printed": _printed,
    "help": _help,
    "replace": _replace,
    "run-again": _run_again,
    "names": _names,
}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", SCREENS)
async def test_screens_are_as_kept(studio: Studio, name: str, size: tuple[int, int]) -> None:
    """Every screen stands as it was kept."""
    async with studio(size, state=STATE) as pilot:
        await SCREENS[name](pilot)
        if hasattr(pilot.app.screen, "answer"):
            await settled(pilot, final=True)
        await pilot.pause(0.2)
        assert compared(f"{name}-{size[0]}x{size[1]}", screen_text(pilot)) == ""
