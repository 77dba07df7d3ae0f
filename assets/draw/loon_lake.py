"""A loon on a night-blue lake under a low moon, wooded shores behind; the lower third is bare wood.

Invariant: no ink below y = -36 mm.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from conifer import treeline, united
from curves import Points, circle, moved, needle, ribbon, ridge, spline, taper, torn, under
from numpy.random import Generator
from palette import BARK, DAWN, DUSK, EMBER, NIGHT, SAGE, TEAL, mix
from sheet import Sheet, path_of, paths_of
from water import draw_ripples, lens, reflection, ring_of_water, ripples

Place = Callable[..., Points]
LEVEL = 36.0
FOOT = -36.0
MOON = (-44.0, 78.0)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    sky(sheet, rng)
    shores(sheet, rng)
    lake(sheet, rng)
    loon(sheet, rng)
    sheet.erase(np.array([(-131, FOOT), (131, FOOT), (131, -131), (-131, -131.0)]))


def sky(sheet: Sheet, rng: Generator) -> None:
    """Dusk from indigo overhead to ochre at the hills, a moon left bare, first stars, bars of cloud."""
    area = path_of(np.array([(-132, LEVEL - 2), (132, LEVEL - 2), (132, 132), (-132, 132.0)]))
    sheet.fill(area, NIGHT[2])
    sheet.fade(area, NIGHT[1], (0, 132), (0, 88), (1.0, 0.0))
    sheet.fade(area, DUSK[2], (0, 46), (0, 108), (0.9, 0.7, 0.0))
    sheet.fade(area, DAWN[2], (0, 44), (0, 88), (0.95, 0.6, 0.0))
    sheet.fade(area, DAWN[4], (0, 40), (0, 70), (1.0, 0.5, 0.0))
    sheet.glow(area, DAWN[4], MOON, 42, (0.8, 0.5, 0.0), (0, 0.42, 1))
    sheet.fill(path_of(torn(circle(16.5, MOON), 0.12, 3, rng)), DAWN[5])
    sheet.erase(path_of(torn(circle(15.2, MOON), 0.12, 3, rng)))
    sheet.edge(path_of(circle(15.2, MOON)), DAWN[4], 3.0, (-2.5, 2.5), 0.8)
    disc = path_of(circle(15.2, MOON))
    for x, y, r in ((-6, 4, 4.4), (3, 6, 3.2), (5, -3, 4.8), (-4, -6, 3.0), (-9, -3, 2.2), (9, 3, 2.0)):
        with sheet.clip(disc):
            mare = path_of(torn(circle(r, (MOON[0] + x, MOON[1] + y), 40), 0.9, 4, rng, step=0.3))
            sheet.fade(mare, DAWN[4], (MOON[0] - 14, MOON[1] + 10), (MOON[0] + 14, MOON[1] - 12), (0.25, 0.7))
    for x, y, wide, thick in (
        (-70, 66, 90, 3.0),
        (34, 74, 110, 2.6),
        (86, 88, 80, 2.6),
        (-8, 92, 70, 2.0),
        (-100, 90, 60, 2.4),
        (70, 64, 80, 2.0),
    ):
        for k, ink in enumerate((DUSK[1], DUSK[2], DAWN[3])):
            cloud = lens(
                x + rng.normal(0, 7), y - k * thick * 0.55, wide * rng.uniform(0.6, 1.0), thick * (1.2 - 0.35 * k), rng
            )
            sheet.fill(cloud, ink, 0.9)
    stars = []
    for _ in range(120):
        x, y = rng.uniform(-125, 125), rng.uniform(92, 128)
        if np.hypot(x - MOON[0], y - MOON[1]) > 30 and not 121.5 < np.hypot(x, y) < 134:
            stars.append(circle(0.22 + 0.5 * rng.uniform() ** 3, (x, y), 10))
    sheet.erase(paths_of(stars))


def shores(sheet: Sheet, rng: Generator) -> None:
    """Hills and the two wooded points that close the bay."""
    for knots, ink, mist in (
        (
            [(-134, 58), (-90, 54), (-40, 46), (10, 44), (60, 52), (100, 60), (134, 54)],
            mix(DUSK[2], DAWN[1], 0.4),
            DAWN[2],
        ),
        ([(-134, 50), (-80, 47), (-20, 40), (30, 39), (80, 46), (134, 52)], DUSK[1], DUSK[2]),
    ):
        hill = path_of(under(ridge(-134, 134, knots, 1.3, 22, rng), LEVEL - 1))
        sheet.fill(hill, ink)
        sheet.fade(hill, mist, (0, LEVEL), (0, 56), (0.95, 0.0))
    for side, reach, ink, light, height in (
        (1, 22, NIGHT[2], DUSK[1], (4, 10)),
        (-1, -26, TEAL[0], TEAL[1], (6, 19)),
        (1, 66, TEAL[0], TEAL[1], (8, 25)),
    ):
        x0, x1 = (reach, 135) if side > 0 else (-135, reach)
        trees = treeline(x0, x1, lambda x, s=side: LEVEL + max(0.0, s * x - 60) * 0.05, height, rng, 0.24)
        bank = spline(
            [
                (side * 134, LEVEL + 6),
                (side * 90, LEVEL + 2.5),
                (reach, LEVEL + 0.8),
                (reach - side * 9, LEVEL),
                (side * 134, LEVEL - 0.6),
            ],
            True,
        )
        wood = united([*trees, bank])
        sheet.fill(wood, ink)
        sheet.fade(wood, light, (0, LEVEL), (0, LEVEL + height[1] * 0.7), (0.9, 0.0))
        sheet.fill([reflection(t, LEVEL, 0.9, rng, 0.9, 0.8) for t in trees], mix(ink, NIGHT[1], 0.4))


def lake(sheet: Sheet, rng: Generator) -> None:
    """Water under the far shore's reflections, dissolving in long strokes towards the bare lower part."""
    area = path_of(np.array([(-132, LEVEL), (132, LEVEL), (132, FOOT), (-132, FOOT)]))
    solid = path_of(
        np.vstack(
            [[(-132, LEVEL), (132, LEVEL)], ridge(-132, 132, [(-132, -14), (0, -23), (132, -14)], 2.0, 60, rng)[::-1]]
        )
    )
    sheet.fill(solid, TEAL[1])
    sheet.fade(solid, DAWN[3], (0, LEVEL), (0, 14), (0.95, 0.5, 0.0))
    sheet.fade(solid, DUSK[2], (0, LEVEL - 4), (0, 2), (0.3, 0.8, 0.0))
    sheet.fade(solid, TEAL[0], (0, 6), (0, -24), (0.0, 0.85))
    for side, reach, height in ((-1, -26, (6, 19)), (1, 66, (8, 25)), (1, 24, (4, 9))):
        x0, x1 = (reach, 135) if side > 0 else (-135, reach)
        for tree in treeline(x0, x1, lambda x: LEVEL, height, rng, 0.24):
            sheet.fill(reflection(tree, LEVEL, 0.8, rng, 0.9, 0.9), TEAL[0], 0.95)
    draw_ripples(sheet, area, NIGHT[2], ripples(LEVEL - 1, -22, 130, (10, 60), (0.25, 1.5), rng))
    draw_ripples(sheet, area, TEAL[2], ripples(LEVEL - 4, -24, 130, (10, 56), (0.25, 1.4), rng))
    draw_ripples(sheet, area, TEAL[3], ripples(8, -24, 60, (14, 40), (0.3, 0.9), rng))
    draw_ripples(sheet, area, DAWN[3], ripples(LEVEL - 0.6, 4, 70, (8, 26), (0.25, 0.8), rng))
    road = ripples(LEVEL - 0.5, -22, 80, (9, 22), (0.3, 1.3), rng, lambda t, r: MOON[0] + r.normal(0, 3.5 + 5 * t))
    draw_ripples(sheet, area, DAWN[4], road)
    with sheet.clip(area):
        bare = ripples(LEVEL - 1.5, -22, 55, (6, 16), (0.25, 1.0), rng, lambda t, r: MOON[0] + r.normal(0, 2 + 4 * t))
        sheet.erase(paths_of(bare))
        loose = [
            lens(rng.uniform(-126, 126), rng.uniform(-34, -16), rng.uniform(26, 80), rng.uniform(0.5, 1.7), rng)
            for _ in range(80)
        ]
        for k, ink in enumerate((TEAL[1], TEAL[0], TEAL[2], NIGHT[2])):
            sheet.fill(paths_of(loose[k::4]), ink)
        gaps = [
            lens(rng.uniform(-126, 126), rng.uniform(-26, -15), rng.uniform(14, 50), rng.uniform(0.3, 1.0), rng)
            for _ in range(44)
        ]
        sheet.erase(paths_of(gaps))


def loon(sheet: Sheet, rng: Generator) -> None:
    """The bird on the water to the right, its checkered back, collar and red eye, rings spreading round it."""
    cx, cy = 30.0, -4.0

    def at(points: list[tuple[float, float]], closed: bool = True, per: int = 10) -> Points:
        return spline(points, closed, per) * 1.16 + np.array([cx, cy])

    mirrored = reflection(
        at([(-38, 0), (-30, 9), (-6, 11), (20, 9), (38, 6), (50, 2), (38, -2), (0, -3), (-30, -3)]),
        cy - 3,
        0.9,
        rng,
        1.3,
        1.6,
    )
    sheet.fill(mirrored, NIGHT[0])
    sheet.fill(
        reflection(
            at([(-38, 6), (-36, 16), (-37, 25), (-34, 31), (-27, 31), (-24, 26), (-25, 16), (-20, 6)]),
            cy - 3,
            0.62,
            rng,
            1.3,
            1.4,
        ),
        NIGHT[0],
    )
    body = at(
        [
            (-37, 2),
            (-35, 9),
            (-27, 13.5),
            (-14, 15.5),
            (4, 15.5),
            (22, 12.5),
            (38, 8),
            (52, 4.6),
            (47, 1.5),
            (34, -1.5),
            (8, -3.8),
            (-20, -3.4),
            (-33, -1.6),
        ]
    )
    neck = at(
        [
            (-36.5, 5),
            (-37.6, 12),
            (-36.8, 19),
            (-37.6, 24.6),
            (-38.2, 28.6),
            (-36.6, 32.4),
            (-31.6, 34.6),
            (-25.6, 33.2),
            (-22.4, 29.4),
            (-22.6, 24.4),
            (-24.2, 19.6),
            (-23.4, 15.2),
            (-18, 11),
            (-24, 6.5),
            (-31, 3.6),
        ]
    )
    bill = at(
        [(-36.2, 31.6), (-42, 30.6), (-49, 28.2), (-56.5, 25.4), (-51, 24.6), (-44.5, 24.6), (-37.4, 26.4)], True, 8
    )
    shape = path_of(body)
    sheet.fill(shape, NIGHT[0])
    sheet.fade(shape, NIGHT[2], (0, cy + 20), (0, cy + 4), (0.9, 0.0))
    feathers(sheet, at, rng)
    breast = at(
        [
            (-37, 1),
            (-36.6, 8),
            (-33, 12),
            (-27, 10),
            (-20, 5),
            (-6, 0.6),
            (14, -1.6),
            (34, -1.2),
            (8, -4),
            (-20, -3.6),
            (-33, -1.8),
        ]
    )
    sheet.fill(path_of(breast), SAGE[2])
    sheet.fill(path_of(breast + np.array([-0.6, 1.1])), DAWN[5])
    with sheet.clip(path_of(breast)):
        sheet.fill(
            [
                path_of(needle(np.array([cx + x, cy + y]), 2.9 + rng.normal(0, 0.3), rng.uniform(3, 6), 0.4, 0.2))
                for x, y in zip(rng.uniform(-44, 36, 70), rng.uniform(-5, 12, 70), strict=True)
            ],
            SAGE[1],
        )
    sheet.fill(path_of(neck), NIGHT[0])
    sheet.edge(path_of(neck), TEAL[2], 2.6, (2.2, -1.4), 0.9, 0.06)
    collar(sheet, at)
    sheet.fill(path_of(bill), BARK[0])
    sheet.fill(path_of(ribbon(at([(-38, 28.6), (-46, 27.2), (-55, 25.4)], False), taper(21, 0.7, 0.5, 0.1))), NIGHT[4])
    eye = at([(-32.4, 30.2)] * 3)[0]
    sheet.fill(path_of(circle(1.75, eye, 30)), EMBER[1])
    sheet.fill(path_of(circle(1.3, eye, 30)), EMBER[2])
    sheet.fill(path_of(circle(0.7, eye, 20)), NIGHT[0])
    sheet.erase(path_of(circle(0.3, moved(eye, -0.5, 0.5), 12)))
    for r, thick in ((60, 1.0), (72, 1.2), (86, 1.2), (102, 1.0)):
        for start in (rng.uniform(3.2, 3.5), rng.uniform(4.6, 5.0)):
            sheet.fill(
                path_of(ring_of_water(cx + 4, cy - 1, r, 0.2, thick, rng, (start, start + rng.uniform(0.9, 1.3)))),
                rng.choice([TEAL[3], NIGHT[1]]),
            )
    for _ in range(22):
        sheet.fill(
            lens(cx + rng.uniform(-44, 56), cy - 4.2 + rng.normal(0, 0.5), rng.uniform(6, 22), 0.7, rng),
            rng.choice([TEAL[3], TEAL[0], DAWN[4]]),
        )


def feathers(sheet: Sheet, at: Place, rng: Generator) -> None:
    """Rows of pale squares over the back, smaller behind, and fine spots on the flank."""
    squares, spots = [], []
    for row in range(6):
        t = np.linspace(0.04, 0.9, 21 - row)
        line = at(
            [
                (-24 + row * 1.2, 13.6 - row * 1.9),
                (-6, 14.2 - row * 2.1),
                (14, 11.8 - row * 1.8),
                (36, 7.2 - row * 1.1),
            ],
            False,
            14,
        )
        for share in t:
            i = int(share * (len(line) - 1))
            size = (1.9 - 0.13 * row) * (1.1 - 0.55 * share)
            p = line[i] + rng.normal(0, 0.08, 2)
            slant = 0.35
            squares.append(
                np.array(
                    [
                        moved(p, -size / 2, -size / 2),
                        moved(p, size / 2, -size / 2 - slant * 0.3),
                        moved(p, size / 2 + slant, size / 2),
                        moved(p, -size / 2 + slant, size / 2),
                    ]
                )
            )
    for _ in range(150):
        x = rng.uniform(-20, 40)
        p = at([(x, rng.uniform(0.5, 4.0) + max(0, 10 - x) * 0.04)] * 3)[0]
        spots.append(circle(rng.uniform(0.16, 0.34), p, 8))
    sheet.fill(paths_of(squares), DAWN[5])
    sheet.fill(paths_of(spots), SAGE[2])


def collar(sheet: Sheet, at: Place) -> None:
    """The patch of upright pale bars on the side of the neck, a dark throat line, and the lined shoulder."""
    for k in range(13):
        t = k / 12
        x = -34.6 + 8.6 * t
        tall = 1.6 + 4.2 * np.sin(np.pi * (0.12 + 0.76 * t)) ** 0.8
        low = 15.4 + 2.2 * (t - 0.4) ** 2 * 4 - tall * 0.3
        bar = at([(x, low), (x + 0.15, low + tall / 2), (x + 0.1, low + tall)], False, 6)
        sheet.fill(path_of(ribbon(bar, taper(len(bar), 0.12, 0.5, 0.12))), DAWN[5])
    for k in range(9):
        t = k / 8
        top = (-35.4 + 15 * t, 7.0 + 1.6 * np.sin(t * 3) + 1.5 * t)
        line = at([top, (top[0] + 1.0, top[1] - 2.6), (top[0] + 3.4, top[1] - 5.2 - t)], False, 6)
        sheet.fill(path_of(ribbon(line, taper(len(line), 0.7, 0.5, 0.05))), NIGHT[0])
