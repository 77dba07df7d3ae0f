"""Keys sent to the studio in a real terminal, many times over, and how often the sign was not what was typed.

Run by hand: `.venv/bin/python -m tests.tui.key_loop --tries 50`, and beside two busy loops with `--busy 2`.
It needs tmux, prints a line for each way of typing, and ends with 1 when a single letter was lost.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Final, NamedTuple

ROOT: Final = Path(__file__).parent.parent.parent
TMUX: Final = shutil.which("tmux")
PATIENCE_S: Final = 90.0
STAYS_S: Final = 0.7
"""Longer than the studio waits before it keeps a sign."""


class Way(NamedTuple):
    """One way of typing.

    Attributes:
        name: What is printed.
        begin: The name that stands on the sign before.
        calls: Arguments of one send-keys after the other; `paste:` and a text is pasted as terminals do.
        text: The name wanted.
        values: Options wanted beside it.
        gap_s: How long the hand rests between the calls.
    """

    name: str
    begin: str
    calls: tuple[tuple[str, ...], ...]
    text: str
    values: tuple[tuple[str, object], ...] = ()
    gap_s: float = 0.0


ERASED: Final = ("BSpace",) * 40
ONE_BY_ONE: Final = (("BSpace",),) * 40
SLIP: Final = ("F4", *"Quillom", "BSpace", "n")
WAYS: Final = (
    Way("End, 40 x BSpace one by one, Quillon", "Pikewater", (("End",), *ONE_BY_ONE, ("-l", "Quillon")), "Quillon"),
    Way("the same at once", "Pikewater", (("End", *ERASED, "Q", "u", "i", "l", "l", "o", "n"),), "Quillon"),
    Way("Quillom, BSpace, n, a hand's pace", "Ada", tuple((key,) for key in SLIP), "Quillon", gap_s=0.05),
    Way("40 x BSpace, then a paste", "Pikewater", (("End", *ERASED), ("paste:Bramble",)), "Bramble"),
    Way("owan, Home, R", "Ada", (("F4",), ("-l", "owan"), ("Home", "R")), "Rowan"),
    Way("Left, q", "Pikewater", (("End", "Left", "q"),), "Pikewateqr"),
    Way("C-u, Quillon", "Pikewater", (("End", "C-u", *"Quillon"),), "Quillon"),
    Way("Bo, Tab, est", "Ada", (("F4", *"Bo", "Tab", *"est"),), "Bo", (("also", ["arc-bottom=est"]),)),
    Way("x, y, C-z, c, d", "Pikewater", (("End", "x", "y", "C-z", "c", "d"),), "Pikewatercd"),
    Way("F5, lobx, BSpace, Enter", "Ada", (("F5", *"lobx", "BSpace", "Enter"),), "Ada", (("face", "Lobster"),)),
    Way("Alt+U, q", "Pikewater", (("End", "M-u", "q"),), "Pikewaterq"),
    Way("C-n, Bo", "Pikewater", (("End", "C-n", "B", "o"),), "Bo"),
    Way("F4, Bo", "Pikewater", (("End", "F4", "B", "o"),), "Bo"),
    Way("a paste of 200 letters", "Ada", (("F4",), ("paste:" + "ab" * 100,)), "ab" * 100),
)  # fmt: skip


class Terminal:
    """A terminal of 80x24 with the studio in it."""

    def __init__(self, folder: Path) -> None:
        self._tmux = [str(TMUX), "-S", str(folder / "socket"), "-f", "/dev/null"]
        self._draft = folder / "state"
        variables = {
            "SAPWOOD_STATE": str(folder / "state"),
            "SAPWOOD_SETTINGS": str(folder / "settings"),
            "PYTHONPATH": str(ROOT),
            "LC_ALL": "C.UTF-8",
        }
        spelled = [f"{name}={value}" for name, value in variables.items()]
        run = ["env", *spelled, sys.executable, "-m", "studio"]
        self.call("new-session", "-d", "-s", "s", "-x", "80", "-y", "24", "-c", str(folder), *run)

    def call(self, *arguments: str, text: str | None = None) -> str:
        """Call the multiplexer and return what it prints."""
        done = subprocess.run(
            [*self._tmux, *arguments], input=text, capture_output=True, text=True, check=False, timeout=30
        )
        return done.stdout

    def send(self, keys: tuple[str, ...]) -> None:
        """Send keys, or paste a text in brackets, as terminals do."""
        if keys[0].startswith("paste:"):
            self.call("load-buffer", "-b", "b", "-", text=keys[0].removeprefix("paste:"))
            self.call("paste-buffer", "-p", "-d", "-b", "b", "-t", "s")
        else:
            self.call("send-keys", "-t", "s", *keys)

    def wait_for(self, words: str) -> None:
        """Wait until some words stand on the screen."""
        end = time.monotonic() + PATIENCE_S
        while words not in self.call("capture-pane", "-p", "-t", "s"):
            if time.monotonic() > end:
                raise RuntimeError(f"{words!r} never came:\n{self.call('capture-pane', '-p', '-t', 's')}")
            time.sleep(0.1)

    def kept(self) -> tuple[str, dict[str, object]]:
        """Return the sign that the studio keeps for next time: its text, and its options."""
        for file in self._draft.rglob("*.json"):
            try:
                held = json.loads(file.read_text("utf-8"))
            except (OSError, ValueError):
                continue
            if isinstance(held, dict) and "text" in held and "values" in held:
                return str(held["text"]), dict(held["values"])
        return "", {}

    def comes_to(self, text: str, values: dict[str, object], patience_s: float, stays_s: float = 0.0) -> bool:
        """Whether the sign comes to be as wanted, and stays so."""
        end = time.monotonic() + patience_s
        while time.monotonic() < end:
            if self.kept() == (text, values):
                time.sleep(stays_s)
                return self.kept() == (text, values)
            time.sleep(0.05)
        return False

    def close(self) -> None:
        """End the studio and its terminal."""
        self.call("kill-server")


def lost_of(way: Way, tries: int, terminal: Terminal, patience_s: float = 8.0) -> list[str]:
    """Return what came of the tries in which the sign was not what was typed."""
    lost = []
    for _ in range(tries):
        terminal.send(("C-n",))
        terminal.send(("-l", way.begin))
        if not terminal.comes_to(way.begin, {}, PATIENCE_S):
            raise RuntimeError(f"the sign {way.begin!r} to begin with never came: {terminal.kept()}")
        for keys in way.calls:
            terminal.send(keys)
            time.sleep(way.gap_s)
        if not terminal.comes_to(way.text, dict(way.values), patience_s, STAYS_S):
            lost.append(str(terminal.kept()))
    return lost


def _spin() -> None:
    while True:
        pass


def main() -> int:
    """Run the loop and print the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tries", type=int, default=50)
    parser.add_argument("--busy", type=int, default=0, help="busy loops to run beside it")
    parser.add_argument("--only", default="", help="part of the name of a way")
    asked = parser.parse_args()
    busy = [multiprocessing.Process(target=_spin, daemon=True) for _ in range(asked.busy)]
    for one in busy:
        one.start()
    folder = Path(tempfile.mkdtemp(prefix="sw-", dir=os.environ.get("TMPDIR", "/tmp")))
    terminal = Terminal(folder)
    total = 0
    try:
        terminal.wait_for("Findings:")
        for way in WAYS:
            if asked.only.lower() in way.name.lower():
                lost = lost_of(way, asked.tries, terminal)
                total += len(lost)
                print(f"{len(lost):3} lost of {asked.tries}  {way.name}  {' '.join(sorted(set(lost)))}", flush=True)
    finally:
        terminal.close()
        for one in busy:
            one.terminate()
        shutil.rmtree(folder, ignore_errors=True)
    return 1 if total else 0


if __name__ == "__main__":
    sys.exit(main())
