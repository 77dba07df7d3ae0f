"""Redraw the Pikewater artworks: `python assets/draw` draws all, `python assets/draw canoe-dawn` one.

Needs numpy, scipy and skia-python. `--px 1000 --to FOLDER` draws small drafts on a wood colour, to look at.
Invariant: the same versions of those libraries draw the same pixels.
"""

from __future__ import annotations

import argparse
import importlib
import time
from pathlib import Path

import numpy as np
from press import few_colours, write_png
from sheet import FULL_PX, Sheet

PIECES = {
    "pine-ring": 64,
    "canoe-dawn": 96,
    "loon-lake": 96,
    "campfire-stars": 96,
    "mountain-ridge": 96,
    "leaping-trout": 96,
    "lantern": 96,
    "fern-berries": 96,
}
WOOD = np.array([236, 222, 198.0])


def main() -> None:
    """Draw the pieces named, or all."""
    parser = argparse.ArgumentParser(description="Redraw the artworks.")
    parser.add_argument("names", nargs="*", default=list(PIECES))
    parser.add_argument("--px", type=int, default=FULL_PX)
    parser.add_argument("--to", type=Path, default=Path(__file__).parent.parent / "artwork")
    wanted = parser.parse_args()
    for name in wanted.names:
        begun = time.perf_counter()
        sheet = Sheet(wanted.px, seed=sum(map(ord, name)))
        importlib.import_module(name.replace("-", "_")).draw(sheet)
        pixels = sheet.pixels()
        if wanted.px != FULL_PX:
            alpha = pixels[..., 3:] / 255
            pixels = pixels.copy()
            pixels[..., :3] = (pixels[..., :3] * alpha + WOOD * (1 - alpha) + 0.5).astype(np.uint8)
            pixels[..., 3] = 255
            size = write_png(pixels, wanted.to / f"{name}.png")
        else:
            size = write_png(few_colours(pixels, PIECES[name], 1), wanted.to / f"{name}.png")
        print(f"{name}: {size / 1e6:.2f} MB, {time.perf_counter() - begun:.1f} s")


if __name__ == "__main__":
    main()
