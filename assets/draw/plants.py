"""Plants of the shore seen close: reeds, bulrushes, grasses, leaves.

Invariant: each plant is returned as outlines, or drawn back to front in inks dark to light.
"""

from __future__ import annotations

import numpy as np
from curves import Points, ribbon, spline, tangents, turn
from numpy.random import Generator
from palette import BARK
from sheet import Sheet, path_of, paths_of


def reed(x: float, foot: float, height: float, lean: float, width: float, rng: Generator, fold: bool = False) -> Points:
    """A long leaf, sword-shaped; folded ones break over and hang."""
    knots = [(x, foot), (x + lean * 0.25, foot + height * 0.4), (x + lean * 0.6, foot + height * 0.75)]
    if fold:
        knots += [(x + lean * 1.1, foot + height * 0.9), (x + lean * 1.9, foot + height * rng.uniform(0.62, 0.75))]
    else:
        knots.append((x + lean, foot + height))
    line = spline(knots, per=9)
    t = np.linspace(0, 1, len(line))
    return ribbon(line, np.maximum(width * (0.75 + 0.5 * np.sin(t * np.pi)) * (1 - t**3), 0.03))


def reed_bed(
    x0: float,
    x1: float,
    foot: float,
    height: tuple[float, float],
    count: int,
    rng: Generator,
    width: float = 1.5,
    lean: float = 0.0,
) -> list[Points]:
    """Reeds between `x0` and `x1`, the tall ones in the middle of the bed."""
    out = []
    for _ in range(count):
        x = rng.uniform(x0, x1)
        inner = 1 - abs((x - x0) / (x1 - x0) * 2 - 1) ** 2
        tall = (height[0] + (height[1] - height[0]) * inner) * rng.uniform(0.6, 1.08)
        slant = lean * tall + rng.normal(0, tall * 0.11)
        out.append(reed(x, foot, tall, slant, width * rng.uniform(0.6, 1.2), rng, rng.uniform() < 0.16))
    return out


def draw_bulrush(
    sheet: Sheet, x: float, foot: float, height: float, lean: float, rng: Generator, stem_ink: str
) -> None:
    """A bulrush: stem, brown head with its lit side, and the spike on top."""
    line = spline([(x, foot), (x + lean * 0.35, foot + height * 0.5), (x + lean, foot + height)], per=20)
    sheet.fill(path_of(ribbon(line, np.linspace(1.1, 0.5, len(line)))), stem_ink)
    head = line[int(len(line) * 0.74) : int(len(line) * 0.93)]
    swell = np.sin(np.linspace(0.18, np.pi - 0.18, len(head))) ** 0.35
    thick = max(2.4, height * 0.055)
    body = path_of(ribbon(head, thick * swell))
    sheet.fill(body, BARK[2])
    sheet.edge(body, BARK[0], thick * 0.3, (-thick * 0.25, 0.0), 0.9, 0.06)
    shine = head - np.array([thick * 0.2, 0.0])
    sheet.fill(path_of(ribbon(shine[2:-2], 0.16 * thick)), BARK[4], 0.9)


def leaf(length: float, width: float, bend: float = 0.0) -> Points:
    """A pointed leaf along +x from the origin."""
    mid = [(0, 0), (length * 0.5, bend * 0.6), (length, bend)]
    line = spline(mid, per=10)
    t = np.linspace(0, 1, len(line))
    return ribbon(line, np.maximum(width * np.sin(np.pi * t**0.8) ** 0.9, 0.03))


def frond(
    spine: Points, reach: float, rng: Generator, gap: float = 2.2, tooth: float = 0.5
) -> tuple[list[Points], list[Points], list[Points]]:
    """A fern frond: leaflets of the left side, of the right side, and their midribs.

    Each leaflet is cut into lobes whose depth is `tooth`; leaflets shorten to the tip and sweep towards it.
    """
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(spine, axis=0).T))])
    total, heads = along[-1], np.arctan2(*tangents(spine).T[::-1])
    sides: tuple[list[Points], list[Points]] = ([], [])
    ribs: list[Points] = []
    at = total * 0.1
    while at < total * 0.985:
        t = at / total
        x, y = np.interp(at, along, spine[:, 0]), np.interp(at, along, spine[:, 1])
        a = float(np.interp(at, along, np.unwrap(heads)))
        size = reach * np.interp(t, [0, 0.12, 0.32, 0.6, 0.85, 1], [0.5, 0.8, 1.0, 0.78, 0.36, 0.05])
        for index, side in enumerate((1, -1)):
            n = float(size * rng.uniform(0.92, 1.08))
            lean = side * (1.15 - 0.35 * t + rng.normal(0, 0.05))
            wide = min(gap * 1.02, n * 0.34) * (1.0 if t < 0.85 else 0.8)
            line = spline([(0, 0), (n * 0.5, side * n * 0.02), (n, -side * n * 0.12)], per=12)
            s = np.linspace(0, 1, len(line))
            lobes = 1 - tooth * (0.5 + 0.5 * np.cos(s * np.pi * 2 * max(3, int(n / 1.6)))) * (s > 0.05)
            width = wide * np.maximum((1 - s**1.8) * (0.8 + 0.2 * np.sin(s * np.pi)) * lobes, 0.03)
            sides[index].append(turn(ribbon(line, width), a + lean, (x, y)))
            ribs.append(turn(line[: int(len(line) * 0.85)], a + lean, (x, y)))
        at += gap * np.interp(t, [0, 0.3, 1], [1.25, 1.0, 0.42])
    return sides[0], sides[1], ribs


def draw_frond(
    sheet: Sheet,
    spine: Points,
    reach: float,
    inks: tuple[str, str, str],
    rng: Generator,
    gap: float = 2.2,
    tooth: float = 0.5,
) -> None:
    """A frond with its shaded side, its lit side, midribs and stalk in inks dark to light."""
    dark, body, light = inks
    left, right, ribs = frond(spine, reach, rng, gap, tooth)
    sheet.fill(paths_of([p + np.array([0.5, -0.7]) for p in left + right]), dark)
    sheet.fill(paths_of(right), body)
    sheet.fill(paths_of(left), light)
    sheet.fill(paths_of([ribbon(r, np.linspace(0.28, 0.06, len(r))) for r in ribs]), dark)
    sheet.fill(path_of(ribbon(spine, np.linspace(1.5, 0.2, len(spine)))), dark)
    sheet.fill(path_of(ribbon(spine + np.array([-0.2, 0.2]), np.linspace(0.6, 0.1, len(spine)))), light)
