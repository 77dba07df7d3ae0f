"""The chords of an outline: lines between facing points of its rim, each standing for the local width there.

The Delaunay triangulation of the rim's samples covers ink and bare surface alike. Its edges along the outline part
the two; every other edge is a chord, across a stroke or across a gap. Walking from triangle to triangle through chords
is walking along the middle of a stroke, so the triangles and chords are the skeleton of the shape as a graph, free of
the spurs that thinned pictures have.

Invariant: no chord crosses the outline.

Source:
    The chordal axis: L. Prasad, "Morphological analysis of shapes", 1997; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.stroke.samples import Floats, Indices, OutlineSamples, Path, rim_of, sample_positions

SPACING = 0.03
"""Distance between samples, as a fraction of the cap height."""
SPLITS = 6
"""How often sides that the triangulation misses (strokes far thinner than the spacing) are halved."""
FLAT = 1e-12
"""Triangles of less than this area, in squared cap heights, have their middle nowhere in particular."""
TREMOR = 1e-6
"""Samples are moved by this fraction of the spacing, so that no four lie on one circle and no three on one line."""


@dataclass(frozen=True, slots=True)
class Chords:
    """The skeleton graph: triangles as nodes, chords as links. The node after the last triangle is the open surface."""

    rim: OutlineSamples
    triangles: Indices
    """Samples at the corners of each triangle, shape (t, 3), counter-clockwise."""
    neighbour: Indices
    """The triangle across the side opposite each corner, shape (t, 3); t itself stands for the open surface."""
    chord: Indices
    """The chord on that side, shape (t, 3); -1 where the side is outline."""
    ends: Indices
    """The two samples of each chord, shape (c, 2)."""
    middle: Floats
    """Midpoint of each chord, shape (c, 2)."""
    width: Floats
    """Width of the shape across each chord, shape (c,)."""
    room: Floats
    """Diameter of the disc that fits where three ways meet, per triangle; 0 elsewhere, and for the open surface."""
    heart: Floats
    """Centre of the circle through each triangle's corners, shape (t, 2)."""
    region: Indices
    """Connected region of each triangle and of the open surface, shape (t + 1,)."""
    inked: NDArray[np.bool_]
    """Whether each region is ink."""

    def sides(self, chord: int) -> tuple[int, int]:
        """Return the nodes on the two sides of a chord."""
        node, slot = divmod(int(np.argmax(self.chord == chord)), 3)
        return node, int(self.neighbour[node, slot])


def chords_of(paths: tuple[Path, ...], spacing: float) -> Chords:
    """Triangulate an outline and measure all its chords."""
    from scipy.spatial import Delaunay  # read late: it takes longer to load than a name to fit

    positions = [sample_positions(path, spacing) for path in paths]
    for _ in range(SPLITS):
        rim = rim_of(paths, positions)
        triangulation = Delaunay(rim.points + _tremor(len(rim.points), spacing))
        triangles = triangulation.simplices.astype(np.intp)
        tail, head = triangles[:, [1, 2, 0]], triangles[:, [2, 0, 1]]
        inside_rim = rim.following[tail] == head
        missed = np.ones(len(rim.points), dtype=np.bool_)
        missed[tail[inside_rim]] = False
        if not missed.any():
            break
        positions = _halved(rim, missed)
    outside_rim = rim.following[head] == tail
    neighbour = np.where(triangulation.neighbors < 0, len(triangles), triangulation.neighbors).astype(np.intp)
    return _linked(rim, triangles, neighbour, inside_rim, outside_rim)


def _linked(
    rim: OutlineSamples,
    triangles: Indices,
    neighbour: Indices,
    inside_rim: NDArray[np.bool_],
    outside_rim: NDArray[np.bool_],
) -> Chords:
    """Number the chords, measure them, and part ink from bare surface."""
    crossing = ~(inside_rim | outside_rim)
    tail, head = triangles[:, [1, 2, 0]][crossing], triangles[:, [2, 0, 1]][crossing]
    keys, numbers = np.unique(np.minimum(tail, head) * len(rim.points) + np.maximum(tail, head), return_inverse=True)
    chord = np.full(triangles.shape, -1, dtype=np.intp)
    chord[crossing] = numbers
    ends = np.column_stack(np.divmod(keys, len(rim.points)))
    middle = (rim.points[ends[:, 0]] + rim.points[ends[:, 1]]) / 2.0
    width = to_rim(rim, middle, ends[:, 0]) + to_rim(rim, middle, ends[:, 1])
    region, inked = _regions(triangles, neighbour, crossing, inside_rim, outside_rim)
    room, heart = _room(rim, triangles, chord)
    return Chords(rim, triangles, neighbour, chord, ends, middle, width, room, heart, region, inked)


def to_rim(rim: OutlineSamples, places: Floats, samples: Indices) -> Floats:
    """Return each place's distance to the two sides of the outline that meet at the sample paired with it."""
    at = rim.points[samples]
    return np.minimum(
        to_side(places, at, rim.points[rim.following[samples]]), to_side(places, at, rim.points[rim.preceding[samples]])
    )


def to_side(places: Floats, start: Floats, stop: Floats) -> Floats:
    """Return the distance from each place to the line segment paired with it; arrays broadcast, last axis x, y."""
    along_x, along_y = stop[..., 0] - start[..., 0], stop[..., 1] - start[..., 1]
    from_x, from_y = places[..., 0] - start[..., 0], places[..., 1] - start[..., 1]
    square = along_x * along_x + along_y * along_y
    share = (from_x * along_x + from_y * along_y) / np.where(square > 0.0, square, 1.0)
    share = np.minimum(np.maximum(share, 0.0), 1.0)
    off_x, off_y = from_x - share * along_x, from_y - share * along_y
    distance: Floats = np.sqrt(off_x * off_x + off_y * off_y)
    return distance


def _room(rim: OutlineSamples, triangles: Indices, chord: Indices) -> tuple[Floats, Floats]:
    """Return the disc that fits at each triangle where three ways meet around its middle, and all middles."""
    corners = rim.points[triangles]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    third = second - first
    twice = 2.0 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    squares = np.stack([np.einsum("ij,ij->i", side, side) for side in (first, second, third)])
    one, two, _ = squares / np.where(np.abs(twice) > FLAT, twice, FLAT)
    heart = corners[:, 0] + np.column_stack(
        (second[:, 1] * one - first[:, 1] * two, first[:, 0] * two - second[:, 0] * one)
    )
    acute = 2.0 * squares.max(axis=0) < squares.sum(axis=0)
    meeting = np.flatnonzero((chord >= 0).all(axis=1) & acute)
    room = np.zeros(len(triangles) + 1)
    if len(meeting):
        reach = [to_rim(rim, heart[meeting], triangles[meeting, corner]) for corner in range(3)]
        room[meeting] = 2.0 * np.min(reach, axis=0)
    return room, heart


def _regions(
    triangles: Indices,
    neighbour: Indices,
    crossing: NDArray[np.bool_],
    inside_rim: NDArray[np.bool_],
    outside_rim: NDArray[np.bool_],
) -> tuple[Indices, NDArray[np.bool_]]:
    """Return the connected region of each node, and whether that region is ink."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    count = len(triangles)
    here = np.repeat(np.arange(count), 3).reshape(-1, 3)[crossing]
    links = coo_array((np.ones(len(here), dtype=np.int8), (here, neighbour[crossing])), shape=(count + 1, count + 1))
    regions, region = connected_components(links, directed=False)
    votes = inside_rim.sum(axis=1) - outside_rim.sum(axis=1)
    inked = np.bincount(region[:-1], weights=votes, minlength=regions) > 0.0
    inked[region[-1]] = False
    return region.astype(np.intp), inked


def _halved(rim: OutlineSamples, missed: NDArray[np.bool_]) -> list[Floats]:
    """Return the sample positions with one more in the middle of every side that was missed."""
    stop = rim.position[rim.following]
    lengths = np.array([path.length for path in rim.paths])[rim.contour]
    stop = np.where(stop <= rim.position, stop + lengths, stop)
    between = np.mod((rim.position + stop) / 2.0, lengths)
    return [
        np.sort(np.concatenate((rim.position[rim.contour == number], between[missed & (rim.contour == number)])))
        for number in range(len(rim.paths))
    ]


def _tremor(count: int, spacing: float) -> Floats:
    """Return tiny shifts, the same on every machine and every run."""
    phase = np.arange(1, count + 1)
    shifts = np.column_stack((np.modf(phase * 0.7548776662466927)[0], np.modf(phase * 0.5698402909980532)[0]))
    return (shifts - 0.5) * (TREMOR * spacing)


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
