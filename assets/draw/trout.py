"""A trout drawn along any spine: body, head, fins, spots.

Invariant: everything is laid out in the fish's own terms, `s` from nose (0) to tail (1) and `v` from belly (-1) to
back (1), then bent along the spine.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import skia
from curves import Points, circle, moved, noise, resample, ribbon, spline, tangents, taper, torn
from numpy.random import Generator
from numpy.typing import NDArray
from palette import BARK, DAWN, EMBER, NIGHT, PINE, SAGE, TEAL, mix
from sheet import Sheet, path_of, paths_of

S = (0.0, 0.012, 0.035, 0.08, 0.15, 0.22, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.88, 0.95, 1.0)
BACK = (5.0, 5.5, 6.5, 8.9, 12.0, 14.2, 16.0, 17.6, 17.4, 15.6, 12.8, 9.4, 7.1, 6.2, 6.8)
BELLY = (4.8, 5.4, 6.4, 9.0, 12.4, 14.9, 16.8, 18.4, 18.0, 16.0, 12.8, 9.2, 6.9, 6.0, 6.6)


class Trout:
    """The fish on one spine, given from nose to tail."""

    def __init__(self, knots: Sequence[tuple[float, float]], size: float = 1.0) -> None:
        self.line = resample(spline(knots, per=40), 0.5)
        self.ahead = tangents(self.line)
        self.up = np.column_stack([self.ahead[:, 1], -self.ahead[:, 0]])
        self.along = np.linspace(0, 1, len(self.line))
        self.size = size

    def at(self, s: NDArray[np.float64] | float, v: NDArray[np.float64] | float) -> Points:
        """Points on the body."""
        s, v = np.broadcast_arrays(np.atleast_1d(np.asarray(s, float)), np.atleast_1d(np.asarray(v, float)))
        half = np.where(v > 0, np.interp(s, S, BACK), np.interp(s, S, BELLY)) * self.size
        half = half * np.sqrt(1 - np.clip(1 - s / 0.03, 0, 1) ** 2)
        spot = np.column_stack([np.interp(s, self.along, self.line[:, k]) for k in (0, 1)])
        return np.asarray(spot + self._up(s) * (half * v)[:, None])

    def out(self, s: float, v: float, back_mm: float, up_mm: float) -> Points:
        """A point off the body: so far towards the tail and so far outwards of (s, v)."""
        t = np.array([np.interp(s, self.along, self.ahead[:, k]) for k in (0, 1)])
        return np.asarray(self.at(s, v)[0] + t * back_mm * self.size + self._up(np.array([s]))[0] * up_mm * self.size)

    def strip(self, low: float, high: float, start: float = 0.0, end: float = 1.0) -> Points:
        """The part of the body between two values of v."""
        s = start + (end - start) * np.linspace(0, 1, 260) ** 1.8
        return np.vstack([self.at(s, low), self.at(s, high)[::-1]])

    def body(self) -> skia.Path:
        """The outline."""
        return path_of(self.strip(-1, 1))

    def _up(self, s: NDArray[np.float64]) -> Points:
        return np.column_stack([np.interp(s, self.along, self.up[:, k]) for k in (0, 1)])


def draw_fin(
    sheet: Sheet,
    root: Points,
    edge: Points,
    inks: tuple[str, str, str],
    rng: Generator,
    rays: int,
    lead: str | None = None,
) -> None:
    """A fin between its root and its outer edge, with rays, spots of shade and a pale leading ray."""
    root, edge = resample(root, 0.4), resample(edge, 0.4)
    rim = torn(edge, 0.35, 2.2, rng, False, 0.3)
    shape = path_of(np.vstack([root, rim[::-1]]))
    sheet.fill(shape, inks[1])
    middle = root.mean(axis=0)
    sheet.glow(
        shape, inks[0], tuple(middle), float(np.hypot(*(edge - middle).T).max()) * 0.95, (1.0, 0.45, 0.0), size=0.07
    )
    with sheet.clip(shape):
        for k in range(rays):
            t = (k + 0.5) / rays
            a, b = root[int(t * (len(root) - 1))], edge[int(t * (len(edge) - 1))]
            bow = (b - a)[::-1] * (0.05, -0.05)
            line = spline([a, (a + b) / 2 + bow, b], per=8)
            sheet.fill(path_of(ribbon(line, np.linspace(0.5, 0.16, len(line)))), inks[0])
            sheet.fill(path_of(ribbon(moved(line, 0.3, 0.3), np.linspace(0.3, 0.1, len(line)))), inks[2])
    if lead is not None:
        line = spline([root[0], (root[0] + edge[0]) / 2, edge[0]], per=10)
        sheet.fill(path_of(ribbon(line, np.linspace(1.4, 0.5, len(line)))), lead)


def fins(sheet: Sheet, fish: Trout, rng: Generator) -> None:
    """Tail, back fin, adipose fin, anal and belly fins, drawn before the body."""
    warm = (BARK[2], mix(EMBER[3], DAWN[3], 0.5), DAWN[4])
    olive = (PINE[1], mix(BARK[4], PINE[3], 0.35), DAWN[3])
    o = fish.out
    draw_fin(
        sheet,
        np.vstack([fish.at(0.985, 0.9), fish.at(1.0, 0.5), fish.at(1.0, -0.5), fish.at(0.985, -0.9)]),
        spline(
            [
                o(1, 1, 22, 17),
                o(1, 0.8, 26, 13),
                o(1, 0, 19, 2),
                o(1, 0, 18.5, -2),
                o(1, -0.8, 25, -13),
                o(1, -1, 21, -17),
            ],
            per=14,
        ),
        olive,
        rng,
        22,
    )
    draw_fin(
        sheet,
        fish.at(np.linspace(0.4, 0.55, 20), 0.94),
        spline([o(0.4, 0.94, 6, 10), o(0.43, 0.94, 9, 13.5), o(0.49, 0.94, 10, 10), o(0.55, 0.94, 10, 4)], per=10),
        olive,
        rng,
        13,
    )
    draw_fin(
        sheet,
        fish.at(np.linspace(0.78, 0.82, 8), 0.9),
        spline([o(0.78, 0.9, 5, 5), o(0.8, 0.9, 9, 7.5), o(0.82, 0.9, 7, 2)], per=8),
        warm,
        rng,
        4,
    )
    draw_fin(
        sheet,
        fish.at(np.linspace(0.72, 0.82, 16), -0.92),
        spline(
            [o(0.72, -0.92, 8, -11), o(0.74, -0.92, 11, -12.5), o(0.78, -0.92, 10, -8), o(0.82, -0.92, 7, -2.5)], per=8
        ),
        warm,
        rng,
        10,
        DAWN[5],
    )
    draw_fin(
        sheet,
        fish.at(np.linspace(0.53, 0.59, 12), -0.93),
        spline(
            [o(0.53, -0.93, 14, -13), o(0.56, -0.93, 15, -13), o(0.58, -0.93, 13, -7), o(0.59, -0.93, 9, -3)], per=8
        ),
        warm,
        rng,
        8,
        DAWN[5],
    )


def flank(sheet: Sheet, fish: Trout, rng: Generator) -> None:
    """The body's colours from olive back over rose and ochre to a pale belly, its scales and spots."""
    body = fish.body()
    sheet.fill(body, DAWN[4])
    for ink, low, high, blur, density in (
        (DAWN[5], -1.3, -0.5, 2.5, 1.0),
        (SAGE[1], -1.4, -0.86, 2.0, 0.85),
        (DAWN[3], -0.42, 0.1, 2.5, 0.8),
        (DAWN[2], -0.2, 0.22, 2.2, 1.0),
        (DAWN[1], -0.06, 0.12, 1.2, 0.7),
        (PINE[4], 0.18, 1.4, 3.0, 0.9),
        (PINE[2], 0.44, 1.4, 3.2, 1.0),
        (TEAL[0], 0.74, 1.5, 3.0, 1.0),
    ):
        with sheet.grain(body, ink, 0.075) as canvas:
            canvas.drawPath(path_of(fish.strip(low, high, 0.0, 1.0)), sheet.soft(blur, density))
    scales = []
    for row, v in enumerate(np.linspace(-0.72, 0.9, 19)):
        for s in np.arange(0.225 + (row % 2) * 0.0045, 0.985, 0.009):
            arc = np.linspace(-1.15, 1.15, 6)
            scales.append(
                ribbon(
                    fish.at(s + 0.0042 * np.cos(arc), v + 0.05 * np.sin(arc) * 1.1),
                    np.array([0.03, 0.13, 0.17, 0.17, 0.13, 0.03]),
                )
            )
    with sheet.clip(body):
        sheet.fill(paths_of(scales), PINE[0], 0.5)
    line = fish.at(np.linspace(0.21, 0.99, 150), 0.05 + 0.14 * np.exp(-np.linspace(0, 5, 150)))
    sheet.fill(path_of(ribbon(line, 0.35)), PINE[1], 0.8)
    spots(sheet, fish, rng)
    sheet.edge(body, PINE[0], 1.0, (0, 0), 0.75, 0.06)


def spots(sheet: Sheet, fish: Trout, rng: Generator) -> None:
    """Dark spots thick on the back, red ones ringed with ochre along the flank, none touching another."""
    placed: list[tuple[Points, float]] = []
    for kind, count, low, high in (("red", 9, -0.26, 0.28), ("dark", 330, 0.0, 0.93)):
        for _ in range(count * 3):
            s, v = rng.uniform(0.1 if kind == "dark" else 0.25, 0.97), rng.uniform(low, high)
            if kind == "dark" and rng.uniform() > 0.25 + 0.75 * v:
                continue
            p, r = fish.at(s, v)[0], (rng.uniform(0.5, 1.25) if kind == "dark" else rng.uniform(0.8, 1.15)) * fish.size
            if any(np.hypot(*(p - q)) < (r + k) * (3.6 if kind == "red" else 1.5) for q, k in placed) or (
                0.03 < s < 0.12 and abs(v - 0.32) < 0.5
            ):
                continue
            placed.append((p, r))
            blot = torn(circle(r, p, 16), r * 0.22, 1.6, rng, step=0.2)
            if kind == "red":
                sheet.fill(path_of(circle(r * 1.55, p, 20)), DAWN[5])
                sheet.fill(path_of(blot), EMBER[2])
            else:
                sheet.fill(path_of(blot), NIGHT[0])


def head(sheet: Sheet, fish: Trout, rng: Generator) -> None:
    """Gill cover, cheek, jaw, eye and the near breast fin."""
    v = np.linspace(0.62, -0.95, 40)
    rim = fish.at(0.215 - 0.052 * np.abs((v + 0.12) / 0.9) ** 2.0, v)
    front = fish.at(0.135 + 0.012 * np.cos(v * 2), v)
    cover = path_of(np.vstack([rim, front[::-1]]))
    body = fish.body()
    sheet.shadow(path_of(np.vstack([rim, fish.at(0.165, v)[::-1]])), PINE[0], 1.1, (-1.4, -0.3), 0.85, body)
    with sheet.clip(body):
        sheet.fill(cover, mix(DAWN[4], PINE[4], 0.35))
        sheet.fade(
            cover, DAWN[2], tuple(fish.at(0.18, 0.5)[0]), tuple(fish.at(0.18, -0.5)[0]), (0.3, 1.0, 0.2), size=0.06
        )
        sheet.fade(cover, PINE[2], tuple(fish.at(0.18, 0.62)[0]), tuple(fish.at(0.18, 0.1)[0]), (1.0, 0.0), size=0.06)
        sheet.fill(path_of(ribbon(rim, taper(40, 0.3, 1.1, 0.3))), PINE[0])
        inner = fish.at(0.14 + 0.014 * np.cos(v * 2.2), v * 0.86)
        sheet.fill(path_of(ribbon(inner, taper(40, 0.1, 0.6, 0.1))), PINE[1])
        slit = fish.at(np.linspace(0.15, 0.196, 14), np.linspace(-0.28, -0.5, 14))
        sheet.fill(path_of(ribbon(slit, taper(14, 0.1, 0.5, 0.1))), PINE[1])
    mouth = fish.at(np.array([-0.001, 0.02, 0.05, 0.08, 0.108]), np.array([-0.3, -0.3, -0.26, -0.33, -0.5]))
    gape = spline(mouth, per=10)
    lip = np.vstack(
        [gape, spline(fish.at(np.array([0.108, 0.08, 0.05, 0.02]), np.array([-0.5, -0.12, -0.06, 0.02])), per=8)]
    )
    with sheet.clip(body):
        sheet.fill(path_of(lip), mix(DAWN[4], BARK[3], 0.4))
        sheet.edge(path_of(lip), BARK[2], 0.8, (0, 0.4), 0.8, 0.06)
        sheet.fill(path_of(ribbon(gape, taper(len(gape), 1.5, 1.3, 0.2))), BARK[0])
        for _ in range(16):
            p = fish.at(rng.uniform(0.035, 0.125), rng.uniform(-0.1, 0.85))[0]
            sheet.fill(path_of(torn(circle(rng.uniform(0.25, 0.6), p, 12), 0.15, 1, rng, step=0.2)), NIGHT[0])
    eye = fish.at(0.074, 0.3)[0]
    for r, ink in ((3.5, PINE[0]), (3.05, EMBER[4]), (2.5, EMBER[3]), (1.75, NIGHT[0])):
        sheet.fill(path_of(circle(r * fish.size, moved(eye, 0 if r > 3.2 else 0.05, 0), 40)), ink)
    sheet.fill(path_of(circle(0.6 * fish.size, moved(eye, -0.7, 0.8), 16)), DAWN[5])
    nostril = fish.at(0.035, 0.36)[0]
    sheet.fill(path_of(circle(0.45, nostril, 12)), NIGHT[0])
    o = fish.out
    root = fish.at(np.linspace(0.225, 0.25, 8), np.linspace(-0.5, -0.72, 8))
    edge = spline(
        [o(0.225, -0.5, 27, -5), o(0.24, -0.6, 29, -9), o(0.25, -0.7, 24, -13), o(0.25, -0.75, 12, -9)], per=10
    )
    sheet.shadow(path_of(np.vstack([root, edge[::-1]])), PINE[0], 0.9, (0.4, -1.4), 0.7, body)
    draw_fin(sheet, root, edge, (BARK[2], mix(EMBER[3], DAWN[3], 0.4), DAWN[5]), rng, 10, DAWN[5])


def draw_trout(sheet: Sheet, fish: Trout, rng: Generator) -> None:
    """The whole fish."""
    fins(sheet, fish, rng)
    flank(sheet, fish, rng)
    head(sheet, fish, rng)
    shine = fish.at(np.linspace(0.16, 0.72, 90), 0.6 + 0.03 * noise(90, 30, rng))
    with sheet.grain(fish.body(), SAGE[2], 0.06) as canvas:
        canvas.drawPath(path_of(ribbon(shine, taper(90, 0.3, 2.6, 0.3))), sheet.soft(0.8, 0.55))
