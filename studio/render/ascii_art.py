"""The proof in plain ASCII: the picture in tones, the lettering in solid shapes, the rim as a line.

Invariant: characters of the printable ASCII range only, no line longer than asked for, none ending in a space. The
signs for lettering are never used for tones, so that the name stands out whatever it lies on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.layout.placement import Placement
from studio.render.coverage import coverage
from studio.render.ink import Ink, inks_of
from studio.render.pixel_grid import PixelWindow, centred_window
from studio.render.pixels import linear_of
from studio.render.proof import ProofBase

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


COLUMNS: Final = 60
TONES: Final = " .:-=+*%"
"""From light to dark."""
_LEAST_INK: Final = 0.14
"""A cell with less lettering shows its ground."""
_SHAPES: Final[dict[str, str]] = {
    "8": "99 99 99 99",
    "d": "07 39 99 99",
    "b": "70 93 99 99",
    "q": "99 99 39 07",
    "P": "99 99 93 70",
    '"': "99 77 00 00",
    "o": "00 22 99 99",
    "_": "00 00 00 88",
    "[": "90 90 90 90",
    "]": "09 09 09 09",
    "I": "55 55 55 55",
    "H": "77 77 77 77",
    "=": "00 77 77 00",
    "~": "00 44 44 00",
    "'": "55 33 00 00",
    ",": "00 00 33 55",
    "/": "07 26 62 70",
    "\\": "70 62 26 07",
    "L": "70 70 90 99",
    "J": "07 07 09 99",
    "7": "99 09 17 70",
    "F": "99 90 70 70",
    "(": "36 70 70 36",
    ")": "63 07 07 63",
}
"""How much of each quarter of a character's height, left and right, its shape fills, in ninths: drawn by eye."""
_MARKS: Final = tuple(_SHAPES)
_FILLED: Final = np.array(
    [[int(digit) for digit in shape.replace(" ", "")] for shape in _SHAPES.values()], np.float32
).reshape(len(_SHAPES), 8) / np.float32(9)
_HOLE: Final = "O"
_SMALL_HOLE: Final = 3 * CELL_ROWS * CELL_COLUMNS
"""Samples in a hole that its own sign stands for; a larger one has a rim drawn."""
_LEAST_EDGE: Final = 3
"""Samples of an edge in a cell that make it part of the line."""


@dataclass(frozen=True, slots=True, eq=False)
class ThumbnailBase:
    """All of a thumbnail but its lettering: the proof's tones, and one character a cell for what lies below."""

    grid: ToneGrid
    signs: NDArray[np.str_]

    def draw(self, placement: Placement | None) -> str:
        """Return the sign in ASCII, lines ended by a newline."""
        signs = self.signs.copy()
        if placement is not None:
            _draw_ink(signs, self.grid, inks_of(placement))
        return "".join("".join(row).rstrip() + "\n" for row in signs.tolist())


def thumbnail_base(proof: ProofBase, columns: int = COLUMNS) -> ThumbnailBase:
    """Return the base of a proof's thumbnail, `columns` wide or narrower where it would become too tall."""
    blank = proof.blank
    grid = tone_grid(proof.pressed, proof.window, grid_window(blank.width_mm, blank.height_mm, columns))
    level = np.clip((grid.darkness * len(TONES)).astype(int), 0, len(TONES) - 1)
    signs = np.where(grid.wood > 0.5, np.array(list(TONES))[level], " ")
    _draw_rim(signs, grid, has_holes=bool(blank.holes))
    _draw_holes(signs, grid, tuple((hole.x_mm, hole.y_mm) for hole in blank.holes))
    return ThumbnailBase(grid, signs)


def _draw_rim(signs: NDArray[np.str_], grid: ToneGrid, *, has_holes: bool) -> None:
    """Draw the outermost samples of the wood as a line, each cell's part by the sign that runs the same way."""
    wood = _without_small_holes(grid.wood_samples) if has_holes else grid.wood_samples
    framed = np.pad(wood, 1)
    inner = framed[:-2, 1:-1] & framed[2:, 1:-1] & framed[1:-1, :-2] & framed[1:-1, 2:]
    edge = wood & ~inner
    rows, columns = signs.shape
    cells = edge.reshape(rows, CELL_ROWS, columns, CELL_COLUMNS).transpose(0, 2, 1, 3)
    for row, column in np.argwhere(cells.sum(axis=(2, 3)) >= _LEAST_EDGE).tolist():
        down, across = np.nonzero(cells[row, column])
        signs[row, column] = _rim_sign(down - (CELL_ROWS - 1) / 2, across - (CELL_COLUMNS - 1) / 2)


def _without_small_holes(wood: NDArray[np.bool_]) -> NDArray[np.bool_]:
    from scipy.ndimage import binary_fill_holes, label  # read late: few blanks have holes

    holes, count = label(binary_fill_holes(wood) & ~wood)
    sizes = np.bincount(holes.ravel(), minlength=count + 1)
    small = sizes < _SMALL_HOLE
    small[0] = False
    filled: NDArray[np.bool_] = wood | small[holes]
    return filled


def _rim_sign(down: NDArray[np.floating[Any]], across: NDArray[np.floating[Any]]) -> str:
    """Return the sign for a piece of line through points, measured from the cell's middle."""
    middle = float(down.mean())
    off_down, off_across = down - middle, across - across.mean()
    steep, flat = float((off_down**2).sum()), float((off_across**2).sum())
    lean = float((off_down * off_across).sum())
    if steep > 6 * flat:
        return "|"
    if steep > 1.2 * flat:
        return "\\" if lean > 0 else "/"
    height = 0 if middle < -1.4 else 2 if middle > 1.4 else 1
    return ("'-.", '"-_')[steep < 0.15 * flat][height]


def _draw_holes(signs: NDArray[np.str_], grid: ToneGrid, holes_mm: Sequence[tuple[float, float]]) -> None:
    rows, columns = signs.shape
    for x_mm, y_mm in holes_mm:
        column = int((x_mm - grid.window.left_mm) * grid.window.px_per_mm // CELL_COLUMNS)
        row = int((grid.window.top_mm - y_mm) * grid.window.px_per_mm // CELL_ROWS)
        if 0 <= row < rows and 0 <= column < columns:
            signs[row, column] = _HOLE


def _draw_ink(signs: NDArray[np.str_], grid: ToneGrid, inks: Sequence[Ink]) -> None:
    """Put the sign whose shape is closest into each cell with lettering, and clear the cells round it."""
    cover = np.zeros((grid.window.height_px, grid.window.width_px), np.uint8)
    for ink in inks:
        np.maximum(cover, coverage(ink.contours, grid.window), out=cover)
    cells = by_cell(cover)
    inked = cells.mean(axis=(2, 3)) >= _LEAST_INK
    near = np.zeros_like(inked)
    framed = np.pad(inked, 1)
    for down in range(3):
        for across in range(3):
            near |= framed[down : down + inked.shape[0], across : across + inked.shape[1]]
    signs[near & (grid.wood > 0.95)] = " "
    filled = cells[inked].reshape(-1, 8)
    misfit = ((filled[:, None, :] - _FILLED[None, :, :]) ** 2).sum(axis=2)
    signs[inked] = np.array(_MARKS)[misfit.argmin(axis=1)]
