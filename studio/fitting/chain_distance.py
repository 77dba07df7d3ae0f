"""Distances between short chains of points: how far apart they are, and how far to move one to keep a distance.

Invariant: an edge is measured along its whole length, so how finely a straight edge is cut does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

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
