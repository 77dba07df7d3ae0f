"""How fast a list of names is made, as ratios to other ways of doing it on the same machine in the same run.

Run it from the project's folder: `python tests/bench/bench_batch.py [--quick]`. Everything it writes is removed again.

The pine ring, 10 in, 300 dpi. The time a sign takes is the slope from 40 rows to 240, so that starting up does not
count; the whole time of 240 rows is given too. A run is all it ever is: fitting, checks, print, proof, contact sheet,
reports, every file read back. What proofs and contact sheet cost is told apart, from a run without them.

How fast a shared machine is changes from one minute to the next. So each slope is measured several times, the plain
loop right before and after each, and every ratio is that of neighbours. The middle one is told, with least and most.
"""

from __future__ import annotations

import argparse
import itertools
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image, ImageDraw, ImageFont

ROOT: Final = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.basics.units import px_count  # noqa: E402
from studio.model.options import option_keys  # noqa: E402
from studio.orders.order_list import read_orders  # noqa: E402
from studio.production.run import RunOptions, run_orders  # noqa: E402
from studio.production.sign_source import ShopMakerSetup  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402

FIRST: Final = (
    *("Ida", "Tom", "Zoë", "Marlow", "Tess", "Anna", "Birger", "Freya"),
    *("Hugo", "Iris", "Jonas", "Kaja", "Liam", "Mona", "Nils", "Olive"),
)
NAMES: Final = (*FIRST, *(f"{one} & {other}" for one, other in itertools.permutations(FIRST, 2)))
DPI: Final = 300
SIZE_MM: Final = 254.0 + 2 * (3 + 6)
FEW, MANY = 40, 240
LOOPS: Final = 6
"""Signs of the slow ways: each takes the same time, so that a few are enough."""
ROUNDS: Final = 3
"""How often a slope is measured."""
INK: Final = (59, 35, 20)


def made(rows: int, folder: Path, jobs: int, *, proofs: bool = True, dpi: int = DPI, bare: bool = False) -> float:
    """Make the first names of the list into a folder and return the seconds it took."""
    values = {"dpi": str(dpi)} | ({"artwork": "none", "blank": "round:4in"} if bare else {})
    names = [NAMES[row % len(NAMES)] for row in range(rows)]
    orders = read_orders(("name\n" + "\n".join(names) + "\n").encode(), option_names=option_keys())
    maker = ShopMakerSetup(open_shop(folder=ROOT / "tests", environment={}).catalogue, values)
    began = time.perf_counter()
    states = [
        done.row.state
        for done in run_orders(orders, maker, RunOptions(folder, jobs=jobs, contact=proofs, proofs=proofs))
    ]
    seconds = time.perf_counter() - began
    assert len(states) == rows and all(state.startswith("made") for state in states), set(states)
    return seconds


@dataclass(frozen=True, slots=True)
class Spent:
    """What one run took: seconds on the clock, seconds of processor, and the most memory one process held."""

    seconds: float
    processor_s: float
    memory_mb: float


def in_own_process(*arguments: object) -> Spent:
    """Return what one run in a fresh process took."""
    command = [sys.executable, __file__, "--one", *map(str, arguments)]
    told = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True).stdout.split()
    return Spent(*map(float, told))


def one_run(arguments: Sequence[str]) -> None:
    """Make one list and tell what it took: what `in_own_process` starts."""
    rows, folder, jobs, proofs, dpi, bare = arguments
    before = processor_seconds()
    seconds = made(int(rows), Path(folder), int(jobs), proofs=proofs == "True", dpi=int(dpi), bare=bare == "True")
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print(seconds, processor_seconds() - before, most / 1024)


def processor_seconds() -> float:
    """Return the processor time of this process and its finished children."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


@dataclass(frozen=True, slots=True)
class Slope:
    """A sign's share of a longer run beyond a shorter one, in milliseconds, and the longer run."""

    each_ms: float
    processor_ms: float
    whole: Spent


def slope(home: Path, jobs: int, *, proofs: bool) -> Slope:
    """Return what a sign takes by the slope; the prints of the last run are kept for copying."""
    spent = []
    for rows in (FEW, MANY):
        folder = home / f"run-{rows}"
        shutil.rmtree(folder, ignore_errors=True)
        spent.append(in_own_process(rows, folder, jobs, proofs, DPI, False))
    few, many = spent
    share = 1000 / (MANY - FEW)
    return Slope((many.seconds - few.seconds) * share, (many.processor_s - few.processor_s) * share, many)


def base_picture(folder: Path) -> tuple[Image.Image, Path]:
    """Return the pine ring on its canvas, and where it lies as a file."""
    side = px_count(SIZE_MM, DPI)
    with Image.open(ROOT / "assets/artwork/pine-ring.png") as opened:
        ring = opened.convert("RGBA")
    sheet = Image.new("RGB", (side, side), "white")
    sheet.paste(ring, ((side - ring.width) // 2, (side - ring.height) // 2), ring)
    file = folder / "base.png"
    sheet.save(file, dpi=(DPI, DPI))
    return sheet, file


def timed(task: Callable[[int], object], times: int) -> tuple[float, float]:
    """Return milliseconds on the clock and of processor that a task takes, called with 0, 1, 2 and so on."""
    began, used = time.perf_counter(), processor_seconds()
    for number in range(times):
        task(number)
    return (time.perf_counter() - began) / times * 1000, (processor_seconds() - used) / times * 1000


def pillow_loop(sheet: Image.Image, folder: Path, times: int, **saving: int) -> tuple[float, float]:
    """Return what a sign of the plain loop takes: draw the text, flip, save."""
    font = ImageFont.truetype(str(ROOT / "fonts/Pacifico/Pacifico-Regular.ttf"), 300)

    def make(number: int) -> None:
        sign = sheet.copy()
        middle = (sign.width / 2, sign.height / 2)
        ImageDraw.Draw(sign).text(middle, NAMES[number], font=font, fill=INK, anchor="mm")
        sign = sign.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        sign.save(folder / f"loop-{number}.png", dpi=(DPI, DPI), **saving)

    return timed(make, times)


def magick(base: Path, folder: Path) -> tuple[float, float] | None:
    """Return what a sign of the ImageMagick command takes; `None` where it cannot."""
    program = shutil.which("magick") or shutil.which("convert")
    if program is None:
        print("(c) ImageMagick is not installed; skipped.")
        return None
    command = [program, str(base), "-gravity", "center", "-pointsize", "300", "-fill", "#3b2314"]
    command += ["-font", str(ROOT / "fonts/Pacifico/Pacifico-Regular.ttf"), "-annotate", "0"]

    def make(number: int) -> None:
        target = str(folder / f"magick-{number}.png")
        subprocess.run([*command, NAMES[number], "-flop", target], check=True, capture_output=True)

    try:
        return timed(make, LOOPS // 2)
    except subprocess.CalledProcessError as failure:
        print(f"(c) ImageMagick cannot do it here: {failure.stderr.decode(errors='replace').strip()[:200]}")
        return None


def copied(prints: Path, folder: Path) -> tuple[float, float]:
    """Return what copying a finished print takes."""
    files = sorted(prints.iterdir())
    return timed(lambda number: shutil.copyfile(files[number], folder / f"copy-{number}.png"), len(files))


@dataclass(frozen=True, slots=True)
class Round:
    """A slope and the milliseconds a sign of the plain loop took around it, on the clock and of processor."""

    ours: Slope
    loop_ms: float
    loop_processor_ms: float

    @property
    def ratios(self) -> tuple[float, float, float]:
        """How many times as long the loop takes: by the slope, by the whole run, by processor time."""
        whole = self.ours.whole.seconds * 1000
        by_processor = self.loop_processor_ms / self.ours.processor_ms
        return self.loop_ms / self.ours.each_ms, self.loop_ms * MANY / whole, by_processor


def one_round(home: Path, sheet: Image.Image, jobs: int, *, proofs: bool) -> Round:
    """Return a slope with the plain loop measured on either side of it."""
    before = pillow_loop(sheet, home, LOOPS // 2)
    ours = slope(home, jobs, proofs=proofs)
    after = pillow_loop(sheet, home, LOOPS // 2)
    return Round(ours, (before[0] + after[0]) / 2, (before[1] + after[1]) / 2)


def compare(home: Path, rounds: int) -> None:
    """Print the table of ratios."""
    sheet, base = base_picture(home)
    for jobs, proofs in ((1, False), (2, False), (1, True), (2, True)):
        each = [one_round(home, sheet, jobs, proofs=proofs) for _ in range(rounds)]
        what = "with proofs and contact sheet" if proofs else "prints and reports only"
        print(f"\n{jobs} process{'es' * (jobs > 1)}, {what}:")
        print(f"  {_told([one.ours.each_ms for one in each])} ms a sign by the slope;", end=" ")
        print(f"{_told([one.ours.processor_ms for one in each])} ms of processor; {MANY} signs in", end=" ")
        print(f"{_told([one.ours.whole.seconds for one in each])} s;", end=" ")
        print(f"{max(one.ours.whole.memory_mb for one in each):.0f} MB a process at most")
        print(f"  (a) plain Pillow loop: {_told([one.loop_ms for one in each])} ms a sign")
        by_slope, by_whole, by_processor = zip(*(one.ratios for one in each), strict=True)
        print(
            f"      {_told(by_slope)} x by slope, {_told(by_whole)} x whole, {_told(by_processor)} x by processor time"
        )
    print()
    told = {
        "(a) plain Pillow loop": pillow_loop(sheet, home, LOOPS),
        "(b) the same, compress_level=1": pillow_loop(sheet, home, LOOPS, compress_level=1),
        "(c) ImageMagick command": magick(base, home),
        "(d) copying the finished prints": copied(home / f"run-{MANY}" / "prints", home),
    }
    for way, took in told.items():
        if took is not None:
            print(f"{way:<34}{took[0]:8.1f} ms a sign, {took[0] / told['(a) plain Pillow loop'][0]:.3f} of (a)")


def _told(values: Sequence[float]) -> str:
    """Return the middle of some values, with the least and the most where there are several."""
    middle = f"{statistics.median(values):.1f}"
    return middle if len(values) == 1 else f"{middle} ({min(values):.1f} to {max(values):.1f})"


def long_lists(home: Path, rows: tuple[int, int]) -> None:
    """Print how time a row and memory change from a list to one ten times longer, small and bare at 40 dpi.

    The shorter list is measured on either side of the longer one.
    """
    print(f"\n{'rows':>8}{'ms a row':>10}{'processor':>11}{'MB':>6}")
    each = []
    for count in (rows[0], rows[1], rows[0]):
        folder = home / "long"
        took = in_own_process(count, folder, 1, True, 40, True)
        shutil.rmtree(folder)
        each.append(took.processor_s / count * 1000)
        print(f"{count:>8}{took.seconds / count * 1000:>10.2f}{each[-1]:>11.2f}{took.memory_mb:>6.0f}")
    print(f"processor time a row: {(2 * each[1] / (each[0] + each[2]) - 1) * 100:+.1f} %")


def main() -> None:
    """Run it all, in a folder that is removed at the end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one round; long lists of 200 and 2,000 rows")
    parser.add_argument("--one", nargs=6, help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.one:
        one_run(said.one)
        return
    print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}, {sys.platform}")
    tasks: list[Callable[[Path], None]] = [
        lambda home: compare(home, 1 if said.quick else ROUNDS),
        lambda home: long_lists(home, (200, 2000) if said.quick else (1000, 10_000)),
    ]
    for task in tasks:
        with tempfile.TemporaryDirectory() as folder:
            task(Path(folder))


if __name__ == "__main__":
    main()
