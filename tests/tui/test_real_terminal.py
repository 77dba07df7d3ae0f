"""The studio in a real terminal, by way of a terminal multiplexer where one is installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.tui.key_loop import WAYS, Terminal, lost_of

ROOT = Path(__file__).parent.parent.parent
TMUX = shutil.which("tmux")
PATIENCE_S = 60.0


class _Terminal:
    """A terminal of its own, 80x24, with the program running in it."""

    def __init__(self, folder: Path, **environment: str) -> None:
        self._tmux = [str(TMUX), "-S", str(folder / "socket"), "-f", "/dev/null"]
        self.folder = folder
        variables = {
            "SAPWOOD_STATE": str(folder / "state"),
            "SAPWOOD_SETTINGS": str(folder / "settings"),
            "PYTHONPATH": str(ROOT),
            "LC_ALL": "C.UTF-8",
            **environment,
        }
        spelled = [f"{name}={value}" for name, value in variables.items()]
        script = f'"{sys.executable}" -m studio; echo "left with $?"; sleep 120'
        run = ["env", *spelled, "sh", "-c", script]
        self._call("new-session", "-d", "-s", "s", "-x", "80", "-y", "24", "-c", str(folder), *run)

    def _call(self, *arguments: str) -> str:
        done = subprocess.run([*self._tmux, *arguments], capture_output=True, text=True, check=False, timeout=20)
        return done.stdout

    def press(self, *keys: str) -> None:
        self._call("send-keys", "-t", "s", *keys)

    def text(self) -> str:
        return self._call("capture-pane", "-p", "-t", "s")

    def wait_for(self, words: str) -> str:
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            text = self.text()
            if words in text:
                return text
            time.sleep(0.2)
        raise AssertionError(f"{words!r} never stood on the screen:\n{self.text()}")

    def close(self) -> None:
        self._call("kill-server")


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder with a short path, since sockets have no long names."""
    short = Path(os.environ.get("TMPDIR", "/tmp")) / f"sapwood-{os.getpid()}-{time.monotonic_ns() % 10**6}"
    short.mkdir()
    yield short
    shutil.rmtree(short, ignore_errors=True)


@pytest.mark.slow
@pytest.mark.skipif(TMUX is None, reason="tmux is not installed")
def test_a_sign_in_a_real_terminal(folder: Path) -> None:
    """From a cold start by keys alone: a name is typed, the sign is made, its path is told after leaving."""
    terminal = _Terminal(folder)
    try:
        terminal.wait_for("Type the customer's name")
        terminal.wait_for("Findings:")
        terminal.press("B", "o")
        terminal.wait_for("“Bo”")
        terminal.press("F10")
        terminal.wait_for("bo-print.png")
        assert (folder / "signs" / "bo-print.png").stat().st_size > 10_000
        terminal.press("C-q")
        text = terminal.wait_for("left with 0")
        assert "signs/bo-print.png" in text and "Traceback" not in text
    finally:
        terminal.close()


@pytest.mark.slow
@pytest.mark.skipif(TMUX is None, reason="tmux is not installed")
@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"TERM": "dumb"}, "sapwood render"),
        ({"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"}, "UTF-8"),
    ],
)
def test_where_it_cannot_be_drawn(folder: Path, environment: dict[str, str], words: str) -> None:
    """On a dumb terminal, and without UTF-8, a sentence says what to do, and nothing is drawn."""
    terminal = _Terminal(folder, **environment)
    try:
        text = terminal.wait_for("left with 2")
        assert words in text.replace("\n", "") and "Traceback" not in text
    finally:
        terminal.close()


@pytest.mark.slow
@pytest.mark.skipif(TMUX is None, reason="tmux is not installed")
def test_no_letter_is_lost(folder: Path) -> None:
    """Each way of typing comes out as typed; `key_loop`, run by hand, tries each fifty times."""
    terminal = Terminal(folder)
    try:
        terminal.wait_for("Findings:")
        assert {way.name: lost_of(way, 1, terminal) for way in WAYS} == {way.name: [] for way in WAYS}
    finally:
        terminal.close()


@pytest.mark.slow
@pytest.mark.skipif(TMUX is None, reason="tmux is not installed")
def test_without_colours(folder: Path) -> None:
    """With NO_COLOR the studio opens, draws the sign in dots, and sends no colour at all."""
    terminal = _Terminal(folder, NO_COLOR="1")
    try:
        terminal.wait_for("Findings:")
        for _ in range(100):
            coloured = terminal._call("capture-pane", "-p", "-e", "-t", "s")
            if any(0x2800 < ord(letter) < 0x2900 for letter in coloured):
                break
            time.sleep(0.1)
        assert any(0x2800 < ord(letter) < 0x2900 for letter in coloured)
        assert "38;2;" not in coloured and "48;2;" not in coloured and "38;5;" not in coloured
    finally:
        terminal.close()
