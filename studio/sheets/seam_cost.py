"""What a seam would cut: letters, what the artwork's maker wants kept whole, edges and dark ground.

Everything is in the print's own frame: mm from the blank's centre, x to the right as seen on the printed side.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.geometry.shapes import Box, Contours

_LOOKED_AT_DPI: Final = 75.0
_ALONG: Final = 1.0
"""Weight of the edges that a slip along the seam breaks."""
_ACROSS: Final = 0.5
"""Weight of the edges that a slip across it breaks."""
_DARK: Final = 0.05
"""Weight of a mm of ink, where a gap shows."""
_AROUND_MM: Final = 0.5


class Cost(NamedTuple):
    """What a seam costs, the first figure first: smaller is better.

    Attributes:
        lettering_mm: How much of it runs through letters, or closer to them than the finest stroke.
        kept_mm: How much runs through what the artwork wants whole.
        unmarked_mm: How much its ends lack of room for the marks by which sheets are joined.
        picture: Edges crossed and dark ground, a number without unit.
    """

    lettering_mm: float = 0.0
    kept_mm: float = 0.0
    unmarked_mm: float = 0.0
    picture: float = 0.0

    def plus(self, other: Cost) -> Cost:
        """Return both together."""
        return Cost(*(mine + others for mine, others in zip(self, other, strict=True)))


@dataclass(frozen=True, slots=True, eq=False)
class CostMap:
    """What there is to cut, looked up along lines.

    Attributes:
        reach_mm: How close to a letter counts as through it.
    """

    reach_mm: float
    kept: tuple[Box, ...]
    starts: NDArray[np.float64] = field(repr=False)
    ends: NDArray[np.float64] = field(repr=False)
    px_per_mm: float = 1.0
    level: NDArray[np.float64] | None = field(default=None, repr=False)
    upright: NDArray[np.float64] | None = field(default=None, repr=False)

    def cost(self, at_mm: float, start_mm: float, end_mm: float, *, upright: bool) -> Cost:
        """Return what a seam costs.

        Args:
            at_mm: Its height, or its x where it is upright.
            start_mm: Where it starts, along it.
            end_mm: Where it ends.
            upright: Which way it runs.
        """
        return Cost(
            self._lettering_mm(at_mm, start_mm, end_mm, upright),
            self._kept_mm(at_mm, start_mm, end_mm, upright),
            0.0,
            self._picture(at_mm, start_mm, end_mm, upright),
        )

    def _lettering_mm(self, at_mm: float, start_mm: float, end_mm: float, upright: bool) -> float:
        """Return how much of the seam has ink within reach, exactly: letters' edges in the strip, and insides."""
        if not len(self.starts):
            return 0.0
        u, v = (1, 0) if upright else (0, 1)
        low, high = at_mm - self.reach_mm, at_mm + self.reach_mm
        v0, v1, u0, u1 = self.starts[:, v], self.ends[:, v], self.starts[:, u], self.ends[:, u]
        near = (np.maximum(v0, v1) >= low) & (np.minimum(v0, v1) <= high)
        if not near.any():
            return 0.0
        v0, v1, u0, u1 = v0[near], v1[near], u0[near], u1[near]
        run = np.where(v1 == v0, 1.0, v1 - v0)
        at_low, at_high = (np.clip((limit - v0) / run, 0, 1) for limit in (low, high))
        flat = v1 == v0
        first, second = np.where(flat, 0.0, at_low), np.where(flat, 1.0, at_high)
        ends = np.stack([u0 + first * (u1 - u0), u0 + second * (u1 - u0)], axis=1)
        spans = np.concatenate([np.sort(ends, axis=1), _insides(at_mm, v0, v1, u0, u1)])
        return _covered(np.clip(spans, start_mm, end_mm))

    def _kept_mm(self, at_mm: float, start_mm: float, end_mm: float, upright: bool) -> float:
        spans = []
        for box in self.kept:
            low, high, left, right = box.bottom_mm, box.top_mm, box.left_mm, box.right_mm
            if upright:
                low, high, left, right = left, right, low, high
            if low < at_mm < high:
                spans.append((left, right))
        return _covered(np.clip(np.array(spans), start_mm, end_mm)) if spans else 0.0

    def _picture(self, at_mm: float, start_mm: float, end_mm: float, upright: bool) -> float:
        sums = self.upright if upright else self.level
        if sums is None:
            return 0.0
        lines, along = sums.shape
        middle = lines / 2 + (at_mm if upright else -at_mm) * self.px_per_mm
        first = int(np.clip(np.floor(middle - _AROUND_MM * self.px_per_mm), 0, lines - 1))
        last = int(np.clip(np.ceil(middle + _AROUND_MM * self.px_per_mm), first + 1, lines))
        ends = (-end_mm, -start_mm) if upright else (start_mm, end_mm)
        left, right = (int(np.clip(round((along - 1) / 2 + end * self.px_per_mm), 0, along - 1)) for end in ends)
        return float((sums[first:last, right] - sums[first:last, left]).mean())


def cost_map(
    lettering: Iterable[Contours],
    *,
    reach_mm: float,
    kept: tuple[Box, ...] = (),
    pixels: NDArray[np.uint8] | None = None,
    dpi: float = 300.0,
    outline: Contours = (),
) -> CostMap:
    """Return what there is to cut on a print.

    Args:
        lettering: Ink of the letters, mirrored as it is printed, mm.
        reach_mm: How close to a letter counts as through it.
        kept: Boxes to keep whole, mirrored likewise.
        pixels: The print, shape (rows, columns, 3); its middle is the blank's centre.
        dpi: Its density.
        outline: Blank plus bleed: what lies outside costs nothing.
    """
    contours = [contour for shape in lettering for contour in shape if len(contour) > 1]
    nothing = np.empty((0, 2))
    starts = np.concatenate(contours) if contours else nothing
    ends = np.concatenate([np.roll(contour, -1, axis=0) for contour in contours]) if contours else nothing
    if pixels is None:
        return CostMap(reach_mm, kept, starts, ends)
    light, px_per_mm = _light(pixels, dpi)
    level, upright = _summed(light, px_per_mm, _inside(outline, light.shape, px_per_mm))
    return CostMap(reach_mm, kept, starts, ends, px_per_mm, level, upright)


def _light(pixels: NDArray[np.uint8], dpi: float) -> tuple[NDArray[np.float64], float]:
    """Return a small copy in lightness, 0 to 1, with its pixels a mm; it is cut so that its middle stays the middle."""
    step = max(1, round(dpi / _LOOKED_AT_DPI))
    rows, columns = pixels.shape[0] // (2 * step) * 2 * step, pixels.shape[1] // (2 * step) * 2 * step
    top, left = (pixels.shape[0] - rows) // 2, (pixels.shape[1] - columns) // 2
    cut = np.ascontiguousarray(pixels[top : top + rows, left : left + columns])
    small = Image.fromarray(cut).convert("L").reduce(step)
    return np.asarray(small, dtype=np.float64) / 255, dpi / step / 25.4


def _inside(outline: Contours, shape: tuple[int, ...], px_per_mm: float) -> NDArray[np.bool_]:
    """Return which pixels lie inside a convex outline about the middle."""
    rows, columns = shape[0], shape[1]
    if not outline:
        return np.ones((rows, columns), dtype=bool)
    points = outline[0]
    order = np.argsort(points[:, 1])
    right = points[order][points[order][:, 0] >= 0]
    y = np.abs((rows - 1) / 2 - np.arange(rows)) / px_per_mm
    upper = right[right[:, 1] >= 0]
    half = np.interp(y, upper[:, 1], upper[:, 0], right=-1.0) if len(upper) > 1 else np.full(rows, np.inf)
    x = np.abs(np.arange(columns) - (columns - 1) / 2) / px_per_mm
    mask: NDArray[np.bool_] = x[None, :] <= half[:, None]
    return mask


def _summed(
    light: NDArray[np.float64], px_per_mm: float, inside: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return running sums of the cost of level seams along x, and of upright ones along y downwards."""
    across_x, across_y = np.zeros_like(light), np.zeros_like(light)
    across_x[:, :-1] = np.abs(np.diff(light, axis=1))
    across_y[:-1] = np.abs(np.diff(light, axis=0))
    dark = _DARK * (1 - light) / px_per_mm
    level = np.where(inside, _ALONG * across_x + _ACROSS * across_y + dark, 0.0)
    upright = np.where(inside, _ALONG * across_y + _ACROSS * across_x + dark, 0.0)
    start = np.zeros((1, 1))
    summed_level = np.concatenate([np.broadcast_to(start, (len(level), 1)), np.cumsum(level, axis=1)], axis=1)
    turned = np.cumsum(upright, axis=0).T
    summed_upright = np.concatenate([np.broadcast_to(start, (len(turned), 1)), turned], axis=1)
    return summed_level, summed_upright


def _insides(
    at: float, v0: NDArray[np.float64], v1: NDArray[np.float64], u0: NDArray[np.float64], u1: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the stretches of a line that lie inside contours filled non-zero, shape (n, 2)."""
    up, down = (v0 <= at) & (v1 > at), (v1 <= at) & (v0 > at)
    crossing = up | down
    if not crossing.any():
        return np.empty((0, 2))
    share = (at - v0[crossing]) / (v1[crossing] - v0[crossing])
    where = u0[crossing] + share * (u1[crossing] - u0[crossing])
    order = np.argsort(where, kind="stable")
    where, winding = where[order], np.cumsum(np.where(up[crossing], 1, -1)[order])
    filled = np.flatnonzero(winding[:-1])
    return np.stack([where[filled], where[filled + 1]], axis=1)


def _covered(spans: NDArray[np.float64]) -> float:
    """Return the length that spans cover together, shape (n, 2), each rising."""
    spans = spans[spans[:, 1] > spans[:, 0]]
    if not len(spans):
        return 0.0
    spans = spans[np.argsort(spans[:, 0], kind="stable")]
    reached = np.concatenate([[-np.inf], np.maximum.accumulate(spans[:, 1])[:-1]])
    return float(np.maximum(spans[:, 1] - np.maximum(spans[:, 0], reached), 0).sum())
