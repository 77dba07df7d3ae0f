"""The spread of the surface from twelve edges: along and across the grain, with its likely error, and what spreads.

The squared spread across an edge is n'Sn for a normal n; S is fitted to all edges at once. Which model holds is told
by where the edges come to lie: a wrong one puts them 0.7 spreads off where they were printed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.model.dye import MIXINGS, Mixing
from studio.strip.edges import Edge

_OFFSET_SPREADS: Final = 0.15
"""How far off an edge may well lie under the right model, in spreads: ink that grows on paper, and measuring."""
_OFFSET_MM: Final = 0.012
CAMERA_DOUBT: Final = 0.30
"""How far the camera's blur may be from what is taken, as a share, where no reference was photographed."""
REFERENCE_DOUBT: Final = 0.10
_FIGURE: Final = (0.3, 1.2)
"""How much of the wood's figure becomes an error of the spread, along and across the grain; found by simulation."""


@dataclass(frozen=True, slots=True)
class MeasuredSpread:
    """The spread under one model.

    Attributes:
        along_mm: Along the grain, the strip's long side.
        across_mm: Across it.
        along_error_mm: Likely error, two standard deviations.
        across_error_mm: The same across.
        grain_rad: The direction of the widest spread, from the long side.
        offset_mm: Mean of how far out the edges lie.
        rms: What the model leaves, as a share of the step from solid to bare.
        solid: The solid's share of bare light.
    """

    along_mm: float
    across_mm: float
    along_error_mm: float
    across_error_mm: float
    grain_rad: float
    offset_mm: float
    rms: float
    solid: float


@dataclass(frozen=True, slots=True)
class Mixed:
    """Both models judged.

    Attributes:
        mixing: The one that fits better.
        spreads: The spread under each.
        misfits: The figure by which each is judged; smaller is better.
    """

    mixing: Mixing
    spreads: dict[Mixing, MeasuredSpread]
    misfits: dict[Mixing, float]

    @property
    def spread(self) -> MeasuredSpread:
        """The spread under the model that fits better."""
        return self.spreads[self.mixing]


def judged(
    edges: tuple[Edge, ...], *, camera_doubt: float = CAMERA_DOUBT, grown_mm: float = 0.0, figure: float = 0.0
) -> Mixed:
    """Return the spread under both models, and which of them holds.

    Args:
        edges: As measured; at least six in different directions.
        camera_doubt: How far the camera's blur may be off, as a share.
        grown_mm: How far edges lay out on a reference already.
        figure: How much bare wood varies, as a share of its light: streaks beside an edge look like a wider one.
    """
    spreads = {mixing: _spread(edges, mixing, camera_doubt, figure) for mixing in MIXINGS}
    least = min(spread.rms for spread in spreads.values())
    misfits: dict[Mixing, float] = {}
    for mixing, spread in spreads.items():
        mean_mm = math.sqrt((spread.along_mm**2 + spread.across_mm**2) / 2)
        allowed = math.hypot(_OFFSET_SPREADS * mean_mm, _OFFSET_MM)
        misfits[mixing] = ((spread.offset_mm - grown_mm) / allowed) ** 2 + 10 * (spread.rms / max(least, 1e-9) - 1)
    return Mixed(min(MIXINGS, key=lambda each: misfits[each]), spreads, misfits)


def _spread(edges: tuple[Edge, ...], mixing: Mixing, camera_doubt: float, figure: float) -> MeasuredSpread:
    """Return the spread that all edges agree on best under one model."""
    normal = np.array([edge.normal_rad for edge in edges])
    width = np.array([edge.fits[mixing].spread_mm for edge in edges])
    camera = np.array([edge.camera_mm for edge in edges])
    terms = np.column_stack((np.cos(normal) ** 2, np.sin(normal) ** 2, np.sin(2 * normal)))
    weight = np.ones(len(edges))
    tensor = np.zeros(3)
    for _ in range(12):
        root = np.sqrt(weight)
        tensor = np.linalg.lstsq(terms * root[:, None], width**2 * root, rcond=None)[0]
        model = np.sqrt(np.maximum(terms @ tensor, 1e-6))
        off = (width - model) / np.maximum(model, 0.02)
        scale = max(1.4826 * float(np.median(np.abs(off))), 0.01)
        weight = 1 / np.maximum(model, 0.02) ** 2 / (1 + (off / (2 * scale)) ** 2)
    along, across = (math.sqrt(max(float(value), 1e-6)) for value in tensor[:2])
    solid = float(np.median([edge.fits[mixing].solid for edge in edges]))
    errors = _errors(terms, width, weight, tensor, camera, camera_doubt, figure / max(1 - solid, 0.1))
    twist = math.atan2(2 * tensor[2], tensor[0] - tensor[1]) / 2
    return MeasuredSpread(
        along_mm=along,
        across_mm=across,
        along_error_mm=errors[0],
        across_error_mm=errors[1],
        grain_rad=twist,
        offset_mm=float(np.mean([edge.fits[mixing].offset_mm for edge in edges])),
        rms=math.sqrt(float(np.mean([edge.fits[mixing].rms ** 2 for edge in edges]))),
        solid=solid,
    )


def _errors(
    terms: NDArray[np.float64],
    width: NDArray[np.float64],
    weight: NDArray[np.float64],
    tensor: NDArray[np.float64],
    camera: NDArray[np.float64],
    camera_doubt: float,
    figure: float,
) -> tuple[float, float]:
    """Return the likely errors along and across: what the edges disagree by, and what the camera's blur may be off."""
    left = width**2 - terms @ tensor
    normal = terms.T @ (terms * weight[:, None])
    noise = float((weight * left**2).sum() / max(len(width) - 3, 1))
    covariance = np.linalg.pinv(normal) * noise
    errors = []
    for axis in (0, 1):
        value = math.sqrt(max(float(tensor[axis]), 1e-6))
        near = float(np.average(camera**2, weights=terms[:, axis] ** 2))
        doubt = ((1 + camera_doubt) ** 2 - 1) * near
        total = math.sqrt(
            max(float(covariance[axis, axis]), 0.0) * 4
            + doubt**2
            + ((0.02 + _FIGURE[axis] * figure) * value * 2 * value) ** 2
        )
        # an error of the square becomes one of the root, also where the root is small
        errors.append(max(math.sqrt(value**2 + total) - value, value - math.sqrt(max(value**2 - total, 0.0))))
    return errors[0], errors[1]
