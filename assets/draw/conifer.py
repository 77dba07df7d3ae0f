"""Pine boughs, cones and berries seen close, and whole pines and spruces seen far.

Invariant: light comes from the upper left, so the lit needles are those whose angle faces it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import skia
from curves import Points, circle, needle, noise, resample, ribbon, spline, tangents, torn, turn
from numpy.random import Generator
from palette import BARK, EMBER, mix
from sheet import Sheet, path_of, paths_of

Keep = Callable[[Points], bool]


def bough_needles(
    spine: Points,
    length: float,
    rng: Generator,
    gap: float = 0.55,
    width: float = 0.75,
    spread: float = 0.75,
    keep: Keep | None = None,
) -> list[tuple[float, Points]]:
    """Needles along both sides of a spine, thinning to its tip: pairs of angle in rad and outline."""
    line = resample(spine, gap)
    heading = np.arctan2(*tangents(line).T[::-1])
    out: list[tuple[float, Points]] = []
    for i, (at, along) in enumerate(zip(line, heading, strict=True)):
        t = i / len(line)
        reach = length * (0.55 + 0.45 * np.sin(np.pi * min(1.0, 0.25 + t * 0.8))) * rng.uniform(0.72, 1.12)
        lean = spread * (1.0 - 0.55 * t**2)
        for side in (-1, 1):
            angle = along + side * (lean + rng.normal(0, 0.14))
            blade = needle(at, angle, reach, width * rng.uniform(0.8, 1.15), -side * reach * rng.uniform(0.02, 0.2))
            if keep is None or keep(blade):
                out.append((float(angle), blade))
    for _ in range(7):
        angle = heading[-1] + rng.normal(0, 0.22)
        blade = needle(line[-1], angle, length * rng.uniform(0.5, 0.8), width, rng.normal(0, 0.6))
        if keep is None or keep(blade):
            out.append((float(angle), blade))
    return out


def draw_bough(
    sheet: Sheet,
    spine: Points,
    length: float,
    inks: tuple[str, str, str],
    rng: Generator,
    gap: float = 0.55,
    width: float = 0.75,
    spread: float = 0.75,
    keep: Keep | None = None,
    bark: str | None = None,
) -> None:
    """One bough: dark needles behind, the twig, body needles, then lit needles in three inks dark to light."""
    dark, body, light = inks
    back = bough_needles(spine, length * 1.05, rng, gap * 1.1, width * 1.1, spread * 1.15, keep)
    sheet.fill(paths_of([n for _, n in back]), dark)
    if bark is not None:
        count = len(resample(spine, 1.0))
        sheet.fill(path_of(ribbon(resample(spine, 1.0), np.linspace(1.7, 0.5, count))), bark)
    front = bough_needles(spine, length * 0.95, rng, gap, width, spread, keep)
    lit = [n for angle, n in front if np.cos(angle - np.radians(118)) > 0.1]
    sheet.fill(paths_of([n for angle, n in front if np.cos(angle - np.radians(118)) <= 0.1]), mix(dark, body, 0.55))
    sheet.fill(paths_of(lit), body)
    top = bough_needles(spine, length * 0.8, rng, gap * 2.4, width * 0.7, spread * 0.8, keep)
    sheet.fill(paths_of([n for angle, n in top if np.cos(angle - np.radians(118)) > -0.2]), light)


def draw_spray(
    sheet: Sheet,
    spine: Points,
    twig: float,
    length: float,
    inks: tuple[str, str, str],
    rng: Generator,
    keep: Keep | None = None,
    bark: str | None = None,
) -> None:
    """A flat spray: side twigs of `twig` mm in pairs along a bough, drawn from its root out, then the bough itself."""
    line = resample(spine, 1.0)
    heading = np.arctan2(*tangents(line).T[::-1])
    for t in np.linspace(0.06, 0.8, 4):
        for side in (-1, 1):
            i = int((t + rng.uniform(0, 0.08)) * (len(line) - 1))
            a, reach = heading[i] + side * rng.uniform(0.5, 0.72), twig * (1.1 - 0.7 * t) * rng.uniform(0.85, 1.15)
            path = [(0, 0), (reach * 0.5, -side * reach * 0.05), (reach, -side * reach * 0.2)]
            draw_bough(
                sheet, turn(spline(path, per=8), a, line[i]), length * 0.82, inks, rng, 0.62, 0.8, 0.72, keep, bark
            )
    draw_bough(sheet, spine, length, inks, rng, 0.6, 0.85, 0.66, keep, bark)


def draw_tuft(
    sheet: Sheet,
    at: tuple[float, float],
    angle_rad: float,
    length: float,
    inks: tuple[str, str, str],
    rng: Generator,
    keep: Keep | None = None,
    count: int = 90,
) -> None:
    """A tuft of long soft needles bursting from one point."""
    for ink, share, wide in zip(inks, (1.0, 0.8, 0.45), (0.8, 0.62, 0.42), strict=True):
        blades = []
        for _ in range(int(count * share)):
            off = rng.normal(0, 0.55)
            reach = length * rng.uniform(0.7, 1.05) * (1 - 0.12 * abs(off))
            blade = needle(np.asarray(at) + rng.normal(0, 0.5, 2), angle_rad + off, reach, wide, off * length * 0.16)
            if keep is None or keep(blade):
                blades.append(blade)
        sheet.fill(paths_of(blades), ink)


def _scale(width: float, length: float) -> Points:
    """One cone scale pointing along +x from its root at the origin, its tip a blunt point."""
    w, n = width / 2, length
    return spline(
        [
            (-0.15 * n, -w * 0.4),
            (0.3 * n, -w * 0.8),
            (0.62 * n, -w),
            (0.88 * n, -w * 0.62),
            (1.05 * n, 0),
            (0.88 * n, w * 0.62),
            (0.62 * n, w),
            (0.3 * n, w * 0.8),
            (-0.15 * n, w * 0.4),
        ],
        closed=True,
        per=5,
    )


def _girth(t: float) -> float:
    """How wide a cone is at a share `t` of the way from stem to tip, 1 at its widest."""
    return float(np.interp(t, [0, 0.12, 0.3, 0.5, 0.7, 0.86, 1.0], [0.62, 0.88, 1.0, 0.95, 0.74, 0.46, 0.2]))


def draw_cone(sheet: Sheet, at: tuple[float, float], angle_rad: float, length: float, rng: Generator) -> None:
    """A cone whose stem end is at `at` and whose tip points along `angle_rad`; scales shingle from stem to tip."""
    girth, rows = length * 0.36, 9
    body = np.array([(length * t, girth * 0.9 * _girth(t)) for t in np.linspace(0.0, 1, 14)])
    body = np.vstack([body, (body * [1, -1])[::-1]])
    shape = path_of(turn(body, angle_rad, at))
    sheet.fill(shape, BARK[0])
    lit = np.radians(118) - angle_rad
    for row in range(rows, -1, -1):
        t = row / rows
        half, seats = girth * _girth(t), 2 if t > 0.75 else 3
        places = [k + (0.5 if row % 2 else 0.0) for k in range(-seats - 1, seats + 1)]
        for k in sorted(places, key=abs, reverse=True):
            phi = k * np.pi / (seats * 2 + 0.6)
            if abs(phi) > 1.4:
                continue
            flare = phi * (0.75 - 0.4 * t)
            size = length * (0.25 - 0.1 * t) * rng.uniform(0.93, 1.07)
            wide = size * (0.85 * np.cos(phi) + 0.3)
            seat = (length * (0.0 + 0.86 * t) + 0.04 * length * (1 - np.cos(phi)), half * np.sin(phi) * 0.88)
            shade = float(np.clip(0.45 + 0.5 * np.sin(phi) * np.sin(lit) + rng.normal(0, 0.07), 0, 1))
            _draw_scale(sheet, wide, size, flare, seat, angle_rad, at, shade)
    cap = turn(circle(girth * 0.3, (-0.01 * length, 0), 24), angle_rad, at)
    sheet.fill(path_of(cap), BARK[1])


def _draw_scale(
    sheet: Sheet,
    wide: float,
    size: float,
    flare: float,
    seat: tuple[float, float],
    angle_rad: float,
    at: tuple[float, float],
    shade: float,
) -> None:
    """One scale: the gap round it, its face, two ribs, its pale lip and the dark nub."""

    def placed(shape: Points, ahead: float) -> skia.Path:
        spot = (seat[0] + ahead * size * np.cos(flare), seat[1] + ahead * size * np.sin(flare))
        return path_of(turn(turn(shape, flare, spot), angle_rad, at))

    sheet.fill(placed(_scale(wide * 1.15, size * 1.07), 0.0), BARK[0])
    face = placed(_scale(wide, size), 0.0)
    sheet.fill(face, mix(BARK[1], BARK[3], shade * 1.1))
    sheet.fill(placed(_scale(wide * 0.86, size * 0.36), 0.6), mix(BARK[3], BARK[5], shade * 0.9))
    sheet.fill(placed(_scale(wide * 0.62, size * 0.27), 0.56), mix(BARK[2], BARK[4], shade * 0.8))
    sheet.fill(placed(_scale(wide * 0.2, size * 0.14), 0.8), BARK[0])
    with sheet.clip(face):
        for off in (-0.22, 0.0, 0.22):
            rib = np.array([(0.0, off * wide * 0.6), (size * 0.5, off * wide)])
            sheet.fill(placed(ribbon(rib, np.array([0.05, 0.22])), 0.0), BARK[0], 0.8)


def draw_berry(
    sheet: Sheet, at: tuple[float, float], radius: float, inks: tuple[str, str, str], rng: Generator
) -> None:
    """A berry with a grained shadow side and a small light, in inks dark to light."""
    ball = torn(
        np.array([(radius * np.cos(a), radius * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 40)[:-1]]) + at,
        radius * 0.04,
        radius,
        rng,
        step=0.2,
    )
    path = path_of(ball)
    sheet.fill(path, inks[1])
    sheet.edge(path, inks[0], radius * 0.45, (-radius * 0.4, radius * 0.45), 0.95, 0.06)
    spot = spline([(-0.55, 0.25), (-0.35, 0.55), (0.0, 0.62), (-0.2, 0.42)], closed=True, per=6) * radius + at
    sheet.fill(path_of(spot), inks[2])


BERRY_INKS = (EMBER[0], EMBER[2], EMBER[4])


def spruce(x: float, foot: float, height: float, rng: Generator, lean: float = 0.0, thin: float = 1.0) -> Points:
    """The outline of a spruce seen from afar: drooping branch ends, each side its own."""
    sides: list[list[tuple[float, float]]] = [[], []]
    for side, points in ((-1, sides[0]), (1, sides[1])):
        y = height
        points.append((0.0, height))
        while y > height * 0.07:
            drop = min(height * rng.uniform(0.028, 0.05) + (height - y) * 0.035, rng.uniform(2.6, 3.8))
            y -= drop
            reach = (
                thin * (0.05 * height + (height - y) * 0.2) * rng.uniform(0.6, 1.12) * (0.5 if y > height * 0.93 else 1)
            )
            points.append((side * reach * 0.45, y + drop * 0.5))
            points.append((side * reach, y - drop * 0.1))
            points.append((side * reach * 0.8, y - drop * 0.28))
            points.append((side * reach * rng.uniform(0.2, 0.42), y - drop * 0.02))
    trunk = [
        (-height * 0.014, height * 0.06),
        (-height * 0.016, -1.0),
        (height * 0.016, -1.0),
        (height * 0.014, height * 0.06),
    ]
    shape = np.array(sides[0] + trunk + sides[1][::-1])
    shape[:, 0] += lean * shape[:, 1]
    return shape + np.array([x, foot])


def treeline(
    x0: float,
    x1: float,
    ground: Callable[[float], float],
    height: tuple[float, float],
    rng: Generator,
    gap: float = 0.3,
) -> list[Points]:
    """A wood of spruces from `x0` to `x1`, feet on `ground`, in clumps of uneven height."""
    trees, x = [], x0
    swell = noise(400, 60, rng)
    while x < x1:
        k = swell[int((x - x0) / max(x1 - x0, 1e-6) * 399)]
        tall = np.interp(k * 0.5 + rng.normal(0, 0.22), [-1, 1], height)
        trees.append(spruce(x, ground(x) - 0.5, float(tall), rng, rng.normal(0, 0.012)))
        x += tall * gap * rng.uniform(0.45, 1.25)
    return trees


def united(shapes: list[Points]) -> skia.Path:
    """Many outlines as one path, filled non-zero; each is first made to run counter-clockwise."""
    turned = []
    for s in shapes:
        area = float(np.sum(s[:, 0] * np.roll(s[:, 1], -1) - np.roll(s[:, 0], -1) * s[:, 1]))
        turned.append(s if area >= 0 else s[::-1])
    return path_of(*turned)
