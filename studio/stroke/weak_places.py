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

from studio.stroke.samples import Floats, Indices
from studio.stroke.skeleton import Branches, Chords, to_side

SIGHT = 2.0
"""How far to each side of the neck discs are placed, in widths of the neck."""
SHARES = np.array((0.0, 0.25, 0.5, 0.75, 1.0))[:, None, None]
"""Where discs are placed from one triangle to the next."""
TOUCH = 1.02
"""Discs this near to touching are held to touch; it makes up for looking at some places only."""
APART = 0.75
"""Chords nearer to each other than this, in widths, belong to one neck."""
OUTWARD = (0.25, 0.5, 1.0, 1.5, 2.0)
"""Where discs are placed on the open surface outside the last chord, in widths of the neck."""

Disc = tuple[float, float, float]


class Necks:
    """The skeleton graph as plain lists, which short walks read faster than arrays."""

    def __init__(self, chords: Chords) -> None:
        self._chords = chords
        self._outer = len(chords.triangles)
        self._x: list[float] = chords.middle[:, 0].tolist()
        self._y: list[float] = chords.middle[:, 1].tolist()
        self._width: list[float] = chords.width.tolist()
        self._chord: list[list[int]] = chords.chord.tolist()
        self._neighbour: list[list[int]] = chords.neighbour.tolist()

    def giving_way(self, neck: int) -> float:
        """Return the least disc diameter at which the shape is lost at a chord, with what is on both sides kept."""
        links: list[tuple[int, int, int]] = []
        counts, outside = [], []
        for side in self._chords.sides(neck):
            found, beyond = self._ways_on(neck, side)
            links += found
            counts.append(len(found))
            outside.append([(self._x[neck], self._y[neck], self._width[neck]), *beyond])
        discs = self._discs_along(neck, links, starts=(0, counts[0]))
        one = np.concatenate((discs[:, : counts[0]].reshape(-1, 3), outside[0]))
        other = np.concatenate((discs[:, counts[0] :].reshape(-1, 3), outside[1]))
        right, up = one[:, None, 0] - other[:, 0], one[:, None, 1] - other[:, 1]
        reach = (one[:, None, 2] + other[:, 2]) * (TOUCH / 2.0)
        held = np.where(right * right + up * up < reach * reach, np.minimum(one[:, None, 2], other[:, 2]), 0.0)
        return max(self._width[neck], float(held.max()))

    def _ways_on(self, neck: int, side: int) -> tuple[list[tuple[int, int, int]], list[Disc]]:
        """Walk on from a chord as far as `SIGHT`: links as (node, next node, chord), and discs on the open surface."""
        width = self._width[neck]
        if side == self._outer:
            return [], self._discs_outside(neck, width)
        links, outside = [(side, side, neck)], []
        sight = SIGHT * width
        waiting, met = [(side, neck, 0.0)], {neck}
        while waiting:
            node, came_by, walked = waiting.pop()
            for chord, far in zip(self._chord[node], self._neighbour[node], strict=True):
                if chord < 0 or chord in met:
                    continue
                met.add(chord)
                inner = far != self._outer
                links.append((node, far if inner else node, chord))
                on = walked + hypot(self._x[chord] - self._x[came_by], self._y[chord] - self._y[came_by])
                # Along the middle, not as the crow flies: round a small bowl the way would lead to the far side.
                if on > sight:
                    continue
                if inner:
                    waiting.append((far, chord, on))
                else:
                    outside += self._discs_outside(chord, width)
        return links, outside

    def _discs_along(self, neck: int, links: list[tuple[int, int, int]], starts: tuple[int, int]) -> Floats:
        """Return the discs between the middles of neighbouring triangles: the places equally far from both sides.

        Returns:
            Shape (places, links, 3): x, y, diameter; 0 where the place is too far off to matter.
        """
        chords, rim = self._chords, self._chords.rim
        from_node, to_node, crossed = np.array(links).T
        start, stop = chords.heart[from_node], chords.heart[to_node]
        middle = chords.middle[neck]
        for first in starts:
            if first < len(links):
                start[first] = middle
        places = start + SHARES * (stop - start)
        ends = chords.ends[crossed].T
        sides = np.stack((rim.points[rim.preceding[ends]], rim.points[rim.following[ends]]))[:, :, None]
        width = to_side(places, rim.points[ends][:, None], sides).min(axis=0).sum(axis=0)
        off = places - middle
        near = off[..., 0] ** 2 + off[..., 1] ** 2 < (2.0 * SIGHT * self._width[neck]) ** 2
        return np.concatenate((places, np.where(near, width, 0.0)[:, :, None]), axis=2)

    def _discs_outside(self, chord: int, step: float) -> list[Disc]:
        """Return discs that fit on the open surface outside a chord of the hull."""
        chords = self._chords
        node, slot = (int(place[0]) for place in np.nonzero(chords.chord == chord))
        one, other = chords.rim.points[chords.ends[chord]].tolist()
        across_x, across_y = other[0] - one[0], other[1] - one[1]
        length = hypot(across_x, across_y)
        out_x, out_y = across_y / length, -across_x / length
        x, y = self._x[chord], self._y[chord]
        corner_x, corner_y = chords.rim.points[chords.triangles[node, slot]].tolist()
        if out_x * (corner_x - x) + out_y * (corner_y - y) > 0.0:
            out_x, out_y = -out_x, -out_y
        return [
            (x + step * share * out_x, y + step * share * out_y, hypot(length, 2.0 * step * share)) for share in OUTWARD
        ]

    def weakest(self, beyond: Floats, joining: Indices, most: float, margin: float) -> list[tuple[float, int]]:
        """Return the necks that give way first, as (width, chord), weakest first.

        Args:
            beyond: Widest place beyond each chord; infinite for chords with a way round.
            joining: The chords to choose from.
            most: Necks that give way above this width do not matter.
            margin: Keep all that give way within this factor of the weakest.
        """
        found: list[tuple[float, int]] = []
        seen: list[tuple[float, float]] = []
        for chord in joining[np.argsort(self._chords.width[joining], kind="stable")].tolist():
            width = self._width[chord]
            if width > margin * most:
                break
            x, y = self._x[chord], self._y[chord]
            if any(hypot(x - other_x, y - other_y) < APART * width for other_x, other_y in seen):
                continue
            seen.append((x, y))
            limit = self.giving_way(chord)
            if limit < beyond[chord]:
                found.append((limit, chord))
                most = min(most, limit)
        return sorted(place for place in found if place[0] <= margin * most)


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
