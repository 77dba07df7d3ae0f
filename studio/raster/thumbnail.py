"""The proof in plain ASCII: the picture in tones, the lettering in solid shapes, the rim as a line.

Invariant: characters of the printable ASCII range only, no line longer than asked for, none ending in a space. The
signs for lettering are never used for tones, so that the name stands out whatever it lies on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.placement import Placement
from studio.raster.coverage import coverage
from studio.raster.inking import Ink, inks_of
from studio.raster.proof import ProofBase
from studio.raster.tone_grid import CELL_COLUMNS, CELL_ROWS, ToneGrid, by_cell, grid_window, tone_grid

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
