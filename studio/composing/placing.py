"""Where a block stands in its room, and how large: size weighed against the price of leaving the middle."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.composing import prices
from studio.composing.block import ComposedBlock
from studio.composing.room import FreeRoom
from studio.layout.scaling import fits
from studio.layout.work import STAND_MS, WORK

Floats = NDArray[np.floating[Any]]

_COARSE_STEP: Final = 1.045
_FINE_STEPS: Final = (1.012, 1.006, 1.002)
_ABOVE_GUESS: Final = 1.16
_BELOW_GUESS: Final = 0.72
_RUNGS_FINE: Final = 11
_LEFTMOST_TO_RIGHTMOST: Final = 4
_LOWEST_TO_HIGHEST: Final = 8
_SHRINKS: Final = 30
_SHRINK: Final = 1.004
_HELD: Final = 0.985
"""Share of the clear room that every edge keeps where a map of cells said that it is there."""
_OFF_MIDDLE: Final = 0.07
"""From here on leaving the middle costs more than size can make up for."""
_FAR_OFF: Final = 3.0
_ALIKE: Final = 0.02
"""Price of each share of white off the middle even where it is hardly seen, so that ties end there."""


@dataclass(frozen=True, slots=True)
class SizeLimits:
    """What bounds a size, cap heights of the name in mm.

    Attributes:
        breathing_caps: Clear room round the lettering in cap heights.
        breathing_mm: Clear room at least.
        finest_gap_mm: The narrowest gap that the surface keeps open.
        finest_stroke_mm: The thinnest stroke that survives.
    """

    least_cap_mm: float
    most_cap_mm: float
    breathing_caps: float
    breathing_mm: float
    finest_gap_mm: float
    finest_stroke_mm: float

    def clear_mm(self, cap_mm: float) -> float:
        """Return the clear room that a name of a cap height needs."""
        return max(self.breathing_caps * cap_mm, self.breathing_mm)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a block stands.

    Attributes:
        by: How far the white above is off its share, of the white above and below; positive where lettering is low.
        bx: The same for white to the left; 0 on the axis of a symmetric room.
    """

    x_mm: float
    y_mm: float
    em_mm: float
    by: float
    bx: float

    @property
    def prices(self) -> tuple[tuple[str, float], ...]:
        """What leaving the middle costs."""
        up_down = prices.MIDDLE * max(abs(self.by) - prices.MIDDLE_FREE, 0.0)
        return (("optical middle", up_down), ("middle sideways", prices.SIDEWAYS * self.bx**2))


def stand(block: ComposedBlock, room: FreeRoom, limits: SizeLimits, guess_em: float) -> Standing | None:
    """Return the best place of a block, or `None` when nothing of the least size has room.

    Args:
        block: The block.
        room: Where it may stand.
        limits: What bounds its size.
        guess_em: About the em that it will have, mm.
    """
    WORK.done_ms += STAND_MS
    least, most = limits.least_cap_mm / block.cap_em, limits.most_cap_mm / block.cap_em
    if least > most:
        return None
    guess = min(max(guess_em, least), most)
    found = _best_of(block, room, limits, *_centres(block, room, guess), _ladder(guess, least, most))
    if found is None and guess * _BELOW_GUESS > least:
        low = guess * _BELOW_GUESS
        count = math.ceil(math.log(low / least) / math.log(1.08)) + 1
        sizes = np.maximum(low * 1.08 ** -np.arange(count, dtype=np.float64), least)
        found = _best_of(block, room, limits, *_centres(block, room, least), sizes)
    if found is None:
        return None
    x, y = _steps(block, room, guess)
    for step in _FINE_STEPS:
        x, y = x / 2.5, y / 2.5
        xs, ys = _around(found, x, y)
        rungs = step ** np.arange(_RUNGS_FINE - 3, -4, -1, dtype=np.float64)
        sizes = np.unique(np.clip(found.em_mm * rungs, least, most))[::-1]
        found = _best_of(block, room, limits, xs, ys, sizes) or found
    return _proven(block, room, limits, found, least)


def _ladder(guess: float, least: float, most: float) -> Floats:
    high, low = min(guess * _ABOVE_GUESS, most), max(guess * _BELOW_GUESS, least)
    count = max(1, math.ceil(math.log(high / low) / math.log(_COARSE_STEP)) + 1)
    return np.maximum(high * _COARSE_STEP ** -np.arange(count, dtype=np.float64), low)


def _centres(block: ComposedBlock, room: FreeRoom, em_mm: float) -> tuple[Floats, Floats]:
    """Return places over the room where a block of about a size can stand, shapes (n,)."""
    left, bottom, right, top = room.spans_mm
    small = em_mm * _BELOW_GUESS
    ys = _between(bottom - small * block.low[1], top - small * block.high[1], _LOWEST_TO_HIGHEST, room.middle_mm[1])
    if room.is_symmetric:
        return np.zeros(len(ys)), ys
    xs = _between(left - small * block.low[0], right - small * block.high[0], _LEFTMOST_TO_RIGHTMOST, room.middle_mm[0])
    across, up = np.meshgrid(xs, ys)
    return across.ravel(), up.ravel()


def _between(low: float, high: float, count: int, middle: float) -> Floats:
    if high <= low:
        return np.array([middle])
    return np.append(np.linspace(low, high, count), middle)


def _steps(block: ComposedBlock, room: FreeRoom, em_mm: float) -> tuple[float, float]:
    left, bottom, right, top = room.spans_mm
    small = em_mm * _BELOW_GUESS
    height = max(top - bottom - small * float(block.high[1] - block.low[1]), 1.0)
    width = max(right - left - small * float(block.high[0] - block.low[0]), 1.0)
    return width / (_LEFTMOST_TO_RIGHTMOST - 1), height / (_LOWEST_TO_HIGHEST - 1)


def _around(found: Standing, x_mm: float, y_mm: float) -> tuple[Floats, Floats]:
    ways = np.array([-1.5, -0.75, 0.0, 0.75, 1.5])
    if found.bx == 0 and found.x_mm == 0:
        return np.zeros(5), found.y_mm + ways * y_mm
    across, up = np.meshgrid(found.x_mm + ways[[0, 2, 4]] * x_mm, found.y_mm + ways * y_mm)
    return across.ravel(), up.ravel()


def _best_of(
    block: ComposedBlock, room: FreeRoom, limits: SizeLimits, xs: Floats, ys: Floats, sizes: Floats
) -> Standing | None:
    """Return the best of some places, each with the largest of some sizes (largest first) that has room there."""
    needed = np.maximum(limits.breathing_caps * block.cap_em * sizes, limits.breathing_mm)
    free = room.clear_at(xs, ys, sizes, block.scouts) >= needed
    has_room = free.any(axis=1)
    if not has_room.any():
        return None
    xs, ys, ems = xs[has_room], ys[has_room], sizes[free.argmax(axis=1)[has_room]]
    by, bx = off_middle(block, room, xs, ys, ems)
    away = np.abs(by)
    scores = (
        np.log(ems)
        - prices.MIDDLE * np.maximum(away - prices.MIDDLE_FREE, 0)
        - _FAR_OFF * np.maximum(away - _OFF_MIDDLE, 0)
        - _ALIKE * away
        - prices.SIDEWAYS * bx**2
    )
    best = int(np.argmax(scores))
    return Standing(float(xs[best]), float(ys[best]), float(ems[best]), float(by[best]), float(bx[best]))


def off_middle(block: ComposedBlock, room: FreeRoom, xs: Floats, ys: Floats, ems: Floats) -> tuple[Floats, Floats]:
    """Return how far blocks at some places and sizes are off the middle, up-down and sideways, shapes (n,)."""
    column, top, bottom = block.skyline
    x = xs[:, None] + ems[:, None] * column
    above = room.white_mm(room.whites.up, x, ys[:, None] + ems[:, None] * top)
    below = room.white_mm(room.whites.down, x, ys[:, None] + ems[:, None] * bottom)
    share = _share(_white(above, top, ems, 1), _white(below, bottom, ems, -1))
    by = 2 * (share - prices.MIDDLE_SHARE)
    if room.is_symmetric:
        return by, np.zeros(len(xs))
    left, right = [], []
    for line, origin, width in zip(block.lines, block.origins, block.widths, strict=True):
        y = ys + ems * (origin[1] + 0.4 * line.level * block.cap_em)
        half = ems * width / 2
        left.append(room.white_mm(room.whites.left, xs - half, y))
        right.append(room.white_mm(room.whites.right, xs + half, y))
    bx = 2 * (_share(np.mean(left, axis=0), np.mean(right, axis=0)) - 0.5)
    return by, bx


def _white(white: Floats, edge: Floats, ems: Floats, way: int) -> Floats:
    """Return the white on one side of each block: mean of all columns, of the nearest fifth, and of the box."""
    count = white.shape[1]
    nearest = np.sort(white, axis=1)[:, : max(1, count // 5)].mean(axis=1)
    third = slice(count // 3, max(count // 3 + 1, count - count // 3))
    reach = float((edge * way).max()) * way
    boxed = (white[:, third] - np.abs(reach - edge[third]) * ems[:, None]).mean(axis=1)
    return np.asarray((white.mean(axis=1) + nearest + np.maximum(boxed, 0)) / 3, np.float64)


def _share(one: Floats, other: Floats) -> Floats:
    return np.asarray(one / np.maximum(one + other, 1e-6), np.float64)


def _proven(
    block: ComposedBlock, room: FreeRoom, limits: SizeLimits, found: Standing, least_em: float
) -> Standing | None:
    """Return a place with the size at which every edge keeps its room: a little smaller where the look was coarse."""
    area = room.area
    centre = np.array([found.x_mm, found.y_mm])
    sizes = np.unique(np.maximum(found.em_mm * _SHRINK ** -np.arange(_SHRINKS, dtype=np.float64), least_em))[::-1]
    points = block.points
    needed = np.maximum(limits.breathing_caps * block.cap_em * sizes, limits.breathing_mm)
    for index in np.flatnonzero(room.clear_at(centre[:1], centre[1:], sizes, points)[0] >= needed * _HELD):
        em_mm = float(sizes[index])
        depth = float(area.blank.rim.depth_mm(centre + em_mm * block.hull).min()) - area.margin_mm
        if depth >= needed[index] * _HELD and fits(area, centre, block.figure, em_mm):
            return Standing(found.x_mm, found.y_mm, em_mm, found.by, found.bx)
    return None
