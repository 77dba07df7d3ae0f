"""Which chords of an outline count: a piece lost there breaks the letter or visibly drops a part of it.

"Survives at width d" means: opening the shape by a disc of diameter d loses nothing that counts. A lost piece counts
when it joins two parts that survive, closes a way round, or is longer than about d and keeps its width; mere corner
rounding and pieces that taper to a point do not count.

Invariant: lengths here are fractions of the cap height.

Source:
    Opening by a disc: J. Serra, "Image Analysis and Mathematical Morphology", 1982; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from studio.lettering.branches import Branches
from studio.lettering.chords import Chords
from studio.lettering.rim import Indices

RISE = 1.05
"""What lies beyond a chord is a part of its own when it is this much wider than the chord."""
FULL = 0.75
"""A piece keeps its width when its mean width is this share of its base; a taper to a point has 0.5."""
LEAST_LENGTH = 0.04
"""Pieces shorter than this are roughness of the outline, not parts of the letter."""
LEAST_WIDTH = 0.002
"""Narrower places are seams between contours that touch, not strokes."""
LEAST_SPECK = 0.03
"""Contours smaller than this in both directions are dust."""
TIP_LENGTH = 0.15
"""A tip is seen to be missing once this much of it is gone."""
TIP_SLENDER = 1.4
"""A tip is at least this many times as long as it is wide; a corner of 40 degrees is, a square stub is not."""


@dataclass(frozen=True, slots=True)
class WeakPlaces:
    """The chords that count on one side, ink or bare surface."""

    joining: Indices
    """Chords whose loss parts two pieces that survive, or opens a bowl."""
    ringing: Indices
    """Chords with another way round them: across bowls in ink, between parts on bare surface."""
    hanging: Indices
    """Chords at the root of a loose end that keeps its width."""
    tapering: Indices
    """For each tapering end the narrowest chord at which its loss is seen."""


def weak_places(chords: Chords, branches: Branches, *, ink: bool) -> WeakPlaces:
    """Sort the chords of the ink, or of the bare surface, into those that count."""
    width, length = chords.width, branches.length
    here = (chords.inked[branches.region] == ink) & (width > LEAST_WIDTH)
    loose = here & ~branches.round & (length >= LEAST_LENGTH)
    apart = branches.beyond >= RISE * width
    ringing = here & branches.round
    joining = loose & apart
    if ink:
        joining |= ringing
    end = loose & ~apart
    full = branches.mean >= FULL * width
    hanging = end & full & (length >= width)
    tapering = end & ~full & (length >= np.maximum(TIP_LENGTH, TIP_SLENDER * width))
    return WeakPlaces(
        np.flatnonzero(joining),
        np.flatnonzero(ringing),
        np.flatnonzero(hanging),
        _narrowest_per_tip(chords, branches, tapering),
    )


def _narrowest_per_tip(chords: Chords, branches: Branches, tapering: NDArray[np.bool_]) -> Indices:
    """Keep one chord for each tip, the narrowest."""
    kept: dict[int, int] = {}
    for chord in np.flatnonzero(tapering)[np.argsort(chords.width[tapering], kind="stable")].tolist():
        kept.setdefault(int(branches.tip[chord]), chord)
    return np.array(list(kept.values()), dtype=np.intp)


def weak_length(chords: Chords, start: int, limit: float) -> float:
    """Return how far the shape stays narrower than `limit` on both sides of a chord, along its middle."""
    outside = len(chords.triangles)
    total, met = 0.0, {start}
    waiting = [(node, start) for node in chords.sides(start) if node != outside]
    while waiting:
        node, came_by = waiting.pop()
        for chord, far in zip(chords.chord[node].tolist(), chords.neighbour[node].tolist(), strict=True):
            if chord < 0 or chord in met or chords.width[chord] > limit:
                continue
            met.add(chord)
            step = chords.middle[chord] - chords.middle[came_by]
            total += hypot(float(step[0]), float(step[1]))
            if far != outside:
                waiting.append((far, chord))
    return total
