"""How a run ends when it is told to, or when nobody listens any longer: clean, with its code, to be gone on with."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COUNT = 60
OPTIONS = ("--blank", "round:30mm", "--dpi", "36", "--artwork", "none", "--face", "Nunito", "--min-cap", "1mm")


@pytest.fixture(scope="module")
def orders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A list of sixty names."""
    file = tmp_path_factory.mktemp("list") / "orders.csv"
    lines = "".join(f"A-{n},Guest {chr(65 + n % 26)}{n}\n" for n in range(1, COUNT + 1))
    file.write_text(f"order,name\n{lines}", encoding="utf-8")
    return file


def command(orders: Path, *more: str) -> list[str]:
    """Return the command line of a run into the folder `out` beside the list."""
    return [sys.executable, "-m", "studio", "batch", str(orders), "-o", "out", *OPTIONS, *more]


def started(orders: Path, folder: Path, *more: str) -> subprocess.Popen[bytes]:
    """Start a run and wait for its first signs."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    run = subprocess.Popen(
        command(orders, *more), cwd=folder, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    deadline = time.monotonic() + 120
    while len(list(folder.glob("out/prints/*.png"))) < 3 and run.poll() is None and time.monotonic() < deadline:
        time.sleep(0.01)
    return run


def whole(folder: Path) -> bool:
    """Return whether there is neither half a file nor a report line that is none."""
    lines = (folder / "out/report.jsonl").read_bytes().splitlines()
    return not list(folder.rglob("*.part")) and all(json.loads(line) for line in lines)


@pytest.mark.parametrize(("number", "code"), [("SIGTERM", 143), ("SIGHUP", 129), ("SIGINT", 130)])
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_each_signal_is_one_clean_stop(orders: Path, tmp_path: Path, number: str, code: int, jobs: str) -> None:
    """Twenty signals in quick succession stop a run once: its code, a sentence with the way on, no traceback."""
    with started(orders, tmp_path, "--jobs", jobs) as run:
        for _ in range(20):
            run.send_signal(getattr(signal, number))
            time.sleep(0.005)
        _, said = run.communicate(timeout=120)
    assert run.returncode == code, said.decode()
    assert b"Traceback" not in said and b"go on with --resume" in said
    assert whole(tmp_path)


def test_a_reader_that_goes_away_ends_a_run_with_a_code(orders: Path, tmp_path: Path) -> None:
    """`| head -1` on the rows stops the run, says so, and ends with 5."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    line = command(orders, "--jobs", "1", "--json")
    pipe = subprocess.PIPE
    with subprocess.Popen(line, cwd=tmp_path, env=environment, stdout=pipe, stderr=pipe) as run:
        assert run.stdout is not None and run.stderr is not None
        assert json.loads(run.stdout.readline())["row"] == 1
        run.stdout.close()
        said = run.stderr.read()
        assert run.wait(timeout=120) == 5
    assert b"nothing reads the results" in said and b"--resume" in said and b"Traceback" not in said
    assert whole(tmp_path) and len(list(tmp_path.glob("out/prints/*.png"))) < COUNT


@pytest.mark.parametrize("closed", ["2>&-", ">&-", "2>&- >&-", "<&- 2>&-"])
def test_closed_streams_do_not_stop_a_run(orders: Path, tmp_path: Path, closed: str) -> None:
    """Started with its streams closed a run makes its signs all the same, and writes into no file but its own."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    line = " ".join(f"'{word}'" for word in command(orders, "--jobs", "1", "--rows", "1-3"))
    assert subprocess.run(f"{line} {closed}", shell=True, cwd=tmp_path, env=environment, timeout=120).returncode == 0
    assert len(list(tmp_path.glob("out/prints/*.png"))) == 3 and whole(tmp_path)
