"""Sheets against what they come on top of: `.venv/bin/python -m tests.bench.bench_sheets` (`--warm`: lists alone).

Prints ratios: one sign's sheets against its render, both cold and warm, and 200 small signs ganged against making them;
and the memory that the PDF of a run takes against the size of the file. Nothing here can fail.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from studio.model.options import option_keys
from studio.model.paper import Paper
from studio.orders.order_list import read_orders
from studio.production.run import RunOptions, run_orders
from studio.production.run_sheets import lay_run
from studio.production.sign_source import ShopMakerSetup
from studio.sheets.sign_on_paper import Wish
from studio.storage.workspace import open_shop

_SIGNS = 200


def main() -> None:
    """Measure and print."""
    if "--warm" not in sys.argv:
        plain, sheets = _cold([]), _cold(["--paper", "letter"])
        print(f"render, cold: {plain:.2f} s of processor; with --paper letter {sheets:.2f} s: {sheets - plain:+.2f} s")
    for label, blanks in (("equal rounds", ["round:3in"]), ("mixed", ["round:3in", "oval:4inx2.5in", "rect:4inx2in"])):
        _ganged(label, blanks)


def _cold(options: list[str]) -> float:
    """Return the processor seconds of a fresh process that renders one sign; the best of three."""
    seconds = []
    for _ in range(3):
        with tempfile.TemporaryDirectory() as home:
            began = resource.getrusage(resource.RUSAGE_CHILDREN)
            argv = [sys.executable, "-m", "studio", "render", "Marlow & Tess", "-o", home, *options]
            subprocess.run(argv, check=True, capture_output=True)
            ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        seconds.append(ended.ru_utime + ended.ru_stime - began.ru_utime - began.ru_stime)
    return min(seconds)


def _ganged(label: str, blanks: list[str]) -> None:
    rows = [f"N{number},Sign {number},1,{blanks[number % len(blanks)]}" for number in range(_SIGNS)]
    data = "\n".join(["order,text,quantity,blank", *rows]).encode()
    shop = open_shop(environment={})
    orders = read_orders(data, option_names=option_keys())
    setup = ShopMakerSetup(shop.catalogue, {"artwork_fit": "cover", "min_cap": "2mm"})
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home)
        began = time.process_time()
        made = [done.row for done in run_orders(orders, setup, RunOptions(folder, jobs=1, contact=False, proofs=False))]
        making = time.process_time() - began
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        began = time.process_time()
        laid = lay_run(made, orders, setup(), folder, Wish(Paper("letter", 215.9, 279.4)))
        laying = time.process_time() - began
        assert laid is not None
        more_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
        file_mb = laid.file.stat().st_size / 1e6
    print(
        f"{_SIGNS} small signs, {label}: made in {making:.1f} s of processor, {laid.pages} sheets in {laying:.1f} s "
        f"({laying / making:.2f} of it); the PDF is {file_mb:.0f} MB and took {more_mb:.0f} MB more memory"
    )


if __name__ == "__main__":
    main()
