"""The true picture over the cells: there at rest, gone before anything else is drawn, never without a yes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from studio.terminal.graphics import REMOVED
from studio.tui.preview.picture import Picture
from tests.tui.conftest import app_of, press, settled, told

Studio = Callable[..., Any]


async def _until(pilot: Any, holds: Callable[[], bool]) -> None:
    for _ in range(300):
        await pilot.pause(0.02)
        if holds():
            return
    raise AssertionError("it did not come to hold within 6 s")


async def test_at_rest_and_away(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """At rest a picture of the whole room is written, a letter takes it away first, and so does a screen over it."""
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        written: list[str] = []
        monkeypatch.setattr(app.overlay, "_write", written.append)
        app.overlay.is_on = True
        await press(pilot, "B")
        await settled(pilot)
        await _until(pilot, lambda: len(written) == 1)
        size = pilot.app.screen.query_one(Picture).size
        assert f",s={10 * size.width},v={20 * size.height}," in written[0]
        assert f",c={size.width},r={size.height}," in written[0]
        await press(pilot, "o")
        assert written[1] == REMOVED
        await settled(pilot)
        await _until(pilot, lambda: len(written) == 3)
        await press(pilot, "f1")
        await _until(pilot, lambda: written[3:] == [REMOVED])
        await press(pilot, "escape")
        await _until(pilot, lambda: len(written) == 5)
        app.overlay.turn_off()
        assert written[5:] == [REMOVED]
        await press(pilot, "x")
        await settled(pilot)
        await pilot.pause(0.3)
        assert len(written) == 6


async def test_the_pixels_are_the_sign(studio: Studio) -> None:
    """The true picture made small is the picture that the cells show: the same sign at the same place."""
    async with studio((80, 24)) as pilot:
        screen = app_of(pilot).editor_screen
        answer = screen.answer
        assert answer is not None and answer.planned is not None
        true = screen._true_painter()
        pixels = true.pixels(answer, app_of(pilot).shared.get())
        assert pixels is not None and true._painter is not None
        view = answer.ask.view
        assert pixels.shape == (view.rows * 20, view.columns * 10, 3)
        small = pixels.reshape(view.rows * 2, 10, view.columns, 10, 3).mean(axis=(1, 3))
        halves = replace(view, kind="half")
        _, wanted = true._painter._canvas(answer.planned.sign, answer.planned, halves)
        assert float(np.abs(small - wanted).mean()) < 8.0 < float(np.abs(small[::-1] - wanted).mean())


async def test_no_answer_no_picture(studio: Studio) -> None:
    """F12 goes round the cells; a terminal that cannot be asked gets cells again."""
    async with studio((80, 24)) as pilot:
        app = app_of(pilot)
        seen = []
        for _ in range(5):
            await press(pilot, "f12")
            seen.append(app.cell_kind)
        assert len(set(seen)) == 5 and not app.overlay.is_on
        assert "cells" in told(pilot)
