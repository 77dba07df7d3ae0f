"""A ring of pine boughs, cones and rowan berries round a wide open centre.

Invariant: nothing comes nearer the centre than 82 mm, and from 104 mm outwards everything is covered.
"""

from __future__ import annotations

import numpy as np
from conifer import BERRY_INKS, bough_needles, draw_berry, draw_cone, draw_spray, draw_tuft
from curves import Points, circle, spline, torn
from numpy.random import Generator
from palette import BARK, PINE, SAGE, TEAL, mix
from sheet import Sheet, path_of, paths_of

INNER_MM = 82.5


def clear_of_centre(blade: Points) -> bool:
    """Whether a needle stays out of the open centre."""
    return bool(np.hypot(blade[:, 0], blade[:, 1]).min() > INNER_MM)


def spine_at(angle: float, radius: float, sweep: float, lean: float, length: float) -> Points:
    """A bough that starts at an angle and radius, runs round by `sweep` (+1 or -1) and leans outwards by `lean`."""
    t = np.linspace(0, 1, 5)
    a = angle + sweep * t * length / radius
    r = radius + length * (np.sin(lean) * t + 0.05 * t * t)
    return spline(np.column_stack([r * np.cos(a), r * np.sin(a)]), per=8)


def ring_of_boughs(
    sheet: Sheet,
    rng: Generator,
    count: int,
    radius: tuple[float, float],
    lean: tuple[float, float],
    length: float,
    inks: tuple[str, str, str],
    bark: str | None,
    reach: float = 32.0,
) -> None:
    """Sprays up both sides, from the foot of the ring to its top, the upper ones drawn first."""
    for k in range(count, -1, -1):
        for side in (-1, 1):
            off = (k + rng.uniform(-0.3, 0.3)) / count
            angle = -np.pi / 2 + side * (off * np.pi * 0.96 + 0.02)
            spine = spine_at(angle, rng.uniform(*radius), side, rng.uniform(*lean), reach * rng.uniform(0.85, 1.1))
            draw_spray(sheet, spine, reach * 0.5, length * rng.uniform(0.9, 1.1), inks, rng, clear_of_centre, bark)


def far_boughs(sheet: Sheet, rng: Generator) -> None:
    """The palest layer, behind all else, reaching furthest in."""
    far: list[Points] = []
    for k in range(92):
        spine = spine_at(
            rng.uniform(0, 2 * np.pi), rng.uniform(97, 103), 1 if k % 2 else -1, rng.uniform(-0.4, 0.0), 24
        )
        far += [n for _, n in bough_needles(spine, 12, rng, 0.9, 0.8, 0.8, clear_of_centre)]
    sheet.fill(paths_of(far[: len(far) // 2]), SAGE[1])
    sheet.fill(paths_of(far[len(far) // 2 :]), SAGE[0])


CLUSTERS = (
    (-92, ((-13, 4, -172, 27), (14, 3, -10, 28), (1, -6, -74, 24))),
    (-171, ((-6, 1, 112, 24), (7, 2, -112, 21))),
    (-27, ((6, 1, 50, 25), (-7, 3, -76, 20))),
    (74, ((5, 3, 152, 23), (-6, 0, -2, 22))),
)


def cluster(sheet: Sheet, rng: Generator, degrees: float, cones: tuple[tuple[float, float, float, float], ...]) -> None:
    """Cones in a nest of long needles, with berries between; cones as degrees along, mm outwards, heading, length."""
    blue = (TEAL[0], TEAL[1], mix(TEAL[2], PINE[4], 0.5))
    for off in (-9, -3, 3, 9, 0, -6, 6):
        a = np.radians(degrees + off)
        outwards = a + rng.normal(0, 0.5) + np.radians(off * 7)
        for way in (outwards, outwards + np.pi + rng.normal(0, 0.3)):
            draw_tuft(sheet, (105 * np.cos(a), 105 * np.sin(a)), way, 23, blue, rng, clear_of_centre, 46)
    for off, out, heading, size in cones:
        a = np.radians(degrees + off)
        stem = ((104 + out) * np.cos(a), (104 + out) * np.sin(a))
        draw_cone(sheet, stem, np.radians(heading), size, rng)
        lit = (PINE[1], PINE[3], PINE[4])
        draw_tuft(sheet, stem, np.radians(heading + 180), size * 0.45, lit, rng, clear_of_centre, 40)
    middle = np.radians(degrees)
    for off, out in ((-3.4, -5), (0.5, -8), (3.2, -5.5), (-1.2, -2.5), (1.8, -1.5), (-4.6, -1)):
        a = middle + np.radians(off + rng.normal(0, 0.3))
        r = 103 + out + rng.normal(0, 0.5)
        draw_berry(sheet, (r * np.cos(a), r * np.sin(a)), rng.uniform(2.0, 2.9), BERRY_INKS, rng)


def draw(sheet: Sheet) -> None:
    """Draw the piece."""
    rng = sheet.rng
    square = np.array([(-131, -131), (131, -131), (131, 131), (-131, 131.0)])
    ground = path_of(square, torn(circle(106), 2.0, 12, rng)[::-1])
    sheet.fill(ground, PINE[1])
    sheet.glow(ground, PINE[0], (0, 0), 186, (0.1, 0.1, 0.95, 1.0), (0, 0.56, 0.7, 1))
    far_boughs(sheet, rng)
    ring_of_boughs(
        sheet,
        rng,
        11,
        (108, 122),
        (0.1, 0.5),
        11,
        (PINE[0], mix(PINE[0], TEAL[1], 0.6), mix(TEAL[1], TEAL[2], 0.6)),
        None,
        38,
    )
    ring_of_boughs(sheet, rng, 12, (98, 106), (-0.22, 0.12), 9.5, (PINE[0], PINE[2], PINE[3]), BARK[1])
    ring_of_boughs(
        sheet, rng, 9, (106, 119), (-0.15, 0.3), 10.5, (PINE[1], mix(PINE[2], PINE[3], 0.6), PINE[4]), BARK[2], 36
    )
    ring_of_boughs(
        sheet, rng, 8, (99, 112), (-0.25, 0.2), 10, (PINE[1], mix(PINE[3], PINE[4], 0.4), PINE[5]), BARK[2], 30
    )
    for degrees, cones in CLUSTERS:
        cluster(sheet, rng, degrees, cones)
