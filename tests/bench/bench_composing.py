"""Speed of composing a name with `balanced`, against `largest` measured in the same run.

Run by hand: `python tests/bench/bench_composing.py`. Both are measured turn by turn, in processor time, the least of a
few repeats; a name counts as new each time, as in `bench_fit.py`. The median and the 90th percentile over the names of
fitting and checks together are printed, and of fitting alone, with their ratios.
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.checks.letter_gaps import SLITS  # noqa: E402
from studio.model.sign import Composing, Sign  # noqa: E402
from studio.pipeline import plan as planning  # noqa: E402
from studio.pipeline.make import make  # noqa: E402
from studio.storage.assets import FileAssets  # noqa: E402
from studio.storage.catalogue import Catalogue  # noqa: E402
from studio.storage.sign_builder import build_sign  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402
from tests.bench.bench_fit import NAMES  # noqa: E402

REPEATS = 5
CASES = (
    ("the ring, Pacifico", {"artwork": "pine-ring", "face": "Pacifico"}),
    ("loon and lake, Pacifico", {"artwork": "loon-lake", "face": "Pacifico"}),
    ("lantern, Nunito", {"artwork": "lantern", "face": "Nunito"}),
    ("bare wood, Nunito", {"artwork": "none", "face": "Nunito"}),
    ("bare oval, Young Serif", {"artwork": "none", "face": "Young Serif", "blank": "oval-12x8in"}),
)


def main() -> None:
    """Print a line for each case."""
    catalogue = open_shop(folder=Path(__file__).parent, environment={}).catalogue
    assets = FileAssets(catalogue)
    composed = planning.compose
    fitting_s = 0.0

    def timed(*arguments: object) -> object:
        nonlocal fitting_s
        began = time.process_time()
        try:
            return composed(*arguments)  # type: ignore[arg-type]
        finally:
            fitting_s = time.process_time() - began

    planning.compose = timed  # type: ignore[assignment]

    def least_ms(sign: Sign) -> tuple[float, float]:
        face = assets.face(sign.letterings[0].face)
        face.memory.setdefault("lines", {}).clear()
        SLITS.clear()
        began = time.process_time()
        planning.plan(sign, assets, remedies=False)
        return 1000 * fitting_s, 1000 * (time.process_time() - began)

    every: dict[str, list[float]] = {"largest": [], "balanced": []}
    for title, values in CASES:
        found: dict[str, list[tuple[float, float]]] = {"largest": [], "balanced": []}
        for name in NAMES:
            sign = build_sign(name, values, catalogue)
            signs = {
                how: replace(sign, composing=Composing("largest" if how == "largest" else "balanced")) for how in found
            }
            for one in signs.values():
                planning.plan(one, assets, remedies=False)
            times: dict[str, list[tuple[float, float]]] = {how: [] for how in found}
            for _ in range(REPEATS):
                for how, one in signs.items():
                    times[how].append(least_ms(one))
            for how, each in times.items():
                found[how].append((min(fit for fit, _ in each), min(whole for _, whole in each)))
        for how in every:
            every[how] += [whole for _, whole in found[how]]
        told = []
        for what, at in (("fitting", 0), ("with checks", 1)):
            largest, balanced = (sorted(pair[at] for pair in found[how]) for how in ("largest", "balanced"))
            ninth = int(len(largest) * 0.9)
            told.append(
                f"{what} {statistics.median(largest):5.1f} -> {statistics.median(balanced):5.1f} ms "
                f"({statistics.median(balanced) / statistics.median(largest):4.2f} x), 90th "
                f"{largest[ninth]:5.1f} -> {balanced[ninth]:5.1f} ({balanced[ninth] / largest[ninth]:4.2f} x)"
            )
        print(f"{title:24} {'; '.join(told)}", flush=True)
    middles = {how: statistics.median(times) for how, times in every.items()}
    ninths = {how: sorted(times)[int(len(times) * 0.9)] for how, times in every.items()}
    print(
        f"all together, with checks: median {middles['largest']:.1f} -> {middles['balanced']:.1f} ms "
        f"({middles['balanced'] / middles['largest']:.2f} x), 90th {ninths['largest']:.1f} -> {ninths['balanced']:.1f} "
        f"({ninths['balanced'] / ninths['largest']:.2f} x)",
        flush=True,
    )
    rows(catalogue, assets)


def rows(catalogue: Catalogue, assets: FileAssets) -> None:
    """Print what a row of a list takes: fitted, checked, drawn and packed, without its files."""
    times: dict[str, list[float]] = {"largest": [], "balanced": []}
    for name in NAMES:
        sign = build_sign(name, {"artwork": "pine-ring", "face": "Pacifico"}, catalogue)
        least = dict.fromkeys(times, 1e9)
        for _ in range(REPEATS):
            for how in times:
                one = replace(sign, composing=Composing("largest" if how == "largest" else "balanced"))
                assets.face(sign.letterings[0].face).memory.setdefault("lines", {}).clear()
                SLITS.clear()
                began = time.process_time()
                make(one, assets, remedies=False)
                least[how] = min(least[how], 1000 * (time.process_time() - began))
        for how, took in least.items():
            times[how].append(took)
    largest, balanced = (statistics.median(times[how]) for how in ("largest", "balanced"))
    print(f"a row in the ring: median {largest:.1f} -> {balanced:.1f} ms ({balanced / largest:.2f} x)", flush=True)


if __name__ == "__main__":
    main()
