"""The least distance between two outlines, for letters that stand beside each other.

Invariant: exact on the outlines as given; outlines that touch, cross or lie in one another are 0 apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from studio.geometry.shapes import Contours

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Gap:
    """The narrowest place between two outlines: its width, 0 where they touch, and its middle, in their unit."""

    width: float
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class OutlineEdges:
    """The edges of some closed contours.

    Attributes:
        points: Corners of all contours in order, the first of each repeated at its end, shape (n, 2).
        contour: Which contour each corner is of, shape (n,).
        lines: The same edges as a geometry; what distances are asked of.
        firsts: Numbers of the corners that contours begin with.
        low: The low corner of the box round all, shape (2,).
        high: The high corner.
    """

    points: Floats
    contour: Indices
    lines: shapely.MultiLineString
    firsts: Indices
    low: Floats
    high: Floats

    def __len__(self) -> int:
        return len(self.points)

    def moved(self, along: float, up: float, turn: float = 0.0) -> OutlineEdges:
        """Edges turned by `turn` radians about the origin, then moved."""
        points = self.points
        if turn:
            cos, sin = math.cos(turn), math.sin(turn)
            points = points @ np.array([[cos, sin], [-sin, cos]])
        return _linked(points + np.array([along, up]), self.contour, self.firsts)

    def indexed(self) -> OutlineEdges:
        """The same edges, prepared for being asked often: a distance is then found five to ten times as fast."""
        shapely.prepare(self.lines)
        return self


def edges_of(contours: Contours) -> OutlineEdges:
    """All edges of the contours, each (n, 2)."""
    kept = [np.concatenate((contour, contour[:1])) for contour in contours if len(contour) >= 2]
    if not kept:
        nothing = np.zeros(2)
        return OutlineEdges(
            np.zeros((0, 2)), np.zeros(0, np.intp), shapely.MultiLineString(), np.zeros(0, np.intp), nothing, nothing
        )
    lengths = np.array([len(contour) for contour in kept])
    return _linked(np.concatenate(kept), np.repeat(np.arange(len(kept)), lengths), np.cumsum(lengths) - lengths)


def _linked(points: Floats, contour: Indices, firsts: Indices) -> OutlineEdges:
    lines = shapely.multilinestrings(shapely.linestrings(points, indices=contour))
    return OutlineEdges(points, contour, lines, firsts, points.min(axis=0), points.max(axis=0))


def gap_between(contours_a: Contours, contours_b: Contours) -> Gap | None:
    """The narrowest place between two outlines.

    Args:
        contours_a: Closed contours, each (n, 2).
        contours_b: Closed contours in the same unit and place.

    Returns:
        The gap; None when either has no outline.
    """
    return gap_of_edges(edges_of(contours_a), edges_of(contours_b))


def gap_of_edges(edges_a: OutlineEdges, edges_b: OutlineEdges) -> Gap | None:
    """The narrowest place between two outlines given as edges: `gap_between`, quicker where the first is indexed."""
    if not len(edges_a) or not len(edges_b):
        return None
    here, there = shapely.get_coordinates(shapely.shortest_line(edges_a.lines, edges_b.lines))
    width = math.dist(here, there)
    overlap = bool((np.maximum(edges_a.low, edges_b.low) <= np.minimum(edges_a.high, edges_b.high)).all())
    if width > 0.0 and overlap and (_lies_in(edges_a, edges_b) or _lies_in(edges_b, edges_a)):
        width = 0.0
    x, y = ((here + there) / 2.0).tolist()
    return Gap(width, x, y)


def _lies_in(inner: OutlineEdges, outer: OutlineEdges) -> bool:
    """Whether a whole contour of one outline lies in the ink of another that it does not cross."""
    firsts = inner.points[inner.firsts]
    asked = firsts[((firsts > outer.low) & (firsts < outer.high)).all(axis=1)]
    return bool(len(asked) and windings(outer, asked).any())


def gaps_of_pairs(
    lefts: Sequence[OutlineEdges], rights: Sequence[OutlineEdges], along: Floats, up: Floats, turn: Floats
) -> tuple[Floats, Floats]:
    """The narrowest places of many pairs at once: `gap_of_edges` for each, with less to and fro.

    Args:
        lefts: The first of each pair, indexed.
        rights: The second, before it is turned by `turn` about the origin and moved by `along` and `up`.
        along: To the right, shape (pairs,), in the outlines' unit.
        up: Shape (pairs,).
        turn: Radians, shape (pairs,).

    Returns:
        The widths, shape (pairs,), NaN where either has no outline, and the middles, shape (pairs, 2).
    """
    sizes = np.array([len(edges) for edges in rights])
    whole = np.flatnonzero((sizes > 0) & np.array([len(edges) > 0 for edges in lefts]))
    widths, middles = np.full(len(rights), np.nan), np.full((len(rights), 2), np.nan)
    if not len(whole):
        return widths, middles
    kept = [rights[number] for number in whole.tolist()]
    points = np.concatenate([edges.points for edges in kept])
    counts = np.array([len(edges.firsts) for edges in kept])
    before = np.repeat(np.cumsum(counts) - counts, sizes[whole])
    contour = np.concatenate([edges.contour for edges in kept]) + before
    if turn.any():
        cos, sin = np.repeat(np.cos(turn[whole]), sizes[whole]), np.repeat(np.sin(turn[whole]), sizes[whole])
        points = np.column_stack((points[:, 0] * cos - points[:, 1] * sin, points[:, 0] * sin + points[:, 1] * cos))
    points = points + np.repeat(np.column_stack((along, up))[whole], sizes[whole], axis=0)
    lines = shapely.linestrings(points, indices=contour)
    stood = shapely.multilinestrings(lines, indices=np.repeat(np.arange(len(kept)), counts))
    ends = shapely.get_coordinates(shapely.shortest_line([lefts[number].lines for number in whole.tolist()], stood))
    here, there = ends[::2], ends[1::2]
    widths[whole] = np.hypot(*(there - here).T)
    middles[whole] = (here + there) / 2.0
    starts = np.cumsum(sizes[whole]) - sizes[whole]
    low, high = np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)
    low_left = np.array([lefts[number].low for number in whole.tolist()])
    high_left = np.array([lefts[number].high for number in whole.tolist()])
    overlap = ((np.maximum(low, low_left) <= np.minimum(high, high_left)).all(axis=1)) & (widths[whole] > 0.0)
    for number in whole[overlap].tolist():
        moved = rights[number].moved(float(along[number]), float(up[number]), float(turn[number]))
        if _lies_in(lefts[number], moved) or _lies_in(moved, lefts[number]):
            widths[number] = 0.0
    return widths, middles


def gap_to_point(edges: OutlineEdges, place: Floats) -> float:
    """The distance from an outline's edges to a place, shape (1, 2)."""
    return float(shapely.distance(edges.lines, shapely.points(place[0])))


def joined_ink(edges_a: OutlineEdges, edges_b: OutlineEdges, grain: float) -> Contours:
    """The united ink of two outlines, each free of overlaps itself: contours (n, 2), holes clockwise.

    Corners are set on a grid of `grain`, so that none come so close together that no direction lies between them.
    """
    whole = shapely.union(shapely.build_area(edges_a.lines), shapely.build_area(edges_b.lines), grid_size=grain)
    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(whole)))
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in rings)


def windings(edges: OutlineEdges, places: Floats) -> Indices:
    """How often an outline runs round each place, shape (n, 2) to (n,); 0 is outside of the ink."""
    along = np.flatnonzero(edges.contour[1:] == edges.contour[:-1])
    (start_x, start_y), (stop_x, stop_y) = edges.points[along].T, edges.points[along + 1].T
    y = places[:, 1, None]
    after = stop_y > y
    row, column = np.nonzero((start_y > y) != after)
    at_x, at_y = places[row].T
    from_x, from_y = start_x[column], start_y[column]
    turn = (stop_x[column] - from_x) * (at_y - from_y) - (at_x - from_x) * (stop_y[column] - from_y)
    upward = after[row, column]
    counts = np.where(upward, turn > 0.0, 0) - np.where(upward, 0, turn < 0.0)
    return np.bincount(row, weights=counts, minlength=len(places)).astype(np.intp)
