"""Text along a circle about the blank's centre: as large as rim, picture, sweep and turn allow.

At one bend the arc is one figure that grows about the centre, so its limit is that of `scale.largest_em`; the bend is
what is searched. In a plain disc no search is needed: the sharpest allowed bend gives the largest letters.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.layout.arc_pitch import Pitch, Pitches
from studio.layout.baselines import CircleTrack
from studio.layout.fit import NO_LIMIT_MM, TINIEST_EM_MM, Fit, FittedLine, Limits
from studio.layout.open_area import OpenArea, directions
from studio.layout.placement import FixedLayout
from studio.layout.scaling import KEPT_BACK, LADDER_STEP, ROUNDS, Figure, largest_em

BEND_LADDER: Final = 1.12
_GENTLEST_SHARE: Final = 0.12
"""Bends are tried down to this share of the sharpest at least, and to where the smallest size runs along the rim."""
_BOUND_SLACK: Final = 1.06
"""Bends between two of the ladder may have room for this much more."""
_LEAST_GAIN: Final = 1e-4
_HALVINGS: Final = 20
_WHILE_SEEKING: Final = 1
_NUDGES: Final = (1.0, 1.001, 0.999, 1.004, 0.996)
_KEPT_SHARE: Final = 0.99
"""How much of a size found with places looked up must hold once they are solved."""
_CENTRE: Final = np.zeros(2)


def fit_circle(pitches: Pitches, area: OpenArea, limits: Limits) -> Fit | None:
    """Return the largest arc round a circle, or `None` when nothing of the smallest size fits."""
    sharpest = pitches.sharpest_bend(limits.sweep_rad)
    found = (_plain if area.is_plain else _scanned)(pitches, area, limits, sharpest)
    if found is None:
        return None
    bend, em_mm = found
    return _fitted(pitches, pitches.at(bend), em_mm)


def most_mm(pitches: Pitches, area: OpenArea, limits: Limits) -> float:
    """Return a size above which no arc round a circle has room, quickly: plain spacing and the room by direction.

    Where something stands in the way; elsewhere there is no such bound.
    """
    sharpest = pitches.steps.sharpest_plain(limits.sweep_rad)
    promised = _promised(pitches, area, limits, _bends(area, limits, sharpest))
    return _BOUND_SLACK * max(bound for bound, _ in promised)


def _plain(pitches: Pitches, area: OpenArea, limits: Limits, sharpest: float) -> tuple[float, float] | None:
    """Return bend and em in a disc: the sharpest bend, or the flattest that holds the size asked for."""
    em_mm = _solved(pitches, sharpest, area, limits.largest_em_mm, limits.smallest_em_mm)
    if em_mm is None or em_mm < limits.largest_em_mm * KEPT_BACK:
        return None if em_mm is None else (sharpest, em_mm)
    low, high = sharpest * 1e-3, sharpest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        (pitch,) = pitches.about(np.array([middle]), limits.sweep_rad)
        if _largest(area, pitch.on_arc(pitches.ink), limits.largest_em_mm, limits.largest_em_mm * KEPT_BACK) is None:
            low = middle
        else:
            high = middle
    return _settled(pitches, area, limits, high, limits.largest_em_mm) or (sharpest, em_mm)


def _scanned(pitches: Pitches, area: OpenArea, limits: Limits, sharpest: float) -> tuple[float, float] | None:
    """Return bend and em where something stands in the way: a ladder of bends, each with its largest size."""
    bends = _bends(area, limits, sharpest)
    best = _flattest_of(pitches, area, limits, bends) or _best_of(pitches, area, limits, bends, None)
    if best is None:
        return None
    for spread in (BEND_LADDER**0.5, BEND_LADDER**0.25):
        gentler, sharper = best[0] / spread, min(best[0] * spread, sharpest)
        if best[1] >= limits.largest_em_mm * KEPT_BACK:
            best = _flattest_of(pitches, area, limits, np.array([gentler])) or best
        else:
            best = _best_of(pitches, area, limits, np.array([gentler, sharper]), best) or best
    return _settled(pitches, area, limits, *best)


def _bends(area: OpenArea, limits: Limits, sharpest: float) -> NDArray[np.float64]:
    """Return the ladder of bends, sharpest first."""
    smallest_mm = max(limits.smallest_em_mm, TINIEST_EM_MM)
    gentlest = min(sharpest * _GENTLEST_SHARE, smallest_mm / (area.blank.rim.width_mm / 2))
    count = int(np.log(sharpest / gentlest) / np.log(BEND_LADDER)) + 1
    return np.asarray(sharpest * BEND_LADDER ** -np.arange(count, dtype=np.float64))


def _settled(pitches: Pitches, area: OpenArea, limits: Limits, bend: float, em_mm: float) -> tuple[float, float] | None:
    """Return bend and em with places solved rather than looked up and the size refined: it may differ a little."""
    most = min(em_mm * LADDER_STEP, limits.largest_em_mm)
    for nudge in _NUDGES:
        held = _solved(pitches, bend * nudge, area, most, max(em_mm * _KEPT_SHARE, limits.smallest_em_mm))
        if held is not None:
            return bend * nudge, held
    return None


def _flattest_of(
    pitches: Pitches, area: OpenArea, limits: Limits, bends: NDArray[np.float64]
) -> tuple[float, float] | None:
    """Return the flattest bend that holds the largest size asked for."""
    if limits.largest_em_mm >= NO_LIMIT_MM:
        return None
    least = limits.largest_em_mm * KEPT_BACK
    for most, pitch in _promised(pitches, area, limits, np.sort(bends)):
        if most >= least:
            figure = pitch.on_arc(pitches.ink)
            if _largest(area, figure, limits.largest_em_mm, least) is not None:
                return pitch.bend, limits.largest_em_mm
    return None


def _best_of(
    pitches: Pitches,
    area: OpenArea,
    limits: Limits,
    bends: NDArray[np.float64],
    best: tuple[float, float] | None,
) -> tuple[float, float] | None:
    """Return the bend with the largest em; those that promise most are tried first."""
    promised = sorted(_promised(pitches, area, limits, bends), key=lambda entry: -entry[0])
    for most, pitch in promised:
        least = limits.smallest_em_mm if best is None else best[1] * (1 + _LEAST_GAIN)
        if most < least:
            break
        figure = pitch.on_arc(pitches.ink)
        em_mm = _largest(area, figure, min(most, limits.largest_em_mm), least, _WHILE_SEEKING)
        if em_mm is not None:
            best = (pitch.bend, em_mm)
    return best


def _solved(pitches: Pitches, bend: float, area: OpenArea, most_mm: float, least_mm: float) -> float | None:
    return _largest(area, pitches.at(bend).on_arc(pitches.ink), most_mm, least_mm)


def _promised(
    pitches: Pitches, area: OpenArea, limits: Limits, bends: NDArray[np.float64]
) -> list[tuple[float, Pitch]]:
    """Return a pitch at each bend with a size above which it has no room, from the room in each direction."""
    about = pitches.about(bends, limits.sweep_rad)
    scouts = pitches.scouts(about)
    x, y = scouts[..., 0], scouts[..., 1]
    bounds = (area.reach_mm[directions(x, y)] / np.maximum(np.hypot(x, y), 1e-9)).min(axis=1)
    return list(zip(bounds.tolist(), about, strict=True))


def _largest(area: OpenArea, figure: Figure, most_mm: float, least_mm: float, rounds: int = ROUNDS) -> float | None:
    return largest_em(area, _CENTRE, figure, at_most_mm=most_mm, at_least_mm=least_mm, rounds=rounds)


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
