"""The proof cut into character cells: how dark each is, and how much of it is wood.

Invariant: a cell is twice as high as wide, as terminal characters are; the grid covers the blank's bounding box.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.raster.tone import linear_of
from studio.raster.window import PixelWindow, centred_window

CELL_COLUMNS: Final = 4
"""Samples across a cell; twice as many down."""
CELL_ROWS: Final = 2 * CELL_COLUMNS
_MOST_ROWS: Final = 60
_LUMINANCE: Final = np.array([0.2126, 0.7152, 0.0722], np.float32)
_LOCAL_CELLS: Final = 3.0
"""How far around a cell its surroundings count, in columns."""
_LOCAL_GAIN: Final = 0.9
_REACH: Final = 4.0
"""How many spreads from its middle a bell curve is cut off."""


@dataclass(frozen=True, slots=True, eq=False)
class ToneGrid:
    """A picture in cells.

    Attributes:
        window: The samples, `CELL_COLUMNS` by `CELL_ROWS` a cell, unmirrored.
        darkness: How dark each cell is among its neighbours, 0 to 1, shape (rows, columns).
        wood: How much of each cell is wood, 0 to 1, same shape.
        wood_samples: Whether the middle of each sample is wood, shape (rows x `CELL_ROWS`, columns x `CELL_COLUMNS`).
    """

    window: PixelWindow
    darkness: NDArray[np.float32]
    wood: NDArray[np.float32]
    wood_samples: NDArray[np.bool_]


def grid_window(width_mm: float, height_mm: float, columns: int) -> PixelWindow:
    """Return the samples for a thumbnail `columns` wide, or narrower where it would become too tall."""
    px_per_mm = min(columns * CELL_COLUMNS / width_mm, _MOST_ROWS * CELL_ROWS / height_mm)
    across = max(1, min(columns, math.ceil(width_mm * px_per_mm / CELL_COLUMNS - 1e-6)))
    down = max(1, math.ceil(height_mm * px_per_mm / CELL_ROWS - 1e-6))
    return centred_window(across * CELL_COLUMNS, down * CELL_ROWS, px_per_mm)


def tone_grid(pixels: NDArray[np.uint8], proof: PixelWindow, window: PixelWindow) -> ToneGrid:
    """Return the tones of a proof.

    Args:
        pixels: The proof without its lettering, shape (rows, columns, 4).
        proof: Its window.
        window: The grid's samples, from `grid_window`.
    """
    wood = pixels[..., 3].astype(np.float32) / np.float32(255)
    light = np.zeros(wood.shape, np.float32)
    for channel in range(3):
        light += linear_of(pixels[..., channel]) * _LUMINANCE[channel]
    wood_cells = _mean_by_block(wood, proof, window, CELL_ROWS, CELL_COLUMNS)
    light_cells = _mean_by_block(light * wood, proof, window, CELL_ROWS, CELL_COLUMNS)
    light_cells /= np.maximum(wood_cells, np.float32(1e-3))
    samples = _mean_by_block(wood, proof, window, 1, 1) > 0.5
    return ToneGrid(window, _darkness(light_cells, wood_cells), wood_cells, samples)


def by_cell(samples: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return samples as cells of quarters by halves: shape (rows, columns, 4, 2), 0 to 1."""
    rows, columns = samples.shape[0] // CELL_ROWS, samples.shape[1] // CELL_COLUMNS
    split = samples.reshape(rows, 4, CELL_ROWS // 4, columns, 2, CELL_COLUMNS // 2)
    cells: NDArray[np.float32] = split.mean(axis=(2, 5), dtype=np.float32).transpose(0, 2, 1, 3) / np.float32(255)
    return cells


def _mean_by_block(
    values: NDArray[np.float32], proof: PixelWindow, window: PixelWindow, block_rows: int, block_columns: int
) -> NDArray[np.float32]:
    """Return the mean of each block of the window's samples, beyond the proof counting as nothing."""
    rows = _block_edges(window.height_px // block_rows, window, proof, block_rows, down=True)
    columns = _block_edges(window.width_px // block_columns, window, proof, block_columns, down=False)
    sums = np.zeros((values.shape[0] + 1, values.shape[1] + 1), np.float64)
    np.cumsum(np.cumsum(values, axis=0, dtype=np.float64), axis=1, out=sums[1:, 1:])
    at = sums[np.ix_(np.clip(rows, 0, values.shape[0]), np.clip(columns, 0, values.shape[1]))]
    total = at[1:, 1:] - at[:-1, 1:] - at[1:, :-1] + at[:-1, :-1]
    size = np.diff(rows)[:, None] * np.diff(columns)[None, :]
    mean: NDArray[np.float32] = (total / np.maximum(size, 1)).astype(np.float32)
    return mean


def _block_edges(count: int, window: PixelWindow, proof: PixelWindow, size: int, *, down: bool) -> NDArray[np.int64]:
    start_mm = proof.top_mm - window.top_mm if down else window.left_mm - proof.left_mm
    edges = (start_mm + np.arange(count + 1) * size / window.px_per_mm) * proof.px_per_mm
    rounded: NDArray[np.int64] = np.floor(edges + 0.5).astype(np.int64)
    return rounded


def _darkness(light: NDArray[np.float32], wood: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return darkness as the eye sees it, spread to the picture's own range and lifted against its surroundings."""
    lightness = np.cbrt(np.clip(light, 0, 1))
    inside = wood > 0.5
    if not inside.any():
        return np.zeros_like(lightness)
    sigma = (_LOCAL_CELLS / 2, _LOCAL_CELLS)
    weight = _blurred(inside.astype(np.float32), sigma)
    around = _blurred(np.where(inside, lightness, 0), sigma) / np.maximum(weight, np.float32(1e-3))
    lifted = lightness + np.float32(_LOCAL_GAIN) * (lightness - around)
    dark_end, light_end = np.percentile(lifted[inside], 2), np.percentile(lightness[inside], 98)
    span = max(float(light_end - dark_end), 0.25)  # a plain surface stays plain
    darkness: NDArray[np.float32] = np.clip((light_end - lifted) / span, 0, 1).astype(np.float32)
    return darkness


def _blurred(values: NDArray[np.float32], sigma: tuple[float, float]) -> NDArray[np.float32]:
    """Return values blurred by a bell curve of so many rows and columns, the edges reflected.

    For arrays as small as a grid it takes less time than loading a library that has it.
    """
    for axis, spread in enumerate(sigma):
        count, reach = values.shape[axis], int(_REACH * spread + 0.5)
        offsets = np.arange(-reach, reach + 1)
        weights = np.exp(-0.5 * (offsets / spread) ** 2)
        folded = (np.arange(count)[:, None] + offsets) % (2 * count)
        sources = np.where(folded < count, folded, 2 * count - 1 - folded)
        kernel = np.zeros((count, count))
        np.add.at(kernel, (np.arange(count)[:, None], sources), weights / weights.sum())
        values = np.moveaxis(np.tensordot(kernel, values.astype(np.float64), (1, axis)), 0, axis).astype(np.float32)
    return values
