"""A hundred drawn captures of the strip, pressed, photographed and read, with the figures told.

Run by hand: `python -m tests.strip.hundred [FIRST [COUNT [LEAST_PX_PER_MM MOST_PX_PER_MM]]]`. It takes ten minutes
of processor or so; the suite reads a few of the same kind.
"""

from __future__ import annotations

import statistics
import sys

from studio.basics.errors import PictureError
from studio.production.strip_files import set_line
from studio.strip.drawing import strip_png
from studio.strip.reading import read_strip
from tests.strip.simulator import drawn_case, photographed, pressed


def main(first: int = 1000, count: int = 100, least: float = 15.0, most: float = 18.0) -> None:
    """Read captures of some seeds, a line for each that is off, and the figures at the end."""
    png = strip_png(set_line)
    along, across, off_mm = [], [], []
    right = {"model": 0, "mirror": 0, "stated": 0}
    for seed in range(first, first + count):
        press, camera = drawn_case(seed, (least, most))
        try:
            reading = read_strip(photographed(pressed(png, press, seed), camera, seed))
        except PictureError as problem:
            print(f"{seed}: not read: {problem}", flush=True)
            continue
        spread = reading.spread
        errors = (spread.along_mm - press.along_mm, spread.across_mm - press.across_mm)
        along.append(errors[0] / press.along_mm)
        across.append(errors[1] / press.across_mm)
        off_mm += errors
        right["model"] += reading.mixing == press.mixing
        right["mirror"] += reading.is_mirrored == press.mirrored_by_mistake
        right["stated"] += abs(errors[0]) <= spread.along_error_mm and abs(errors[1]) <= spread.across_error_mm
        if abs(along[-1]) > 0.05 or abs(across[-1]) > 0.10 or reading.mixing != press.mixing:
            print(f"{seed}: along {along[-1]:+.1%}, across {across[-1]:+.1%}, {press}", flush=True)
    read = len(along)
    print(f"found {read} of {count}")
    for name, shares, limit in (("along", along, 0.05), ("across", across, 0.10)):
        within = sum(abs(share) <= limit for share in shares)
        print(
            f"{name}: median {statistics.median(shares):+.1%}, sd {statistics.pstdev(shares):.1%}, worst "
            f"{max(shares, key=abs):+.1%}, within {limit:.0%}: {within} of {read}"
        )
    print(f"rms {(sum(off**2 for off in off_mm) / len(off_mm)) ** 0.5:.4f} mm")
    told = f"model right {right['model']}, right way round {right['mirror']}"
    print(f"{told}, within the stated error {right['stated']} of {read}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]), *map(float, sys.argv[3:5]))
