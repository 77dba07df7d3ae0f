"""A red canoe on a lake at dawn under overhanging pines; the sky between is bare wood.

Invariant: the band from y = 4 mm to y = 64 mm carries no ink over its whole width.
"""

from __future__ import annotations

import numpy as np
from conifer import draw_spray, treeline, united
from curves import Points, circle, moved, resample, ribbon, ridge, spline, tangents, torn, turn, under
from numpy.random import Generator
from palette import BARK, DAWN, DUSK, EMBER, PINE, TEAL, mix
from plants import draw_bulrush, reed_bed
from sheet import Sheet, path_of, paths_of
from water import draw_ripples, lens, reflection, ripples

LEVEL = -24.0
SUN = (46.0, LEVEL - 1.0)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    hills(sheet, rng)
    lake(sheet, rng)
    canoe(sheet, rng, (-16, -70))
    shore(sheet, rng)
    boughs(sheet, rng)
    sheet.erase(np.array([(-131, 4), (131, 4), (131, 64), (-131, 64.0)]))


def hills(sheet: Sheet, rng: Generator) -> None:
    """The sun and three depths of hills, the nearest wooded."""
    sun = path_of(torn(circle(25, SUN), 0.15, 4, rng))
    sheet.fill(sun, EMBER[4])
    sheet.fade(sun, EMBER[3], (0, LEVEL), (0, LEVEL + 26), (1.0, 0.55, 0.0))
    far = ridge(
        -132,
        132,
        [(-132, -4), (-90, 1), (-52, -8), (-10, -13), (30, -18), (70, -14), (104, -3), (132, 0)],
        1.6,
        26,
        rng,
    )
    shape = path_of(under(far, LEVEL))
    sheet.fill(shape, mix(DAWN[3], DAWN[2], 0.35))
    sheet.fade(shape, DAWN[4], (0, LEVEL), (0, LEVEL + 17), (1.0, 0.25, 0.0))
    mid = ridge(
        -132,
        132,
        [(-132, -8), (-104, -4), (-74, -13), (-30, -18), (10, -21), (60, -20), (96, -12), (132, -6)],
        1.4,
        18,
        rng,
    )
    shape = path_of(under(mid, LEVEL))
    sheet.fill(shape, mix(DUSK[3], DAWN[1], 0.3))
    sheet.fade(shape, DAWN[2], (0, LEVEL), (0, LEVEL + 12), (0.9, 0.2, 0.0))
    for low, high, ink, light in ((3, 8, DUSK[1], DUSK[2]), (5, 17, TEAL[0], TEAL[1])):
        trees = treeline(-134, -52 + low * 4, lambda x: LEVEL, (low, high), rng, 0.26)
        trees += treeline(82 - low * 2, 134, lambda x: LEVEL, (low, high * 1.15), rng, 0.26)
        bank = spline([(-134, LEVEL + 3), (-60, LEVEL + 1.8), (-20, LEVEL), (-134, LEVEL - 0.5)], closed=True)
        bank2 = spline([(134, LEVEL + 3), (90, LEVEL + 2), (66, LEVEL), (134, LEVEL - 0.5)], closed=True)
        wood = united([*trees, bank, bank2])
        sheet.fill(wood, ink)
        sheet.fade(wood, light, (0, LEVEL), (0, LEVEL + high * 0.8), (0.95, 0.0))


def lake(sheet: Sheet, rng: Generator) -> None:
    """Water from ochre at the far shore to deep teal at the near one, with the sun's road across it."""
    area = path_of(np.array([(-132, LEVEL), (132, LEVEL), (132, -132), (-132, -132.0)]))
    sheet.fill(area, TEAL[2])
    sheet.fade(area, DAWN[4], (0, LEVEL), (0, -62), (1.1, 0.8, 0.0), (0, 0.35, 1))
    sheet.fade(area, DAWN[2], (0, LEVEL - 4), (0, -84), (0.0, 0.75, 0.0))
    sheet.fade(area, DUSK[2], (0, -46), (0, -104), (0.0, 0.6, 0.0))
    sheet.fade(area, TEAL[0], (0, -84), (0, -131), (0.0, 1.0))
    for trees, ink in (
        (treeline(-134, -40, lambda x: LEVEL, (5, 15), rng, 0.26), TEAL[1]),
        (treeline(80, 134, lambda x: LEVEL, (5, 16), rng, 0.26), TEAL[1]),
    ):
        for tree in trees:
            sheet.fill(reflection(tree, LEVEL, 0.9, rng, 0.9, 0.8), ink, 0.85)
    draw_ripples(sheet, area, DAWN[3], ripples(LEVEL - 1, -80, 150, (9, 30), (0.25, 1.0), rng))
    draw_ripples(sheet, area, mix(DUSK[2], TEAL[1], 0.4), ripples(LEVEL - 2, -126, 190, (8, 46), (0.25, 1.6), rng))
    draw_ripples(sheet, area, TEAL[1], ripples(-64, -132, 90, (20, 60), (0.6, 2.2), rng))
    draw_ripples(sheet, area, mix(TEAL[3], DAWN[3], 0.35), ripples(-58, -130, 70, (12, 42), (0.35, 1.1), rng))
    road = ripples(LEVEL - 0.6, -128, 120, (18, 20), (0.5, 1.7), rng, lambda t, r: SUN[0] + r.normal(0, 5 + 7 * t))
    draw_ripples(sheet, area, EMBER[3], road)
    draw_ripples(
        sheet,
        area,
        EMBER[4],
        ripples(LEVEL - 0.4, -118, 110, (12, 13), (0.4, 1.2), rng, lambda t, r: SUN[0] + r.normal(0, 3 + 5 * t)),
    )


def canoe(sheet: Sheet, rng: Generator, at: tuple[float, float]) -> None:
    """The canoe three-quarters on: far side, ribs, thwarts and paddle, near side, its shadow and reflection."""
    place = np.asarray(at, float)

    def put(points: list[tuple[float, float]], closed: bool = True, per: int = 14) -> Points:
        return turn(spline(points, closed, per), 0.02, place)

    near = [(-66, 17), (-60, 10.5), (-46, 4.5), (-24, 0.4), (2, -1), (27, 0.6), (47, 5), (60, 11), (67, 18)]
    far = [(67, 18), (58, 12.2), (42, 8), (22, 5.4), (0, 4.6), (-22, 5.2), (-42, 7.6), (-58, 11.8), (-66, 17)]
    keel = [
        (67, 18),
        (69.5, 10),
        (67, 0),
        (58, -8),
        (38, -12),
        (0, -13.5),
        (-38, -12.2),
        (-57, -8),
        (-66, 0),
        (-68.5, 9),
        (-66, 17),
    ]
    gunwale, back, belly = put(near, False), put(far, False), put(keel, False)
    hull = np.vstack([gunwale, belly])
    sheet.fill(reflection(hull, at[1] - 12.5, 1.0, rng, 1.8, 1.6), mix(EMBER[0], TEAL[0], 0.35))
    glow = reflection(
        np.vstack([gunwale, put([(67, 18), (60, 6), (40, 0), (0, -6), (-40, 0), (-60, 6), (-66, 17)], False)]),
        at[1] - 12.5,
        0.8,
        rng,
        1.6,
        1.6,
    )
    sheet.fill(glow, EMBER[1], 0.9)
    inside = path_of(np.vstack([gunwale, back]))
    sheet.fill(inside, BARK[3])
    with sheet.clip(inside):
        for x in np.linspace(-60, 60, 34):
            sheet.line(put([(x, 14), (x * 0.985, 5), (x * 0.97, -4)], False, 5), BARK[1], 0.55)
        sheet.fade(inside, BARK[0], tuple(moved(place, 0, 0)), tuple(moved(place, 0, 9)), (1.0, 0.2))
    for x, w in ((-34, 3.0), (30, 3.0), (0, 2.0)):
        seat = put([(x - w, 7.5), (x + w * 0.8, 7.5), (x + w, 0.2), (x - w * 0.9, 0.2)], True, 3)
        sheet.fill(path_of(seat), DAWN[4])
        sheet.fade(path_of(seat), BARK[3], tuple(moved(place, x, -1)), tuple(moved(place, x, 7)), (0.9, 0.0))
    sheet.fill(path_of(ribbon(back, 0.9)), DAWN[4])
    shape = path_of(hull)
    sheet.fill(shape, EMBER[2])
    sheet.fade(shape, EMBER[1], tuple(moved(place, 0, 4)), tuple(moved(place, 0, -10)), (0.0, 1.0))
    sheet.edge(shape, EMBER[0], 5, (-2, 6), 0.95)
    sheet.glow(shape, EMBER[3], tuple(moved(place, 54, 6)), 34, (0.9, 0.0))
    with sheet.clip(shape):
        for drop_mm in (2.6, 5.4, 8.2):
            seam = gunwale - np.array([0.0, drop_mm])
            sheet.fill(path_of(ribbon(torn(seam, 0.12, 5, rng, False), 0.24)), EMBER[0], 0.9)
        sheet.fill(path_of(ribbon(gunwale - np.array([0.0, 2.0]), 1.0)), DAWN[5])
    sheet.fill(path_of(ribbon(gunwale, 1.7)), BARK[2])
    sheet.fill(path_of(ribbon(gunwale + np.array([0, 0.35]), 0.55)), DAWN[5])
    for side in (-1, 1):
        deck = put([(side * 66.5, 17.6), (side * 59, 11.2), (side * 52, 9.0), (side * 58, 12.4)], True, 6)
        sheet.fill(path_of(deck), BARK[4])
    paddle(sheet, place, rng)
    for _ in range(26):
        x = rng.uniform(-66, 66)
        sheet.fill(
            path_of(lens(at[0] + x, at[1] - 12.8 + abs(x) * 0.02 + rng.normal(0, 0.5), rng.uniform(8, 26), 0.8, rng)),
            rng.choice([TEAL[0], TEAL[1], DAWN[3]]),
        )


def paddle(sheet: Sheet, place: Points, rng: Generator) -> None:
    """A paddle laid across the thwarts, blade over the near side."""
    shaft = spline([(-20, 10), (10, 5.5), (36, 1.2)], per=20) + place
    blade = ribbon(
        spline([(36, 1.2), (46, -0.6), (58, -2.4)], per=12) + place,
        np.sin(np.linspace(0.25, np.pi - 0.35, 25)) ** 0.6 * 6.4,
    )
    sheet.fill(path_of(blade - np.array([-0.7, 1.2])), EMBER[0], 0.8)
    sheet.fill(path_of(ribbon(shaft, 1.5)), BARK[4])
    sheet.fill(path_of(ribbon(shaft + np.array([0, 0.3]), 0.5)), DAWN[5])
    sheet.fill(path_of(blade), BARK[5])
    sheet.edge(path_of(blade), BARK[3], 1.6, (-0.6, 1.2), 0.9)
    grip = turn(
        spline([(-1.4, -1.6), (-1.6, 1.6), (0.6, 1.0), (0.6, -1.0)], True, 5), -0.15, place + np.array([-20, 10])
    )
    sheet.fill(path_of(grip), BARK[4])


def shore(sheet: Sheet, rng: Generator) -> None:
    """Reeds and bulrushes at both lower corners, dark against the water."""
    for side in (-1, 1):
        for ink, count, tall in ((mix(TEAL[1], PINE[2], 0.5), 46, 62), (PINE[1], 46, 54), (PINE[0], 60, 44)):
            bed = reed_bed(side * 66 - 46, side * 66 + 46, -131, (16, tall), count, rng, 1.7, side * -0.06)
            sheet.fill(paths_of(bed), ink)
            if tall == 54:
                for _ in range(4):
                    x = side * 72 + rng.uniform(-22, 22)
                    draw_bulrush(sheet, x, -131, rng.uniform(56, 74), side * -rng.uniform(1, 7), rng, PINE[0])
    sheet.fill(paths_of(reed_bed(-60, 60, -132, (8, 17), 70, rng, 1.5)), PINE[0])


def boughs(sheet: Sheet, rng: Generator) -> None:
    """The dawn sky at the top, grained away to bare wood, and two pine limbs reaching across it."""
    sky = path_of(np.array([(-132, 66), (132, 66), (132, 132), (-132, 132.0)]))
    for ink, foot, head in ((DAWN[4], 67, 104), (DAWN[3], 76, 116), (DAWN[2], 88, 126), (DUSK[3], 100, 131)):
        sheet.fade(sky, ink, (0, foot), (0, head), (0.0, 1.0))

    def high(blade: Points) -> bool:
        return bool(blade[:, 1].min() > 65.0)

    far = (mix(DUSK[1], DAWN[1], 0.35), mix(DUSK[2], DAWN[1], 0.3), mix(DUSK[2], DAWN[1], 0.5))
    mid = (TEAL[0], TEAL[1], mix(TEAL[2], PINE[3], 0.4))
    near = (PINE[0], mix(PINE[1], PINE[2], 0.6), PINE[3])
    limbs = (
        (far, ((-138, 116), (-96, 116), (-50, 106), (-4, 104), (30, 99)), 28),
        (far, ((138, 112), (110, 112), (70, 107), (34, 109), (2, 112)), 26),
        (mid, ((-140, 92), (-112, 96), (-84, 98), (-52, 95), (-28, 88)), 30),
        (mid, ((140, 90), (118, 92), (92, 96), (62, 94), (40, 87)), 28),
        (near, ((-140, 108), (-112, 112), (-80, 114), (-40, 118), (0, 112)), 30),
        (near, ((140, 106), (112, 110), (84, 110), (52, 112), (24, 105)), 30),
    )
    for inks, knots, reach in limbs:
        limb = spline(knots, per=14)
        sheet.fill(
            path_of(ribbon(torn(limb, 0.3, 6, rng, False), np.linspace(4.2, 1.0, len(resample(limb, 0.5))))), BARK[0]
        )
        heading = np.arctan2(*tangents(limb).T[::-1])
        for t in np.linspace(0.02, 1.0, 8):
            i = int(t * (len(limb) - 1))
            for side in (-1, 1):
                out = 0.75 if t < 0.95 else 0.25
                a = heading[i] + side * (out + rng.normal(0, 0.14)) - 0.15 * np.sign(np.cos(heading[i]))
                long = (
                    reach * (1.05 - 0.4 * t) * rng.uniform(0.8, 1.1) * (1.0 if side * np.cos(heading[i]) < 0 else 0.7)
                )
                spine = turn(spline([(0, 0), (long * 0.5, 0.8 * side), (long, -1.2 * side)], per=8), a, limb[i])
                draw_spray(sheet, spine, long * 0.4, 7.5, inks, rng, high, BARK[0])
