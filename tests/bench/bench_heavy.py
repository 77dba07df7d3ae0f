"""Processor time of fitting and checking hard signs, remedies included: second texts, holes, outlines, odd blanks.

Run by hand: `python tests/bench/bench_heavy.py [SEED [SIGNS]]`. The signs are drawn at random from a seed; each is
fitted once with its face and artwork read before. Printed are the median, the 90th percentile, the longest, how many
took over two seconds, and the longest as a ratio to a plain name on a round blank in the same run.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.basics.errors import StudioError  # noqa: E402
from studio.model.options import Value  # noqa: E402
from studio.model.sign import Sign  # noqa: E402
from studio.pipeline.plan import plan  # noqa: E402
from studio.storage.assets import FileAssets  # noqa: E402
from studio.storage.catalogue import Catalogue  # noqa: E402
from studio.storage.sign_builder import build_sign  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402

TEXTS = (
    *(
        "Marlow & Tess",
        "The Old Boat House on the Hill",
        "Ida",
        "Captain Bo and the Crew of the Heron",
        "Ella",
        "Øyvind",
    ),
    *("Lake House 7", "Welcome to Pikewater\nest. 1952", "The Halvorsens", "Juniper Ridge Cabin No. 12"),
)
SECOND = ("arc-bottom=est. 2019", "arc-top=Welcome", "box=Pikewater", "arc-bottom=Cabin 7")


def drawn(rng: random.Random, catalogue: Catalogue) -> tuple[str, dict[str, Value]]:
    """Return a text and the options of a sign."""
    shape, width, height = rng.choice(("round", "oval", "rect")), rng.uniform(70, 320), rng.uniform(60, 260)
    height = width if shape == "round" else height
    values: dict[str, Value] = {
        "blank": f"round:{width:.1f}mm" if shape == "round" else f"{shape}:{width:.1f}mmx{height:.1f}mm",
        "artwork": rng.choice(["none", "none", *(one.name for one in catalogue.artworks)]),
        "face": rng.choice([one.name for one in catalogue.faces]),
        "surface": rng.choice(["bare", "painted", "film", "laminate"]),
        "repair": rng.choice(["none", "none", "auto", "offset"]),
    }
    holes = rng.choice([0, 0, 0, 1, 2, 3])
    if holes:
        values["hole"] = tuple(
            ",".join(f"{length:.1f}mm" for length in _hole(rng, width, height)) for _ in range(holes)
        )
    if rng.random() < 0.4:
        values["also"] = tuple(rng.sample(SECOND, rng.choice([1, 2])))
    if rng.random() < 0.3:
        values["composition"] = rng.choice(["largest", "full", "calm"])
    if rng.random() < 0.3:
        values["outline"] = "1mm"
    if rng.random() < 0.3:
        values["layout"] = rng.choice(["box", "arc-top", "arc-bottom"])
    return rng.choice(TEXTS), values


def _hole(rng: random.Random, width: float, height: float) -> tuple[float, float, float]:
    return rng.uniform(-0.35, 0.35) * width, rng.uniform(-0.35, 0.35) * height, rng.uniform(3, 15)


def seconds(sign: Sign, assets: FileAssets) -> float:
    """Return the processor time of fitting, what is read from files apart."""
    plain = replace(sign.letterings[0], text="Ida", layout="box")
    plan(replace(sign, letterings=(plain,), repair="none"), assets, remedies=False)
    start = time.process_time()
    plan(sign, assets)
    return time.process_time() - start


def main() -> None:
    """Print the figures."""
    seed, count = (
        (int(word) for word in (*sys.argv[1:], "1", "120")[:2]) if len(sys.argv) != 2 else (int(sys.argv[1]), 120)
    )
    rng, catalogue = random.Random(seed), open_shop().catalogue
    assets, taken = FileAssets(catalogue), []
    while len(taken) < count:
        text, values = drawn(rng, catalogue)
        try:
            taken.append((seconds(build_sign(text, values, catalogue), assets), text, values))
        except StudioError:
            continue  # a hole that leaves nothing of the blank, and the like
    plain_s = min(seconds(build_sign("Marlow & Tess", {}, catalogue), assets) for _ in range(5))
    taken.sort(key=lambda entry: -entry[0])
    times = [entry[0] for entry in taken]
    ninth = statistics.quantiles(times, n=10)[-1]
    median = statistics.median(times)
    print(f"{count} signs: median {median:.2f} s, nine in ten under {ninth:.2f} s, most {times[0]:.2f} s")
    print(f"over two seconds: {sum(one > 2 for one in times)}; the longest is {times[0] / plain_s:.0f} x a plain name")
    for taken_s, text, values in taken[:3]:
        print(f"  {taken_s:.2f} s  {text!r}  {values}")


if __name__ == "__main__":
    main()
