"""Where each letter of a fitted text stands: the answer of every layout, before contours are moved there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.layout.baselines import Frames, Track
from studio.layout.letter_ink import LineInk
from studio.layout.placement import FixedLayout, FollowUsed

NO_LIMIT_MM: Final = 1e6
"""The largest em where none is asked for."""
NEAR: Final = 0.995
"""Sizes within this ratio count as equal when balance decides."""
TINIEST_EM_MM: Final = 0.25
"""The smallest em that is looked at."""


@dataclass(frozen=True, slots=True, eq=False)
class FittedLine:
    """A line and where its letters stand.

    Attributes:
        frames: x and y in mm of each letter's mid-advance point on the baseline, and its turn, shapes (n,).
        along_mm: The same points as distances along the track; `None` on straight lines.
        size: Its em against the fit's.
    """

    ink: LineInk
    frames: Frames
    along_mm: NDArray[np.float64] | None = None
    size: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A fitted text.

    Attributes:
        baseline_radius_mm: Of an arc round a circle.
        sweep_rad: From the outer edge of the first letter's advance to the last's.
        balance: 0 for lines of one length, towards 1 as they differ.
    """

    layout: FixedLayout
    em_mm: float
    lines: tuple[FittedLine, ...]
    follow: FollowUsed = "letters"
    track: Track | None = None
    baseline_radius_mm: float | None = None
    sweep_rad: float = 0.0
    balance: float = 0.0
    description: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """What bounds a size: em sizes in mm, the sweep, and the finest gap of the surface."""

    largest_em_mm: float
    smallest_em_mm: float
    sweep_rad: float
    finest_gap_mm: float
