"""Curves as arrays of points: splines, torn edges, tapering strokes.

Invariant: everything here is geometry in mm, y up, shape (n, 2); nothing is drawn and every random number comes from
the generator handed in.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Points = NDArray[np.float64]


def spline(points: Sequence[Sequence[float]], closed: bool = False, per: int = 14) -> Points:
    """A centripetal-looking Catmull-Rom curve through `points`, `per` samples to a span."""
    p = np.asarray(points, float)
    p = np.vstack([p[-1], p, p[0], p[1]]) if closed else np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    t = (np.arange(per) / per)[:, None]
    spans = []
    for a, b, c, d in zip(p[:-3], p[1:-2], p[2:-1], p[3:], strict=True):
        spans.append(0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3))
    if not closed:
        spans.append(p[-2][None, :])
    return np.vstack(spans)


def resample(points: Points, step: float, closed: bool = False) -> Points:
    """The same line with points `step` mm apart."""
    p = np.vstack([points, points[:1]]) if closed else points
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    count = max(3, int(along[-1] / step + 0.5))
    at = np.linspace(0, along[-1], count + 1)
    out = np.column_stack([np.interp(at, along, p[:, 0]), np.interp(at, along, p[:, 1])])
    return out[:-1] if closed else out


def tangents(points: Points) -> Points:
    """Unit tangents at each point of an open line."""
    d = np.gradient(points, axis=0)
    return np.asarray(d / np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)[:, None])


def noise(count: int, wave: float, rng: Generator, octaves: int = 3, wrap: bool = False) -> NDArray[np.float64]:
    """Smooth noise of `count` samples about 0, its longest wave `wave` samples, each octave half as long and high."""
    total = np.zeros(count)
    for octave in range(octaves):
        knots = max(2, int(count / max(wave / 2**octave, 1.0)) + 1)
        values = rng.uniform(-1, 1, knots + 1)
        if wrap:
            values[-1] = values[0]
        at = np.linspace(0, knots, count, endpoint=not wrap)
        low = np.minimum(at.astype(int), knots - 1)
        f = at - low
        f = f * f * (3 - 2 * f)
        total += (values[low] * (1 - f) + values[low + 1] * f) / 2**octave
    return total


def torn(points: Points, amount: float, wave: float, rng: Generator, closed: bool = True, step: float = 0.5) -> Points:
    """The line with its edge displaced along its normals by noise of `amount` mm and waves of `wave` mm."""
    p = resample(points, step, closed)
    d = np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0) if closed else np.gradient(p, axis=0)
    d = d / np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)[:, None]
    normal = np.column_stack([-d[:, 1], d[:, 0]])
    return np.asarray(p + normal * (amount * noise(len(p), wave / step, rng, wrap=closed))[:, None])


def ribbon(centre: Points, width: NDArray[np.float64] | float) -> Points:
    """The outline of a brush drawn along `centre`, `width` mm wide at each point."""
    t = tangents(centre)
    half = (np.zeros(len(centre)) + width)[:, None] / 2
    normal = np.column_stack([-t[:, 1], t[:, 0]])
    return np.vstack([centre + normal * half, (centre - normal * half)[::-1]])


def taper(count: int, start: float, middle: float, end: float) -> NDArray[np.float64]:
    """Widths from `start` over `middle` to `end`, eased."""
    t = np.linspace(0, 1, count)
    return np.where(t < 0.5, start + (middle - start) * np.sin(t * np.pi), end + (middle - end) * np.sin(t * np.pi))


def turn(points: Points, angle_rad: float, at: Sequence[float] = (0.0, 0.0)) -> Points:
    """`points` turned about the origin, then moved to `at`."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.asarray(points @ np.array([[c, s], [-s, c]]) + np.asarray(at, float))


def moved(points: Points, x: float, y: float) -> Points:
    """Points, or one point, moved by (x, y)."""
    return np.asarray(points, float) + np.array([x, y])


def needle(base: Points, angle_rad: float, length: float, width: float, bend: float) -> Points:
    """One needle or blade of grass: six points from `base`, bent sideways by `bend` mm, ending in a point."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    along, across = np.array([c, s]), np.array([-s, c])
    mid = base + along * length * 0.55 + across * bend * 0.35
    tip = base + along * length + across * bend
    half = across * width / 2
    return np.array([base - half * 0.6, mid - half, tip, mid + half, base + half * 0.6])


def ridge(
    x0: float,
    x1: float,
    knots: Sequence[tuple[float, float]],
    rough: float,
    wave: float,
    rng: Generator,
    step: float = 0.4,
) -> Points:
    """A skyline from `x0` to `x1` through `knots`, straight between them, broken up by noise of `rough` mm."""
    x = np.arange(x0, x1 + step, step)
    k = np.asarray(knots, float)
    y = np.interp(x, k[:, 0], k[:, 1])
    return np.column_stack([x, y + rough * noise(len(x), wave / step, rng, octaves=5)])


def under(line: Points, floor: float) -> Points:
    """The closed shape between a skyline and the level `floor`."""
    return np.vstack([line, [line[-1, 0], floor], [line[0, 0], floor]])


def circle(radius: float, at: Sequence[float] = (0.0, 0.0), count: int = 180) -> Points:
    """A circle, counter-clockwise."""
    a = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([np.cos(a), np.sin(a)]) * radius + np.asarray(at, float)
