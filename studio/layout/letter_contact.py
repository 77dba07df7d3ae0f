"""How close two neighbouring letters may come: their facing sides as chains of points, kept a distance apart.

Places are given as `level` and `along`. On an arc `level` is the distance from its centre less the baseline's radius,
`along` the way on the baseline circle from the letter's middle; on a straight line they are height and x. Lengths are
ems. A first look compares bands of the sides by their outermost ink; only bands that may press on each other are then
measured point by point.

Invariant: what is asked for grows with the distance asked for, and on a straight line it is exactly the advance at
which the chains stand that far apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.text.side_profiles import HEIGHTS, STEPS_BELOW

Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """m chains of a left letter, each with the chain of a right letter it faces, n places each, shape (m, n).

    Attributes:
        left_level: Distance from the arc's centre less the baseline's radius; on a straight line the height.
        left_along: Way on the baseline from the letter's own middle; NaN where there is no ink.
        right_level: The same of the right letters.
        right_along: The same of the right letters.
        curvature: One over the baseline's radius, 0 on a straight line, shape (m,).
    """

    left_level: Floats
    left_along: Floats
    right_level: Floats
    right_along: Floats
    curvature: Floats


def advances_apart(near: Near, apart: Floats) -> Floats:
    """Return the advance from middle to middle at which the chains stand `apart`, shape (m,); -inf where none does.

    Args:
        near: The chains.
        apart: The distance to keep, shape (m,).
    """
    points = _advance_apart(near.left_level, near.left_along, near.right_level, near.right_along, near, apart)
    edges = _advance_apart(near.right_level, -near.right_along, near.left_level, -near.left_along, near, apart)
    return np.fmax(points, edges)


def distances(near: Near, advances: Floats) -> Floats:
    """Return the distance between chains on a straight line at the given advances, shape (m,); inf without ink."""
    moved = near.right_along + advances[:, None]
    points = _distance(near.left_level, near.left_along, near.right_level, moved)
    edges = _distance(near.right_level, moved, near.left_level, near.left_along)
    return np.fmin(points, edges)


def _advance_apart(
    level: Floats, along: Floats, edge_level: Floats, edge_along: Floats, near: Near, apart: Floats
) -> Floats:
    """Return the advance that keeps points `apart` from edges to their right.

    From a point to a place on an edge `rise` higher the way along the baseline is `sqrt(apart^2 - rise^2)`; which
    place on the edge asks for most follows from the edge's slope.
    """
    distance, bent = apart[:, None, None], near.curvature[:, None, None]
    stretch = 1 + bent * level[:, :, None]
    low = edge_level[:, None, :-1] - level[:, :, None]
    climb = np.diff(edge_level, axis=1)[:, None, :]
    run = np.diff(edge_along, axis=1)[:, None, :]
    slant = run * stretch
    steepness = np.sqrt(climb * climb + slant * slant)
    best = -distance * slant * np.where(climb < 0, -1.0, 1.0) / np.where(steepness == 0, 1.0, steepness)
    share = np.clip((best - low) / np.where(climb == 0, 1e-30, climb), 0, 1)
    rise = low + share * climb
    way2 = distance * distance - rise * rise
    reached = way2 >= 0
    way = np.sqrt(np.where(reached, way2, 0.0)) / (stretch + bent * rise / 2)
    way *= 1 + (bent * way) ** 2 / 24
    need = along[:, :, None] - edge_along[:, None, :-1] - share * run + way
    need[~reached | np.isnan(need)] = -np.inf
    most: Floats = need.reshape(len(need), -1).max(axis=1)
    return most


def _distance(level: Floats, along: Floats, edge_level: Floats, edge_along: Floats) -> Floats:
    low = edge_level[:, None, :-1] - level[:, :, None]
    start = edge_along[:, None, :-1] - along[:, :, None]
    climb = np.diff(edge_level, axis=1)[:, None, :]
    run = np.diff(edge_along, axis=1)[:, None, :]
    square = climb * climb + run * run
    share = np.clip(-(low * climb + start * run) / np.where(square == 0, 1.0, square), 0, 1)
    distance = np.sqrt((low + share * climb) ** 2 + (start + share * run) ** 2)
    distance[np.isnan(distance)] = np.inf
    least: Floats = distance.reshape(len(distance), -1).min(axis=1)
    return least


Whole: TypeAlias = NDArray[np.intp]

_STRIPS: Final = 2
"""Strips between two profile heights that make one band of the first look."""
_PLACES: Final = 2 * _STRIPS
"""Chain places per band."""
_BANDS: Final = (HEIGHTS - 1) // _STRIPS
_SLACK_EM: Final = 0.002
"""What the first look may misjudge."""
LEAST_CURVATURE: Final = 1e-7
"""Baselines flatter than this count as this flat: one em in ten million."""
_FAR_EM: Final = 50.0
"""Where a side without ink is put: out of reach."""
_TOUCHING_EM: Final = 5e-4
_ROUNDS: Final = (1, 2, 4, _BANDS * _BANDS)
"""How many bands of each pair are measured before those left over are looked at again."""
_FEW: Final = 300
"""Fewer bands than this are measured at once."""
_LARGEST_BATCH: Final = 6_000
_LEAST_SHARE: Final = 0.02
"""Where an arc is so tight that letters reach its centre, their distance from it counts as this share of the radius."""


@dataclass(frozen=True, slots=True, eq=False)
class LetterSides:
    """The facing sides of P pairs of letters, x from each letter's middle.

    Attributes:
        right: Chain of each left letter's right side, shape (P, 2 * HEIGHTS - 1, 2).
        left: Chain of each right letter's left side, the same shape.
        right_reach: Outermost x of `right` in each band, shape (P, bands); far to the left without ink.
        left_reach: Outermost x of `left`; far to the right without ink.
        right_squares: Least and greatest square of x in each band of `right`, shape (2, P, bands).
        left_squares: The same of `left`.
        step_em: Height of a strip.
    """

    right: Floats
    left: Floats
    right_reach: Floats
    left_reach: Floats
    right_squares: Floats
    left_squares: Floats
    step_em: float


def facing_sides(right: Floats, left: Floats, step_em: float) -> LetterSides:
    """Return pairs of chains with what is derived from them; see `LetterSides`."""
    reach, squares = _banded(right[..., 0])
    reach_left, squares_left = _banded(-left[..., 0])
    return LetterSides(right, left, reach, -reach_left, squares, squares_left, step_em)


def polar(x: Floats, y: Floats, curvature: Floats, side: int) -> tuple[Floats, Floats]:
    """Return level and along of points given from a letter's middle on the baseline; shapes broadcast.

    Args:
        x: Along the letter's own baseline.
        y: Above it.
        curvature: One over the baseline's radius; 0 on a straight line.
        side: +1 where the letters' tops point away from the centre, -1 where they point to it.
    """
    if not curvature.any():
        return side * y, x
    bent = np.maximum(curvature, LEAST_CURVATURE)
    share = np.maximum(1 + side * bent * y, _LEAST_SHARE)
    turned = bent * x
    return (np.sqrt(turned * turned + share * share) - 1) / bent, np.arctan2(turned, share) / bent


def for_each_pair(curvature: Floats) -> Floats:
    """Return curvatures of U baselines, or of P pairs on each, as they meet the places of pairs: (U, 1 or P, 1)."""
    return curvature[:, None, None] if curvature.ndim == 1 else curvature[:, :, None]


def least_advances(sides: LetterSides, curvature: Floats, side: int, apart: Floats, wanted: Floats) -> Floats:
    """Return the advances wanted, made as much larger as letters need to stand `apart`.

    Args:
        sides: Of P pairs.
        curvature: Of U baselines, shape (U,), or one for each pair on each of them, shape (U, P).
        side: See `polar`.
        apart: Least distance between the letters of a pair, shape (U, P); negative where they may overlap.
        wanted: Advance from middle to middle along the baseline, shape (U, P).
    """
    advances = wanted.copy()
    pressing = _pressing(sides, curvature, side, apart, wanted)
    if pressing is None:
        return advances
    line, pair, *_, bound = pressing
    item = line * advances.shape[1] + pair
    waiting = np.lexsort((-bound, item))
    for count in _ROUNDS:
        each = count if len(waiting) > _FEW else _ROUNDS[-1]
        place = np.arange(len(waiting)) - np.searchsorted(item[waiting], item[waiting])
        for near, u, p in _measured(sides, curvature, side, pressing, waiting[place < each]):
            np.maximum.at(advances, (u, p), advances_apart(near, apart[u, p]))
        waiting = waiting[place >= each]
        waiting = waiting[bound[waiting] > advances[line[waiting], pair[waiting]]]
        if len(waiting) == 0:
            break
    return advances


def straight_distances(sides: LetterSides, advances: Floats, farthest: float) -> Floats:
    """Return the distance between the letters of each pair on a straight line, shape (P,).

    Args:
        sides: Of P pairs.
        advances: From middle to middle, shape (P,).
        farthest: Distances above it are not measured and come back as inf. Letters that touch or overlap have 0.
    """
    flat, least = np.zeros(1), np.full(len(advances), np.inf)
    pressing = _pressing(sides, flat, 1, np.full((1, len(advances)), farthest), advances[None, :])
    if pressing is not None:
        for near, _, p in _measured(sides, flat, 1, pressing, np.arange(len(pressing[0]))):
            overlapping = advances_apart(near, np.full(len(p), _TOUCHING_EM)) > advances[p]
            np.minimum.at(least, p, np.where(overlapping, 0.0, distances(near, advances[p])))
    least[least > farthest] = np.inf
    return least


_Pressing: TypeAlias = tuple[Whole, Whole, Whole, Whole, Floats]
"""Of m places where letters may press: the baseline, the pair, the band of the left letter, the band of the right
one, and an advance that is surely enough there; each shape (m,)."""


def _banded(x: Floats) -> tuple[Floats, Floats]:
    bare = np.isnan(x)
    farthest = _in_bands(np.where(bare, -_FAR_EM, x))
    nearest = -_in_bands(np.where(bare, -_FAR_EM, -x))
    some = farthest > -_FAR_EM
    high = np.where(some, np.maximum(farthest**2, nearest**2), 0.0)
    low = np.where(some & (farthest * nearest > 0), np.minimum(farthest**2, nearest**2), 0.0)
    return farthest, np.stack([low, high])


def _in_bands(x: Floats) -> Floats:
    inner = x[:, :-1].reshape(len(x), _BANDS, _PLACES).max(axis=2)
    most: Floats = np.maximum(inner, x[:, _PLACES::_PLACES])
    return most


def _pressing(sides: LetterSides, curvature: Floats, side: int, apart: Floats, advances: Floats) -> _Pressing | None:
    """Find the bands that may come closer than `apart` at the given advances, shapes (U, P)."""
    half = sides.step_em * _STRIPS / 2
    inked = np.flatnonzero((sides.right_reach > -_FAR_EM).any(axis=0) | (sides.left_reach < _FAR_EM).any(axis=0))
    if len(inked) == 0:
        return None
    first, count = int(inked[0]), int(inked[-1] - inked[0]) + 1
    span = slice(first, first + count)
    y = ((np.arange(first, first + count) + 0.5) * _STRIPS - STEPS_BELOW) * sides.step_em
    bent = for_each_pair(curvature)
    share = np.maximum(1 + side * bent * y, _LEAST_SHARE)
    lift = bent / (2 * share)
    along = _roughly_along(sides.right_reach[:, span], bent, share, half)
    along_right = -_roughly_along(-sides.left_reach[:, span], bent, share, half)
    along += (apart * 1.01 + _SLACK_EM)[..., None] / np.minimum(share, 1.0)
    lowest, highest = (
        -half + 0.9 * lift * sides.right_squares[0][:, span],
        half + lift * sides.right_squares[1][:, span],
    )
    room = apart[..., None]
    low_right = -half - room + 0.9 * lift * sides.left_squares[0][:, span]
    high_right = half + room + lift * sides.left_squares[1][:, span]
    limit = np.where(apart < 0, np.inf, advances)
    farthest = float(max((high_right - lowest).max(), (highest - low_right).max()))
    found = []
    for shift in range(-math.ceil(farthest / (2 * half)), math.ceil(farthest / (2 * half)) + 1):
        here = slice(max(-shift, 0), count - max(shift, 0))
        there = slice(max(shift, 0), count - max(-shift, 0))
        if here.start >= here.stop:
            continue
        bound = along[..., here] - along_right[..., there]
        close = bound > limit[..., None]
        if not close.any():
            continue
        rise = side * shift * 2 * half
        below, above = (
            low_right[..., there] + rise - highest[..., here],
            lowest[..., here] - high_right[..., there] - rise,
        )
        close &= np.maximum(below, above) <= 0
        line, pair, band = np.nonzero(close)
        surely = bound[line, pair, band] - _way_saved(below, above, apart, line, pair, band)
        pressing = surely > limit[line, pair]
        line, pair, band = line[pressing], pair[pressing], band[pressing]
        found.append((line, pair, band + first + here.start, band + first + there.start, surely[pressing]))
    if not found:
        return None
    line, pair, band, facing, bounds = (np.concatenate(part) for part in zip(*found, strict=True))
    return line, pair, band, facing, bounds


def _way_saved(below: Floats, above: Floats, apart: Floats, line: Whole, pair: Whole, band: Whole) -> Floats:
    """Return how much less than `apart` is needed along the baseline because bands differ in level, shape (m,)."""
    distance = apart[line, pair]
    rise = np.maximum(np.maximum(below[line, pair, band], above[line, pair, band]) + distance, 0.0)
    saved: Floats = distance - np.sqrt(np.maximum(distance * distance - rise * rise, 0.0))
    return saved


def _roughly_along(x: Floats, bent: Floats, share: Floats, half: float) -> Floats:
    """Return `along` of a band's outermost ink, never less: the arc tangent by a fraction that errs outwards."""
    z2 = (bent * x / share) ** 2
    along: Floats = x / share * ((15 + 4 * z2) / (15 + 9 * z2)) + np.abs(x) * (half * bent) / share**2
    return along


def _measured(
    sides: LetterSides, curvature: Floats, side: int, pressing: _Pressing, chosen: Whole
) -> Iterator[tuple[Near, Whole, Whole]]:
    """Give the places of pressing bands in batches, each with its baselines and its pairs."""
    within = np.arange(_PLACES + 1)
    for start in range(0, len(chosen), _LARGEST_BATCH):
        line, pair, band, facing = (part[chosen[start : start + _LARGEST_BATCH]] for part in pressing[:4])
        here = curvature[line] if curvature.ndim == 1 else curvature[line, pair]
        bent = here[:, None]
        a = sides.right[pair[:, None], _PLACES * band[:, None] + within]
        b = sides.left[pair[:, None], _PLACES * facing[:, None] + within]
        level_a, along_a = polar(a[..., 0], a[..., 1], bent, side)
        level_b, along_b = polar(b[..., 0], b[..., 1], bent, side)
        yield Near(level_a, along_a, level_b, along_b, here), line, pair
