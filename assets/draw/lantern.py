"""A storm lantern hung from a pine limb at the left, moths in its light; the right side is bare wood.

Invariant: the box 135 x 62 mm centred at (40.5, -7) mm carries no ink.
"""

from __future__ import annotations

import numpy as np
from conifer import draw_cone, draw_spray, treeline, united
from curves import Points, circle, moved, noise, resample, ribbon, ridge, spline, tangents, taper, torn, turn, under
from numpy.random import Generator
from palette import BARK, DAWN, DUSK, EMBER, NIGHT, PINE, STONE, TEAL, mix
from sheet import Sheet, path_of, paths_of

HUNG = (-74.0, 52.0)
FLAME = (-74.0, -14.0)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    night(sheet, rng)
    rays(sheet, rng)
    limb(sheet, rng)
    lantern(sheet, rng)
    for x, y, size, angle in ((-38, -44, 5.6, 0.7), (-42, 30, 4.6, -0.5), (-106, -40, 4.0, -0.9), (-112, 14, 3.4, 0.5)):
        moth(sheet, (x, y), size, angle, rng)
    sheet.erase(np.array([(-27, -38), (108, -38), (108, 24), (-27, 24.0)]))


def shore_of_night(shift: float, rng: Generator) -> Points:
    """The torn right edge of the night, `shift` mm further right."""
    edge = spline(
        [(64, 134), (38, 98), (4, 72), (-28, 48), (-42, 16), (-43, -20), (-37, -54), (-8, -82), (24, -104), (62, -134)],
        per=20,
    )
    bulge = shift * np.clip(np.abs(edge[:, 1] + 6) / 45, 0.5, 1.5)
    return torn(edge + np.column_stack([bulge, np.zeros(len(edge))]), 0.9, 26, rng, False)


def night(sheet: Sheet, rng: Generator) -> None:
    """Night cut from layered paper along the left, a wood and a lake far down in it."""
    corner = np.array([(-134, -134), (-134, 134.0)])
    previous = None
    for shift, ink in ((16, DAWN[4]), (11.5, DAWN[2]), (7.5, DUSK[3]), (4, DUSK[2]), (0, DUSK[1])):
        path = path_of(np.vstack([shore_of_night(shift, rng), corner]))
        if previous is not None:
            sheet.shadow(path, DUSK[0], 1.3, (1.1, -0.6), 0.55, previous)
        sheet.fill(path, ink)
        previous = path
    sheet.fade(previous, NIGHT[1], (-60, 130), (-60, 10), (1.0, 0.75, 0.0))
    sheet.fade(previous, NIGHT[1], (-60, -130), (-60, -40), (1.0, 0.6, 0.0))
    sheet.fade(previous, NIGHT[0], (-134, 0), (-84, 0), (0.9, 0.0))
    with sheet.clip(previous):
        for _ in range(150):
            x, y = rng.uniform(-130, 60), rng.uniform(-30, 131)
            if np.hypot(x - FLAME[0], y - FLAME[1]) > 52 and np.hypot(x, y) < 121:
                sheet.erase(path_of(circle(0.16 + 0.5 * rng.uniform() ** 3, (x, y), 9)))
        for foot, height, ink, light in ((-72, (8, 24), DUSK[0], DUSK[2]), (-84, (10, 30), NIGHT[1], DUSK[0])):
            trees = treeline(-136, 40, lambda x, f=foot: f, height, rng, 0.25)
            shape = united([*trees, np.array([(-136, foot - 1), (60, foot - 1), (60, foot + 1.5), (-136, foot + 1.5)])])
            sheet.fill(shape, ink)
            sheet.glow(shape, light, FLAME, 90, (1.0, 0.6, 0.0))
        water = path_of(np.array([(-136, -85), (70, -85), (70, -134), (-136, -134.0)]))
        sheet.fill(water, TEAL[0])
        sheet.fade(water, NIGHT[2], (0, -85), (0, -112), (0.9, 0.0))
        glints = []
        for _ in range(60):
            y = -86 - 44 * rng.uniform() ** 1.3
            wide = 5 + (-86 - y) * 0.35
            x = FLAME[0] + rng.normal(0, 5 + (-86 - y) * 0.12)
            t = np.linspace(0, 1, 16)
            glints.append(
                ribbon(
                    np.column_stack([x + (t - 0.5) * wide, y + 0.2 * noise(16, 8, rng)]),
                    taper(16, 0.05, rng.uniform(0.4, 1.1), 0.05),
                )
            )
        sheet.fill(paths_of(glints[:38]), EMBER[3])
        sheet.fill(paths_of(glints[38:]), EMBER[4])
        for _ in range(70):
            y, x = rng.uniform(-131, -86), rng.uniform(-130, 50)
            t = np.linspace(0, 1, 30)
            wide = rng.uniform(12, 40)
            sheet.fill(
                path_of(
                    ribbon(
                        np.column_stack([x + (t - 0.5) * wide, y + 0.3 * noise(30, 12, rng)]),
                        taper(30, 0.05, rng.uniform(0.4, 1.0), 0.05),
                    )
                ),
                rng.choice([TEAL[1], NIGHT[2], TEAL[1]]),
            )
        near = path_of(
            under(ridge(-136, 70, [(-136, -104), (-100, -113), (-60, -122), (0, -131), (70, -134)], 0.8, 10, rng), -134)
        )
        sheet.fill(near, NIGHT[0])


def rays(sheet: Sheet, rng: Generator) -> None:
    """The lantern's light: grain in widening rings, then strokes that stand off all round it."""
    area = path_of(np.vstack([shore_of_night(0, rng), [(-134, -134), (-134, 134)]]))
    sheet.glow(area, DAWN[0], FLAME, 66, (1.0, 0.85, 0.0), (0, 0.5, 1))
    sheet.glow(area, EMBER[1], FLAME, 54, (1.0, 0.7, 0.0), (0, 0.5, 1))
    sheet.glow(area, EMBER[2], FLAME, 43, (1.0, 0.7, 0.0), (0, 0.5, 1))
    sheet.glow(area, EMBER[3], FLAME, 35, (1.0, 0.8, 0.0), (0, 0.55, 1))
    sheet.glow(area, EMBER[4], FLAME, 29, (1.0, 0.8, 0.0), (0, 0.6, 1))
    strokes = []
    for k in range(72):
        a = k / 72 * 2 * np.pi
        start, long = 33 + (k % 2) * 3 + rng.normal(0, 0.6), (10, 5, 7, 5)[k % 4]
        way = np.array([np.cos(a), np.sin(a)])
        line = np.array([np.asarray(FLAME) + way * (start + long * t) for t in np.linspace(0, 1, 8)])
        strokes.append(ribbon(line, taper(8, 0.15, 0.75, 0.05)))
    with sheet.clip(area):
        sheet.fill(paths_of(strokes), EMBER[4], 0.95)


def limb(sheet: Sheet, rng: Generator) -> None:
    """The pine limb the lantern hangs from, off the left edge and over the top."""
    line = resample(spline([(-136, 66), (-104, 62), (-74, 58), (-40, 66), (-4, 84), (26, 104)], per=20), 0.8)
    shape = path_of(torn(ribbon(line, np.linspace(9.5, 2.0, len(line))), 0.6, 5, rng, step=0.4))
    inks_far, inks = (NIGHT[0], TEAL[1], mix(TEAL[2], PINE[2], 0.5)), (PINE[0], PINE[2], PINE[4])
    heading = np.arctan2(*tangents(line).T[::-1])

    def grow(inks: tuple[str, str, str], shares: list[float], side: int, long: float) -> None:
        for t in shares:
            i = int(t * (len(line) - 1))
            a = heading[i] + side * (0.85 - 0.3 * t) + rng.normal(0, 0.1)
            n = long * (1.05 - 0.3 * t)
            spine = turn(spline([(0, 0), (n * 0.5, side * 1.5), (n, side * 1.0)], per=8), a, line[i])
            draw_spray(sheet, spine, n * 0.46, 10, inks, rng, None, BARK[1])

    grow(inks_far, [0.02, 0.16, 0.3, 0.46, 0.62, 0.78], 1, 38)
    sheet.fill(shape, BARK[1])
    with sheet.clip(shape):
        for _ in range(150):
            i = int(rng.integers(0, len(line) - 12))
            bit = moved(line[i : i + int(rng.uniform(5, 12))], 0, rng.uniform(-5, 5) * (1 - i / len(line)))
            sheet.fill(
                path_of(
                    ribbon(
                        torn(bit, 0.25, 2.5, rng, False), taper(len(torn(bit, 0.0, 2.5, rng, False)), 0.05, 0.7, 0.05)
                    )
                ),
                rng.choice([BARK[0], BARK[0], BARK[3], BARK[2]]),
            )
    sheet.edge(shape, BARK[0], 2.0, (0, -1.6), 0.9)
    sheet.glow(shape, EMBER[2], (HUNG[0], HUNG[1] - 14), 34, (0.7, 0.5, 0.0))
    grow(inks, [0.0, 0.2, 0.36, 0.58, 0.74, 0.9], 1, 30)
    grow(inks, [0.02, 0.66, 0.82], -1, 20)
    i = int(0.97 * (len(line) - 1))
    draw_spray(
        sheet, turn(spline([(-4, 0), (10, 0.4), (26, 0)], per=8), heading[i], line[i]), 12, 10, inks, rng, None, BARK[1]
    )
    for at, angle, size in (((-30, 69), -1.9, 20), ((-38, 66), -1.35, 17), ((-112, 62), -1.7, 18)):
        draw_cone(sheet, at, angle, size, rng)


def lantern(sheet: Sheet, rng: Generator) -> None:
    """The lantern: bail and cap, chimney, wire guard, lit globe, font and foot."""
    cx = HUNG[0]

    def at(points: list[tuple[float, float]], closed: bool = True, per: int = 10) -> Points:
        return spline(points, closed, per) + np.array([cx, 0.0])

    def turned(profile: list[tuple[float, float]]) -> Points:
        """A body of revolution: half-widths and heights from the top down, both sides."""
        right = spline(profile, per=8)
        return moved(np.vstack([right, (right * (-1, 1))[::-1]]), cx, 0)

    def metal(shape: Points, ink: str = TEAL[2]) -> None:
        path = path_of(shape)
        low, high = shape[:, 0].min(), shape[:, 0].max()
        sheet.fill(path, ink)
        sheet.fade(path, mix(ink, NIGHT[0], 0.75), (low, 0), (high, 0), (0.9, 0.15, 0.0, 0.35, 1.0), size=0.07)
        sheet.fade(
            path,
            mix(ink, TEAL[5], 0.7),
            (low, 0),
            (high, 0),
            (0.0, 0.85, 0.0, 0.0, 0.0),
            (0, 0.3, 0.46, 0.5, 1),
            size=0.07,
        )
        sheet.line(np.vstack([shape, shape[:1]]), NIGHT[0], 0.45)

    bail = at(
        [(-22, 1), (-20.5, 18), (-13, 40), (-4, 50.5), (0, 52.4), (4, 50.5), (13, 40), (20.5, 18), (22, 1)], False, 12
    )
    sheet.fill(path_of(ribbon(bail, 1.7)), NIGHT[0])
    sheet.fill(path_of(ribbon(moved(bail, -0.2, 0.15), 0.6)), STONE[3])
    sheet.fill(path_of(ribbon(at([(-3.4, 52), (-3, 58), (0, 61.5), (3.2, 59), (3.4, 54)], False, 8), 1.5)), NIGHT[0])
    for side in (-1, 1):
        tube = resample(
            at([(side * 8, 30), (side * 19, 24), (side * 23, 8), (side * 22.5, -22), (side * 20, -36)], False, 12), 0.8
        )
        metal(ribbon(tube, 3.6))
    glass = turned([(8.5, 11), (13, 6), (16.5, -5), (16.8, -17), (13.8, -29), (10.5, -34)])
    globe = path_of(glass)
    sheet.fill(globe, EMBER[3])
    sheet.glow(globe, EMBER[4], FLAME, 24, (1.0, 0.9, 0.0))
    sheet.glow(globe, EMBER[5], FLAME, 16, (1.0, 0.8, 0.0))
    sheet.edge(globe, EMBER[1], 2.6, (0, 0), 0.85, 0.07)
    flame = at(
        [(0, 5), (2.6, -2), (5.0, -10), (5.2, -18), (2.8, -24), (-2.8, -24), (-5.4, -18), (-4.6, -10), (-1.4, -4)]
    )
    sheet.fill(path_of(flame), EMBER[2])
    for k, ink in ((0.8, EMBER[4]), (0.62, EMBER[5])):
        sheet.fill(path_of((flame - (cx, -23)) * (k, k) + (cx, -23)), ink)
    sheet.erase(path_of((flame - (cx, -22)) * (0.36, 0.42) + (cx, -22)))
    shine = at([(-11.5, 3), (-14, -6), (-13.8, -18), (-12.4, -18), (-12.6, -7), (-10.2, 2)])
    sheet.fill(path_of(shine), DAWN[5])
    for y, bow in ((0.5, 15.6), (-11, 17.6), (-23, 16.6)):
        wire = at(
            [(-bow, y + 0.5), (-bow * 0.5, y - 1.6), (0, y - 2.2), (bow * 0.5, y - 1.6), (bow, y + 0.5)], False, 8
        )
        sheet.fill(path_of(ribbon(wire, 0.9)), NIGHT[0])
    for side in (-1, 1):
        wire = at([(side * 6, 12), (side * 9, -2), (side * 9.6, -14), (side * 8.4, -26), (side * 6.4, -34)], False, 8)
        sheet.fill(path_of(ribbon(wire, 0.8)), NIGHT[0])
    metal(turned([(0.2, 42), (4, 41.4), (5.2, 38.5), (5.4, 33), (9, 31.4), (11.2, 28)]))
    metal(turned([(11.4, 28.2), (14, 25), (12.6, 23.6), (9.8, 22.2), (9.4, 17), (10.2, 12.5), (9.8, 10.8)]), TEAL[2])
    for x in (-6, -2, 2, 6):
        sheet.fill(path_of(circle(1.0, (cx + x, 19.6), 16)), EMBER[3])
    sheet.line(at([(-11.2, 28), (0, 27.0), (11.2, 28)], False), NIGHT[0], 0.5)
    metal(turned([(10.6, -32), (12.6, -34.6), (12.2, -37), (18.5, -38.5), (23.5, -42.5)]), TEAL[1])
    metal(turned([(23.5, -42.3), (24.4, -47), (24.2, -55), (22.8, -58.6), (25, -60.6), (24.6, -62.4)]), TEAL[2])
    sheet.line(at([(-24.2, -46), (0, -48), (24.2, -46)], False), NIGHT[0], 0.5)
    sheet.line(at([(-23, -58.4), (0, -60.6), (23, -58.4)], False), NIGHT[0], 0.5)
    cap = path_of(moved(at([(-4.4, -43.6), (4.4, -43.6), (4.4, -40.8), (-4.4, -40.8)], True, 4), 11, 0))
    sheet.fill(cap, BARK[4])
    sheet.edge(cap, BARK[1], 1.0, (-0.6, 0.6), 0.9, 0.06)
    key = at([(13, -35.2), (20, -36)], False)
    sheet.line(key, NIGHT[0], 0.9)
    sheet.fill(path_of(circle(2.0, key[-1], 24)), BARK[4])
    sheet.line(circle(2.0, key[-1], 24), NIGHT[0], 0.4)


def moth(sheet: Sheet, at: tuple[float, float], size: float, angle: float, rng: Generator) -> None:
    """A moth seen from above, wings barred."""
    inks = (BARK[2], DAWN[4], DAWN[5])
    for side in (-1, 1):
        hind = turn(
            spline(
                [(0, 0), (side * 0.5, -0.15), (side * 0.95, -0.6), (side * 0.6, -1.05), (side * 0.15, -0.7)], True, 8
            )
            * size,
            angle,
            at,
        )
        fore = turn(
            spline(
                [
                    (0, 0.1),
                    (side * 0.6, 0.55),
                    (side * 1.5, 0.75),
                    (side * 1.4, 0.25),
                    (side * 0.8, -0.15),
                    (side * 0.2, -0.2),
                ],
                True,
                8,
            )
            * size,
            angle,
            at,
        )
        for wing, ink in ((hind, mix(inks[1], inks[0], 0.25)), (fore, inks[1])):
            path = path_of(wing)
            sheet.fill(path, ink)
            sheet.edge(path, inks[0], size * 0.12, (0, 0), 0.9, 0.06)
        for k in (0.55, 0.85):
            bar = turn(
                spline([(side * k * 1.1, 0.62 * k + 0.06), (side * (k * 1.1 + 0.1), 0.25), (side * k, -0.08)], per=6)
                * size,
                angle,
                at,
            )
            sheet.fill(path_of(ribbon(bar, taper(len(bar), 0.05, size * 0.1, 0.05))), inks[0])
        sheet.fill(
            path_of(circle(size * 0.13, turn(np.array([[side * 0.95, 0.38]]) * size, angle, at)[0], 18)), BARK[1]
        )
        feeler = turn(spline([(0, 0.35), (side * 0.22, 0.7), (side * 0.55, 0.95)], per=6) * size, angle, at)
        sheet.line(feeler, inks[0], 0.25)
    body = turn(spline([(0, 0.45), (0.02, 0), (0, -0.75)], per=8) * size, angle, at)
    sheet.fill(path_of(ribbon(body, taper(len(body), size * 0.12, size * 0.26, size * 0.06))), BARK[1])
