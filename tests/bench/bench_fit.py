"""Speed of fitting and checking a name, against two baselines measured in the same run.

Run by hand, on an idle machine: `python tests/bench/bench_fit.py`. A name counts as new: what was shaped and gathered
for it is forgotten before each time, while face, artwork map and measures of single glyphs stay. Times are of the
processor, the least of a few repeats, which a busy machine disturbs least; the median over the names is printed, then
its ratio to

- one shaping of the same text by HarfBuzz, the least that any program must do, and
- a search of the size by Pillow: the text measured by `ImageFont.getlength` at the sizes that a bisection over whole
  pixels asks for, one line, no arc, no artwork, no checks.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import uharfbuzz as hb
from PIL import ImageFont

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.checks.letter_gaps import SLITS  # noqa: E402
from studio.layout.shaped_text import LINES  # noqa: E402
from studio.model.artwork import ArtworkSetting  # noqa: E402
from studio.model.sign import FaceChoice, Layout, LetteringOrder, Sign  # noqa: E402
from studio.pipeline.plan import plan  # noqa: E402
from studio.storage.assets import FileAssets  # noqa: E402
from studio.storage.catalogue import Catalogue  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402
from studio.text.font import Face  # noqa: E402

NAMES = tuple(
    name
    for line in (
        "Juniper,Wrenna & Otto,Tobias,The Birch Cabin,Marlow & Tess,Ottilie,Pike & Perch,Lake House 7,Emberly",
        "Sunny Cove,Rosalind,Finnegan,Hazel & Ash,Captain Bo,Dragonfly,Maple,Aurelia,Big Bend,Loon Song,Theo & Ida",
        "Mirabel,Sailor Sam,Quinn,Otis,Cedar Point,Wilhelmina,Nils & Vera,Gwendolyn,Blue Heron,Juno",
    )
    for name in line.split(",")
)
REPEATS = 9
WIDEST_PX, MOST_PX = 2760, 2000
CASES: tuple[tuple[str, str, Layout, str, float], ...] = (
    ("auto in the ring, Pacifico", "Pacifico", "auto", "pine-ring", 15.0),
    ("arc-top on bare wood, Nunito", "Nunito", "arc-top", "", 10.0),
    ("box on bare wood, Nunito", "Nunito", "box", "", 10.0),
)
FIRST_MS = 60.0


def sign_of(text: str, catalogue: Catalogue, face: str, layout: Layout, artwork: str) -> Sign:
    """Return a sign of one name on the usual round."""
    laid = ArtworkSetting(catalogue.artwork(artwork)) if artwork else None
    order = LetteringOrder(text, layout=layout, face=FaceChoice(face))
    return Sign(catalogue.blank("round-10in"), catalogue.surface("painted"), (order,), artwork=laid)


def least_ms(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """Return the least time of some repeats, in milliseconds."""
    times = []
    for _ in range(REPEATS):
        before()
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return 1000 * min(times)


def shaping_ms(face: Face, text: str) -> float:
    """Return the time of one HarfBuzz call."""

    def shape() -> None:
        buffer = hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        hb.shape(face.font, buffer)

    return least_ms(shape)


def pillow_ms(file: Path, text: str) -> float:
    """Return the time of finding the largest whole size at which a line is not too wide."""

    def search() -> int:
        low, high = 1, MOST_PX
        while low < high:
            middle = (low + high + 1) // 2
            fits = ImageFont.truetype(str(file), middle).getlength(text) <= WIDEST_PX
            low, high = (middle, high) if fits else (low, middle - 1)
        return low

    return least_ms(search)


def main() -> None:
    """Print a line for each case."""
    catalogue = open_shop(folder=Path(__file__).parent, environment={}).catalogue
    assets = FileAssets(catalogue)
    for title, face_name, layout, artwork, goal_ms in CASES:
        face = assets.face(FaceChoice(face_name))
        file = catalogue.face(face_name).entry.file
        times, shapings, searches = [], [], []
        for text in NAMES:
            sign = sign_of(text, catalogue, face_name, layout, artwork)
            plan(sign, assets, remedies=False)

            def forget(face: Face = face) -> None:
                for line, _ in LINES.of(face).values():
                    for cluster in line.clusters:
                        SLITS.of(cluster.outline).clear()
                LINES.of(face).clear()

            times.append(least_ms(lambda sign=sign: plan(sign, assets, remedies=False), forget))  # type: ignore[misc]
            shapings.append(shaping_ms(face, text))
            searches.append(pillow_ms(file, text))
        middle = statistics.median(times)
        print(
            f"{title:34} median {middle:6.1f} ms, nine in ten under {sorted(times)[int(len(times) * 0.9)]:6.1f} ms "
            f"(goal {goal_ms:.0f}); {middle / statistics.median(shapings):5.0f} x one shaping, "
            f"{middle / statistics.median(searches):5.2f} x a search by Pillow"
        )
    firsts = []
    for entry in catalogue.faces:
        fresh = FileAssets(catalogue)
        sign = sign_of("Marlow & Tess", catalogue, entry.name, "auto", "pine-ring")
        other = "Nunito" if entry.name != "Nunito" else "Pacifico"
        plan(sign_of("Warm", catalogue, other, "auto", "pine-ring"), fresh, remedies=False)
        fresh.face(FaceChoice(entry.name))
        began = time.process_time()
        plan(sign, fresh, remedies=False)
        firsts.append(1000 * (time.process_time() - began))
    middle, most = statistics.median(firsts), max(firsts)
    title = "first name of a face, in the ring"
    print(f"{title:34} median {middle:6.1f} ms, most {most:6.1f} ms (goal {FIRST_MS:.0f})")


if __name__ == "__main__":
    main()
