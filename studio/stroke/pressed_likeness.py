"""Letters that spreading dye brings nearer to another letter of their face than to themselves.

A letter is spread, cut at half the light between solid and bare, and laid over every letter of its kind as drawn, each
where it covers best; likeness is the area that both share by the area that either takes. Where another letter is more
alike than the letter itself, it has changed what it says.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.stroke.filled import filled

KINDS: Final = ("abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "0123456789")
"""Letters that are taken for one another within a line: those of one height and habit."""
_CELLS: Final = 40.0
"""Cells to a cap height."""
_SPREADS: Final = (0.01, 0.014, 0.02, 0.028, 0.04, 0.056, 0.079, 0.112, 0.158, 0.2)
_HALVINGS: Final = 4
_TWINS: Final = 0.9
"""Letters that are that much alike as drawn are told apart by their neighbours, not by their shape."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """From which spread on a letter is taken for another.

    Attributes:
        spread: In cap heights; above it the letter is nearer to the other than to itself.
        other: That other letter.
    """

    spread: float
    other: str


def likenesses(
    letters: Mapping[str, Sequence[NDArray[np.float64]]], cap: float, threshold: float
) -> dict[str, Likeness]:
    """Return the letters of one kind that turn into another within the spreads looked at.

    Args:
        letters: Each letter's united contours, outer ones counter-clockwise.
        cap: The cap height, in the same unit.
        threshold: The dye amount at which half the light is left, 0.5 where light alone spreads.
    """
    names = [name for name, contours in letters.items() if contours]
    if len(names) < 2:
        return {}
    drawn = _Drawn({name: letters[name] for name in names}, cap)
    found: dict[str, Likeness] = {}
    for name in names:
        likeness = _first(drawn, name, threshold)
        if likeness is not None:
            found[name] = likeness
    return found


def _first(drawn: _Drawn, name: str, threshold: float) -> Likeness | None:
    """Return the first spread, found on a ladder and then by halving, at which a letter is nearer to another."""
    before = 0.0
    for spread in _SPREADS:
        other = drawn.nearest(name, spread, threshold)
        if other == name:
            before = spread
            continue
        for _ in range(_HALVINGS):
            middle = math.sqrt(before * spread) if before else spread / 2
            seen = drawn.nearest(name, middle, threshold)
            if seen == name:
                before = middle
            else:
                spread, other = middle, seen
        return Likeness(round(spread, 4), other)
    return None


class _Drawn:
    """Letters of one kind on grids of one size, ready to be laid over one another."""

    def __init__(self, letters: Mapping[str, Sequence[NDArray[np.float64]]], cap: float) -> None:
        self.names = list(letters)
        around = math.ceil(4 * _SPREADS[-1] * _CELLS)
        per_unit = _CELLS / cap
        boxes = {
            name: (np.concatenate(contours).min(axis=0), np.concatenate(contours).max(axis=0))
            for name, contours in letters.items()
        }
        largest = np.max([high - low for low, high in boxes.values()], axis=0)
        columns, rows = (int(size) for size in np.ceil(largest * per_unit).astype(int) + 2 * around)
        self.cover = {
            name: filled(
                contours,
                (float(boxes[name][0][0]) - around / per_unit, float(boxes[name][0][1]) - around / per_unit),
                per_unit,
                (rows, columns),
            )
            for name, contours in letters.items()
        }
        self._size = tuple(2 ** math.ceil(math.log2(size + size // 2)) for size in (rows, columns))
        solid = np.stack([self.cover[name] > 0.5 for name in self.names]).astype(np.float32)
        self._areas = solid.sum(axis=(1, 2))
        self._turned = np.conj(np.fft.rfft2(solid, self._size))
        likeness = np.stack([self._likenesses(part) for part in solid])
        self._rivals = (likeness < _TWINS) | np.eye(len(self.names), dtype=bool)

    def nearest(self, name: str, spread: float, threshold: float) -> str:
        """Return which letter a letter is most alike once it has spread so many cap heights."""
        from scipy import ndimage

        dye = ndimage.gaussian_filter(self.cover[name], spread * _CELLS)
        likeness = self._likenesses((dye > threshold).astype(np.float32))
        likeness[~self._rivals[self.names.index(name)]] = -1
        return self.names[int(np.argmax(likeness))]

    def _likenesses(self, shape: NDArray[np.float32]) -> NDArray[np.float64]:
        """Return how alike a shape is to every letter as drawn, each laid where it covers most, shape (letters,)."""
        shared = np.fft.irfft2(np.fft.rfft2(shape, self._size) * self._turned, self._size).max(axis=(1, 2))
        either = shape.sum() + self._areas - shared
        return np.asarray(shared / np.maximum(either, 1e-6), np.float64)
