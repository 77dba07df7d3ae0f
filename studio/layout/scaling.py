"""How large a figure may be: the one search that arcs and boxes share.

In a plain safe zone, which is convex, a size that fits means every smaller one does, so the limit is found directly.
Where something stands in the way letters may straddle it at one size and hit it at a smaller, so sizes are scanned
first and refined after. Holes are proven on every edge, pictures and texts on samples (their air is wider than what
lies between two).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Box, Points
from studio.layout.distance_grid import Rays
from studio.layout.fit import TINIEST_EM_MM
from studio.layout.open_area import OpenArea
from studio.layout.work import WORK, ZONE_MS

EdgePoints: TypeAlias = tuple[Points, NDArray[np.intp]]
"""Where every edge starts, and the index of the point where it ends."""


class Figure:
    """Points of one figure, worked out when first asked for.

    Attributes:
        scouts: Some points of its edges: where they hit something the figure does.
    """

    def __init__(
        self,
        hull: Callable[[], Points],
        scouts: Points,
        samples: Callable[[], Points],
        edges: Callable[[], EdgePoints],
    ) -> None:
        self.scouts = scouts
        self._hull, self._samples, self._edges = hull, samples, edges

    @cached_property
    def hull(self) -> Points:
        """Points that bound the figure: enough for whatever is convex."""
        return self._hull()

    @cached_property
    def samples(self) -> Points:
        """Points close together on all edges."""
        return self._samples()

    @cached_property
    def scout_rays(self) -> Rays:
        """The scouts for quick looking."""
        return np.ascontiguousarray(self.scouts.T, np.float32)

    @cached_property
    def sample_rays(self) -> Rays:
        """The samples for quick looking."""
        return np.ascontiguousarray(self.samples.T, np.float32)

    @cached_property
    def edges(self) -> EdgePoints:
        """All edges."""
        return self._edges()


def polygon_figure(points: Points) -> Figure:
    """Return the figure of one closed polygon."""
    following = np.roll(np.arange(len(points)), -1)
    return Figure(lambda: points, points, lambda: points, lambda: (points, following))


LADDER_STEP: Final = 1.02
"""Ratio of neighbouring sizes of the scan."""
GROWTH: Final = 1.002
"""Least growth for which a figure is moved."""
_REFINEMENTS: Final = 30
_CLOSE: Final = 1e-6
PARTS: Final = 8
ROUNDS: Final = 2
_WHILE_MOVING: Final = 1
_SHARES: Final = np.arange(PARTS) / PARTS
_AT_ONCE: Final = 4
KEPT_BACK: Final = 1 - 1e-6
"""Share of a computed limit that is used, so that rounding never puts ink beyond it."""

Place = NDArray[np.float64]


def fits(area: OpenArea, centre: Place, figure: Figure, em_mm: float) -> bool:
    """Return whether a figure stands free at a size."""
    inside = area.convex_clearance_mm(centre + em_mm * figure.hull).min() >= 0
    return bool(inside) and _unhindered(area, centre, figure, em_mm)


def largest_em(
    area: OpenArea,
    centre: Place,
    figure: Figure,
    *,
    at_most_mm: float,
    at_least_mm: float = 0.0,
    rounds: int = ROUNDS,
) -> float | None:
    """Return the largest em at which a figure stands free.

    Args:
        area: The free region.
        centre: Where the figure's origin stands, mm, shape (2,).
        figure: The figure.
        at_most_mm: An upper bound asked for.
        at_least_mm: Sizes below do not matter; `None` comes back when only those fit.
        rounds: How often the step of the ladder is cut in `PARTS` for the last size.

    Returns:
        The em in mm, or `None` when nothing from `at_least_mm` to `at_most_mm` fits.
    """
    upper = min(at_most_mm, zone_limit(area, centre, figure.hull, at_most_mm))
    floor = max(at_least_mm, TINIEST_EM_MM)
    if upper < floor:
        return None
    if area.is_convex:
        return upper
    assert area.approximate is not None
    rungs = max(2, math.ceil(math.log(upper / floor) / math.log(LADDER_STEP)) + 1)
    sizes = np.maximum(upper * LADDER_STEP ** -np.arange(rungs), floor)
    least = -area.approximate.grid.pitch_mm
    sizes = sizes[area.approximate.least(centre, sizes[:, None], figure.scout_rays) >= least]
    for start in range(0, len(sizes), _AT_ONCE):
        part = sizes[start : start + _AT_ONCE]
        free = area.approximate.least(centre, part[:, None], figure.sample_rays) >= least
        for size in part[free].tolist():
            if _unhindered(area, centre, figure, size):
                return _refined(area, centre, figure, size, min(upper, size * LADDER_STEP), rounds)
    return None


def grown(area: OpenArea, centre: Place, figure: Figure, em_mm: float, at_most_mm: float) -> float | None:
    """Return a size at a new place over `em_mm`, or `None` when the figure cannot grow there."""
    larger = em_mm * GROWTH
    if larger > at_most_mm or not _unhindered(area, centre, figure, larger):
        return None
    upper = min(at_most_mm, zone_limit(area, centre, figure.hull, at_most_mm))
    if larger > upper:
        return None
    return _refined(area, centre, figure, larger, min(upper, larger * LADDER_STEP), _WHILE_MOVING)


def _refined(area: OpenArea, centre: Place, figure: Figure, fitting: float, beyond: float, rounds: int) -> float:
    """Return the largest fitting size between two rungs, the step cut in `PARTS` in each round."""
    if beyond <= fitting:
        return fitting
    low, high = fitting, beyond
    for number in range(rounds):
        sizes = high - (high - low) * (_SHARES if number == 0 else _SHARES[1:])
        index = _first_unhindered(area, centre, figure, sizes)
        if index is None:
            high = float(sizes[-1])
        elif number == index == 0:
            return beyond
        else:
            low, high = float(sizes[index]), float(sizes[index - 1]) if index else high
    return low


def _first_unhindered(area: OpenArea, centre: Place, figure: Figure, sizes: NDArray[np.float64]) -> int | None:
    """Return the index of the first size at which a figure within the safe zone keeps clear of what is in the way."""
    free = np.ones(len(sizes), np.bool_)
    for field in (area.picture, area.texts):
        if field is not None:
            free &= field.least(centre, sizes[:, None], figure.sample_rays) >= 0
    return next((int(index) for index in np.flatnonzero(free) if _clears(area, centre, figure, sizes[index])), None)


def _unhindered(area: OpenArea, centre: Place, figure: Figure, em_mm: float) -> bool:
    """Return whether a figure within the safe zone keeps clear of pictures, texts and holes."""
    for field in (area.picture, area.texts):
        if field is not None and field.least_at(centre, em_mm, figure.sample_rays) < 0:
            return False
    return _clears(area, centre, figure, em_mm)


def _clears(area: OpenArea, centre: Place, figure: Figure, em_mm: float) -> bool:
    if not area.blank.holes:
        return True
    for rays in (figure.scout_rays, figure.sample_rays):
        if not area.is_off_holes(centre + em_mm * rays.T.astype(np.float64)):
            return False
    points, following = figure.edges
    return area.clears_holes(centre + em_mm * points, following)


def zone_limit(area: OpenArea, centre: Place, hull: Points, at_most_mm: float) -> float:
    """Return the largest em within the safe zone and the stated area: closed form but on ovals and round corners."""
    WORK.done_ms += ZONE_MS
    stated = _box_limit(area.box, centre, hull) if area.box is not None else math.inf
    rim = area.blank.rim
    if rim.is_circle:
        return min(stated, _disc_limit(rim.width_mm / 2 - area.margin_mm, centre, hull)) * KEPT_BACK
    reach = float(np.abs(hull).max())
    high = min(stated * KEPT_BACK, at_most_mm, max(rim.width_mm, rim.height_mm) / reach)
    low, low_room = 0.0, float(area.convex_room_mm(centre[None]).min())
    if low_room < 0:
        return 0.0
    high_room = float(area.convex_room_mm(centre + high * hull).min())
    if high_room >= 0:
        return high
    for step in range(_REFINEMENTS):
        share = low_room / (low_room - high_room) if step % 3 < 2 else 0.5
        middle = low + (high - low) * min(max(share, 0.01), 0.99)
        room = float(area.convex_room_mm(centre + middle * hull).min())
        if room >= 0:
            low, low_room = middle, room
        else:
            high, high_room = middle, room
        if high - low < high * _CLOSE:
            break
    return low * KEPT_BACK


def _disc_limit(radius_mm: float, centre: Place, hull: Points) -> float:
    """Return the largest em at which every point p of a figure stays in a disc: |centre + em p| <= radius."""
    x, y = hull[:, 0], hull[:, 1]
    reach = x * x + y * y
    if not centre.any():
        return radius_mm / float(np.sqrt(max(reach.max(), 1e-18)))
    room = radius_mm**2 - float(centre @ centre)
    if room < 0:
        return 0.0
    along = x * centre[0] + y * centre[1]
    reach = np.maximum(reach, 1e-18)
    return float(((np.sqrt(along * along + reach * room) - along) / reach).min())


def _box_limit(box: Box, centre: Place, hull: Points) -> float:
    """Return the largest em at which a figure stays in an upright box."""
    low, high = hull.min(axis=0), hull.max(axis=0)
    x, y = centre.tolist()
    rooms = (x - box.left_mm, y - box.bottom_mm, box.right_mm - x, box.top_mm - y)
    reaches = (*(-low).tolist(), *high.tolist())
    if min(rooms) < 0:
        return 0.0
    return float(min(room / max(reach, 1e-9) for room, reach in zip(rooms, reaches, strict=True)))
