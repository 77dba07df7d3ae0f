"""Widths taken on the outline itself, so that no figure depends on how finely the outline was sampled.

Invariant: distances are to the line segments of the contours as given, not to samples or pixels.
"""

from __future__ import annotations

import numpy as np

from studio.lettering.chords import to_side
from studio.lettering.rim import Contours, Floats, closed_paths

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
