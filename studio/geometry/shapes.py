"""Plane geometry in mm: rims, their true offsets, distances and flattened outlines.

Axes: origin at the centre of the blank, x right, y up. A rim is convex and holds its centre; fitting relies on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Points: TypeAlias = NDArray[np.float64]
"""Shape (n, 2): x and y."""
Contours: TypeAlias = tuple[Points, ...]
"""Closed polygons, first point not repeated, filled non-zero."""
Shape: TypeAlias = Literal["round", "oval", "rect"]

FLATTEN_TOLERANCE_MM: Final = 0.005
"""How far a chord may leave the curve it stands for; a quarter of a pixel at 1200 dpi."""
_TURNS: Final = np.linspace(0, 2 * np.pi, 32, endpoint=False)
_DIRECTIONS: Final = np.stack([np.cos(_TURNS), np.sin(_TURNS)])
_MANY_POINTS: Final = 64
"""From this many on the points of a hull are thinned first; at most 32 of them are extreme."""
_SCOUTED: Final = 250
"""How many of many points are asked which are extreme: any of them make a polygon that others lie inside of."""
_ON_SIDE: Final = 1e-9
"""Points this close to a side count as on it."""
_ELLIPSE_STEPS: Final = 12
"""Fixed-point steps to the nearest point of an ellipse; 12 reach 1e-9 of the size for ratios up to 5."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in mm."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    @property
    def width_mm(self) -> float:
        """Width."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """Height."""
        return self.top_mm - self.bottom_mm

    @property
    def centre_mm(self) -> tuple[float, float]:
        """Middle."""
        return ((self.left_mm + self.right_mm) / 2, (self.bottom_mm + self.top_mm) / 2)

    def edge_points(self, step_mm: float) -> Points:
        """Return points along all four edges, corners included, at most `step_mm` apart, shape (n, 2)."""
        across = np.linspace(self.left_mm, self.right_mm, max(2, int(self.width_mm / step_mm) + 2))
        along = np.linspace(self.bottom_mm, self.top_mm, max(2, int(self.height_mm / step_mm) + 2))
        return np.concatenate(
            [
                np.column_stack((across, np.full_like(across, self.bottom_mm))),
                np.column_stack((across, np.full_like(across, self.top_mm))),
                np.column_stack((np.full_like(along, self.left_mm), along)),
                np.column_stack((np.full_like(along, self.right_mm), along)),
            ]
        )


@dataclass(frozen=True, slots=True)
class Rim:
    """The outline of a blank: a circle, an ellipse, or a rectangle with rounded corners, centred on the origin."""

    shape: Shape
    width_mm: float
    height_mm: float
    corner_radius_mm: float = 0.0

    @property
    def is_circle(self) -> bool:
        """Whether the rim is a true circle."""
        return self.shape != "rect" and self.width_mm == self.height_mm

    @property
    def area_mm2(self) -> float:
        """Enclosed area."""
        if self.shape == "rect":
            return self.width_mm * self.height_mm - (4 - math.pi) * self.corner_radius_mm**2
        return math.pi * self.width_mm * self.height_mm / 4

    def depth_mm(self, points: Points) -> NDArray[np.float64]:
        """Return how deep each point lies inside the rim: its distance to the rim, negative outside.

        Args:
            points: Shape (..., 2), mm.

        Returns:
            Shape (...), mm. A point lies in the safe zone exactly when its depth is at least the margin, since the
            safe zone is the true inward offset of the rim.
        """
        half_width, half_height = self.width_mm / 2, self.height_mm / 2
        if self.shape == "rect":
            return _rounded_box_depth(points, half_width, half_height, self.corner_radius_mm)
        if self.is_circle:
            return half_width - np.hypot(points[..., 0], points[..., 1])
        return _ellipse_depth(points, half_width, half_height)

    def contour(self, offset_mm: float = 0.0, tolerance_mm: float = FLATTEN_TOLERANCE_MM) -> Points:
        """Return the rim moved outwards (positive) or inwards as a counter-clockwise polygon.

        Args:
            offset_mm: How far along the outward normal. Inwards only while the offset curve stays smooth.
            tolerance_mm: How far a chord may leave the curve.
        """
        if self.shape == "rect":
            return self._box_contour(offset_mm, tolerance_mm)
        longest = max(self.width_mm, self.height_mm) / 2 + max(offset_mm, 0.0)
        count = arc_steps(longest, 2 * math.pi, tolerance_mm)
        turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
        return self.offset_points(turn, offset_mm)

    def offset_points(self, parameter_rad: NDArray[np.float64], offset_mm: float) -> Points:
        """Return points of an ellipse's offset curve at the given parameters, shape (n, 2)."""
        a, b = self.width_mm / 2, self.height_mm / 2
        cos, sin = np.cos(parameter_rad), np.sin(parameter_rad)
        length = np.hypot(b * cos, a * sin)
        return np.stack([a * cos + offset_mm * b * cos / length, b * sin + offset_mm * a * sin / length], axis=-1)

    def _box_contour(self, offset_mm: float, tolerance_mm: float) -> Points:
        half_width, half_height = self.width_mm / 2 + offset_mm, self.height_mm / 2 + offset_mm
        radius = max(self.corner_radius_mm + offset_mm, 0.0) if self.corner_radius_mm > 0 else 0.0
        corners = ((1, 1), (-1, 1), (-1, -1), (1, -1))
        if radius == 0:
            return np.array([(sx * half_width, sy * half_height) for sx, sy in corners], dtype=np.float64)
        turn = np.linspace(0, math.pi / 2, arc_steps(radius, math.pi / 2, tolerance_mm) + 1)
        parts = []
        for quarter, (sx, sy) in enumerate(corners):
            angle = turn + quarter * math.pi / 2
            centre = np.array([sx * (half_width - radius), sy * (half_height - radius)])
            parts.append(centre + radius * np.stack([np.cos(angle), np.sin(angle)], axis=-1))
        return np.concatenate(parts)


def arc_steps(radius: float, sweep_rad: float, tolerance: float) -> int:
    """Return how many chords keep an arc within a tolerance (sagitta of each chord)."""
    if radius <= tolerance:
        return 8
    step = 2 * math.acos(max(1 - tolerance / radius, -1.0))
    return max(8, math.ceil(sweep_rad / step))


def circle(x_mm: float, y_mm: float, radius_mm: float, tolerance_mm: float = FLATTEN_TOLERANCE_MM) -> Points:
    """Return a circle as a counter-clockwise polygon, shape (n, 2)."""
    turn = np.linspace(0, 2 * math.pi, arc_steps(radius_mm, 2 * math.pi, tolerance_mm), endpoint=False)
    return np.stack([x_mm + radius_mm * np.cos(turn), y_mm + radius_mm * np.sin(turn)], axis=-1)


def signed_area(contour: Points) -> float:
    """Return the area of a polygon, positive when counter-clockwise (the shoelace formula)."""
    x, y = contour[:, 0], contour[:, 1]
    open_ended = np.dot(x[:-1], y[1:]) - np.dot(y[:-1], x[1:])
    return float(open_ended + x[-1] * y[0] - y[-1] * x[0]) / 2


def bounds(contours: Contours) -> Box:
    """Return the box round all points.

    Raises:
        ValueError: There is no point at all.
    """
    x, y = np.concatenate(contours).T
    return Box(float(x.min()), float(y.min()), float(x.max()), float(y.max()))


def hull(points: Points) -> Points:
    """Return the convex hull's corners, counter-clockwise, shape (m, 2); fewer than 4 points come back as given."""
    if len(points) < 4:
        return points
    if len(points) > _MANY_POINTS:
        points = outermost(points)
        if len(points) > _MANY_POINTS:
            return _pruned(points)
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))]
    lower = _half_hull(ordered)
    upper = _half_hull(ordered[::-1])
    return np.array(lower[:-1] + upper[:-1], dtype=np.float64)


def _pruned(points: Points) -> Points:
    """Return the hull's corners of many points: in order round their middle, those that turn inwards left out.

    Such a point lies in the triangle of the middle and its two neighbours, so that it is no corner, whichever else go.
    """
    away = points - points.mean(axis=0)
    order = np.lexsort((np.hypot(away[:, 0], away[:, 1]), np.arctan2(away[:, 1], away[:, 0])))
    kept = points[order]
    kept = kept[(kept != np.roll(kept, 1, axis=0)).any(axis=1)]
    while True:
        ahead = np.roll(kept, -1, axis=0) - kept
        behind = np.roll(ahead, 1, axis=0)
        turn = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
        if (turn > 0).all() or len(kept) < 4:
            break
        kept = kept[turn > 0]
    first = int(np.lexsort((kept[:, 1], kept[:, 0]))[0])
    return np.roll(kept, -first, axis=0)


def outermost(points: Points) -> Points:
    """Return the points outside the polygon of those extreme in some directions: all hull corners are among them."""
    some = points[:: max(1, len(points) // _SCOUTED)]
    farthest = (_DIRECTIONS.T @ some.T).argmax(axis=1)
    corners = some[farthest[farthest != np.roll(farthest, 1)]]
    if len(corners) < 3:
        return points
    # Those farthest in one direction after another are corners of the hull in order.
    ahead = np.roll(corners, -1, axis=0) - corners
    across = np.empty_like(ahead)
    across[:, 0], across[:, 1] = ahead[:, 1], -ahead[:, 0]
    limit = (across * corners).sum(axis=1) - _ON_SIDE
    kept: Points = points[(across @ points.T >= limit[:, None]).any(axis=0)]
    return kept


def _half_hull(ordered: Points) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for x, y in ordered.tolist():
        while len(chain) > 1:
            (x0, y0), (x1, y1) = chain[-2], chain[-1]
            if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 0:
                break
            chain.pop()
        chain.append((x, y))
    return chain


def _rounded_box_depth(points: Points, half_width: float, half_height: float, radius: float) -> NDArray[np.float64]:
    over_x = np.abs(points[..., 0]) - (half_width - radius)
    over_y = np.abs(points[..., 1]) - (half_height - radius)
    outside = np.hypot(np.maximum(over_x, 0), np.maximum(over_y, 0))
    inside = np.minimum(np.maximum(over_x, over_y), 0)
    depth: NDArray[np.float64] = radius - outside - inside
    return depth


def _ellipse_depth(points: Points, a: float, b: float) -> NDArray[np.float64]:
    """Return the depth in an ellipse by walking to the nearest point along the evolute's centres of curvature."""
    px, py = np.abs(points[..., 0]), np.abs(points[..., 1])
    cos = np.full_like(px, math.sqrt(0.5))
    sin = np.full_like(px, math.sqrt(0.5))
    for _ in range(_ELLIPSE_STEPS):
        ex, ey = (a * a - b * b) * cos**3 / a, (b * b - a * a) * sin**3 / b
        radius = np.hypot(a * cos - ex, b * sin - ey)
        reach = np.maximum(np.hypot(px - ex, py - ey), 1e-300)
        cos = np.clip(((px - ex) * radius / reach + ex) / a, 0, 1)
        sin = np.clip(((py - ey) * radius / reach + ey) / b, 0, 1)
        length = np.maximum(np.hypot(cos, sin), 1e-300)
        cos, sin = cos / length, sin / length
    distance = np.hypot(px - a * cos, py - b * sin)
    inside = (px / a) ** 2 + (py / b) ** 2 <= 1
    depth: NDArray[np.float64] = np.where(inside, distance, -distance)
    return depth
