"""How thick an outline is where it is thinnest, and how open where it is narrowest.

Ink and bare surface are measured by the same rule (see `weak_places`) on one triangulation of the outline (see
`chords`); the width reported is then taken on the outline itself.

Invariant: twice the outline gives twice every length, wherever it stands and however it is turned.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from studio.lettering.branches import Branches, branches_of
from studio.lettering.chords import SPACING, Chords, chords_of, to_side
from studio.lettering.exact_width import fullest_disc, nearest_between
from studio.lettering.narrowest import Narrowest, ThicknessMeasure
from studio.lettering.necks import Necks
from studio.lettering.rim import Contours, Floats, closed_paths
from studio.lettering.weak_places import LEAST_SPECK, RISE, weak_length, weak_places

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
