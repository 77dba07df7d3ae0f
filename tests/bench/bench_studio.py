"""Speed of the studio: key press to refreshed preview, starts to picture and to findings, stalls of a long list.

Run by hand: `python tests/bench/bench_studio.py`. The interface runs headless at 120x40 with the default artwork; a key
counts as answered when the terminal would be sent the picture. Starts are measured in processes of their own, beside an
app that shows one word, which is the least that any app of the kind takes. The first start ever has nothing kept to go
by; a later one shows the picture kept from the time before, and then the same worked out anew: a start is told twice,
up to the first full picture and up to the findings beside it. Stalls are times in which the interface answers nothing;
what they took of the processor tells how much of that is owed to other programs.
"""

from __future__ import annotations

import asyncio
import itertools
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any, TypeAlias

ROOT = Path(__file__).parent.parent.parent
SIZE = (120, 40)
NAME = "Marlowetes"
ROUNDS = 8
PAUSES_S = (0.06, 0.09, 0.13, 0.18, 0.25)
"""How long a hand rests between two letters; what follows a picture falls into it, or is in the way of the next."""
STARTS = 5
LIST_ROWS = 5000
BEAT_S = 0.002
Times: TypeAlias = tuple[float, float]
"""Time that passed, and processor time."""
EMPTY_APP = """
import asyncio, time
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("word")
    def _display(self, screen, update):
        super()._display(screen, update)
        print(time.monotonic(), time.process_time())
        self.exit()
async def run():
    app = Empty()
    async with app.run_test(size=(120, 40)):
        pass
asyncio.run(run())
"""


async def keys_ms() -> list[Times]:
    """Return the time and processor time of every key of a ten-letter name, up to what the terminal is sent."""
    from textual._compositor import CompositorUpdate

    from studio.tui.preview.picture import Picture
    from studio.tui.startup import open_app

    app = open_app()
    times: list[Times] = []
    async with app.run_test(size=SIZE) as pilot:
        picture = app.editor_screen.query_one(Picture)
        while app.editor_screen.answer is None or app.editor_screen.answer.painted is None:
            await pilot.pause(0.02)
        drawn = asyncio.Event()
        display: Any = app._display
        wanted, drawn_s, worked_s = 0, 0.0, 0.0

        def shown(screen: Any, update: Any) -> None:
            nonlocal drawn_s, worked_s
            display(screen, update)
            if isinstance(update, CompositorUpdate):
                update.render_segments(app.console)  # a headless app leaves this out
            if picture.number >= wanted and not picture._repaint_regions and not drawn.is_set():
                drawn_s, worked_s = time.perf_counter(), time.process_time()
                drawn.set()

        app._display = shown  # type: ignore[method-assign]
        pauses = itertools.cycle(PAUSES_S)
        for _ in range(ROUNDS):
            await pilot.press("ctrl+u")
            await pilot.pause(0.3)
            for letter in NAME:
                wanted = app.editor_screen._asked + 1
                drawn.clear()
                began, worked = time.perf_counter(), time.process_time()
                app.simulate_key(letter)
                await asyncio.wait_for(drawn.wait(), 5.0)
                times.append((1000 * (drawn_s - began), 1000 * (worked_s - worked)))
                await asyncio.sleep(next(pauses))
    return times


def start_s(folder: str) -> tuple[Times, Times]:
    """Return what it takes from the start of a process to its first full picture, and to its findings."""
    began = time.monotonic()
    variables = {**os.environ, "SAPWOOD_STATE": folder, "SAPWOOD_SETTINGS": folder}
    command = [sys.executable, __file__, "--start"]
    told = subprocess.run(command, check=True, cwd=ROOT, env=variables, capture_output=True, text=True)
    pictured_s, pictured_worked_s, found_s, found_worked_s = map(float, told.stdout.split())
    return (pictured_s - began, pictured_worked_s), (found_s - began, found_worked_s)


async def until_findings() -> None:
    """Open the studio, tell when picture and findings were drawn (on the clock that processes share), and leave."""
    from studio.tui.gc_pacing import begin_start

    begin_start()
    from textual._compositor import CompositorUpdate, LayoutUpdate

    from studio.tui.preview.findings import FindingsPane
    from studio.tui.preview.picture import Picture
    from studio.tui.startup import open_app

    app = open_app()
    display: Any = app._display
    pictured, found = asyncio.Event(), asyncio.Event()

    def shown(screen: Any, update: Any) -> None:
        display(screen, update)
        if isinstance(update, CompositorUpdate):
            update.render_segments(app.console)
        picture, pane, answer = (
            app.editor_screen.query_one(Picture),
            app.editor_screen.query_one(FindingsPane),
            app.editor_screen.answer,
        )
        is_drawn = isinstance(update, LayoutUpdate) or not picture._repaint_regions
        if not pictured.is_set() and picture._lines and is_drawn:
            print(time.monotonic(), time.process_time())
            pictured.set()
        is_answered = answer is not None and answer.painted is not None and picture._lines == answer.painted.strips
        is_told = str(pane.border_title).startswith("Findings:") and pane not in app.editor_screen._dirty_widgets
        if pictured.is_set() and not found.is_set() and is_answered and is_told:
            print(time.monotonic(), time.process_time())
            found.set()

    app._display = shown  # type: ignore[method-assign]
    async with app.run_test(size=SIZE):
        await found.wait()
        app.exit()


async def stalls_ms() -> tuple[Times, Times]:
    """Return the longest stall while a long list opens, and while it is scrolled."""
    from studio.tui.orders.screen import NamesScreen
    from studio.tui.startup import open_app

    with tempfile.TemporaryDirectory() as folder:
        orders = Path(folder) / "orders.csv"
        orders.write_text("name\n" + "".join(f"Guest {number} Marlowe\n" for number in range(LIST_ROWS)))
        app = open_app()
        async with app.run_test(size=SIZE) as pilot:
            while app.editor_screen.answer is None or app.editor_screen.answer.painted is None:
                await pilot.pause(0.02)
            await pilot.pause(1)
            async with watched() as opening:
                app.open_list(str(orders))
                while not (isinstance(app.screen, NamesScreen) and app.screen.answer is not None):
                    await asyncio.sleep(BEAT_S)
                await asyncio.sleep(2)
            async with watched() as scrolling:
                for key in ("down", "pagedown", "end", "home") * 8:
                    app.simulate_key(key)
                    await asyncio.sleep(0.06)
    return max(opening), max(scrolling)


@asynccontextmanager
async def watched() -> AsyncIterator[list[Times]]:
    """Yield a list that each beat's delay goes to: the time that passed and the thread's own processor time."""
    stalls: list[Times] = []

    async def watch() -> None:
        while True:
            began, worked = time.perf_counter(), time.thread_time()
            await asyncio.sleep(BEAT_S)
            stalls.append((1000 * (time.perf_counter() - began - BEAT_S), 1000 * (time.thread_time() - worked)))

    task = asyncio.create_task(watch())
    yield stalls
    task.cancel()


def empty_start_s() -> Times:
    """Return what it takes from the start of a process to the first drawing of an app that shows one word."""
    began = time.monotonic()
    command = [sys.executable, "-c", EMPTY_APP]
    told = subprocess.run(command, check=True, cwd=ROOT, capture_output=True, text=True)
    ended, worked_s = map(float, told.stdout.split())
    return ended - began, worked_s


def main() -> None:
    """Print the figures."""
    firsts, laters, empties = [], [], []
    for _ in range(STARTS):
        with tempfile.TemporaryDirectory() as folder:
            empties.append(empty_start_s())
            firsts.append(start_s(folder))
            laters += [start_s(folder) for _ in range(2)]
    kept = [one[0] for one in laters]
    asyncio.run(keys_ms())
    keys = asyncio.run(keys_ms())
    print(f"key press to refreshed preview, {SIZE[0]}x{SIZE[1]}, {len(keys)} keys:")
    for told, times in zip(("passed", "of the processor"), zip(*keys, strict=True), strict=True):
        p95 = sorted(times)[int(len(times) * 0.95)]
        print(f"  {told}: median {statistics.median(times):.1f}, 95th percentile {p95:.1f}, most {max(times):.1f} ms")
    for told, taken in (
        ("first start ever, picture on the screen", [one[0] for one in firsts]),
        ("first start ever, its findings as well", [one[1] for one in firsts]),
        ("later start, kept picture on the screen", kept),
        ("later start, the same worked out anew with its findings", [one[1] for one in laters]),
        ("an empty app, one word on the screen", empties),
    ):
        passed, worked = zip(*taken, strict=True)
        print(
            f"{told}, {len(taken)} starts: median {statistics.median(passed):.2f} s, "
            f"least {min(passed):.2f} s, most {max(passed):.2f} s; of the processor {statistics.median(worked):.2f} s"
        )
    ratio = statistics.median(one[1] for one in kept) / statistics.median(one[1] for one in empties)
    print(f"  a later start takes {ratio:.1f} times the processor time of an empty app up to its picture")
    for told, (passed_ms, worked_ms) in zip(("opens", "is scrolled"), asyncio.run(stalls_ms()), strict=True):
        print(
            f"longest stall while a list of {LIST_ROWS} rows {told}: {passed_ms:.0f} ms, "
            f"{worked_ms:.0f} ms of it the interface's own work"
        )


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("SAPWOOD_STATE", folder)
        os.environ["SAPWOOD_SETTINGS"] = folder
        if "--start" in sys.argv:
            asyncio.run(until_findings())
        else:
            main()
