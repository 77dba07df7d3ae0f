"""Ferns, berries and two mushrooms rising from the lower edge and up both sides; bare wood above.

Invariant: the box 168 x 76 mm centred at (0, 30) mm carries no ink.
"""

from __future__ import annotations

import numpy as np
from conifer import BERRY_INKS, draw_berry
from curves import Points, circle, moved, needle, noise, resample, ribbon, ridge, spline, tangents, torn, turn, under
from numpy.random import Generator
from palette import BARK, DAWN, DUSK, EMBER, NIGHT, PINE, SAGE, TEAL, mix
from plants import draw_frond, frond, leaf, reed_bed
from sheet import Sheet, path_of, paths_of

ROOT = (0.0, -122.0)


def arch(x0: float, x1: float, y1: float, bow: float, droop: float) -> Points:
    """A frond's spine from the ground at `x0` to a tip at (`x1`, `y1`), bowed outwards, its tip drooping."""
    foot = np.array([x0, -128.0])
    tip = np.array([x1, y1])
    side = np.sign(x1 - x0) or 1.0
    middle = foot * 0.5 + tip * 0.5 + (-bow * side, abs(bow) * 0.35)
    late = foot * 0.16 + tip * 0.84 + (-bow * side * 0.45, droop * 0.9)
    return spline([foot, middle, late, tip - (0, droop * 0.4)], per=26)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    far(sheet, rng)
    middle(sheet, rng)
    near(sheet, rng)
    floor(sheet, rng)
    sheet.erase(np.array([(-84, -8), (84, -8), (84, 68), (-84, 68.0)]))


def rim_frond(side: int, start_deg: float, sweep_deg: float, radius: float, lift: float) -> Points:
    """A spine that follows the rim upwards from an angle below, leaving it by `lift` mm at its tip."""
    a = np.radians(-90 + side * np.linspace(start_deg, start_deg + sweep_deg, 6))
    r = radius + np.linspace(8, 0, 6) ** 1.0 - lift * np.linspace(0, 1, 6) ** 2.5
    return spline(np.column_stack([r * np.cos(a), r * np.sin(a)]), per=16)


def far(sheet: Sheet, rng: Generator) -> None:
    """The palest ferns, single inks, and the air between them."""
    mist = path_of(np.array([(-132, -132), (132, -132), (132, -20), (-132, -20.0)]))
    sheet.fade(mist, SAGE[2], (0, -132), (0, -58), (1.0, 0.7, 0.0))
    sheet.fade(mist, SAGE[1], (0, -132), (0, -78), (1.0, 0.6, 0.0))
    for ink, spines in (
        (
            SAGE[2],
            [
                arch(-12, -60, -36, 8, 4),
                arch(14, 64, -34, 8, 4),
                arch(-4, -24, -28, 5, 4),
                arch(6, 26, -30, 6, 4),
                rim_frond(-1, 44, 84, 113, 4),
                rim_frond(1, 46, 82, 113, 4),
            ],
        ),
        (
            SAGE[1],
            [
                arch(-20, -78, -46, 10, 4),
                arch(22, 82, -44, 10, 4),
                arch(2, -44, -42, 8, 4),
                arch(-2, 46, -42, 8, 4),
                arch(0, 2, -34, 3, 3),
                rim_frond(-1, 36, 70, 111, 2),
                rim_frond(1, 36, 72, 111, 2),
            ],
        ),
    ):
        for spine in spines:
            left, right, _ = frond(spine, 15, rng, 2.5, 0.35)
            sheet.fill(paths_of([*left, *right, ribbon(spine, np.linspace(1.3, 0.2, len(spine)))]), ink)


def middle(sheet: Sheet, rng: Generator) -> None:
    """Blue-green ferns, uncurling crooks, and sprigs of bilberry."""
    blue = (TEAL[0], TEAL[1], mix(TEAL[2], PINE[3], 0.35))
    for spine, reach in (
        (rim_frond(-1, 30, 62, 117, 5), 19),
        (rim_frond(1, 32, 60, 117, 5), 19),
        (arch(-30, -92, -58, 10, 5), 19),
        (arch(30, 94, -54, 10, 5), 19),
        (arch(-8, -46, -50, 7, 4), 17),
        (arch(10, 50, -52, 7, 4), 17),
    ):
        draw_frond(sheet, spine, reach, blue, rng, 2.7, 0.4)
    for x, tall, side in ((-22, 62, -1), (20, 70, 1), (-62, 58, -1), (70, 54, 1)):
        crook(sheet, x, tall, side, rng)
    berry_ink = (NIGHT[0], NIGHT[3], NIGHT[4])
    for x, tip, high in ((-40, -66, -64), (44, 70, -66), (-78, -108, -36), (80, 108, -34)):
        sprig(sheet, (x, -122), (tip, high), (PINE[1], mix(TEAL[2], PINE[3], 0.6), PINE[4]), berry_ink, rng, 2.7)


def near(sheet: Sheet, rng: Generator) -> None:
    """Green ferns in full light, red berries."""
    green, bright = (PINE[0], PINE[2], PINE[3]), (PINE[1], PINE[3], PINE[4])
    for spine, reach, inks in (
        (rim_frond(-1, 22, 50, 121, 3), 20, green),
        (rim_frond(1, 22, 50, 121, 3), 20, green),
        (arch(-18, -70, -74, 12, 6), 20, green),
        (arch(20, 74, -72, 12, 6), 20, green),
        (arch(-4, -26, -62, 6, 5), 17, bright),
        (arch(6, 30, -60, 6, 5), 17, bright),
        (arch(-40, -104, -76, 12, 6), 19, bright),
        (arch(42, 106, -74, 12, 6), 19, bright),
    ):
        draw_frond(sheet, spine, reach, inks, rng, 2.6, 0.42)
    for x, tip, high in ((-8, -46, -82), (12, 50, -84), (-50, -86, -84), (54, 90, -82)):
        sprig(sheet, (x, -128), (tip, high), (PINE[1], PINE[3], PINE[5]), BERRY_INKS, rng, 3.0)
    mushroom(sheet, (-7, -112), 26, 15, -0.06, rng)
    mushroom(sheet, (14, -116), 17, 10, 0.16, rng)
    for x, y, wide in ((-7, -113, 8), (14, -117, 6)):
        for ink, tall in ((PINE[1], 11), (PINE[3], 8), (PINE[4], 5)):
            sheet.fill(paths_of(reed_bed(x - wide, x + wide, y - 9, (7, tall + 4), 34, rng, 0.9)), ink)
    for spine in (
        arch(-30, -30, -98, 8, 4),
        arch(34, 40, -100, 8, 4),
        arch(-70, -62, -104, 8, 4),
        arch(74, 68, -104, 8, 4),
    ):
        draw_frond(sheet, spine, 12, (PINE[1], PINE[4], PINE[5]), rng, 2.2, 0.42)


def crook(sheet: Sheet, x: float, tall: float, side: int, rng: Generator) -> None:
    """A fern still rolled up: a stalk ending in a coil, with scales along its back."""
    t = np.linspace(0, 1, 70)
    a = np.pi * (0.5 - side * 0.5) - side * t * 3.9 * np.pi
    r = 6.4 * (1 - t) ** 0.85 + 0.5
    centre = np.array([x + side * 6.4, -128 + tall])
    coil = centre + np.column_stack([r * np.cos(a + np.pi), r * np.sin(a + np.pi)])
    foot = np.array([[x - side * 3, -128.0], [x - side * 1.5, -128 + tall * 0.5]])
    line = resample(spline(np.vstack([foot, coil[::3]]), per=8), 0.5)
    width = np.interp(np.linspace(0, 1, len(line)), [0, 0.4, 0.75, 1], [1.5, 2.3, 2.6, 1.2])
    sheet.fill(path_of(ribbon(line, width + 0.9)), PINE[0])
    sheet.fill(path_of(ribbon(line, width)), PINE[3])
    heading = np.arctan2(*tangents(line).T[::-1])
    hairs = [
        needle(
            line[i] + rng.normal(0, 0.2, 2), heading[i] + side * rng.uniform(0.5, 1.3), rng.uniform(1.2, 2.2), 0.6, 0.2
        )
        for i in range(8, len(line) - 20, 3)
    ]
    sheet.fill(paths_of(hairs), BARK[4])
    sheet.fill(path_of(ribbon(moved(line, -0.35, 0.3), width * 0.3)), PINE[5])


def sprig(
    sheet: Sheet,
    foot: tuple[float, float],
    tip: tuple[float, float],
    inks: tuple[str, str, str],
    berry: tuple[str, str, str],
    rng: Generator,
    size: float,
) -> None:
    """A woody stem with leaves on both sides and berries hanging under them."""
    a, b = np.array(foot), np.array(tip)
    across = (b - a)[::-1] * (-0.12, 0.12) * np.sign(b[0] - a[0])
    stem = resample(spline([a, (a + b) / 2 + across, b], per=20), 0.8)
    sheet.fill(path_of(ribbon(stem, np.linspace(1.6, 0.6, len(stem)))), BARK[2])
    heading = np.arctan2(*tangents(stem).T[::-1])
    hung: list[Points] = []
    for k, t in enumerate(np.linspace(0.3, 0.98, 9)):
        i = int(t * (len(stem) - 1))
        side = 1 if k % 2 else -1
        angle = heading[i] + side * rng.uniform(0.6, 1.0)
        long = rng.uniform(10, 13.5) * (1.1 - 0.3 * t)
        draw_leaf(sheet, stem[i], float(angle), long, long * 0.52, inks, rng)
        if 1 < k < 8:
            if k % 2 == 0:
                continue
            first = stem[i] + np.array([rng.uniform(-3, 3), -size * rng.uniform(1.3, 3.0)])
            for off in ((0.0, 0.0), (1.75, -0.5), (0.7, -1.9))[: int(rng.integers(2, 4))]:
                hung.append(first + np.array(off) * size * rng.uniform(0.95, 1.15))
        if k == 8:
            draw_leaf(sheet, stem[-1], float(heading[-1]), long, long * 0.5, inks, rng)
    for spot in hung:
        root = stem[int(np.argmin(np.hypot(*(stem - spot - (0, 4)).T)))]
        sheet.line(spline([root, (root + spot) / 2 + (0.6, 0.4), moved(spot, 0, size * 0.7)], per=6), BARK[1], 0.45)
    for spot in hung:
        sheet.fill(path_of(circle(size * 1.12, moved(spot, 0.35, -0.5), 30)), inks[0], 0.75)
        draw_berry(sheet, (float(spot[0]), float(spot[1])), size * rng.uniform(0.88, 1.06), berry, rng)
        star = [
            (
                np.cos(k * np.pi / 5 + 1.0) * size * (0.32 if k % 2 else 0.14),
                np.sin(k * np.pi / 5 + 1.0) * size * (0.32 if k % 2 else 0.14),
            )
            for k in range(10)
        ]
        sheet.fill(path_of(np.array(star) + spot + (size * 0.2, -size * 0.45)), berry[0])


def draw_leaf(
    sheet: Sheet, at: Points, angle: float, length: float, width: float, inks: tuple[str, str, str], rng: Generator
) -> None:
    """A leaf in two halves, lit and shaded, with veins."""
    shape = turn(torn(leaf(length, width, rng.normal(0, 1.0)), 0.12, 1.5, rng, step=0.3), angle, at)
    rib = turn(spline([(0, 0), (length * 0.5, 0.1), (length * 0.97, 0)], per=8), angle, at)
    path = path_of(shape)
    sheet.fill(path_of(moved(shape, 0.5, -0.8)), inks[0])
    sheet.fill(path, inks[1])
    upper = (
        np.array([np.cos(angle + np.pi / 2), np.sin(angle + np.pi / 2)]) * (1 if np.cos(angle) > -0.2 else -1) * width
    )
    with sheet.clip(path):
        sheet.fill(np.vstack([rib, [rib[-1] + upper * 2, rib[0] + upper * 2]]), inks[2])
        for t in np.linspace(0.12, 0.85, 6):
            p = rib[int(t * (len(rib) - 1))]
            for side in (-1, 1):
                d = angle + side * 0.85
                sheet.line(np.array([p, p + np.array([np.cos(d), np.sin(d)]) * width * 0.62]), inks[0], 0.16, 0.8)
    sheet.edge(path, inks[0], length * 0.07, (-0.4, 0.6), 0.7, 0.06)
    sheet.fill(path_of(ribbon(rib, np.linspace(0.45, 0.1, len(rib)))), inks[0])


def mushroom(sheet: Sheet, at: tuple[float, float], tall: float, wide: float, lean: float, rng: Generator) -> None:
    """A red-capped mushroom with pale flecks, gills in shade under its brim."""

    def put(points: list[tuple[float, float]], closed: bool = True) -> Points:
        return turn(spline(points, closed, 10), lean, at)

    stalk = path_of(
        put(
            [
                (-wide * 0.2, tall),
                (-wide * 0.22, tall * 0.5),
                (-wide * 0.34, 0),
                (wide * 0.34, 0),
                (wide * 0.2, tall * 0.5),
                (wide * 0.19, tall),
            ]
        )
    )
    sheet.fill(stalk, DAWN[5])
    sheet.fade(
        stalk,
        BARK[4],
        tuple(turn(np.array([[wide * 0.4, 0]]), lean, at)[0]),
        tuple(turn(np.array([[-wide * 0.15, 0]]), lean, at)[0]),
        (1.0, 0.0),
        size=0.07,
    )
    sheet.fade(
        stalk,
        BARK[2],
        tuple(moved(np.asarray(at), 0, tall * 1.02)),
        tuple(moved(np.asarray(at), 0, tall * 0.62)),
        (1.0, 0.0),
        size=0.07,
    )
    skirt = path_of(
        put(
            [
                (-wide * 0.26, tall * 0.72),
                (-wide * 0.42, tall * 0.54),
                (0, tall * 0.5),
                (wide * 0.4, tall * 0.55),
                (wide * 0.25, tall * 0.72),
            ]
        )
    )
    sheet.fill(skirt, DAWN[5])
    sheet.edge(skirt, BARK[3], 0.9, (-0.4, 0.6), 0.9, 0.06)
    under_cap = put(
        [
            (-wide, tall * 0.93),
            (-wide * 0.5, tall * 0.84),
            (wide * 0.5, tall * 0.84),
            (wide, tall * 0.93),
            (wide * 0.5, tall * 1.02),
            (-wide * 0.5, tall * 1.02),
        ]
    )
    sheet.fill(path_of(under_cap), BARK[3])
    with sheet.clip(path_of(under_cap)):
        for x in np.linspace(-1, 1, 30):
            sheet.line(put([(x * wide * 0.22, tall * 1.0), (x * wide, tall * 0.84)], False), BARK[1], 0.25)
    cap = path_of(
        put(
            [
                (-wide, tall * 0.92),
                (-wide * 0.92, tall * 1.13),
                (-wide * 0.5, tall * 1.42),
                (0, tall * 1.52),
                (wide * 0.52, tall * 1.42),
                (wide * 0.93, tall * 1.12),
                (wide, tall * 0.92),
                (wide * 0.5, tall * 0.99),
                (0, tall * 1.01),
                (-wide * 0.5, tall * 0.99),
            ]
        )
    )
    sheet.fill(cap, EMBER[2])
    sheet.edge(cap, EMBER[0], wide * 0.26, (-wide * 0.2, wide * 0.26), 0.95)
    sheet.glow(cap, EMBER[3], tuple(turn(np.array([[-wide * 0.35, tall * 1.3]]), lean, at)[0]), wide * 0.62, (0.9, 0.0))
    with sheet.clip(cap):
        for x, y, r in (
            (-0.62, 1.18, 1.5),
            (-0.3, 1.36, 1.7),
            (0.1, 1.24, 2.1),
            (0.42, 1.38, 1.3),
            (0.66, 1.14, 1.6),
            (-0.12, 1.08, 1.3),
            (0.36, 1.06, 1.2),
            (-0.84, 1.02, 1.0),
            (0.05, 1.46, 1.1),
            (0.86, 1.0, 0.9),
            (-0.46, 1.04, 0.9),
        ):
            p = turn(np.array([[x * wide, y * tall]]), lean, at)[0]
            fleck = torn(circle(r * wide / 15, (0, 0), 20) * (1.0, 0.75) + p, 0.25, 1.6, rng, step=0.2)
            sheet.fill(path_of(moved(fleck, 0.25, -0.3)), EMBER[0])
            sheet.fill(path_of(fleck), DAWN[5])


def floor(sheet: Sheet, rng: Generator) -> None:
    """The dark mossy ground along the lower edge."""
    for knots, ink, light in (
        (
            [
                (-134, -76),
                (-104, -92),
                (-70, -110),
                (-30, -118),
                (0, -120),
                (30, -118),
                (70, -110),
                (104, -92),
                (134, -76),
            ],
            PINE[1],
            PINE[3],
        ),
        (
            [
                (-134, -84),
                (-104, -99),
                (-70, -115),
                (-30, -122),
                (0, -124),
                (30, -122),
                (70, -115),
                (104, -98),
                (134, -84),
            ],
            PINE[0],
            PINE[2],
        ),
    ):
        line = ridge(-134, 134, knots, 1.4, 9, rng)
        shape = path_of(under(line, -134))
        tufts = []
        for i in rng.integers(0, len(line), 700):
            tufts.append(
                needle(
                    line[i] + rng.normal(0, 0.6, 2),
                    np.pi / 2 + rng.normal(0, 0.5),
                    rng.uniform(1.0, 3.0),
                    0.5,
                    rng.normal(0, 0.4),
                )
            )
        sheet.fill(paths_of(tufts), ink)
        sheet.fill(shape, ink)
        with sheet.grain(shape, light, 0.09) as canvas:
            canvas.drawPath(
                path_of(ribbon(line - (0, 1.2), 2.2 + 0.8 * noise(len(line), 40, rng))), sheet.soft(1.2, 0.75)
            )
    for _ in range(16):
        x = rng.uniform(-88, 88)
        y = float(np.interp(abs(x), [0, 30, 70, 104], [-123, -121, -114, -98]))
        draw_leaf(
            sheet,
            np.array([x, y]),
            rng.uniform(0, np.pi),
            rng.uniform(7, 10),
            4.5,
            (BARK[1], mix(DAWN[3], BARK[3], 0.5), DAWN[3]) if rng.uniform() < 0.6 else (DUSK[0], DAWN[0], DAWN[1]),
            rng,
        )
