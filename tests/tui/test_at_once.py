"""Rows drawn at once: the very ones that the app would draw, and left to the app where that cannot be told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from rich.segment import Segment
from rich.style import Style
from textual._compositor import CompositorUpdate
from textual.app import App, ComposeResult
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

from studio.tui.preview.fast_draw import Rows
from studio.tui.preview.picture import Lines

WIDTH, HEIGHT = 20, 5


class Board(App[None]):
    """Painted lines with a word above them, a frame round them, and a note that can be laid over them."""

    CSS = f"""
    Screen {{ layers: below above; }}
    #board {{ width: {WIDTH}; height: {HEIGHT}; margin-left: 3; }}
    #board.padded {{ padding: 1 2; }}
    #note {{ layer: above; width: 4; height: 1; offset: 5 2; display: none; }}
    #note.shown {{ display: block; }}
    """

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield Static("above")
        yield Lines(id="board")
        yield Static("note", id="note")


def _lines(letters: str, colour: str = "#102030") -> list[Strip]:
    return [Strip([Segment(letter * WIDTH, Style(color=colour, bgcolor="#ffeedd"))], WIDTH) for letter in letters]


def _watched(app: App[None]) -> list[Any]:
    """Return a list that every update goes to."""
    updates: list[Any] = []
    display = app._display

    def noted(screen: Any, update: Any) -> None:
        if isinstance(update, CompositorUpdate):
            updates.append(update)
        display(screen, update)

    app._display = noted  # type: ignore[method-assign]
    return updates


def _whole_rows(app: App[None], board: Widget) -> list[Strip]:
    """Return what the app itself would draw in a widget's place."""
    place = board.region
    strips = app.screen._compositor.render_strips()
    return [strip.crop(place.x, place.right) for strip in strips[place.y : place.bottom]]


def _drawn(strip: Strip) -> list[tuple[str, Style | None]]:
    """Return a line's letters, each with its style, so that segments may be cut anywhere."""
    return [(letter, segment.style) for segment in strip for letter in segment.text]


@pytest.mark.parametrize("classes", ["", "padded"])
async def test_only_what_has_changed_is_drawn_and_as_the_app_would(classes: str) -> None:
    """Rows that differ are sent at once, in their places, exactly as the whole screen would show them."""
    app = Board()
    async with app.run_test(size=(40, 10)) as pilot:
        board = app.query_one(Lines)
        board.set_classes(classes)
        board.show(_lines("abc"))
        await pilot.pause()
        updates = _watched(app)
        board.show(_lines("aXc"))
        assert [type(update) for update in updates] == [Rows]
        down = board.content_offset.y
        assert [y - board.region.y - down for y, _ in updates[0].rows] == [1]
        assert updates[0].left == board.region.x == 3
        whole = _whole_rows(app, board)
        assert _drawn(updates[0].rows[0][1]) == _drawn(whole[1 + down])
        assert "X" in whole[1 + down].text
        sent = updates[0].render_segments(app.console)
        assert sent.startswith(f"\x1b[{board.region.y + down + 2};4H") and "XXXX" in sent


async def test_the_same_lines_send_nothing() -> None:
    """Lines that are equal are not drawn anew, whether or not they are the same objects."""
    app = Board()
    async with app.run_test(size=(40, 10)) as pilot:
        board = app.query_one(Lines)
        board.show(_lines("abc"))
        await pilot.pause()
        updates = _watched(app)
        board.show(_lines("abc"))
        assert updates == [] and not board._repaint_regions


@pytest.mark.parametrize(("letters", "left"), [("ab", "ab"), ("", ""), ("abcdefgh", "abcde")])
async def test_fewer_and_more_lines_leave_nothing_behind(letters: str, left: str) -> None:
    """Lines that are gone become ground; those that the widget has no room for are not drawn."""
    app = Board()
    async with app.run_test(size=(40, 12)) as pilot:
        board = app.query_one(Lines)
        board.show(_lines("xyz"))
        await pilot.pause()
        updates = _watched(app)
        board.show(_lines(letters))
        rows = {y - board.region.y for update in updates for y, _ in update.rows}
        assert rows == set(range(max(3, len(left))))
        whole = _whole_rows(app, board)
        assert [strip.text[:1].strip() for strip in whole] == [*left, *[""] * (HEIGHT - len(left))]
        for y, strip in updates[0].rows:
            assert _drawn(strip) == _drawn(whole[y - board.region.y])


def _note_over_it(app: App[None]) -> None:
    app.query_one("#note").add_class("shown")


def _cut_by_the_screen(app: App[None]) -> None:
    app.query_one("#board").styles.width = 60


def _out_of_sight(app: App[None]) -> None:
    app.query_one("#board").display = False


@pytest.mark.parametrize("hindrance", [_note_over_it, _cut_by_the_screen, _out_of_sight])
async def test_what_is_not_wholly_in_sight_is_left_to_the_app(hindrance: Callable[[App[None]], None]) -> None:
    """Under something else, cut off or hidden, a widget is drawn in the app's own way, in its own time."""
    app = Board()
    async with app.run_test(size=(40, 10)) as pilot:
        board = app.query_one(Lines)
        board.show(_lines("abc"))
        hindrance(app)
        await pilot.pause(0.1)
        updates = _watched(app)
        board.show(_lines("aXc"))
        assert updates == []
        await pilot.pause(0.1)
        assert not any(isinstance(update, Rows) for update in updates)
        app.query_one("#note").remove_class("shown")
        board.styles.width, board.display = WIDTH, True
        await pilot.pause(0.1)
        assert "X" in _whole_rows(app, board)[1].text
