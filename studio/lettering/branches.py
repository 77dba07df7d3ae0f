"""What hangs on each chord: how long, how wide and how full the piece is that the outline loses when it is cut there.

Each connected region of ink or bare surface is walked from its widest place outwards (bare surface from the open
surface inwards), and the figures are gathered on the way back.

Invariant: a chord that closes a way round (a bowl, the space round a dot) is `round`; any other parts its region in
two, and `beyond`, `length`, `mean` and `tip` speak of the part that does not hold the widest place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.lettering.chords import Chords
from studio.lettering.rim import Floats, Indices


@dataclass(frozen=True, slots=True)
class Branches:
    """Figures for every chord, arrays of shape (c,)."""

    region: Indices
    """The region the chord lies in."""
    round: NDArray[np.bool_]
    """Whether there is another way round it."""
    beyond: Floats
    """Width of the widest place beyond the chord."""
    length: Floats
    """Length of the longest way on beyond the chord."""
    mean: Floats
    """Mean width along that way."""
    tip: Indices
    """The triangle at which that way ends."""
    roots: dict[int, tuple[int, float]]
    """For each region its widest triangle and the width there; the open surface is left out."""


@dataclass(slots=True)
class _Walk:
    """The order in which nodes were met, and the way back."""

    order: list[int]
    parent: list[int]
    entry: list[int]
    level: list[int]
    closers: set[tuple[int, int, int]]


def branches_of(chords: Chords) -> Branches:
    """Walk every region and return what hangs on each chord."""
    roots = _roots(chords)
    walk = _walked(chords, [len(chords.triangles), *(node for node, _ in roots.values())])
    ringed = np.zeros(len(chords.width), dtype=np.bool_)
    for one, other, chord in walk.closers:
        ringed[chord] = True
        while one != other:
            if walk.level[one] < walk.level[other]:
                one, other = other, one
            ringed[walk.entry[one]] = True
            one = walk.parent[one]
    beyond, length, mass, tip = _gathered(chords, walk)
    region = np.zeros(len(chords.width), dtype=np.intp)
    across = chords.chord >= 0
    region[chords.chord[across]] = np.broadcast_to(chords.region[:-1, None], across.shape)[across]
    reach = np.array(length)
    mean = np.array(mass) / np.where(reach > 0.0, reach, 1.0)
    return Branches(region, ringed, np.array(beyond), reach, mean, np.array(tip, dtype=np.intp), roots)


def _roots(chords: Chords) -> dict[int, tuple[int, float]]:
    """Return the widest triangle of every region except the open surface's."""
    widths = np.concatenate((chords.width, (0.0,)))
    widest = np.maximum(widths[chords.chord].max(axis=1), chords.room[:-1])
    roots: dict[int, tuple[int, float]] = {}
    for triangle in np.argsort(-widest, kind="stable").tolist():
        region = int(chords.region[triangle])
        if region not in roots and region != chords.region[-1]:
            roots[region] = (triangle, float(widest[triangle]))
            if len(roots) == len(chords.inked) - 1:
                break
    return roots


def _walked(chords: Chords, roots: list[int]) -> _Walk:
    """Walk the graph breadth first from the roots."""
    neighbours, numbers = chords.neighbour.tolist(), chords.chord.tolist()
    outside = len(neighbours)
    hull = np.nonzero((chords.neighbour == outside) & (chords.chord >= 0))
    neighbours.append(hull[0].tolist())
    numbers.append(chords.chord[hull].tolist())
    parent, entry, level = [-1] * (outside + 1), [-1] * (outside + 1), [-1] * (outside + 1)
    order = list(roots)
    for root in roots:
        level[root] = 0
    closers = set()
    for node in order:
        came_by, next_level = entry[node], level[node] + 1
        for other, chord in zip(neighbours[node], numbers[node], strict=True):
            if chord < 0 or chord == came_by:
                continue
            if level[other] < 0:
                level[other] = next_level
                parent[other] = node
                entry[other] = chord
                order.append(other)
            else:
                closers.add((min(node, other), max(node, other), chord))
    return _Walk(order, parent, entry, level, closers)


def _gathered(chords: Chords, walk: _Walk) -> tuple[list[float], list[float], list[float], list[int]]:
    """Gather, from the far ends back: widest beyond, longest way, width summed along that way, and its end."""
    width = chords.width.tolist()
    x, y = chords.middle[:, 0].tolist(), chords.middle[:, 1].tolist()
    numbers, room = chords.chord.tolist(), chords.room.tolist()
    corners, points = chords.triangles.tolist(), chords.rim.points.tolist()
    beyond, length, mass = list(width), [0.0] * len(width), [0.0] * len(width)
    tip = [0] * len(width)
    filled = [False] * len(width)
    for node in reversed(walk.order):
        here = walk.entry[node]
        if here < 0:
            continue
        widest, longest, summed, end, kids = room[node], 0.0, 0.0, node, 0
        for chord in numbers[node]:
            if chord < 0 or chord == here:
                continue
            kids += 1
            widest = max(widest, width[chord], beyond[chord])
            if not filled[chord]:
                continue
            step = ((x[here] - x[chord]) ** 2 + (y[here] - y[chord]) ** 2) ** 0.5
            if step + length[chord] > longest:
                longest = step + length[chord]
                summed = mass[chord] + step * (width[here] + width[chord]) / 2.0
                end = tip[chord]
        if not kids:
            point = points[corners[node][numbers[node].index(here)]]
            longest = ((x[here] - point[0]) ** 2 + (y[here] - point[1]) ** 2) ** 0.5
            summed = longest * width[here] / 2.0
        beyond[here], length[here], mass[here], tip[here], filled[here] = widest, longest, summed, end, True
    return beyond, length, mass, tip
