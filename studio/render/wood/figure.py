"""The figure of a flat sawn board: rings cut by a plane, with bands, streaks, fibres and pores along the grain.

Simple and enough for small pale blanks without knots. The rings follow Peachey and Perlin 1985: a table over the
distance from the trunk's middle, bent by noise. What makes up wood's look (rings, colour, pores, fibres, distortion of
growth) is as Liu, Dong, Hasan and Marschner 2016 list it.

Invariant: the figure depends on wood, size and turn alone; at another number of pixels it is the same figure. No
random number is drawn: see `counter_bits`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.model.woods import WOODS, Wood
from studio.render.wood.counter_bits import counted_shares

_EDGE_CELLS: Final = 3
"""Cells of noise beyond the board on each side, so that the spline has its neighbours."""
_SPLINE_POWER: Final = 151 / 315
"""Mean of the sum of a cubic B-spline's squared weights: its integral squared."""
_UNIT: Final = math.sqrt(3) / _SPLINE_POWER
"""Brings splined noise of numbers from -1 to 1 to a standard deviation of 1."""
_TABLE_STEP_MM: Final = 0.05
_SQUARE_RAD: Final = 1e-9
_COARSE_PX: Final = 128
_RINGS, _PITH, _WARP, _BANDS, _STREAKS, _FIBRES, _PORES = range(7)


@dataclass(frozen=True, slots=True)
class Board:
    """A board as large as the blank's bounding box, in mm, and the direction of its grain.

    Attributes:
        width_mm: Across the sign.
        height_mm: Up the sign.
        grain_rad: Counter-clockwise from the width; only the direction counts, so half a turn on is the same.
    """

    width_mm: float
    height_mm: float
    grain_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class Sight:
    """The pixels that a board is seen in: square ones, rows running down, their outer edges in mm about its centre."""

    px_per_mm: float
    left_mm: float
    top_mm: float
    columns: int
    rows: int


def figure(wood: Wood, board: Board, sight: Sight) -> NDArray[np.float32]:
    """Return the tone of a board's figure in the pixels it is seen in, shape (rows, columns), mean 0 over the board.

    Tone is in natural logarithms of light: a place of tone t shows exp(-t) of the mean colour's light.
    """
    turn = board.grain_rad % math.pi
    if min(turn, math.pi - turn) < _SQUARE_RAD:
        tone = _figure_along(wood, (board.width_mm, board.height_mm), sight)
    elif abs(turn - math.pi / 2) < _SQUARE_RAD:
        top_mm = -sight.left_mm  # the grain stands upright: its axes are (y, -x)
        stood = Sight(sight.px_per_mm, sight.top_mm - sight.rows / sight.px_per_mm, top_mm, sight.rows, sight.columns)
        tone = np.ascontiguousarray(_figure_along(wood, (board.height_mm, board.width_mm), stood).T[::-1])
    else:
        tone = _turned(wood, board, sight, turn)
    tone -= np.float32(_mean_tone(wood, round(board.width_mm, 3), round(board.height_mm, 3)))
    return tone


def _figure_along(wood: Wood, size_mm: tuple[float, float], sight: Sight) -> NDArray[np.float32]:
    """Return tone where the grain runs along the rows, shape (rows, columns), its mean as it comes."""
    noise = _Noise(list(WOODS).index(wood.name) + 1, size_mm, sight)
    tone = _rings(wood, noise)
    for layer, depth, cell_mm in (
        (_BANDS, wood.band_depth, (90.0, 7.0)),
        (_STREAKS, wood.streak_depth, (22.0, 0.8)),
        (_FIBRES, wood.fibre_depth, (7.0, 0.16)),
    ):
        tone += np.float32(depth * _UNIT) * noise.layer(layer, cell_mm)
    tone += noise.strokes(_PORES, (wood.pore_mm, 0.12), wood.pore_share, wood.pore_depth)
    return tone


def _turned(wood: Wood, board: Board, sight: Sight, turn: float) -> NDArray[np.float32]:
    """Return tone where the grain runs at any turn: worked out along the grain, then turned, shape (rows, columns)."""
    cos, sin = math.cos(turn), math.sin(turn)
    side_mm = math.hypot(board.width_mm, board.height_mm)
    pitch_mm = 1 / sight.px_per_mm
    width_mm, height_mm = sight.columns * pitch_mm, sight.rows * pitch_mm
    middle_x, middle_y = sight.left_mm + width_mm / 2, sight.top_mm - height_mm / 2
    along_mm, across_mm = middle_x * cos + middle_y * sin, middle_y * cos - middle_x * sin
    columns = math.ceil((abs(width_mm * cos) + abs(height_mm * sin)) / pitch_mm) + 4
    rows = math.ceil((abs(width_mm * sin) + abs(height_mm * cos)) / pitch_mm) + 4
    straight = Sight(sight.px_per_mm, along_mm - columns * pitch_mm / 2, across_mm + rows * pitch_mm / 2, columns, rows)
    tone = Image.fromarray(_figure_along(wood, (side_mm, side_mm), straight))
    half_columns, half_rows = sight.columns / 2, sight.rows / 2
    # a pixel of the sign -> one of the straight board; rows run down in both, so the turn is the other way round
    across = (cos, -sin, columns / 2 - cos * half_columns + sin * half_rows)
    down = (sin, cos, rows / 2 - sin * half_columns - cos * half_rows)
    seen = tone.transform(
        (sight.columns, sight.rows), Image.Transform.AFFINE, (*across, *down), Image.Resampling.BICUBIC
    )
    return np.array(seen, np.float32)


@lru_cache(maxsize=32)
def _mean_tone(wood: Wood, width_mm: float, height_mm: float) -> float:
    """Return the mean tone of a whole board, the grain along its width, taken from a coarse look at it."""
    px_per_mm = _COARSE_PX / max(width_mm, height_mm)
    columns, rows = max(round(width_mm * px_per_mm), 1), max(round(height_mm * px_per_mm), 1)
    coarse = _figure_along(wood, (width_mm, height_mm), Sight(px_per_mm, -width_mm / 2, height_mm / 2, columns, rows))
    return float(coarse.mean(dtype=np.float64))


def _rings(wood: Wood, noise: _Noise) -> NDArray[np.float32]:
    """Return the tone of the year rings where the board's plane cuts them, shape (rows, columns)."""
    half = math.hypot(*noise.size_mm) / 2
    aside, tilt, rise = (float(share) for share in noise.shares(_PITH, (3,)))
    across = noise.across_mm[:, None] - np.float32((aside - 0.5) * 0.5 * noise.size_mm[1])
    slope = (0.07 + 0.05 * tilt) * (1 if rise > 0.5 else -1)
    deep = np.float32(wood.pith_mm) + np.float32(slope) * noise.along_mm[None, :]
    warp = noise.layer(_WARP, (80.0, 16.0)) * np.float32(0.55 * _UNIT * wood.ring_mm)
    warp += noise.layer(_WARP + 10, (24.0, 5.0)) * np.float32(0.10 * _UNIT * wood.ring_mm)
    away = np.sqrt(across * across + deep * deep) + warp
    table = _ring_table(wood, noise, wood.pith_mm + 2 * half + 8 * wood.ring_mm, noise.pixel_mm)
    place = np.clip(away * np.float32(1 / _TABLE_STEP_MM), 0, len(table) - 1).astype(np.int32)
    tone: NDArray[np.float32] = table[place]
    return tone


def _ring_table(wood: Wood, noise: _Noise, reach_mm: float, pixel_mm: float) -> NDArray[np.float32]:
    """Return tone over the distance from the middle of the trunk, a value each 0.05 mm."""
    count = math.ceil(reach_mm / (0.5 * wood.ring_mm)) + 1
    shares = noise.shares(_RINGS, (count, 2))
    widths = wood.ring_mm * (0.55 + 0.9 * shares[:, 0])
    depths = wood.ring_depth * (0.55 + 0.9 * shares[:, 1])
    ends = np.cumsum(widths)
    place = np.arange(0, reach_mm, _TABLE_STEP_MM)
    ring = np.minimum(np.searchsorted(ends, place, side="right"), count - 1)
    within = 1 - (ends[ring] - place) / widths[ring]  # 0 where a ring begins in spring, 1 where it ends in autumn
    late = np.clip((within - (1 - wood.late_share)) / wood.late_share, 0, 1)
    tone = depths[ring] * late * late * (3 - 2 * late)
    return _smoothed(tone, max(0.12, 0.5 * pixel_mm) / _TABLE_STEP_MM).astype(np.float32)


def _smoothed(values: NDArray[np.float64], deviation: float) -> NDArray[np.float64]:
    reach = math.ceil(3 * deviation)
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / deviation) ** 2)
    padded = np.pad(values, reach, mode="edge")
    return np.convolve(padded, weights / weights.sum(), mode="valid")


class _Noise:
    """Smooth noise over a board, layer by layer, each on a lattice of its own that the board's size alone decides."""

    def __init__(self, key: int, size_mm: tuple[float, float], sight: Sight) -> None:
        self._key = key << 64
        self.size_mm = size_mm
        self.pixel_mm = 1 / sight.px_per_mm
        self.along_mm = _centres(sight.left_mm, sight.columns, self.pixel_mm)
        self.across_mm = _centres(-sight.top_mm, sight.rows, self.pixel_mm)

    def shares(self, layer: int, shape: tuple[int, ...]) -> NDArray[np.float32]:
        return counted_shares(self._key + layer, shape)

    def layer(self, layer: int, cell_mm: tuple[float, float]) -> NDArray[np.float32]:
        """Return noise of cells so long and so wide, about 0, shape (rows, columns)."""
        return self._splined(2 * self.shares(layer, self._lattice(cell_mm)) - 1, cell_mm)

    def strokes(self, layer: int, cell_mm: tuple[float, float], share: float, depth: float) -> NDArray[np.float32]:
        """Return dark strokes in a share of the cells, shape (rows, columns)."""
        drawn = self.shares(layer, (2, *self._lattice(cell_mm)))
        marked = np.where(drawn[0] < share, np.float32(2 * depth) * (np.float32(0.5) + drawn[1]), np.float32(0))
        return self._splined(marked, cell_mm)

    def _lattice(self, cell_mm: tuple[float, float]) -> tuple[int, int]:
        return tuple(  # type: ignore[return-value]
            math.ceil(size / cell) + 2 * _EDGE_CELLS
            for size, cell in zip(self.size_mm[::-1], cell_mm[::-1], strict=True)
        )

    def _splined(self, lattice: NDArray[np.float32], cell_mm: tuple[float, float]) -> NDArray[np.float32]:
        """Return a lattice as a cubic B-spline, averaged over each pixel, shape (rows, columns)."""
        half_along, half_across = (size / 2 for size in self.size_mm)
        down = _weights(self.across_mm + np.float32(half_across), self.pixel_mm, cell_mm[1], lattice.shape[0])
        along = _weights(self.along_mm + np.float32(half_along), self.pixel_mm, cell_mm[0], lattice.shape[1])
        rows = np.zeros((len(self.across_mm), lattice.shape[1]), np.float32)
        for first, weights in down:
            for step in range(4):
                rows += weights[step][:, None] * lattice[first + step]
        columns = np.zeros((lattice.shape[1], len(self.along_mm)), np.float32)
        at = np.arange(len(self.along_mm))
        for first, weights in along:
            for step in range(4):
                columns[first + step, at] += weights[step]
        return rows @ columns


def _centres(start_mm: float, count: int, pixel_mm: float) -> NDArray[np.float32]:
    return (start_mm + (np.arange(count) + 0.5) * pixel_mm).astype(np.float32)


def _weights(
    centres_mm: NDArray[np.float32], pixel_mm: float, cell_mm: float, cells: int
) -> list[tuple[NDArray[np.intp], NDArray[np.float32]]]:
    """Return, for each of the samples that a pixel is averaged from, its first cell and the four weights from there.

    Args:
        centres_mm: Middles of the pixels, from the board's edge.
        pixel_mm: Their size.
        cell_mm: Size of a cell.
        cells: How many there are; beyond the board the outermost go on.
    """
    samples = max(1, math.ceil(1.5 * pixel_mm / cell_mm))
    weights = []
    for sample in range(samples):
        shift_mm = ((sample + 0.5) / samples - 0.5) * pixel_mm
        place = np.clip((centres_mm.astype(np.float64) + shift_mm) / cell_mm + _EDGE_CELLS - 1, 0, cells - 4)
        whole = np.floor(place)
        part = place - whole
        rest = 1 - part
        four = np.stack((rest**3, 3 * part**3 - 6 * part**2 + 4, 3 * rest**3 - 6 * rest**2 + 4, part**3)) / (
            6 * samples
        )
        weights.append((np.minimum(whole, cells - 4).astype(np.intp), four.astype(np.float32)))
    return weights
