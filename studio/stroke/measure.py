"""How thick an outline is where it is thinnest, and how open where it is narrowest.

Ink and bare surface are measured by the same rule (see `weak_places`) on one triangulation of the outline (see
`chords`); the width reported is then taken on the outline itself.

Invariant: twice the outline gives twice every length, wherever it stands and however it is turned.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from studio.stroke.results import Narrowest, ThicknessMeasure
from studio.stroke.samples import Contours, Floats, closed_paths
from studio.stroke.skeleton import SPACING, Branches, Chords, branches_of, chords_of, to_side
from studio.stroke.weak_places import LEAST_SPECK, RISE, Necks, weak_length, weak_places

TURNS = 60
"""Steps of shrinking allowed; ten are usual."""
CLIMB = 8.0
"""How far away sides are looked at, in first steps of the climb."""
SEARCH_DIRECTIONS = np.column_stack((np.cos(np.arange(8) * np.pi / 4.0), np.sin(np.arange(8) * np.pi / 4.0)))


def nearest_between(one: Floats, other: Floats) -> tuple[float, Floats, Floats]:
    """Return the least distance between two open polylines, and the two points it lies between."""
    best: tuple[float, Floats, Floats] | None = None
    for points, line in ((one, other), (other, one)):
        distance = to_side(points[:, None, :], line[None, :-1], line[None, 1:])
        row, column = divmod(int(np.argmin(distance)), len(line) - 1)
        if best is None or distance[row, column] < best[0]:
            best = (float(distance[row, column]), points[row], foot(points[row], line[column], line[column + 1]))
    assert best is not None
    return best


def foot(place: Floats, start: Floats, stop: Floats) -> Floats:
    """Return the point of each line segment nearest to the place."""
    along = stop - start
    square = np.einsum("...i,...i->...", along, along)
    share = np.einsum("...i,...i->...", place - start, along) / np.where(square > 0.0, square, 1.0)
    nearest: Floats = start + np.clip(share, 0.0, 1.0)[..., None] * along
    return nearest


def sides_of(contours: Contours) -> tuple[Floats, Floats]:
    """Return the start and the stop of every side of the contours, shapes (n, 2)."""
    paths = closed_paths(contours)
    if not paths:
        return np.zeros((0, 2)), np.zeros((0, 2))
    return np.vstack([path.points[:-1] for path in paths]), np.vstack([path.points[1:] for path in paths])


def fullest_disc(start: Floats, stop: Floats, place: Floats, reach: float) -> tuple[float, Floats]:
    """Climb from a place to where the largest disc fits that touches none of the sides; return diameter and centre."""
    distances = to_side(place, start, stop)
    centre, radius = place, float(np.min(distances))
    # The climb is short: sides much farther off than the nearest cannot come to matter.
    near = distances < radius + CLIMB * reach
    start, stop = start[near], stop[near]
    step = reach
    while step > 1e-3 * reach:
        tries = centre + step * SEARCH_DIRECTIONS
        radii = to_side(tries[:, None, :], start[None], stop[None]).min(axis=1)
        best = int(np.argmax(radii))
        if radii[best] > radius:
            centre, radius = tries[best], float(radii[best])
        else:
            step /= 2.0
    return 2.0 * radius, centre


def width_at(contours: Contours, x: float, y: float) -> float:
    """Return the local width at a place: of the stroke when it is ink, of the gap when it is bare.

    The disc that touches the outline where it is nearest to the place is grown inwards from there until it touches a
    second side; its diameter is the width.

    Args:
        contours: United outlines, each (n, 2).
        x: The place, in the contours' unit.
        y: The place, in the contours' unit.

    Returns:
        The width in the same unit; infinite where the bare surface is open that way, or without an outline.

    Source:
        The shrinking ball of J. Ma, S. W. Bae, S. Choi, "3D medial axis point approximation using nearest neighbors
        and the normal field", 2012; from memory.
    """
    start, stop = sides_of(contours)
    if not len(start):
        return float("inf")
    place = np.array((x, y), dtype=np.float64)
    feet = foot(place, start, stop)
    away = place - feet
    distances = np.hypot(away[:, 0], away[:, 1])
    touch = feet[int(np.argmin(distances))]
    if float(distances.min()) <= 1e-12:
        return 0.0
    direction = (place - touch) / float(distances.min())
    reach = 4.0 * float(np.max(np.ptp(np.vstack((start, place[None])), axis=0)))
    radius = reach
    for _ in range(TURNS):
        centre = touch + radius * direction
        feet = foot(centre, start, stop)
        away = feet - touch
        depth = away @ direction
        square = np.einsum("ij,ij->i", away, away)
        # The touched point itself, and sides that only graze the disc there, do not stop it.
        inside = (depth > 1e-9 * np.sqrt(square)) & (square > (1e-8 * reach) ** 2)
        if not inside.any():
            return float("inf")
        smaller = float(np.min(square[inside] / (2.0 * depth[inside])))
        if smaller >= radius * (1.0 - 1e-9):
            break
        radius = smaller
    return 2.0 * radius if radius < reach else float("inf")


REACH = 1.2
"""How far to each side of a chord's ends, in sample spacings, the exact outline is looked at."""
CONTENDERS = 1.04
"""Necks that give way within this factor of the weakest are measured exactly before one is chosen."""
MOST_CONTENDERS = 2
"""At most this many necks are measured exactly."""
EVEN = 1.01
"""A neck that gives way this little above its width is a stroke of even width."""
ROUGH = 1.05
"""Sampling may overstate a width by this much; where the outline shows less, a narrower place stands next to it."""

_NOTHING = ThicknessMeasure(None, (), None, ())


def measure(contours: Contours, *, cap_height: float = 0.7, spacing: float = SPACING) -> ThicknessMeasure:
    """Measure an outline's thinnest stroke and narrowest gap.

    Args:
        contours: United outlines, each (n, 2), in any unit; overlaps must have been united.
        cap_height: Height of a capital in the same unit; it says how small a part may be and still be a part.
        spacing: Sampling distance as a fraction of the cap height.

    Returns:
        The measure, in the contours' unit.

    Raises:
        ValueError: `cap_height` is not positive.
    """
    skeleton = _skeleton(contours, cap_height, spacing)
    if skeleton is None:
        return _NOTHING
    stroke, tips = _side(skeleton, spacing, ink=True)
    gap, wedges = _side(skeleton, spacing, ink=False)
    found = ThicknessMeasure(stroke, tips, gap, wedges).scaled(cap_height)
    return found.moved(*skeleton.origin)


def narrowest_gap(contours: Contours, *, cap_height: float = 0.7, spacing: float = SPACING) -> Narrowest | None:
    """Measure an outline's narrowest gap alone: what `measure` says of it, in less time."""
    skeleton = _skeleton(contours, cap_height, spacing)
    if skeleton is None:
        return None
    gap, _ = _side(skeleton, spacing, ink=False)
    return None if gap is None else gap.scaled(cap_height).moved(*skeleton.origin)


@dataclass(frozen=True, slots=True)
class _Skeleton:
    """An outline's chords with all that hangs on them, in cap heights about `origin`."""

    chords: Chords
    branches: Branches
    necks: Necks
    origin: tuple[float, float]


def _skeleton(contours: Contours, cap_height: float, spacing: float) -> _Skeleton | None:
    """Return the skeleton of an outline; `None` where it encloses nothing but dust."""
    if cap_height <= 0.0:
        raise ValueError("the cap height must be positive")
    kept = [contour for contour in contours if len(contour) >= 3 and np.ptp(contour, axis=0).max() > 0.01 * cap_height]
    if not kept:
        return None
    everything = np.concatenate(kept)
    origin = (everything.min(axis=0) + everything.max(axis=0)) / 2.0
    paths = closed_paths(tuple((contour - origin) / cap_height for contour in kept))
    if not paths:
        return None
    chords = chords_of(paths, spacing)
    return _Skeleton(chords, branches_of(chords), Necks(chords), (float(origin[0]), float(origin[1])))


def _side(skeleton: _Skeleton, spacing: float, *, ink: bool) -> tuple[Narrowest | None, tuple[Narrowest, ...]]:
    """Return the narrowest place of the ink or of the bare surface, and the tapering ends narrower than it."""
    chords, branches, necks = skeleton.chords, skeleton.branches, skeleton.necks
    weak = weak_places(chords, branches, ink=ink)
    found: Narrowest | None = None
    least = inf
    if len(weak.hanging):
        chord = int(weak.hanging[np.argmin(chords.width[weak.hanging])])
        found = _hanging(chords, branches, chord, spacing)
        least = float(chords.width[chord])
    beyond = np.where(branches.round, inf, branches.beyond)
    for limit, chord in necks.weakest(beyond, weak.joining, least, CONTENDERS)[:MOST_CONTENDERS]:
        place = _joining(chords, branches, chord, limit, spacing)
        if found is None or place.width < found.width:
            found = place
    if not ink and len(weak.ringing):
        place = _joining(chords, branches, int(weak.ringing[np.argmin(chords.width[weak.ringing])]), 0.0, spacing)
        if found is None or place.width < found.width:
            found = place
    found = _smallest_part(chords, branches, found, ink=ink)
    most = found.width if found else inf
    ends = (_tapering(chords, branches, chord, ink=ink) for chord in weak.tapering.tolist())
    return found, tuple(end for end in ends if end.width < most)


def _joining(chords: Chords, branches: Branches, chord: int, limit: float, spacing: float) -> Narrowest:
    """Measure a neck on the outline: the width at which it gives way, or where it is even, its width itself."""
    near, far = _facing_stretches(chords, chord, spacing)
    width, here, there = nearest_between(near, far)
    coarse = float(chords.width[chord])
    if limit > EVEN * coarse or width < coarse / ROUGH:
        width = max(width, limit)
    middle = chords.middle[chord]
    even = 2.0 * max(_to_line(middle, near), _to_line(middle, far)) < EVEN * width
    x, y = (middle if even else (here + there) / 2.0).tolist()
    kind = _kind(chords, branches, chord, width, "bridge")
    return Narrowest(width, x, y, kind, weak_length(chords, chord, max(limit, RISE * coarse)))


def _hanging(chords: Chords, branches: Branches, chord: int, spacing: float) -> Narrowest:
    """Measure a loose end at its root."""
    middle = chords.middle[chord]
    width = sum(_to_line(middle, line) for line in _facing_stretches(chords, chord, spacing))
    x, y = middle.tolist()
    return Narrowest(width, x, y, _kind(chords, branches, chord, width, "hairline"), float(branches.length[chord]))


def _to_line(place: Floats, line: Floats) -> float:
    """Return the distance from a place to a polyline."""
    return float(to_side(place, line[:-1], line[1:]).min())


def _facing_stretches(chords: Chords, chord: int, spacing: float) -> tuple[Floats, Floats]:
    """Return the two pieces of outline that face each other across a chord."""
    one, other = chords.ends[chord].tolist()
    rim = chords.rim
    reach = REACH * spacing
    if rim.contour[one] == rim.contour[other]:
        turn = rim.paths[int(rim.contour[one])].length
        between = abs(float(rim.position[one] - rim.position[other]))
        reach = min(reach, 0.45 * min(between, turn - between))
    near, far = (rim.paths[int(rim.contour[end])].stretch(float(rim.position[end]), reach) for end in (one, other))
    return near, far


def _kind(chords: Chords, branches: Branches, chord: int, width: float, in_ink: str) -> str:
    """Name the place."""
    region = int(branches.region[chord])
    if not chords.inked[region]:
        if branches.round[chord]:
            return "between"
        if region != chords.region[-1]:
            return "counter"
        return "slit"
    if not branches.round[chord] and region in branches.roots and branches.roots[region][1] < RISE * width:
        return "speck"
    return in_ink


def _smallest_part(chords: Chords, branches: Branches, found: Narrowest | None, *, ink: bool) -> Narrowest | None:
    """Return the place found so far, or a whole part (dot, counter) that goes at a smaller width still."""
    for region, (node, width) in branches.roots.items():
        if bool(chords.inked[region]) != ink or (found is not None and width > CONTENDERS * found.width):
            continue
        corners = chords.rim.points[chords.triangles[chords.region[:-1] == region]].reshape(-1, 2)
        size = float(np.ptp(corners, axis=0).max())
        if size < LEAST_SPECK:
            continue
        sides = [(path.points[:-1], path.points[1:]) for path in chords.rim.paths]
        start, stop = (np.vstack(ends) for ends in zip(*sides, strict=True))
        wide = int(np.argmax(np.where(chords.chord[node] >= 0, chords.width[chords.chord[node]], 0.0)))
        place = chords.middle[chords.chord[node][wide]]
        width, centre = fullest_disc(start, stop, place, width / 4.0)
        if found is None or width < found.width / EVEN:
            found = Narrowest(width, float(centre[0]), float(centre[1]), "speck" if ink else "counter", size)
    return found


def _tapering(chords: Chords, branches: Branches, chord: int, *, ink: bool) -> Narrowest:
    """Describe a tapering end."""
    x, y = chords.middle[chord].tolist()
    return Narrowest(float(chords.width[chord]), x, y, "tip" if ink else "wedge", float(branches.length[chord]))
