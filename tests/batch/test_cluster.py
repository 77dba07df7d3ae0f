"""A list made on a cluster is the list made at home, whatever is killed on the way."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studio.model.options import option_keys
from studio.orders.order_list import read_orders
from studio.production.elsewhere import RowWorkElsewhere
from studio.production.make_row import RowSettings, RowTask
from studio.production.packages import packed
from studio.production.sign_source import ShopMakerSetup
from studio.storage.workspace import open_shop

ROOT = Path(__file__).parents[2]
COUNT = 40
OPTIONS = ("--blank", "round:40mm", "--dpi", "60", "--artwork", "none", "--face", "Nunito", "--min-cap", "1mm")
PATIENCE_S = 180


@pytest.fixture(scope="module")
def orders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A list of forty names, two of which cannot be made."""
    file = tmp_path_factory.mktemp("list") / "orders.csv"
    lines = "".join(
        f"A-{n},{'' if n == 7 else f'Guest {chr(65 + n % 26)}{n}'},{'x' if n == 9 else 1}\n"
        for n in range(1, COUNT + 1)
    )
    file.write_text(f"order,name,qty\n{lines}", encoding="utf-8")
    return file


def started(orders: Path, out: Path, *more: str) -> subprocess.Popen[bytes]:
    """Start a run in a process group of its own."""
    command = [sys.executable, "-m", "studio", "batch", str(orders), "-o", str(out), *OPTIONS, *more]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    quiet = subprocess.DEVNULL
    return subprocess.Popen(command, env=environment, start_new_session=True, stdout=quiet, stderr=subprocess.PIPE)


def ended(run: subprocess.Popen[bytes]) -> str:
    """Wait for a run that refuses two rows, and return what it said."""
    _, said = run.communicate(timeout=PATIENCE_S)
    assert run.returncode == 1 and b"Traceback" not in said, said.decode()
    return said.decode()


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


def wait_for(out: Path, prints: int, run: subprocess.Popen[bytes]) -> None:
    """Wait until so many prints are there, or the run has ended."""
    deadline = time.monotonic() + PATIENCE_S
    while len(list(out.glob("prints/*.png"))) < prints and run.poll() is None and time.monotonic() < deadline:
        time.sleep(0.02)


@pytest.fixture(scope="module")
def home(orders: Path) -> dict[str, object]:
    """What a run at home leaves."""
    ended(started(orders, orders.parent / "home", "--jobs", "1"))
    return held(orders.parent / "home")


def workers_of(run: subprocess.Popen[bytes]) -> list[int]:
    """Return the processes that a run has started to work."""
    told = subprocess.run(["ps", "-ww", "-eo", "pid=,ppid=,args="], capture_output=True, text=True, check=True).stdout
    rows = [line.split(None, 2) for line in told.splitlines()]
    return [int(pid) for pid, parent, what in rows if int(parent) == run.pid and "spawn_main" in what]


@pytest.mark.slow
def test_a_local_cluster_killed_and_gone_on_with(orders: Path, home: dict[str, object]) -> None:
    """A worker killed, then scheduler and all killed, then gone on with: every file has the bytes of home."""
    out = orders.parent / "local"
    run = started(orders, out, "--cluster", "local", "--jobs", "2")
    wait_for(out, 4, run)
    os.kill(workers_of(run)[0], signal.SIGKILL)
    wait_for(out, 12, run)
    os.killpg(run.pid, signal.SIGKILL)
    run.communicate()
    for picture in out.glob("pr*/*.png"):
        assert picture.read_bytes() == home[str(picture.relative_to(out))]
    ended(started(orders, out, "--cluster", "local", "--jobs", "2", "--resume"))
    assert held(out) == home
    assert not list(out.rglob("*.part"))


@pytest.mark.slow
def test_a_scheduler_that_is_lost_and_comes_back(orders: Path, home: dict[str, object], tmp_path: Path) -> None:
    """A cluster whose scheduler is killed and started anew costs the run nothing but time."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"tcp://127.0.0.1:{port}"
    environment = os.environ | {"PYTHONPATH": str(ROOT)}

    def dask(*words: str) -> subprocess.Popen[bytes]:
        quiet = subprocess.DEVNULL
        command = [sys.executable, "-m", "dask", *words]
        return subprocess.Popen(
            command, cwd=tmp_path, env=environment, stdout=quiet, stderr=quiet, start_new_session=True
        )

    scheduler = ("scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
    worker = ("worker", address, "--nthreads", "1", "--no-dashboard", "--death-timeout", "600")
    parts = [dask(*scheduler), dask(*worker)]
    try:
        out = tmp_path / "out"
        run = started(orders, out, "--cluster", address)
        wait_for(out, 4, run)
        for part in parts:
            os.killpg(part.pid, signal.SIGKILL)
            part.wait()
        parts = [dask(*scheduler), dask(*worker)]
        said = ended(run)
        assert "is gone; waiting" in said and "is back" in said
        assert held(out) == home
    finally:
        for part in parts:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(part.pid, signal.SIGKILL)
            part.wait()


def test_own_fonts_and_pictures_travel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A package makes the same files where neither the shop's folders nor the files that rows name are there."""
    monkeypatch.chdir(tmp_path)
    fonts, pictures = tmp_path / "fonts", tmp_path / "artwork"
    fonts.mkdir(), pictures.mkdir()
    shutil.copy(ROOT / "fonts/Lobster/Lobster-Regular.ttf", fonts / "House.ttf")
    shutil.copy(ROOT / "fonts/Pacifico/Pacifico-Regular.ttf", tmp_path / "row.ttf")
    shutil.copy(ROOT / "assets/artwork/pine-ring.png", pictures / "shop-ring.png")
    environment = {"SAPWOOD_FONT_FOLDER": str(fonts), "SAPWOOD_ARTWORK_FOLDER": str(pictures)}
    shop = open_shop(folder=tmp_path, environment=environment)
    setup = ShopMakerSetup(
        shop.catalogue, {"blank": "round:10in", "dpi": "60", "artwork": "shop-ring", "face": "House"}
    )
    orders = read_orders(b"name,face\nIda,\nTom,row.ttf\nBo,Nunito\n", option_names=option_keys())
    settings = RowSettings(tmp_path / "out", contact=False)
    package = packed(setup, orders.rows)
    here = [RowWorkElsewhere(setup(), settings)(RowTask(order)).files for order in orders.rows]
    for gone in (fonts, pictures):
        shutil.rmtree(gone)
    (tmp_path / "row.ttf").unlink()
    maker = package.unpacked()
    there = [RowWorkElsewhere(maker(), settings)(RowTask(order)).files for order in orders.rows]
    assert there == here and all(len(files) == 2 for files in here)
    assert 0 < package.size_bytes < 20_000_000


def test_the_printed_lines_for_any_executor_run_as_they_stand(tmp_path: Path) -> None:
    """The block of DEVELOPERS.md makes a list as it stands."""
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.DOTALL)
    (block,) = (block for block in blocks if "by_executor" in block)
    (tmp_path / "make.py").write_text(block, encoding="utf-8")
    (tmp_path / "orders.csv").write_text("order,name\n1,Ida\n2,Tom\n3,Zoë\n", encoding="utf-8")
    environment = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "make.py"]
    told = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, timeout=PATIENCE_S, check=True)
    assert told.stdout.decode().splitlines() == ["made Ida", "made Tom", "made Zoë"]
    assert len(list((tmp_path / "out/prints").iterdir())) == 3
