"""What reading a 12-megapixel photo of the test strip costs, beside decoding and blurring the same picture.

Run by hand: `python tests/bench/bench_strip.py`. Times are of the processor, by turns in the same run, so that the
ratio holds on a machine that others use as well. Meant to stay under 4 s.
"""

from __future__ import annotations

import io
import statistics
import sys
import time
from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.production.strip_files import set_line  # noqa: E402
from studio.strip.drawing import strip_png  # noqa: E402
from studio.strip.reading import read_strip  # noqa: E402
from tests.strip.simulator import Camera, Press, photographed, pressed  # noqa: E402

ROUNDS = 3


def main() -> None:
    """Take one photo, and read it a few times."""
    scene = pressed(strip_png(set_line), Press(wood="maple", texture=0.03), 1)
    camera = Camera(px_per_mm=27, room=1.28, turn_deg=8, tilt_deg=6, light=0.15, noise=0.006)
    held = io.BytesIO()
    Image.fromarray(photographed(scene, camera, 1)).save(held, "JPEG", quality=90)
    baseline, reading = [], []
    for _ in range(ROUNDS):
        began = time.process_time()
        codes = np.asarray(Image.open(io.BytesIO(held.getvalue())).convert("RGB"))
        ndimage.gaussian_filter(codes[..., 1].astype(np.float32), 3.0)
        baseline.append(time.process_time() - began)
        began = time.process_time()
        found = read_strip(codes)
        reading.append(time.process_time() - began)
    base, own = statistics.median(baseline), statistics.median(reading)
    print(f"{codes.shape[0] * codes.shape[1] / 1e6:.1f} megapixels, {found.px_per_mm:.1f} pixels a mm")
    print(f"decoding and one blur {base:.2f} s, reading {own:.2f} s of processor: {own / base:.1f} times (limit 4 s)")


if __name__ == "__main__":
    main()
