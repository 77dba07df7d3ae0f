"""Water seen at a low angle: ripples that widen towards the eye, broken reflections, rings, drops.

Invariant: every stroke is a long horizontal lens, so water always lies flat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import skia
from curves import Points, noise, ribbon, spline
from numpy.random import Generator
from sheet import Sheet, path_of, paths_of

FULL_WIDTH_MM = 262.0


def lens(x: float, y: float, width: float, thick: float, rng: Generator) -> Points:
    """One stroke of water, `width` long, thickest off its middle, bent a little."""
    count = max(8, int(width * 0.8))
    t = np.linspace(0, 1, count)
    peak = rng.uniform(0.35, 0.65)
    body = np.where(t < peak, t / peak, (1 - t) / (1 - peak)) ** 0.7
    centre = np.column_stack([x + (t - 0.5) * width, y + thick * 0.5 * noise(count, count * 0.5, rng, 2)])
    return ribbon(centre, np.maximum(thick * body * (1 + 0.25 * noise(count, count * 0.3, rng, 2)), 0.02))


def ripples(
    top: float,
    bottom: float,
    count: int,
    width: tuple[float, float],
    thick: tuple[float, float],
    rng: Generator,
    place: Callable[[float, Generator], float] | None = None,
) -> list[Points]:
    """Strokes from `top` (small) to `bottom` (large), rows closing up towards `top`; `place(t)` gives each its x."""
    strokes = []
    for _ in range(count):
        t = rng.uniform(0, 1)
        y = top + (bottom - top) * t**1.5
        x = place(t, rng) if place else rng.uniform(-FULL_WIDTH_MM / 2, FULL_WIDTH_MM / 2)
        wide = np.interp(t, [0, 1], width) * rng.uniform(0.5, 1.5)
        strokes.append(lens(x, y, float(wide), float(np.interp(t, [0, 1], thick) * rng.uniform(0.6, 1.3)), rng))
    return strokes


def draw_ripples(sheet: Sheet, area: skia.Path, ink: str, strokes: list[Points]) -> None:
    """The strokes, cut to the water's own shape."""
    with sheet.clip(area):
        sheet.fill(paths_of(strokes), ink)


def reflection(
    shape: Points, level: float, squash: float, rng: Generator, gap: float = 1.5, wobble: float = 1.2
) -> skia.Path:
    """A shape mirrored in the level of the water and cut to bars that drift sideways, more so with depth."""
    flipped = path_of(np.column_stack([shape[:, 0], level - (shape[:, 1] - level) * squash]))
    box = flipped.getBounds()
    out = skia.Path()
    y, k = level, 0
    while y > box.top() - 0.01:
        depth = level - y
        tall = gap * (1 + depth * 0.03) * rng.uniform(0.7, 1.3)
        # A row of the mirrored shape, shifted; the gap left below grows with depth.
        row = skia.Path()
        row.addRect(skia.Rect.MakeLTRB(box.left() - 5, y - tall, box.right() + 5, y))
        cut = skia.Op(flipped, row, skia.PathOp.kIntersect_PathOp)
        if cut is not None:
            cut.offset(float(wobble * rng.normal(0, 0.35 + depth * 0.02)), 0.0)
            out.addPath(cut)
        y -= tall + gap * min(1.3, 0.1 + depth * 0.05) * rng.uniform(0.3, 1.2)
        k += 1
    return out


def ring_of_water(
    x: float, y: float, radius: float, flat: float, thick: float, rng: Generator, arc: Sequence[float] = (0, 2 * np.pi)
) -> Points:
    """A part of a ring spreading on water, `flat` times as high as wide, thickest towards the eye."""
    a = np.linspace(arc[0], arc[1], max(12, int(radius * abs(arc[1] - arc[0]))))
    wave = 1 + 0.015 * noise(len(a), 14, rng, 2)
    line = np.column_stack([x + radius * np.cos(a) * wave, y + radius * flat * np.sin(a) * wave])
    ends = np.sin(np.linspace(0, np.pi, len(a))) ** 0.5
    width = thick * (0.65 - 0.35 * np.sin(a)) * ends * (1 + 0.3 * noise(len(a), 16, rng, 2))
    return ribbon(line, np.maximum(width, 0.02))


def drop(x: float, y: float, size: float, heading: float) -> Points:
    """A flying drop, its tail pointing back along its `heading`."""
    shape = spline(
        [(1, 0), (0.7, 0.55), (0, 0.72), (-0.8, 0.4), (-2.1, 0), (-0.8, -0.4), (0, -0.72), (0.7, -0.55)],
        closed=True,
        per=5,
    )
    c, s = np.cos(heading), np.sin(heading)
    return np.asarray(shape * size @ np.array([[c, s], [-s, c]]) + np.array([x, y]))
