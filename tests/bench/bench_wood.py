"""What the wood costs: a further sign on a kept ground, a row of a list, a key in the studio, beside the plain one.

Run by hand: `python tests/bench/bench_wood.py [sign|rows|keys]`. Times are of the processor, plain and wood by turns in
the same run, so that the ratio holds on a machine that others use as well. Bare wood, the pine ring, 10 in.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.model.options import option_keys  # noqa: E402
from studio.model.sign import ProofWood  # noqa: E402
from studio.orders.order_list import read_orders  # noqa: E402
from studio.pipeline.cache import proof_base_for  # noqa: E402
from studio.pipeline.plan import plan  # noqa: E402
from studio.production.run import RunOptions, run_orders  # noqa: E402
from studio.production.sign_source import ShopMakerSetup  # noqa: E402
from studio.storage.assets import FileAssets  # noqa: E402
from studio.storage.sign_builder import build_sign  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402

NAMES = ("Ida", "Tom", "Marlow & Tess", "Anna", "Birger", "Pikewater", "Hugo & Iris", "Jonas", "Kaja", "Cabin Seven")
ROUNDS = 5
ROWS = 60
KEYS = "Marlowetes"
KEY_ROUNDS = 6


def sign_ms() -> None:
    """Tell what lettering costs on a kept ground at 1200 pixels, plain and in the wood."""
    catalogue = open_shop(environment={}).catalogue
    assets = FileAssets(catalogue)
    sign = build_sign("Ida", {"surface": "bare"}, catalogue)
    signs = {name: replace(sign, letterings=(replace(sign.letterings[0], text=name),)) for name in NAMES}
    placements = [plan(one, assets, remedies=False).placement for one in signs.values()]
    times: dict[str, list[float]] = {"plain": [], "maple": [], "maple at 20 degrees": []}
    looks = {"plain": None, "maple": ProofWood("maple"), "maple at 20 degrees": ProofWood("maple", 0.349)}
    for name, wood in looks.items():
        began = time.process_time()
        proof_base_for(replace(sign, wood=wood), assets, 1200)
        print(f"ground, {name}: {1000 * (time.process_time() - began):.0f} ms once (the plain one below it included)")
    for _ in range(ROUNDS):
        for placement in placements:
            for name, wood in looks.items():
                base = proof_base_for(replace(sign, wood=wood), assets, 1200)
                began = time.process_time()
                base.patches_of(placement)
                times[name].append(1000 * (time.process_time() - began))
    for name, each in times.items():
        print(f"a further sign, {name}: median {statistics.median(each):.1f} ms, most {max(each):.1f} ms")


def rows_ratio() -> None:
    """Tell what a row of a list costs with proofs in the wood, beside plain proofs."""
    names = [f"{one} {number}" for number in range(ROWS // len(NAMES) + 1) for one in NAMES][:ROWS]
    orders = read_orders(("name\n" + "\n".join(names) + "\n").encode(), option_names=option_keys())
    catalogue = open_shop(folder=ROOT / "tests", environment={}).catalogue
    each: dict[str, list[float]] = {"plain": [], "maple": []}
    for _ in range(ROUNDS):
        for wood, times in each.items():
            with tempfile.TemporaryDirectory() as folder:
                maker = ShopMakerSetup(catalogue, {"surface": "bare", "wood": wood})
                run = run_orders(orders, maker, RunOptions(Path(folder), jobs=1))
                next(run)  # the grounds are made for the first row
                began = time.process_time()
                done = sum(1 for _ in run)
                times.append(1000 * (time.process_time() - began) / done)
    ratios = [wood / plain for wood, plain in zip(each["maple"], each["plain"], strict=True)]
    for wood, times in each.items():
        print(f"a row, {wood}: median {statistics.median(times):.1f} ms")
    print(f"with wood proofs: {statistics.median(ratios):.2f} x the time (from {min(ratios):.2f} to {max(ratios):.2f})")


def keys_ms() -> None:
    """Tell what a key costs in the studio from the sign to its lines for the terminal, plain and as pressed, by turns.

    Fit, checks and picture differ; what the terminal app does with the lines is the same for both and is left out.
    """
    from studio.tui.preview.painter import Painter
    from studio.tui.preview.view import View

    catalogue = open_shop(environment={}).catalogue
    assets = FileAssets(catalogue)
    sign = build_sign("M", {"surface": "bare"}, catalogue)
    times: dict[bool, list[float]] = {False: [], True: []}
    painters = {pressed: Painter(assets) for pressed in times}
    for round_ in range(KEY_ROUNDS):
        for end in range(1, len(KEYS) + 1):
            text = KEYS[:end] if round_ % 2 else KEYS[:end][::-1]
            typed = replace(sign, letterings=(replace(sign.letterings[0], text=f"{text}{round_ or ''}"),))
            for pressed in (False, True) if end % 2 else (True, False):  # the first to see a name measures its pairs
                view = View(70, 30, is_pressed=pressed)
                began = time.process_time()
                painters[pressed].paint(typed, plan(typed, assets, remedies=False), view)
                if round_:
                    times[pressed].append(1000 * (time.process_time() - began))
    for pressed, each in times.items():
        each.sort()
        middle, late = statistics.median(each), each[int(0.95 * len(each))]
        print(f"a key, {'pressed' if pressed else 'plain'}: median {middle:.1f} ms, 95th percentile {late:.1f} ms")


def main() -> None:
    """Tell all of it, or what is named."""
    asked = sys.argv[1:] or ["sign", "rows", "keys"]
    if "sign" in asked:
        sign_ms()
    if "rows" in asked:
        rows_ratio()
    if "keys" in asked:
        keys_ms()


if __name__ == "__main__":
    main()
