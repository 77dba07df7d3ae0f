"""Dye amounts spread as a Gaussian that may be wider along the grain than across it, at any turn.

Invariant: the sum of what is spread is kept, up to what leaves the border; spreading is linear, so that lettering can
be spread by itself and added to a ground spread before.

A turned Gaussian is three plain ones, one after the other: along rows, along columns and along a diagonal. Narrow ones
have Lindeberg's kernel (1990, the discrete analogue of the Gaussian), whose variance is exact however small it is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

_TAIL: Final = 1e-4
"""Share of the dye that a kernel may leave out on each side, before it is brought back to a sum of 1."""
_NOTHING_PX2: Final = 1e-6
_NARROW_PX2: Final = 0.64


@dataclass(frozen=True, slots=True)
class Spread:
    """A spread in pixels.

    Attributes:
        along_px: Standard deviation along the grain.
        across_px: Standard deviation across it.
        grain_rad: The grain's direction, counter-clockwise from the rows as one sees the picture.
    """

    along_px: float
    across_px: float
    grain_rad: float = 0.0

    @property
    def reach_px(self) -> int:
        """How far dye gets: as far as the longest kernel."""
        rows, columns, diagonal = (
            len(_kernel(abs(variance))) // 2 if abs(variance) > _NOTHING_PX2 else 0 for variance in self.variances
        )
        return max(rows, columns) + diagonal

    @property
    def variances(self) -> tuple[float, float, float]:
        """Variances along rows, along columns, and along a diagonal, in steps of one pixel either way.

        The diagonal's is negative where it runs down to the right, as rows do. Where one direction spreads less than
        0.42 times the other no diagonal alone can do it: what would be negative is taken as nothing.
        """
        cos, sin = math.cos(self.grain_rad), math.sin(self.grain_rad)
        along, across = self.along_px**2, self.across_px**2
        mixed = (along - across) * sin * cos
        rows = along * cos * cos + across * sin * sin - abs(mixed)
        columns = along * sin * sin + across * cos * cos - abs(mixed)
        return max(rows, 0.0), max(columns, 0.0), mixed


def spread_dye(amount: NDArray[np.float32], spread: Spread) -> NDArray[np.float32]:
    """Return dye amounts once they have spread, of the same shape; beyond the border what is at it goes on.

    Args:
        amount: Any number of layers, shape (..., rows, columns).
        spread: How far, in pixels.
    """
    from scipy import ndimage  # loaded late: fitting a name takes less time than loading it

    rows, columns, diagonal = spread.variances
    result = amount
    for variance, axis in ((rows, -1), (columns, -2)):
        if variance > _NOTHING_PX2:
            result = ndimage.correlate1d(result, _kernel(variance), axis=axis, mode="nearest")
    if abs(diagonal) > _NOTHING_PX2:
        result = _spread_diagonally(result, diagonal)
    return np.asarray(result, np.float32)


def _spread_diagonally(amount: NDArray[np.float32], variance: float) -> NDArray[np.float32]:
    """Return amounts spread along a diagonal: up to the right for a variance over 0, down to the right under it."""
    weights = _kernel(abs(variance))
    reach = len(weights) // 2
    sides = [(0, 0)] * (amount.ndim - 2) + [(reach, reach)] * 2
    padded = np.pad(amount, sides, mode="edge")
    height, width = amount.shape[-2:]
    result = np.zeros_like(amount)
    for step, weight in enumerate(weights):
        column = 2 * reach - step if variance > 0 else step
        result += np.float32(weight) * padded[..., step : step + height, column : column + width]
    return result


@lru_cache(maxsize=64)
def _kernel(variance_px2: float) -> NDArray[np.float64]:
    """Return a Gaussian of a variance at whole pixels, cut where little is left, of an odd length.

    Under a deviation of 0.8 pixels samples of the curve would miss its variance; there it is exp(-t) I_n(t).
    """
    from scipy import special

    place = np.arange(max(1, math.ceil(5 * math.sqrt(variance_px2)) + 1) + 1)
    if variance_px2 < _NARROW_PX2:
        side = special.ive(place, variance_px2)
    else:
        side = np.exp(-0.5 * place**2 / variance_px2) / math.sqrt(2 * math.pi * variance_px2)
    left = np.cumsum(side[::-1])[::-1]
    kept = max(1, int((left > _TAIL).sum()) - 1)
    weights: NDArray[np.float64] = np.concatenate((side[kept:0:-1], side[: kept + 1]))
    weights /= weights.sum()
    weights.flags.writeable = False
    return weights
