"""Speed of the studio: from a key press to the refreshed preview, and from the start to the first full picture.

Run by hand: `python tests/bench/bench_studio.py`. The interface runs headless at 120x40 with the default artwork; a key
counts as answered when the screen has been drawn with its picture. The start is measured in a process of its own.
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
from pathlib import Path
from typing import Any

from textual._compositor import CompositorUpdate

ROOT = Path(__file__).parent.parent.parent
SIZE = (120, 40)
NAME = "Marlowetes"
ROUNDS = 8
PAUSES_S = (0.06, 0.09, 0.13, 0.18, 0.25)
"""How long a hand rests between two letters; what follows a picture falls into it, or is in the way of the next."""
STARTS = 5


async def keys_ms() -> list[float]:
    """Return the time of every key of a ten-letter name typed over and over, up to what the terminal is sent."""
    from studio.tui.opening import open_app
    from studio.tui.widgets.picture import Picture

    app = open_app()
    times: list[float] = []
    async with app.run_test(size=SIZE) as pilot:
        picture = app.bench.query_one(Picture)
        while app.bench.answer is None or app.bench.answer.painted is None:
            await pilot.pause(0.02)
        drawn = asyncio.Event()
        display: Any = app._display
        wanted, drawn_s = 0, 0.0

        def shown(screen: Any, update: Any) -> None:
            nonlocal drawn_s
            display(screen, update)
            if isinstance(update, CompositorUpdate):
                update.render_segments(app.console)  # a headless app leaves this out
            if picture.number >= wanted and not picture._repaint_regions and not drawn.is_set():
                drawn_s = time.perf_counter()
                drawn.set()

        app._display = shown  # type: ignore[method-assign]
        pauses = itertools.cycle(PAUSES_S)
        for _ in range(ROUNDS):
            await pilot.press("ctrl+u")
            await pilot.pause(0.3)
            for letter in NAME:
                wanted = app.bench._asked + 1
                drawn.clear()
                began = time.perf_counter()
                app.simulate_key(letter)
                await asyncio.wait_for(drawn.wait(), 5.0)
                times.append(1000 * (drawn_s - began))
                await asyncio.sleep(next(pauses))
    return times


def first_picture_s(folder: str) -> float:
    """Return the time from the start of a process to its first full picture, with what a folder remembers."""
    began = time.monotonic()
    variables = {**os.environ, "SAPWOOD_STATE": folder, "SAPWOOD_SETTINGS": folder}
    told = subprocess.run(
        [sys.executable, __file__, "--first-picture"],
        check=True,
        cwd=ROOT,
        env=variables,
        capture_output=True,
        text=True,
    )
    return float(told.stdout.split()[-1]) - began


async def until_first_picture() -> None:
    """Open the studio, tell when its first picture was drawn (on the clock that processes share), and leave."""
    from studio.tui.opening import open_app

    app = open_app()
    display: Any = app._display
    drawn = asyncio.Event()

    def shown(screen: Any, update: Any) -> None:
        display(screen, update)
        if isinstance(update, CompositorUpdate):
            update.render_segments(app.console)
        if app.bench.answer is not None and app.bench.answer.painted is not None and not drawn.is_set():
            print(time.monotonic())
            drawn.set()

    app._display = shown  # type: ignore[method-assign]
    async with app.run_test(size=SIZE):
        await drawn.wait()
        app.exit()


def main() -> None:
    """Print the figures."""
    firsts, starts = [], []
    for _ in range(STARTS):
        with tempfile.TemporaryDirectory() as folder:
            firsts.append(first_picture_s(folder))
            starts += [first_picture_s(folder) for _ in range(2)]
    asyncio.run(keys_ms())
    times = sorted(asyncio.run(keys_ms()))
    p95 = times[int(len(times) * 0.95)]
    print(f"key press to refreshed preview, {SIZE[0]}x{SIZE[1]}, {len(times)} keys:")
    print(f"  median {statistics.median(times):.1f} ms, 95th percentile {p95:.1f} ms, most {times[-1]:.1f} ms")
    for told, taken in (("first start ever", firsts), ("later starts", starts)):
        print(
            f"{told} to first full picture, {len(taken)} starts: "
            f"median {statistics.median(taken):.2f} s, most {max(taken):.2f} s"
        )


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("SAPWOOD_STATE", folder)
        os.environ["SAPWOOD_SETTINGS"] = folder
        if "--first-picture" in sys.argv:
            asyncio.run(until_first_picture())
        else:
            main()
