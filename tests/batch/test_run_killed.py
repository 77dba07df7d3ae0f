"""A run killed at any moment and gone on with ends as if nothing had happened."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
TIMES = 20
OPTIONS = ("--blank", "round:4in", "--dpi", "60", "--artwork", "none")
NAMES = ("Ida", "Tom & Bo", "Zoë", "Marlow", "Anna", "Birger", "Freya", "Hugo", "Iris", "Jonas")
LIST = "name,order,cabin,max cap\n" + "".join(
    f"{name}{'' if turn == 0 else f' {turn + 1}'},P-{10 * turn + place},{'=Fir' if place == 2 else 'Pine'},"
    f"{'12' if place == 4 else '12mm' if place == 3 else ''}\n"
    for turn in range(3)
    for place, name in enumerate(NAMES)
)


def started(orders: Path, out: Path, *more: str) -> subprocess.Popen[bytes]:
    """Start the command in a process group of its own."""
    command = [sys.executable, "-m", "studio", "batch", str(orders), "-o", str(out), "--jobs", "2", *OPTIONS, *more]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.Popen(
        command,
        cwd=orders.parent,
        env=environment,
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def held(folder: Path) -> dict[str, object]:
    """Return every file but the run's own memory; the reports parsed, without seconds."""
    files: dict[str, object] = {
        str(file.relative_to(folder)): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file() and ".sapwood" not in file.parts
    }
    table = list(csv.DictReader(io.StringIO((folder / "report.csv").read_bytes().decode("utf-8-sig"), newline="")))
    lines = [json.loads(line) for line in (folder / "report.jsonl").read_bytes().splitlines()]
    for record in (*table, *lines):
        record["seconds"] = ""
    return files | {"report.csv": table, "report.jsonl": lines}


def ended(run: subprocess.Popen[bytes]) -> int:
    """Wait for a run and return its exit code."""
    _, said = run.communicate(timeout=120)
    assert b"Traceback" not in said, said.decode()
    return run.returncode


def kill(run: subprocess.Popen[bytes]) -> None:
    """Kill a run and its workers at once."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(run.pid, signal.SIGKILL)
    run.communicate()


@pytest.fixture(scope="module")
def orders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The list as a file."""
    file = tmp_path_factory.mktemp("list") / "orders.csv"
    file.write_text(LIST, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def whole(orders: Path) -> tuple[dict[str, object], float]:
    """What an uninterrupted run leaves, and the seconds it took."""
    began = time.monotonic()
    out = orders.parent / "whole"
    assert ended(started(orders, out)) == 1  # three rows are wrong
    return held(out), time.monotonic() - began


def test_the_uninterrupted_run_is_whole(whole: tuple[dict[str, object], float]) -> None:
    """The list of thirty has three wrong rows; each other has its print and proof."""
    files, _ = whole
    assert sum(name.startswith("prints/") for name in files) == sum(name.startswith("proofs/") for name in files) == 27


def test_killed_at_twenty_moments(orders: Path, whole: tuple[dict[str, object], float]) -> None:
    """Killed with its workers at twenty drawn moments, never is half a picture in sight, and the end is the same."""
    expected, seconds = whole
    moments = random.Random(20).choices(range(1000), k=TIMES)
    out = orders.parent / "killed"
    cut_short = 0
    for moment in moments:
        left = 1 - len(list(out.glob("prints/*.png"))) / 27
        lasts = seconds * (0.45 + 0.55 * left)  # nearly half is starting up
        run = started(orders, out, "--resume")
        try:
            run.wait(0.2 + moment / 1000 * (lasts * 0.9 - 0.2))
        except subprocess.TimeoutExpired:
            cut_short += 1
        kill(run)
        for picture in (*out.glob("prints/*.png"), *out.glob("proofs/*.png")):
            assert picture.read_bytes() == expected[str(picture.relative_to(out))]
        if run.returncode == 1:  # it came to its end before: begin a new one
            assert held(out) == expected
            shutil.rmtree(out)
    assert cut_short >= TIMES // 2
    assert ended(started(orders, out, "--resume")) == 1
    assert held(out) == expected
    assert not list(out.rglob("*.part"))


def test_killed_once_and_looked_at(orders: Path, whole: tuple[dict[str, object], float]) -> None:
    """What a killed run leaves under a final name opens and is complete."""
    out = orders.parent / "once"
    run = started(orders, out)
    deadline = time.monotonic() + 60
    while len(list(out.glob("prints/*.png"))) < 3 and time.monotonic() < deadline:
        time.sleep(0.02)
    kill(run)
    for picture in (*out.glob("prints/*.png"), *out.glob("proofs/*.png")):
        with Image.open(picture) as opened:
            opened.load()


def test_ctrl_c_leaves_a_run_to_go_on_with(orders: Path, whole: tuple[dict[str, object], float]) -> None:
    """Ctrl+C ends with 130 and names --resume; resumed, the run ends as the uninterrupted one."""
    out = orders.parent / "stopped"
    run = started(orders, out)
    deadline = time.monotonic() + 60
    while len(list(out.glob("prints/*.png"))) < 3 and time.monotonic() < deadline:
        time.sleep(0.02)
    run.send_signal(signal.SIGINT)
    _, said = run.communicate(timeout=60)
    assert run.returncode == 130
    assert b"Traceback" not in said and b"--resume" in said
    assert ended(started(orders, out, "--resume")) == 1
    assert held(out) == whole[0]


def test_a_second_run_into_the_folder_is_told(orders: Path) -> None:
    """While a run goes on a second one ends with 5, says who is there, and the first one is none the worse."""
    out = orders.parent / "twice"
    first = started(orders, out)
    deadline = time.monotonic() + 60
    while not list(out.glob("prints/*.png")) and time.monotonic() < deadline:
        time.sleep(0.02)
    first.send_signal(signal.SIGSTOP)  # so that it is still there, however quick the machine
    second = started(orders, out, "--resume")
    _, said = second.communicate(timeout=60)
    first.send_signal(signal.SIGCONT)
    assert second.returncode == 5 and b"Another run is writing" in said
    assert ended(first) == 1
