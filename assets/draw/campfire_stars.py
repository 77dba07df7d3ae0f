"""A campfire under the stars; its smoke, left as bare wood, opens into a wide field for the name.

Invariant: the box 168 x 60 mm centred at (0, 16) mm lies inside the smoke and carries no ink.
"""

from __future__ import annotations

import numpy as np
from conifer import spruce, treeline, united
from curves import Points, circle, moved, needle, noise, resample, ribbon, ridge, spline, taper, torn, turn, under
from numpy.random import Generator
from palette import BARK, DAWN, DUSK, EMBER, NIGHT, PINE, STONE, TEAL, mix
from plants import reed_bed
from shapely import Point, box, union_all
from sheet import Sheet, path_of, paths_of

FIRE = (0.0, -97.0)
LOBES = (
    (-70, 42, 21),
    (-42, 53, 22),
    (-10, 49, 24),
    (24, 57, 21),
    (54, 48, 23),
    (80, 36, 19),
    (-92, 16, 20),
    (94, 10, 19),
    (-78, -10, 17),
    (-48, -16, 15),
    (-20, -20, 15),
    (34, -20, 16),
    (62, -14, 16),
    (84, -8, 14),
    (6, -28, 17),
    (8, -38, 12.5),
    (4, -46, 9.5),
    (-1, -53, 7.5),
    (-3, -60, 6),
    (-1, -67, 5),
)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    sky(sheet, rng)
    smoke(sheet, rng)
    wood(sheet, rng)
    ground(sheet, rng)
    tent(sheet, rng)
    fire(sheet, rng)
    foreground(sheet, rng)
    sheet.erase(np.array([(-84, -14), (84, -14), (84, 46), (-84, 46.0)]))


def sky(sheet: Sheet, rng: Generator) -> None:
    """Night over the whole sheet, a milky band across its top, stars left bare."""
    area = path_of(np.array([(-132, -132), (132, -132), (132, 132), (-132, 132.0)]))
    sheet.fill(area, NIGHT[1])
    sheet.fade(area, NIGHT[0], (0, 80), (0, 132), (0.0, 1.0))
    sheet.fade(area, NIGHT[2], (0, 60), (0, -60), (0.0, 0.9))
    sheet.fade(area, DUSK[2], (0, -10), (0, -100), (0.0, 0.8))
    band = torn(
        turn(
            spline([(-150, -10), (-60, -17), (40, -12), (150, -16), (150, 16), (30, 13), (-60, 16), (-150, 12)], True),
            0.22,
            (0, 97),
        ),
        5,
        30,
        rng,
    )
    with sheet.grain(area, NIGHT[3]) as canvas:
        canvas.drawPath(path_of(band), sheet.soft(9, 0.62))
    with sheet.grain(area, DUSK[3], 0.07) as canvas:
        for _ in range(26):
            x = rng.uniform(-125, 125)
            canvas.drawPath(
                path_of(torn(circle(rng.uniform(3, 8), (x, 97 + 0.22 * x + rng.normal(0, 5))), 2, 6, rng)),
                sheet.soft(4, 0.3),
            )
    stars = []
    for _ in range(950):
        x, y = rng.uniform(-130, 130), rng.uniform(-40, 131)
        milky = np.exp(-(((y - 97 - 0.22 * x) / 15) ** 2))
        if rng.uniform() < 0.22 + 0.78 * milky and not 121.5 < np.hypot(x, y) < 134:
            stars.append(circle(0.14 + 0.42 * rng.uniform() ** 4, (x, y), 9))
    sheet.erase(paths_of(stars))
    for _ in range(34):
        x, y = rng.uniform(-126, 126), rng.uniform(10, 128)
        if 119 < np.hypot(x, y) < 136:
            continue
        r = rng.uniform(1.0, 2.3)
        points = [
            (
                np.cos(k * np.pi / 4) * (r if k % 2 == 0 else r * 0.2),
                np.sin(k * np.pi / 4) * (r if k % 2 == 0 else r * 0.2),
            )
            for k in range(8)
        ]
        sheet.fill(path_of(circle(r * 0.75, (x, y), 24)), NIGHT[3], 0.7)
        sheet.erase(path_of(moved(np.array(points), x, y)))
    streak = np.array([(58, 118), (94, 103.0)])
    sheet.erase(path_of(ribbon(resample(streak, 1), np.linspace(0.05, 0.75, len(resample(streak, 1))))))


def smoke(sheet: Sheet, rng: Generator) -> None:
    """Torn sheets of paper, each paler than the last, round the bare inside of the smoke."""
    parts = [Point(x, y).buffer(r) for x, y, r in LOBES] + [box(-84, -14, 84, 46).buffer(5)]
    core = union_all(parts).buffer(9).buffer(-15).buffer(6)
    for grow, ink, low in (
        (13, NIGHT[2], NIGHT[3]),
        (9, NIGHT[3], DUSK[3]),
        (5.5, NIGHT[4], DAWN[1]),
        (2.4, mix(NIGHT[4], DUSK[3], 0.6), DAWN[3]),
    ):
        outline = torn(np.asarray(core.buffer(grow).exterior.coords)[:-1], 1.0, 22, rng)
        path = path_of(outline)
        sheet.shadow(path, NIGHT[0], 1.8, (0.9, -1.5), 0.75)
        sheet.fill(path, ink)
        sheet.fade(path, low, (0, -64), (0, 8), (1.0, 0.5, 0.0))
    inner = path_of(torn(np.asarray(core.exterior.coords)[:-1], 0.7, 20, rng))
    sheet.erase(inner)
    sheet.edge(inner, DAWN[4], 3.2, (0, 0), 0.85)
    sheet.edge(inner, DAWN[3], 2.4, (0, 1.8), 0.7)


def wood(sheet: Sheet, rng: Generator) -> None:
    """Trees: a far row, a middle one, and tall ones at both sides with the fire on their inner edges."""
    for foot, height, ink, light in ((-74, (12, 34), NIGHT[2], DUSK[2]), (-82, (14, 40), NIGHT[1], DUSK[1])):
        trees = [
            *treeline(-135, -24, lambda x, f=foot: f + abs(x) * 0.06, height, rng, 0.27),
            *treeline(24, 135, lambda x, f=foot: f + abs(x) * 0.06, height, rng, 0.27),
        ]
        shape = united(trees)
        sheet.fill(shape, ink)
        sheet.glow(shape, light, FIRE, 84, (1.0, 0.6, 0.0))
    hill = path_of(
        under(ridge(-134, 134, [(-134, -70), (-60, -80), (0, -84), (60, -80), (134, -70)], 1.0, 18, rng), -132)
    )
    sheet.fill(hill, NIGHT[0])
    sheet.glow(hill, EMBER[0], FIRE, 80, (1.0, 0.8, 0.0))
    for x, tall in ((-124, 150), (-104, 118), (-88, 74), (-116, 96), (122, 146), (104, 108), (90, 70), (114, 90)):
        tree = spruce(x, -96 + rng.normal(0, 2), tall * rng.uniform(0.96, 1.04), rng, -0.012 * np.sign(x), 0.92)
        path = path_of(tree)
        sheet.fill(path, mix(NIGHT[0], PINE[0], 0.5))
        sheet.edge(path, PINE[2], 2.2, (np.sign(x) * 1.8, -1.0), 0.85)
        sheet.glow(path, EMBER[1], FIRE, 108, (0.9, 0.75, 0.0), (0, 0.5, 1))
        sheet.edge(path, EMBER[2], 1.3, (np.sign(x) * 1.6, 0.5), 0.0 if abs(x) > 118 else 0.62)


def ground(sheet: Sheet, rng: Generator) -> None:
    """The clearing: earth lit in rings round the fire, tufts of grass dark at its edges."""
    floor = path_of(under(ridge(-134, 134, [(-134, -88), (-50, -93), (50, -93), (134, -88)], 0.6, 10, rng), -132))
    sheet.fill(floor, BARK[0])
    sheet.glow(floor, EMBER[0], (0, -104), 98, (1.0, 0.8, 0.0), (0, 0.45, 1))
    sheet.glow(floor, EMBER[1], (0, -103), 66, (1.0, 0.6, 0.0), (0, 0.4, 1))
    sheet.glow(floor, EMBER[2], (0, -102), 42, (1.0, 0.5, 0.0))
    sheet.glow(floor, EMBER[3], (0, -101), 28, (1.0, 0.4, 0.0))
    pebbles = [
        torn(circle(rng.uniform(0.3, 1.0), (rng.normal(0, 45), rng.uniform(-128, -97)), 14), 0.2, 1, rng, step=0.2)
        * (1, 1)
        for _ in range(90)
    ]
    sheet.fill(paths_of(pebbles), BARK[0])


def foreground(sheet: Sheet, rng: Generator) -> None:
    """Dark banks of grass that frame the clearing from below."""
    for rise, ink, tall in ((6.0, PINE[1], 12.0), (0.0, NIGHT[0], 10.0)):
        bank = ridge(
            -134,
            134,
            [
                (-134, -92),
                (-92, -101),
                (-62, -113),
                (-30, -122),
                (0, -124),
                (30, -122),
                (62, -113),
                (92, -102),
                (134, -92),
            ],
            0.5,
            8,
            rng,
        )
        bank[:, 1] += rise - 5
        sheet.fill(under(bank, -132), ink)
        blades = []
        for i in rng.integers(0, len(bank), 420):
            blades.append(
                needle(
                    bank[i] - (0, 1.5),
                    np.pi / 2 + rng.normal(0, 0.3),
                    rng.uniform(0.3, 1.0) * tall * (0.45 + abs(bank[i, 0]) / 130),
                    0.9,
                    rng.normal(0, 1.2),
                )
            )
        sheet.fill(paths_of(blades), ink)


def tent(sheet: Sheet, rng: Generator) -> None:
    """A small ridge tent at the right, lit from inside."""
    at = np.array([56.0, -93.0])
    front = (
        spline([(-17, 0), (-12, 7.5), (0, 25)], per=8).tolist() + spline([(0, 25), (11, 7.5), (16, 0)], per=8).tolist()
    )
    side = [(0, 25), (17, 22), (33, 3.5), (16, 0)]
    wall = path_of(np.array(side) + at)
    sheet.fill(wall, TEAL[1])
    sheet.fade(wall, TEAL[0], tuple(moved(at, 38, 0)), tuple(moved(at, 4, 20)), (1.0, 0.0))
    sheet.fade(wall, EMBER[1], tuple(moved(at, 6, 0)), tuple(moved(at, 26, 16)), (0.8, 0.0))
    face = path_of(np.array(front) + at)
    sheet.fill(face, EMBER[3])
    sheet.glow(face, EMBER[5], tuple(moved(at, 0, 5)), 19, (1.0, 0.7, 0.0))
    sheet.edge(face, EMBER[1], 2.2, (0, 0), 0.8)
    door = path_of(spline([(-1, 20), (-3.4, 9), (-6.5, 0), (5.5, 0), (2.6, 9)], True, 6) + at)
    sheet.fill(door, EMBER[0])
    sheet.glow(door, EMBER[4], tuple(moved(at, 0, 3)), 10, (1.0, 0.0))
    for line in (
        [(0, 25), (0.5, 0)],
        [(0, 25), (-17, 0)],
        [(0, 25), (16, 0)],
        [(0, 25), (17, 22)],
        [(-17, 0.2), (-26, -3)],
        [(17, 22), (40, -1)],
    ):
        sheet.line(np.array(line) + at, NIGHT[0], 0.5)
    sheet.fill(paths_of(reed_bed(38, 98, -97, (2, 6), 90, rng, 0.7)), NIGHT[0])


def tongue(x: float, foot: float, height: float, width: float, sway: float, rng: Generator) -> Points:
    """One tongue of flame: full near its foot, drawn out to a licking tip."""
    y = np.linspace(0, 1, 40)
    mid = np.column_stack([x + sway * np.sin(y * 4.2 + rng.uniform(-0.5, 0.5)) * y * 1.1, foot + height * y])
    body = np.sin(np.pi * np.minimum(1, y * 0.82 + 0.18)) ** 0.9 * (1 - y**3)
    return ribbon(mid, np.maximum(width * body * (1 + 0.12 * noise(40, 14, rng, 2)), 0.05))


def log(sheet: Sheet, start: tuple[float, float], end: tuple[float, float], thick: float, rng: Generator) -> None:
    """A log with bark grain, firelight on its upper edge and its cut end with rings."""
    line = resample(np.array([start, end], float), 0.8)
    shape = path_of(torn(ribbon(line, thick), 0.25, 3, rng, step=0.3))
    sheet.fill(shape, BARK[1])
    with sheet.clip(shape):
        for _ in range(16):
            off = rng.uniform(-0.5, 0.5) * thick
            i, j = sorted(rng.integers(0, len(line), 2))
            if j - i > 3:
                bit = torn(moved(line[i:j], 0, off), 0.2, 3, rng, False)
                sheet.fill(
                    path_of(ribbon(bit, taper(len(bit), 0.05, 0.5, 0.05))),
                    rng.choice([BARK[0], BARK[0], BARK[3], EMBER[1]]),
                )
    sheet.edge(shape, BARK[0], thick * 0.25, (0, thick * 0.25), 0.9, 0.06)
    sheet.edge(shape, EMBER[3], thick * 0.16, (0, -thick * 0.2), 0.8, 0.06)
    for share, ink in ((0.52, BARK[3]), (0.42, BARK[5]), (0.28, BARK[3]), (0.24, BARK[5]), (0.1, BARK[3])):
        disc = circle(thick * share, (0, 0), 30) * (0.72, 1.0)
        a = np.arctan2(end[1] - start[1], end[0] - start[0])
        sheet.fill(path_of(torn(turn(disc, a, start), 0.1, 2, rng, step=0.2)), ink)


def fire(sheet: Sheet, rng: Generator) -> None:
    """Back stones, flames in six inks, logs, front stones, sparks."""
    fx, fy = FIRE
    stones(sheet, rng, np.linspace(0.15, np.pi - 0.15, 8))
    log(sheet, (fx - 24, fy - 7), (fx + 13, fy + 5), 6.4, rng)
    log(sheet, (fx + 25, fy - 6), (fx - 12, fy + 6), 6.0, rng)
    for ink, share, wide in (
        (EMBER[1], 1.0, 1.25),
        (EMBER[2], 0.88, 1.05),
        (EMBER[3], 0.72, 0.86),
        (EMBER[4], 0.54, 0.64),
        (EMBER[5], 0.34, 0.42),
    ):
        tongues = []
        for x, tall, width, sway in (
            (-13, 20, 9, -2.0),
            (-8, 31, 11, 2.4),
            (-2, 48, 13, -2.6),
            (4, 41, 12, 2.8),
            (9, 29, 10, -2.2),
            (14, 18, 8, 2.0),
            (-17, 12, 6, -1.2),
            (18, 11, 6, 1.0),
        ):
            tongues.append(
                tongue(
                    fx + x * (0.6 + 0.4 * share),
                    fy - 2,
                    tall * share * rng.uniform(0.94, 1.05),
                    width * wide,
                    sway,
                    rng,
                )
            )
        shape = united(tongues)
        sheet.fill(shape, ink)
    log(sheet, (fx - 15, fy - 10), (fx + 19, fy - 5), 6.2, rng)
    log(sheet, (fx + 9, fy - 12), (fx - 19, fy - 3), 5.4, rng)
    stones(sheet, rng, np.linspace(np.pi + 0.05, 2 * np.pi - 0.05, 10))
    for _ in range(60):
        up = rng.uniform(0, 1)
        x, y = fx + rng.normal(0, 8 + 16 * up), fy + 24 + 60 * up
        if y < -20:
            size = rng.uniform(0.25, 0.8) * (1.1 - 0.5 * up)
            bit = ribbon(
                np.array([(x, y), (x + rng.normal(0, 0.7), y + size * 2), (x + rng.normal(0, 1.2), y + size * 4)]),
                np.array([size * 0.4, size, 0.05]),
            )
            sheet.fill(path_of(bit), rng.choice([EMBER[3], EMBER[4], EMBER[2]]))


def stones(sheet: Sheet, rng: Generator, angles: Points) -> None:
    """Stones of the fire ring, lit on the side of the flames."""
    for a in angles:
        x, y = FIRE[0] + 30 * np.cos(a), FIRE[1] - 8 + 8.5 * np.sin(a)
        size = 5.2 - 1.3 * np.sin(a) + rng.uniform(-0.5, 0.6)
        outline = torn(
            moved(
                spline(
                    [
                        (-size, -size * 0.5),
                        (-size * 0.9, size * 0.4),
                        (-size * 0.2, size * 0.75),
                        (size * 0.7, size * 0.55),
                        (size, -size * 0.2),
                        (size * 0.6, -size * 0.62),
                    ],
                    True,
                ),
                x,
                y,
            ),
            0.5,
            4,
            rng,
        )
        shape = path_of(outline)
        sheet.fill(shape, STONE[1])
        sheet.edge(shape, STONE[0], size * 0.35, (0.4 * np.cos(a) * size, size * 0.4), 0.95)
        sheet.edge(
            shape,
            EMBER[3],
            size * 0.2,
            (np.cos(a) * size * 0.3, -size * 0.22 if np.sin(a) < 0 else size * 0.2),
            0.85,
            0.06,
        )
