"""What a cluster costs a run, as ratios to the same run with processes of this machine, measured in turns.

Run it from the project's folder: `python tests/bench/bench_cluster.py [--quick]`. Everything it writes is removed
again. The pine ring, 10 in, 300 dpi, print, proof and contact sheet. What a sign takes is the slope from few rows to
many, so that starting up does not count. At home (client, scheduler and writing) and at the workers it is told apart.
"""

from __future__ import annotations

import argparse
import os
import pickle
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.model.options import option_keys  # noqa: E402
from studio.orders.order_list import OrderList, read_orders  # noqa: E402
from studio.production.cluster import LOCAL, ClusterWork, WorkCluster  # noqa: E402
from studio.production.elsewhere import RowWorkElsewhere  # noqa: E402
from studio.production.make_row import RowSettings, RowTask  # noqa: E402
from studio.production.packages import packed  # noqa: E402
from studio.production.run import RunOptions, run_orders  # noqa: E402
from studio.production.sign_source import ShopMakerSetup  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402

FEW, MANY = 20, 80
JOBS: Final = 2
ROUNDS: Final = 3


@dataclass(frozen=True, slots=True)
class Spent:
    """Seconds on the clock, of processor in the run's own process, and in those it started."""

    seconds: float
    home_s: float
    workers_s: float


def orders_of(rows: int) -> OrderList:
    """Return a list of so many names."""
    lines = "".join(f"P-{n},Guest {chr(65 + n % 26)}{n}\n" for n in range(rows))
    return read_orders(f"order,name\n{lines}".encode(), option_names=option_keys())


def one_run(rows: int, folder: Path, kind: str) -> None:
    """Make a list and print what it took: what `spent` starts."""
    setup = ShopMakerSetup(open_shop(folder=ROOT / "tests", environment={}).catalogue, {})
    orders, options = orders_of(rows), RunOptions(folder, jobs=JOBS)
    began = time.perf_counter()
    if kind == "cluster":
        with WorkCluster(LOCAL, packed(setup, orders.rows), workers=JOBS, tell=print) as cluster:
            began = time.perf_counter()
            count = sum(1 for _ in run_orders(orders, setup, options, answers=cluster))
            seconds = time.perf_counter() - began
    else:
        count = sum(1 for _ in run_orders(orders, setup, options))
        seconds = time.perf_counter() - began
    assert count == rows
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(seconds, *(each.ru_utime + each.ru_stime for each in used))


def spent(rows: int, home: Path, kind: str) -> Spent:
    """Return what one run in a fresh process took."""
    folder = home / "out"
    shutil.rmtree(folder, ignore_errors=True)
    command = [sys.executable, __file__, "--one", str(rows), str(folder), kind]
    told = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True).stdout.split()
    return Spent(*map(float, told[-3:]))


def slope(home: Path, kind: str) -> tuple[float, float, float]:
    """Return milliseconds a sign: on the clock, of processor at home, at the workers."""
    few, many = spent(FEW, home, kind), spent(MANY, home, kind)
    each = 1000 / (MANY - FEW)
    return (
        (many.seconds - few.seconds) * each,
        (many.home_s - few.home_s) * each,
        (many.workers_s - few.workers_s) * each,
    )


def moved() -> None:
    """Print the bytes that a row moves, out and back."""
    setup = ShopMakerSetup(open_shop(folder=ROOT / "tests", environment={}).catalogue, {})
    orders = orders_of(8)
    settings = RowSettings(Path("out").absolute())
    package = packed(setup, orders.rows)
    out = len(pickle.dumps((ClusterWork(package.key, settings), RowTask(orders.rows[0]))))
    worker = RowWorkElsewhere(setup(), settings)
    answers = [worker(RowTask(order)) for order in orders.rows]
    back = [len(pickle.dumps(answer)) for answer in answers]
    kinds = {"print": 0, "proof": 1}
    each = {name: statistics.mean(len(answer.files[at][1]) for answer in answers) for name, at in kinds.items()}
    tile = statistics.mean(len(answer.tile or b"") for answer in answers)
    print(f"a row out: {out:,} bytes; back: {statistics.mean(back):,.0f} bytes", end=" ")
    print(f"(print {each['print']:,.0f}, proof {each['proof']:,.0f}, tile {tile:,.0f})")
    whole = len(pickle.dumps(package))
    print(f"the package, once to each worker: {package.size_bytes:,} bytes of own files, {whole:,} in all")


def main() -> None:
    """Run it all, in a folder that is removed at the end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one round")
    parser.add_argument("--one", nargs=3, help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.one:
        one_run(int(said.one[0]), Path(said.one[1]), said.one[2])
        return
    print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}, {sys.platform}")
    moved()
    ratios, processor = [], []
    with tempfile.TemporaryDirectory() as home:
        for _ in range(1 if said.quick else ROUNDS):
            at_home = slope(Path(home), "home")
            cluster = slope(Path(home), "cluster")
            for name, each in (("--jobs 2", at_home), ("--cluster local", cluster)):
                print(f"{name:<16}{each[0]:8.1f} ms a sign; processor: {each[1]:.1f} at home, {each[2]:.1f} at workers")
            ratios.append(at_home[0] / cluster[0])
            processor.append(sum(at_home[1:]) / sum(cluster[1:]))
    print(f"--cluster local makes {statistics.median(ratios):.2f} x the signs of --jobs 2 in the same time;", end=" ")
    print(f"{statistics.median(processor):.2f} x for the same processor time")


if __name__ == "__main__":
    main()
