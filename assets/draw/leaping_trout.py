"""A trout leaping over cut-paper waves before a low sun; the wood under the arch of its body is bare.

Invariant: the box 132 x 54 mm centred at (19.5, -29) mm carries no ink.
"""

from __future__ import annotations

import numpy as np
import skia
from curves import Points, circle, moved, noise, ribbon, spline, taper, torn, under
from numpy.random import Generator
from palette import BARK, DAWN, EMBER, TEAL, mix
from sheet import Sheet, path_of, paths_of
from trout import Trout, draw_trout
from water import drop, lens

SPLASH = (-88.0, -66.0)
SPINE = ((97, 27), (84, 50), (60, 71), (26, 84), (-12, 83), (-46, 66), (-70, 38), (-83, 4))


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    sun(sheet, rng)
    splash(sheet, rng, behind=True)
    draw_trout(sheet, Trout(SPINE), rng)
    waves(sheet, rng, slice(0, 1))
    splash(sheet, rng, behind=False)
    waves(sheet, rng, slice(1, None))
    mayfly(sheet, rng, (104, 2))
    sheet.erase(np.array([(-47, -57), (86, -57), (86, -1), (-47, -1.0)]))


def sun(sheet: Sheet, rng: Generator) -> None:
    """A great sun behind the fish, crossed by bars of cloud, grained away downwards."""
    disc = path_of(torn(circle(48, (6, 72)), 0.2, 5, rng))
    sheet.fade(disc, EMBER[4], (0, 30), (0, 70), (0.0, 1.0))
    sheet.fade(disc, EMBER[3], (0, 62), (0, 122), (0.0, 0.9))
    for x, y, wide, thick in (
        (-44, 106, 70, 2.6),
        (58, 112, 76, 2.4),
        (70, 98, 60, 2.0),
        (-78, 92, 54, 2.0),
        (-30, 116, 50, 1.8),
        (20, 119, 60, 1.6),
    ):
        for k, ink in enumerate((DAWN[2], DAWN[3])):
            sheet.fill(lens(x + rng.normal(0, 4), y - 1.6 * k, wide * rng.uniform(0.7, 1.0), thick, rng), ink)


def crest(level: float, high: float, long: float, shift: float, rng: Generator) -> Points:
    """The top edge of one sheet of water: crests peaked, troughs round, each a little different."""
    x = np.arange(-134, 134.5, 0.5)
    phase = (x + shift) / long * np.pi + 0.5 * noise(len(x), 150, rng, 2)
    lift = 1 - np.abs(np.sin(phase)) ** 0.75
    return np.column_stack([x, level + high * lift * (1 + 0.35 * noise(len(x), 160, rng, 2))])


WAVES = (
    (-66, 4.0, 44, 12, TEAL[4], TEAL[3]),
    (-76, 5.0, 56, 40, TEAL[3], TEAL[4]),
    (-88, 6.0, 66, 4, TEAL[2], TEAL[3]),
    (-102, 6.5, 74, 52, TEAL[1], TEAL[2]),
    (-116, 6.0, 70, 18, TEAL[0], TEAL[1]),
)


def waves(sheet: Sheet, rng: Generator, which: slice) -> None:
    """Sheets from pale and far to dark and near, each with lines that follow its crest and a torn shadow."""
    for level, high, long, shift, ink, line_ink in WAVES[which]:
        edge = crest(level, high, long, shift, rng)
        shape = path_of(under(edge, -132))
        if level < -70:
            lower = path_of(np.array([(-132, -132), (132, -132), (132, level + 10), (-132, level + 10.0)]))
            sheet.shadow(shape, TEAL[0], 1.6, (0.5, 1.4), 0.5, lower)
        sheet.fill(shape, ink)
        sheet.fade(shape, mix(ink, TEAL[0], 0.6), (0, level), (0, level - 22), (0.0, 0.9))
        with sheet.clip(shape):
            follow(sheet, edge, line_ink, rng)


def follow(sheet: Sheet, edge: Points, ink: str, rng: Generator) -> None:
    """Broken lines under a crest that keep its form and fade with depth."""
    strokes = []
    for depth in (1.6, 3.4, 5.4, 7.8, 10.6):
        flat = np.exp(-depth / 12)
        mean = edge[:, 1].mean()
        line = np.column_stack([edge[:, 0], mean + (edge[:, 1] - mean) * flat - depth])
        i = int(rng.integers(0, 30))
        while i < len(line) - 20:
            n = int(rng.uniform(24, 90))
            bit = line[i : i + n]
            if len(bit) > 8:
                strokes.append(ribbon(bit, taper(len(bit), 0.05, rng.uniform(0.5, 1.0), 0.05)))
            i += n + int(rng.uniform(6, 46) * (0.5 + depth / 6))
    sheet.fill(paths_of(strokes), ink)


def crown(width: float, high: float, spikes: int, foot: float, rng: Generator) -> tuple[Points, list[Points]]:
    """A sheet of thrown water standing on SPLASH, its rim drawn out to leaning points; and the points' tips."""
    x0, y0 = SPLASH
    rim, tips = [(x0 - width * 0.9, y0 + foot)], []
    for k in range(spikes):
        u = (k + 0.5 + rng.uniform(-0.2, 0.2)) / spikes * 2 - 1
        tall = high * (0.55 + 0.45 * np.sqrt(1 - u * u)) * rng.uniform(0.6, 1.15)
        root, reach = width * 0.82 * u, width * 0.82 * u + tall * 0.62 * u
        gap = width * 0.62 / spikes
        tip = np.array([x0 + reach, y0 + foot + tall])
        low = y0 + foot + high * (0.2 + 0.16 * np.sqrt(1 - u * u))
        lean = (reach - root) * 0.45
        rim += [
            (x0 + root - gap, low),
            (x0 + root + lean - gap * 0.38, low + (tip[1] - low) * 0.6),
            tuple(tip - (0.25, 0.3)),
            tuple(moved(tip, 0.25, -0.1)),
            (x0 + root + lean + gap * 0.42, low + (tip[1] - low) * 0.55),
        ]
        tips.append(tip)
    rim.append((x0 + width * 0.9, y0 + foot))
    return np.vstack([spline(rim, per=8), [(x0 + width * 0.9, y0 - 14), (x0 - width * 0.9, y0 - 14)]]), tips


def splash(sheet: Sheet, rng: Generator, behind: bool) -> None:
    """A crown of water where the fish left it, far sheets before it and near ones after, then drops along its way."""
    x0, y0 = SPLASH
    sheets = (
        ((27, 42, 7, 2, TEAL[4], TEAL[5]), (23, 32, 6, 0, TEAL[3], TEAL[5]))
        if behind
        else ((30, 24, 6, -4, TEAL[2], TEAL[4]), (34, 14, 6, -6, TEAL[1], TEAL[3]))
    )
    for width, high, spikes, foot, ink, light in sheets:
        outline, tips = crown(width, high, spikes, foot, rng)
        shape = path_of(outline)
        sheet.fill(shape, ink)
        sheet.fade(shape, light, (0, y0 + foot + high), (0, y0 + foot - 2), (0.8, 0.0))
        lines = []
        for tip in tips:
            for off in (-1.2, 1.0):
                foot_at = np.array([x0 + (tip[0] - x0) * 0.52 + off, y0 + foot - 3])
                lines.append(
                    ribbon(
                        spline([foot_at, foot_at * 0.5 + tip * 0.5 + (off * 0.1, 1.0), tip - (0, 1.0)], per=8),
                        taper(17, 0.05, 0.55, 0.05),
                    )
                )
        with sheet.clip(shape):
            sheet.fill(paths_of(lines), light)
        sheet.edge(shape, TEAL[1], 0.8, (-0.6, 0.6), 0.4, 0.06)
        for tip in tips:
            away = np.arctan2(1.0, (tip[0] - x0) / 22)
            for step in (3.0, 6.5):
                p = tip + step * rng.uniform(0.7, 1.2) * np.array([np.cos(away), np.sin(away)]) + rng.normal(0, 0.8, 2)
                sheet.fill(path_of(drop(float(p[0]), float(p[1]), rng.uniform(0.5, 1.15), float(away))), ink)
    if behind:
        for _ in range(60):
            t = rng.uniform(0, 1)
            x, y = x0 + rng.normal(2, 9) * (1.1 - 0.5 * t), y0 + 26 + 56 * t
            size = rng.uniform(0.4, 1.5) * (1 - 0.5 * t)
            sheet.fill(
                path_of(drop(float(x), float(y), size, rng.uniform(1.2, 1.9))), rng.choice([TEAL[2], TEAL[3], TEAL[4]])
            )
            sheet.fill(path_of(circle(size * 0.25, (x - size * 0.2, y + size * 0.3), 10)), TEAL[5])


def mayfly(sheet: Sheet, rng: Generator, at: tuple[float, float]) -> None:
    """The mayfly the fish is after."""
    here = np.asarray(at, float)
    body = spline([(-1, 4), (0, 2.4), (0.6, -1), (2.6, -5)], per=8) + here
    for tail in ((4.8, -12), (6.6, -10.6), (2.6, -13)):
        sheet.line(spline([body[-1] - here, (3.6, -8), tail], per=6) + here, BARK[1], 0.28)
    for points, ink in (
        ([(0, 2), (-4, 7), (-9.5, 11), (-11, 8.4), (-7, 3.4)], DAWN[4]),
        ([(0.2, 1.6), (4, 8.6), (8.6, 12), (9.8, 8.4), (5.4, 3)], DAWN[3]),
        ([(0.3, 0.6), (-3, 1.4), (-5.6, 1.6), (-4.6, -0.8), (-1.6, -0.9)], DAWN[3]),
    ):
        wing = spline(points, True, 8) + here
        sheet.fill(path_of(wing), ink)
        with sheet.clip(path_of(wing)):
            for tip in points[1:]:
                sheet.line(np.array([here + points[0], here + np.array(tip) * 1.1]), BARK[2], 0.2)
        path: skia.Path = path_of(np.vstack([wing, wing[:1]]))
        sheet.edge(path, BARK[3], 0.8, (0, 0), 0.8, 0.06)
    sheet.fill(path_of(ribbon(body, taper(len(body), 1.6, 1.5, 0.5))), BARK[1])
    sheet.fill(path_of(circle(1.2, body[0], 20)), EMBER[1])
    for leg in ((-3.2, 0.4), (-3.6, -1.6), (3.2, 3.8)):
        sheet.line(spline([(0.2, 1.6), (leg[0] * 0.6, leg[1] + 0.6), leg], per=5) + here, BARK[1], 0.3)
