"""Ring marks found in a picture: dark rings with a dark dot on their centre, at any turn, tilt and light.

The picture is made smaller, each place is compared with the mean of its neighbourhood at several thresholds in turn,
and connected dark places are judged by their second moments, so that a ring seen aslant is a ring still.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.strip.layout import RING_DOT_MM, RING_INNER_MM, RING_OUTER_MM

THRESHOLDS: Final = (0.92, 0.86, 0.80, 0.72, 0.62, 0.50, 0.38)
"""Share of the local mean under which a place counts as dark."""
WORKING_PX: Final = (1300, 2600)
"""Longest sides that a picture is brought down to, in turn."""
_WINDOW_SHARE: Final = 0.09
_LEAST_PX: Final = 9
_RING_MOMENT: Final = (1 + (RING_INNER_MM / RING_OUTER_MM) ** 2) / 4
"""Variance of a ring along any axis, in squares of its outer radius."""
_MOST_AXES: Final = 2.4
_DOT_SHARE: Final = RING_DOT_MM / RING_OUTER_MM
_MOST_KEPT: Final = 14


@dataclass(frozen=True, slots=True, eq=False)
class FoundRing:
    """A ring as found.

    Attributes:
        centre_px: Column and row of its centre, counted from the picture's top left corner.
        shape_px: The 2 x 2 matrix that takes a circle of radius 1 to its outer edge, in pixels.
        contrast: How much darker the ring is than the bare ring inside it, 0 to 1.
    """

    centre_px: tuple[float, float]
    shape_px: NDArray[np.float64]
    contrast: float

    @property
    def radius_px(self) -> float:
        """The mean of its outer radius."""
        return float(np.sqrt(abs(np.linalg.det(self.shape_px))))


def reduced(grey: NDArray[np.uint8], longest_px: int) -> tuple[NDArray[np.float32], int]:
    """Return a picture made smaller by means over whole boxes of pixels, and by how much.

    Args:
        grey: Codes, shape (rows, columns).
        longest_px: The longest side wanted at most.
    """
    factor = max(1, -(-max(grey.shape) // longest_px))
    if factor == 1:
        return grey.astype(np.float32), 1
    rows, columns = grey.shape[0] // factor, grey.shape[1] // factor
    whole = grey[: rows * factor, : columns * factor]
    total = np.zeros((rows, columns), np.float32)
    for row in range(factor):
        band = whole[row::factor]
        for column in range(factor):
            total += band[:, column::factor]
    total /= factor * factor
    return total, factor


def find_rings(grey: NDArray[np.uint8], longest_px: int) -> tuple[FoundRing, ...]:
    """Return the rings of a picture, the clearest first.

    Args:
        grey: Codes, shape (rows, columns), from dark to light.
        longest_px: The longest side that the picture is brought down to.
    """
    from scipy import ndimage

    small, factor = reduced(grey, longest_px)
    smooth = ndimage.gaussian_filter(small, 0.8)
    found: list[FoundRing] = []
    for share in (_WINDOW_SHARE, 2.5 * _WINDOW_SHARE):
        window = max(15, int(share * max(small.shape)))
        mean = ndimage.uniform_filter(smooth, window)
        for threshold in THRESHOLDS:
            for ring in _rings_at(smooth, smooth < threshold * mean):
                _keep(found, ring)
    found.sort(key=lambda ring: -ring.contrast)
    return tuple(
        FoundRing(
            ((ring.centre_px[0] + 0.5) * factor, (ring.centre_px[1] + 0.5) * factor),
            ring.shape_px * factor,
            ring.contrast,
        )
        for ring in found[:_MOST_KEPT]
    )


def _keep(found: list[FoundRing], ring: FoundRing) -> None:
    """Add a ring, or put it in the place of one at the same spot that is less clear."""
    for index, other in enumerate(found):
        apart = np.hypot(ring.centre_px[0] - other.centre_px[0], ring.centre_px[1] - other.centre_px[1])
        if apart < 0.6 * max(ring.radius_px, other.radius_px):
            if ring.contrast > other.contrast:
                found[index] = ring
            return
    found.append(ring)


def _rings_at(light: NDArray[np.float32], dark: NDArray[np.bool_]) -> list[FoundRing]:
    """Return the rings among connected dark places."""
    from scipy import ndimage
    from scipy.spatial import cKDTree

    labels, count = ndimage.label(dark)
    if not 2 <= count <= 60_000:
        return []
    boxes = ndimage.find_objects(labels)
    spans = np.array([(b[0].start, b[0].stop, b[1].start, b[1].stop) for b in boxes], np.float64)
    tall, wide = spans[:, 1] - spans[:, 0], spans[:, 3] - spans[:, 2]
    centres = np.column_stack((spans[:, 2] + spans[:, 3] - 1, spans[:, 0] + spans[:, 1] - 1)) / 2
    most = 0.45 * min(light.shape)
    ringlike = (np.minimum(tall, wide) >= _LEAST_PX) & (np.maximum(tall, wide) <= most) & (
        np.maximum(tall, wide) <= _MOST_AXES * np.minimum(tall, wide)
    )  # fmt: skip
    tree = cKDTree(centres)
    rings = []
    for index in np.flatnonzero(ringlike):
        size = np.sqrt(tall[index] * wide[index])
        near = [other for other in tree.query_ball_point(centres[index], 0.13 * size) if other != index]
        dots = [
            other for other in near
            if 0.12 * tall[index] <= tall[other] <= 0.55 * tall[index]
            and 0.12 * wide[index] <= wide[other] <= 0.55 * wide[index]
        ]  # fmt: skip
        if not dots:
            continue
        ring = _judged(light, labels, boxes[index], int(index) + 1)
        if ring is not None:
            rings.append(ring)
    return rings


def _judged(light: NDArray[np.float32], labels: NDArray[Any], box: Any, label: int) -> FoundRing | None:
    """Return a connected place as a ring, or `None` where its parts do not lie as a ring's do."""
    rows, columns = np.nonzero(labels[box] == label)
    rows, columns = rows + box[0].start, columns + box[1].start
    centre = np.array([columns.mean(), rows.mean()])
    spread = np.cov(np.stack((columns, rows)).astype(np.float64)) / _RING_MOMENT
    values, vectors = np.linalg.eigh(spread)
    if values[0] <= 0 or values[1] > _MOST_AXES**2 * values[0]:
        return None
    shape = vectors @ np.diag(np.sqrt(values)) @ vectors.T
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    circle = np.stack((np.cos(turn), np.sin(turn)))
    middle = (RING_OUTER_MM + RING_INNER_MM) / 2 / RING_OUTER_MM
    bare = (RING_INNER_MM + RING_DOT_MM) / 2 / RING_OUTER_MM
    on_ring = _sampled(labels == label, centre, shape @ circle * middle)
    inside = _sampled(labels == label, centre, shape @ circle * bare)
    if on_ring.mean() < 0.9 or inside.mean() > 0.1:
        return None
    dark = _sampled(light, centre, shape @ circle * middle)
    pale = _sampled(light, centre, shape @ circle * bare)
    dot = _sampled(light, centre, shape @ circle * (0.4 * _DOT_SHARE))
    contrast = float(1 - dark.mean() / max(pale.mean(), 1e-6))
    if dot.mean() > 0.5 * (dark.mean() + pale.mean()) + 0.1 * (pale.mean() - dark.mean()) or contrast < 0.04:
        return None
    return FoundRing((float(centre[0]), float(centre[1])), shape, contrast)


def _sampled(picture: NDArray[Any], centre: NDArray[np.float64], offsets: NDArray[np.float64]) -> NDArray[Any]:
    """Return the nearest pixels at offsets, shape (2, n), from a centre; places outside count as the edge."""
    columns = np.clip(np.rint(centre[0] + offsets[0]).astype(int), 0, picture.shape[1] - 1)
    rows = np.clip(np.rint(centre[1] + offsets[1]).astype(int), 0, picture.shape[0] - 1)
    taken: NDArray[Any] = picture[rows, columns]
    return taken
