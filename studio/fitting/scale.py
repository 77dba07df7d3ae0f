"""How large a figure may be: the one search that arcs and boxes share.

A figure is points in em units about a centre; at size `em` it stands at `centre + em * points`. In a plain safe zone,
which is convex, a size that fits means every smaller one does, so the limit is found directly. Where something stands
in the way letters may straddle it at one size and hit it at a smaller, so sizes are scanned first and refined after.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.open_area import OpenArea
from studio.geometry import Points

LADDER_STEP: Final = 1.02
"""Ratio of neighbouring sizes of the scan."""
GROWTH: Final = 1.002
"""Least growth for which a figure is moved."""
_REFINEMENTS: Final = 24
_TINIEST_EM_MM: Final = 0.05
KEPT_BACK: Final = 1 - 1e-6
"""Share of a computed limit that is used, so that rounding never puts ink beyond it."""


def fits(area: OpenArea, centre: NDArray[np.float64], points: Points, em_mm: float) -> bool:
    """Return whether a figure stands free at a size. `points` in em, shape (n, 2)."""
    return bool(area.clearance_mm(centre + em_mm * points).min() >= 0)


def largest_em(
    area: OpenArea,
    centre: NDArray[np.float64],
    hull: Points,
    samples: Points,
    *,
    at_most_mm: float,
    at_least_mm: float = 0.0,
) -> float | None:
    """Return the largest em at which a figure stands free.

    Args:
        area: The free region.
        centre: Where the figure's origin stands, mm, shape (2,).
        hull: Points that bound the figure, in em: enough for the convex safe zone.
        samples: Points on all its edges, in em: for everything that is not convex.
        at_most_mm: An upper bound asked for.
        at_least_mm: Sizes below do not matter; `None` comes back when only those fit.

    Returns:
        The em in mm, or `None` when nothing from `at_least_mm` to `at_most_mm` fits.
    """
    upper = min(at_most_mm, _zone_limit(area, centre, hull, at_most_mm))
    floor = max(at_least_mm, _TINIEST_EM_MM)
    if upper < floor:
        return None
    if area.is_plain:
        return upper
    assert area.approximate is not None
    rungs = max(2, int(np.ceil(np.log(upper / floor) / np.log(LADDER_STEP))) + 1)
    sizes = np.geomspace(upper, floor, rungs)
    for part in np.array_split(sizes, max(1, rungs // 12)):
        spread = centre + part[:, None, None] * samples
        free = area.approximate.nearest(spread).min(axis=1) >= -area.approximate.grid.pitch_mm
        for size in part[free]:
            if fits(area, centre, samples, float(size)):
                return _refined(area, centre, samples, float(size), min(upper, float(size) * LADDER_STEP))
    return None


def grown(
    area: OpenArea, centre: NDArray[np.float64], hull: Points, samples: Points, em_mm: float, at_most_mm: float
) -> float | None:
    """Return a size at a new place over `em_mm`, or `None` when the figure cannot grow there."""
    larger = em_mm * GROWTH
    upper = min(at_most_mm, _zone_limit(area, centre, hull, at_most_mm))
    if larger > upper or not fits(area, centre, samples, larger):
        return None
    return _refined(area, centre, samples, larger, min(upper, larger * LADDER_STEP))


def _refined(area: OpenArea, centre: NDArray[np.float64], samples: Points, fitting: float, beyond: float) -> float:
    """Return the largest fitting size between two rungs, by bisection."""
    if beyond <= fitting or fits(area, centre, samples, beyond):
        return max(fitting, beyond)
    low, high = fitting, beyond
    for _ in range(8):
        middle = (low + high) / 2
        if fits(area, centre, samples, middle):
            low = middle
        else:
            high = middle
    return low


def _zone_limit(area: OpenArea, centre: NDArray[np.float64], hull: Points, at_most_mm: float) -> float:
    """Return the largest em within the safe zone alone: closed form in a disc, else bisection."""
    rim = area.blank.rim
    if rim.is_circle:
        return _disc_limit(rim.width_mm / 2 - area.margin_mm, centre, hull) * KEPT_BACK
    if rim.depth_mm(centre) < area.margin_mm:
        return 0.0
    reach = float(np.abs(hull).max())
    low, high = 0.0, min(at_most_mm, max(rim.width_mm, rim.height_mm) / reach)
    for _ in range(_REFINEMENTS):
        middle = (low + high) / 2
        if (rim.depth_mm(centre + middle * hull) >= area.margin_mm).all():
            low = middle
        else:
            high = middle
    return low


def _disc_limit(radius_mm: float, centre: NDArray[np.float64], hull: Points) -> float:
    """Return the largest em at which every point p of a figure stays in a disc: |centre + em p| <= radius."""
    room = radius_mm**2 - float(centre @ centre)
    if room < 0:
        return 0.0
    along = hull @ centre
    reach = np.maximum((hull**2).sum(axis=1), 1e-18)
    return float(((np.sqrt(along**2 + reach * room) - along) / reach).min())
