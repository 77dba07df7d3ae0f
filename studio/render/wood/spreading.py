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
_ROWS_AT_ONCE: Final = 32


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
    rows, columns, diagonal = spread.variances
    result = amount
    if rows > _NOTHING_PX2 or columns > _NOTHING_PX2:
        result = np.empty_like(amount)
        across, down = (_kernel(variance if variance > _NOTHING_PX2 else 0.0) for variance in (rows, columns))
        for layer, into in zip(
            amount.reshape(-1, *amount.shape[-2:]), result.reshape(-1, *amount.shape[-2:]), strict=True
        ):
            _spread_squarely(layer, across, down, into)
    if abs(diagonal) > _NOTHING_PX2:
        result = _spread_diagonally(result, diagonal)
    return result


def _spread_squarely(
    layer: NDArray[np.float32], across: NDArray[np.float32], down: NDArray[np.float32], into: NDArray[np.float32]
) -> None:
    """Spread a layer of shape (rows, columns) down its columns and along its rows, a few rows at a time."""
    height, width = layer.shape
    right, low = len(across) // 2, len(down) // 2
    padded = np.pad(layer, ((low, low), (right, right)), mode="edge")
    for top in range(0, height, _ROWS_AT_ONCE):  # so few that they stay at hand: twice as fast as all at once
        count = min(_ROWS_AT_ONCE, height - top)
        block = padded[top : top + count + 2 * low]
        fallen = block[low : low + count] * down[low]
        both = np.empty_like(fallen)
        for step in range(1, low + 1):
            np.add(block[low - step : low - step + count], block[low + step : low + step + count], out=both)
            both *= down[low + step]
            fallen += both
        part = into[top : top + count]
        np.multiply(fallen[:, right : right + width], across[right], out=part)
        beside = np.empty_like(part)
        for step in range(1, right + 1):
            np.add(
                fallen[:, right - step : right - step + width],
                fallen[:, right + step : right + step + width],
                out=beside,
            )
            beside *= across[right + step]
            part += beside


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
        result += weight * padded[..., step : step + height, column : column + width]
    return result


@lru_cache(maxsize=64)
def _kernel(variance_px2: float) -> NDArray[np.float32]:
    """Return a Gaussian of a variance at whole pixels, cut where little is left, of an odd length.

    Under a deviation of 0.8 pixels samples of the curve would miss its variance; there it is exp(-t) I_n(t).
    """
    reach = max(1, math.ceil(5 * math.sqrt(variance_px2)) + 1)
    if variance_px2 < _NARROW_PX2:
        side = np.array([math.exp(-variance_px2) * _bessel(place, variance_px2) for place in range(reach + 1)])
    else:
        side = np.exp(-0.5 * np.arange(reach + 1) ** 2 / variance_px2) / math.sqrt(2 * math.pi * variance_px2)
    left = np.cumsum(side[::-1])[::-1]
    kept = int((left > _TAIL).sum()) - 1
    weights = np.concatenate((side[kept:0:-1], side[: kept + 1]))
    kernel: NDArray[np.float32] = (weights / weights.sum()).astype(np.float32)
    return kernel


def _bessel(order: int, argument: float) -> float:
    """Return the modified Bessel function I_n of a small argument, by its series. Source: DLMF 10.25.2."""
    return sum(
        (argument / 2) ** (2 * term + order) / (math.factorial(term) * math.factorial(term + order))
        for term in range(12)
    )
