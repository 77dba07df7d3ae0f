"""A ridge at first light over a wooded lake shore, a band across the middle; bare wood above and below.

Invariant: no ink above y = 46 mm nor below y = -66 mm.
"""

from __future__ import annotations

import numpy as np
from conifer import spruce, treeline, united
from curves import Points, circle, moved, noise, ribbon, ridge, spline, taper, torn, under
from numpy.random import Generator
from palette import DAWN, DUSK, EMBER, NIGHT, PINE, SAGE, TEAL, mix
from sheet import Sheet, path_of, paths_of
from water import draw_ripples, lens, reflection, ripples

LEVEL = -42.0
KNOTS = (
    (-134, -4),
    (-112, 8),
    (-98, 2),
    (-78, 16),
    (-62, 7),
    (-40, 21),
    (-22, 11),
    (-6, 27),
    (10, 42),
    (17, 36),
    (26, 24),
    (36, 17),
    (54, 28),
    (68, 16),
    (84, 8),
    (100, 16),
    (116, 6),
    (134, 10),
)
PEAKS = ((-112, 8), (-78, 16), (-40, 21), (10, 42), (54, 28), (100, 16))
SADDLES = ((-98, 2), (-62, 7), (-22, 11), (36, 17), (84, 8), (134, 4))


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    sky(sheet, rng)
    massif(sheet, rng)
    foothills(sheet, rng)
    water(sheet, rng)
    sheet.erase(np.array([(-131, 46), (131, 46), (131, 131), (-131, 131.0)]))
    sheet.erase(np.array([(-131, -66), (131, -66), (131, -131), (-131, -131.0)]))


def sky(sheet: Sheet, rng: Generator) -> None:
    """The sun, thin clouds and the palest ridge."""
    air = path_of(np.array([(-132, 0), (132, 0), (132, 46), (-132, 46.0)]))
    sheet.fade(air, DAWN[5], (0, 4), (0, 45), (1.0, 0.0))
    sheet.fade(air, DAWN[4], (0, 0), (0, 36), (0.8, 0.0))
    sun = path_of(torn(circle(23, (-66, 18)), 0.15, 4, rng))
    sheet.fill(sun, EMBER[4])
    sheet.fade(sun, EMBER[3], (0, 0), (0, 38), (1.0, 0.5, 0.0))
    for x, y, wide, thick in (
        (-84, 29, 74, 2.2),
        (-48, 23, 58, 1.8),
        (-104, 21, 60, 1.6),
        (84, 34, 70, 2.0),
        (106, 29, 60, 1.6),
        (66, 40, 44, 1.3),
        (-18, 37, 40, 1.3),
    ):
        for k in range(3):
            cloud = lens(x + rng.normal(0, 8), y - k * 1.5, wide * rng.uniform(0.5, 1.0), thick, rng)
            sheet.fill(cloud, (DAWN[3], DAWN[2], DAWN[3])[k])
    far = ridge(
        -134, 134, [(-134, 6), (-90, -2), (-50, 9), (0, 4), (40, 12), (76, 20), (110, 27), (134, 22)], 2.4, 30, rng
    )
    sheet.fill(under(far, LEVEL), mix(DAWN[3], DAWN[2], 0.5))
    sheet.fade(under(far, LEVEL), DAWN[4], (0, -10), (0, 22), (1.0, 0.2))


def falling(start: tuple[float, float], drift: float, rng: Generator, depth: float = 70.0, wild: float = 3.4) -> Points:
    """A jagged line that falls from a point, wandering more the lower it gets."""
    y = np.arange(0.0, depth, 0.4)
    swing = noise(len(y), 34, rng, 5) * wild * np.minimum(1.0, y / 12)
    return np.column_stack([start[0] + drift * y + swing, start[1] + 0.6 - y])


def massif(sheet: Sheet, rng: Generator) -> None:
    """The main ridge: lit faces towards the sun, shaded faces behind each spine, gullies and snow."""
    skyline = ridge(-134, 134, KNOTS, 0.95, 9, rng)
    shape = path_of(under(skyline, LEVEL))
    sheet.fill(shape, DAWN[2])
    sheet.fade(shape, DAWN[1], (0, 14), (0, -30), (0.0, 0.9))
    spines = [falling(p, rng.uniform(0.1, 0.32), rng) for p in PEAKS]
    valleys = [falling(s, rng.uniform(-0.25, 0.05), rng) for s in SADDLES]
    shades = [np.vstack([s, v[::-1], [v[0] + (0, 30)], [s[0] + (0, 30)]]) for s, v in zip(spines, valleys, strict=True)]
    with sheet.clip(shape):
        for peak, spine in zip(PEAKS, spines, strict=True):
            snow(sheet, rng, peak, spine, DAWN[5])
        for shade in shades:
            sheet.fill(shade, DUSK[1])
        for shade, peak in zip(shades, PEAKS, strict=True):
            with sheet.clip(shade):
                sheet.fade(shade, NIGHT[2], (0, peak[1] - 4), (0, peak[1] - 40), (0.8, 0.0))
                snow(sheet, rng, (peak[0] + 5, peak[1] - 1), None, NIGHT[4])
        gullies(sheet, rng)
        sheet.fade(shape, mix(DUSK[2], DAWN[1], 0.4), (0, LEVEL + 2), (0, -8), (1.0, 0.35, 0.0))
        rim = torn(skyline, 0.05, 5, rng, False)
        sheet.fill(path_of(ribbon(rim, 0.35)), NIGHT[2], 0.55)


def snow(sheet: Sheet, rng: Generator, peak: tuple[float, float], spine: Points | None, ink: str) -> None:
    """A cap with tongues running down the gullies."""
    depth = 5 + max(0.0, peak[1]) * 0.42
    tongues = []
    for _ in range(int(9 + depth)):
        x = peak[0] + rng.normal(0, depth * 0.62)
        top = peak[1] + 4
        long = 4 + depth * rng.uniform(0.35, 1.0) + abs(x - peak[0]) * 0.35
        line = falling((x, top), (x - peak[0]) * 0.028 + rng.normal(0, 0.05), rng, long, 1.2)
        tongues.append(ribbon(line, taper(len(line), 5, 3.4, 0.1) * rng.uniform(0.5, 1.0)))
    sheet.fill(paths_of(tongues), ink)


def gullies(sheet: Sheet, rng: Generator) -> None:
    """Cracks and buttresses down the faces: dark on the lit ones, lit on the dark ones."""
    for ink, alpha, count, thick in (
        (DUSK[2], 0.9, 90, 1.5),
        (DUSK[0], 0.9, 120, 1.0),
        (DAWN[3], 0.9, 46, 0.9),
        (NIGHT[3], 1.0, 60, 0.9),
    ):
        cracks = []
        for _ in range(count):
            x = rng.uniform(-132, 132)
            near = min(PEAKS, key=lambda p: abs(p[0] - x))
            crest = np.interp(x, [k[0] for k in KNOTS], [k[1] for k in KNOTS])
            lit = x < near[0] + 4
            if (ink in (DAWN[3],)) != lit and ink in (DAWN[3], NIGHT[3]):
                continue
            top = crest - abs(rng.normal(0, 12))
            line = falling((x, top), (x - near[0]) * 0.02 + rng.normal(0.06, 0.1), rng, rng.uniform(5, 18), 1.7)
            cracks.append(ribbon(line, taper(len(line), 0.05, thick * rng.uniform(0.4, 1.2), 0.05)))
        sheet.fill(paths_of(cracks), ink, alpha)


def foothills(sheet: Sheet, rng: Generator) -> None:
    """Three depths of wooded hills, each with mist at its foot, then single spruces at the shore."""
    depths = (
        (
            mix(DUSK[1], SAGE[0], 0.5),
            mix(DAWN[2], SAGE[1], 0.5),
            [(-134, -10), (-80, -16), (-20, -24), (30, -18), (90, -24), (134, -14)],
            (3, 7),
        ),
        (TEAL[2], SAGE[1], [(-134, -20), (-70, -26), (-10, -33), (50, -29), (100, -24), (134, -22)], (5, 13)),
        (TEAL[0], TEAL[2], [(-134, -26), (-90, -32), (-30, -39), (30, -40), (84, -35), (134, -28)], (5, 17)),
    )
    for ink, mist, knots, height in depths:
        k = np.asarray(knots, float)
        crest = ridge(-134, 134, knots, 0.8, 12, rng)
        trees = treeline(-135, 135, lambda x, k=k: float(np.interp(x, k[:, 0], k[:, 1])), height, rng, 0.22)
        shape = united([*trees, under(crest, LEVEL)[::-1]])
        sheet.fill(shape, ink)
        sheet.fade(shape, mist, (0, LEVEL), (0, float(k[:, 1].mean()) + height[1] * 0.55), (0.9, 0.3, 0.0))
    near = []
    for x, tall in (
        (-128, 46),
        (-117, 38),
        (-108, 50),
        (-97, 33),
        (-88, 26),
        (-78, 30),
        (-69, 18),
        (-60, 13),
        (62, 12),
        (72, 20),
        (80, 29),
        (90, 24),
        (99, 41),
        (109, 34),
        (118, 52),
        (128, 44),
    ):
        near.append(
            spruce(x + rng.normal(0, 1), LEVEL - 1, tall * rng.uniform(0.95, 1.05), rng, rng.normal(0, 0.015), 1.1)
        )
    bank = [
        spline(
            [(s * 134, LEVEL + 6), (s * 100, LEVEL + 3), (s * 64, LEVEL + 1.4), (s * 30, LEVEL), (s * 134, LEVEL - 1)],
            True,
        )
        for s in (-1, 1)
    ]
    shape = united([*near, *bank])
    sheet.shadow(
        shape, TEAL[0], 1.2, (1.4, -0.6), 0.8, path_of(np.array([(-132, LEVEL), (132, LEVEL), (132, 20), (-132, 20.0)]))
    )
    sheet.fill(shape, PINE[1])
    sheet.edge(shape, PINE[0], 2.2, (-1.4, 1.2), 1.0)
    lit = []
    for tree in near:
        left = tree[: len(tree) // 2]
        for p in left[6:-4:2]:
            lit.append(
                ribbon(
                    np.array([moved(p, 1.0, 0.2), moved(p, 2.2, 0.9), moved(p, 3.2, 1.0)]), np.array([0.1, 0.55, 0.1])
                )
            )
    with sheet.clip(shape):
        sheet.fill(paths_of(lit), PINE[3])


def water(sheet: Sheet, rng: Generator) -> None:
    """Still water that mirrors the ridge in bars and thins out to bare wood."""
    area = path_of(np.array([(-132, LEVEL), (132, LEVEL), (132, -66), (-132, -66.0)]))
    shallow = path_of(np.array([(-132, LEVEL), (132, LEVEL), (132, -50), (-132, -50.0)]))
    sheet.fade(area, mix(DUSK[2], DAWN[1], 0.5), (0, LEVEL), (0, -58), (1.0, 0.75, 0.0), (0, 0.4, 1))
    sheet.fade(shallow, TEAL[1], (0, LEVEL), (0, -48), (1.0, 0.0))
    for x, tall in (
        (-126, 26),
        (-112, 30),
        (-98, 19),
        (-84, 17),
        (-70, 10),
        (74, 12),
        (88, 16),
        (100, 22),
        (112, 28),
        (126, 26),
    ):
        sheet.fill(reflection(spruce(x, LEVEL, tall * 0.8, rng), LEVEL, 0.8, rng, 0.9, 0.9), PINE[1])
    draw_ripples(sheet, area, DAWN[3], ripples(LEVEL - 1, -56, 90, (10, 40), (0.25, 0.9), rng))
    draw_ripples(sheet, area, DAWN[2], ripples(LEVEL - 2, -60, 70, (16, 50), (0.3, 1.0), rng))
    draw_ripples(sheet, area, TEAL[1], ripples(LEVEL - 1, -61, 90, (16, 60), (0.3, 1.2), rng))
    draw_ripples(
        sheet,
        area,
        TEAL[2],
        [
            lens(rng.uniform(-120, 120), rng.uniform(-64, -54), rng.uniform(24, 70), rng.uniform(0.5, 1.1), rng)
            for _ in range(34)
        ],
    )
    draw_ripples(
        sheet,
        area,
        EMBER[3],
        ripples(LEVEL - 0.6, -60, 34, (9, 20), (0.3, 1.0), rng, lambda t, r: -66 + r.normal(0, 4 + 4 * t)),
    )
