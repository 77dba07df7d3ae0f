"""How true to size the strip was printed: from a scanner's density or from readings of the printed rulers.

A photo cannot tell: its scale is whatever the camera's distance made of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from studio.basics.errors import SettingsError
from studio.basics.units import MM_PER_INCH, parse_length_mm
from studio.strip.layout import RULER_LONG_MM, RULER_SHORT_MM
from studio.strip.pose import Pose

_MOST_OFF: Final = 0.10


@dataclass(frozen=True, slots=True)
class PrintScale:
    """Printed size over true size, along the strip's long side and its short one; `None` is not known."""

    long: float | None
    short: float | None
    source: str


def scanned_scale(pose: Pose, dpi: float) -> PrintScale:
    """Return the scale of a strip that lay on a scanner.

    Args:
        pose: Where the strip lies in the scan.
        dpi: The scanner's density.
    """
    px_per_mm = dpi / MM_PER_INCH
    ends = pose.to_px(np.array([(-53.0, 28.0), (53.0, 28.0), (-53.0, -28.0), (53.0, -28.0)]))
    long_px = np.hypot(*(ends[[1, 3]] - ends[[0, 2]]).T).mean()
    short_px = np.hypot(*(ends[[0, 1]] - ends[[2, 3]]).T).mean()
    return PrintScale(
        float(long_px / 106.0 / px_per_mm), float(short_px / 56.0 / px_per_mm), f"the scan at {dpi:g} dpi"
    )


def typed_scale(text: str) -> PrintScale:
    """Return the scale from readings such as `100mm=99.4mm,60mm=59.8mm`: printed ruler, then what a ruler says.

    Raises:
        SettingsError: They are no such readings.
    """
    found: dict[float, float] = {}
    for part in text.split(","):
        printed, equals, read = part.partition("=")
        if not equals:
            raise SettingsError(
                f"--ruler: {part.strip()[:30]!r} is not a reading.", advice="Write it like 100mm=99.4mm,60mm=59.8mm."
            )
        nominal_mm = parse_length_mm(printed, what="--ruler")
        read_mm = parse_length_mm(read, what="--ruler")
        if nominal_mm not in (RULER_LONG_MM, RULER_SHORT_MM):
            raise SettingsError(
                f"--ruler: the strip has no ruler of {nominal_mm:g} mm.",
                advice="The long one is 100mm, the upright one 60mm, each between its two outer ticks.",
            )
        if abs(read_mm / nominal_mm - 1) > _MOST_OFF:
            raise SettingsError(
                f"--ruler: {read_mm:g} mm for {nominal_mm:g} mm is {abs(read_mm / nominal_mm - 1):.0%} off.",
                advice="Check the reading; a print that far off was scaled by the printer's driver: print at 100 %.",
            )
        found[nominal_mm] = read_mm / nominal_mm
    return PrintScale(found.get(RULER_LONG_MM), found.get(RULER_SHORT_MM), "the rulers")
