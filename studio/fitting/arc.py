"""Text along a circle about the blank's centre: as large as rim, picture, sweep and turn allow.

At one bend the arc is one figure that grows about the centre, so its limit is that of `scale.largest_em`; the bend is
what is searched. In a plain disc no search is needed: the sharpest allowed bend gives the largest letters.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.fit import Fit, FittedLine, Limits
from studio.fitting.open_area import OpenArea
from studio.fitting.pitch import Pitch, Pitches
from studio.fitting.placement import FixedLayout
from studio.fitting.scale import KEPT_BACK, largest_em
from studio.fitting.track import CircleTrack

BEND_LADDER: Final = 1.12
_GENTLEST_SHARE: Final = 0.12
"""Bends are tried down to this share of the sharpest: flatter arcs than that hardly turn."""
_CENTRE: Final = np.zeros(2)


def fit_circle(pitches: Pitches, area: OpenArea, limits: Limits) -> Fit | None:
    """Return the largest arc round a circle, or `None` when nothing of the smallest size fits."""
    sharpest = pitches.sharpest_bend(limits.sweep_rad)
    search = _plain if area.is_plain else _scanned
    found = search(pitches, area, limits, sharpest)
    if found is None:
        return None
    bend, em_mm = found
    return _fitted(pitches, pitches.at(bend), em_mm)


def _plain(pitches: Pitches, area: OpenArea, limits: Limits, sharpest: float) -> tuple[float, float] | None:
    """Return bend and em in a disc: the sharpest bend, or the flattest that holds the size asked for."""
    em_mm = _largest(pitches, sharpest, area, limits)
    if em_mm is None:
        return None
    if em_mm < limits.largest_em_mm * KEPT_BACK:
        return sharpest, em_mm
    low, high = sharpest * 1e-3, sharpest
    for _ in range(20 if pitches.spacing == "plain" else 9):
        middle = (low + high) / 2
        held = _largest(pitches, middle, area, limits)
        if held is not None and held >= limits.largest_em_mm * KEPT_BACK:
            high = middle
        else:
            low = middle
    return high, em_mm


def _scanned(pitches: Pitches, area: OpenArea, limits: Limits, sharpest: float) -> tuple[float, float] | None:
    """Return bend and em where something stands in the way: a ladder of bends, each with its largest size."""
    count = int(np.log(1 / _GENTLEST_SHARE) / np.log(BEND_LADDER)) + 1
    bends = sharpest * BEND_LADDER ** -np.arange(count, dtype=np.float64)
    pitches.prepare(bends)
    best = _best_of(pitches, area, limits, bends, None)
    if best is None:
        return None
    for spread in (BEND_LADDER**0.5, BEND_LADDER**0.25):
        capped = best[1] >= limits.largest_em_mm * KEPT_BACK
        around = np.array([best[0] / spread] if capped else [best[0] / spread, min(best[0] * spread, sharpest)])
        pitches.prepare(around)
        best = _best_of(pitches, area, limits, around, best) or best
    return best


def _best_of(
    pitches: Pitches,
    area: OpenArea,
    limits: Limits,
    bends: NDArray[np.float64],
    best: tuple[float, float] | None,
) -> tuple[float, float] | None:
    """Return the bend with the largest em; among those that hold the largest size asked for, the flattest."""
    for bend in bends:
        least = limits.smallest_em_mm
        if best is not None:
            least = min(best[1] * (1 + 1e-4), limits.largest_em_mm * KEPT_BACK)
        em_mm = _largest(pitches, float(bend), area, limits, least)
        if em_mm is not None:
            best = (float(bend), em_mm)
    return best


def _largest(
    pitches: Pitches, bend: float, area: OpenArea, limits: Limits, least_mm: float | None = None
) -> float | None:
    pitch, ink = pitches.at(bend), pitches.ink
    hull = pitch.figure(ink.hull, ink.hull_owner)
    samples = hull if area.is_plain else pitch.figure(ink.samples, ink.sample_owner)
    return largest_em(
        area,
        _CENTRE,
        hull,
        samples,
        at_most_mm=limits.largest_em_mm,
        at_least_mm=limits.smallest_em_mm if least_mm is None else least_mm,
    )


def _fitted(pitches: Pitches, pitch: Pitch, em_mm: float) -> Fit:
    layout: FixedLayout = "arc-top" if pitch.side > 0 else "arc-bottom"
    track = CircleTrack(em_mm / pitch.bend, pitch.side)
    along = pitch.mids * em_mm
    return Fit(
        layout,
        em_mm,
        (FittedLine(pitches.ink, track.frames(along), along),),
        follow=pitch.follow,
        track=track,
        baseline_radius_mm=track.baseline_mm,
        sweep_rad=pitch.sweep_rad,
        description=f"{layout} at a radius of {track.baseline_mm:.0f} mm",
    )
