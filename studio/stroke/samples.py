"""Points along an outline, thinned out for triangulating, with the way back to the exact outline.

Invariant: every sample lies on the outline, every corner of the outline is a sample, and neighbours along a contour
are at most the spacing apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Contours = tuple[Floats, ...]

CORNER_COSINE = float(np.cos(np.radians(20.0)))
"""A vertex that turns by more than this is a corner; flattened curves turn by a few degrees a vertex."""
BEND = float(np.radians(40.0))
"""The outline turns by at most this from one sample to the next, so that small round notches are not stepped over."""
LEAST_STEP = 1e-10
"""Points closer than this to the next one are left out: no direction can be told between them."""
LEAST_SAMPLES = 12
"""A contour smaller than the spacing is still walked in this many steps."""


@dataclass(frozen=True, slots=True)
class Path:
    """One contour, closed (first point repeated at the end), with the distance walked to each vertex."""

    points: Floats
    walked: Floats

    @property
    def length(self) -> float:
        """Length of the whole contour."""
        return float(self.walked[-1])

    def at(self, positions: Floats) -> Floats:
        """Return the points at the given distances walked, shape (n, 2)."""
        x = np.interp(positions, self.walked, self.points[:, 0])
        y = np.interp(positions, self.walked, self.points[:, 1])
        return np.column_stack((x, y))

    def stretch(self, middle: float, reach: float) -> Floats:
        """Return the piece of the contour within `reach` of the distance `middle`, every vertex kept."""
        start, stop = middle - reach, middle + reach
        first, last = (self._before(place) for place in (start, stop))
        count = len(self.walked) - 1
        ends = self.at(np.mod((start, stop), self.length))
        return np.concatenate((ends[:1], self.points[np.arange(first, last) % count], ends[1:]))

    def _before(self, place: float) -> int:
        """Return how many vertices lie before a distance, counted on through the turns."""
        turns, rest = divmod(place, self.length)
        return int(turns) * (len(self.walked) - 1) + int(np.searchsorted(self.walked[:-1], rest))


@dataclass(frozen=True, slots=True)
class OutlineSamples:
    """The samples of all contours, in order along each."""

    paths: tuple[Path, ...]
    points: Floats
    contour: Indices
    """Which contour each sample is on."""
    position: Floats
    """How far along its contour."""
    following: Indices
    preceding: Indices


def closed_paths(contours: Contours) -> tuple[Path, ...]:
    """Return the contours that enclose something, without repeated points, ink on the left."""
    paths = []
    area = 0.0
    for contour in contours:
        steps = np.roll(contour, -1, axis=0) - contour
        points = contour[np.einsum("ij,ij->i", steps, steps) > LEAST_STEP * LEAST_STEP]
        if len(points) < 3:
            continue
        closed = np.vstack((points, points[:1]))
        area += float(np.dot(closed[:-1, 0], closed[1:, 1]) - np.dot(closed[1:, 0], closed[:-1, 1]))
        paths.append(closed)
    if area < 0.0:
        paths = [closed[::-1] for closed in paths]
    walks = (np.hypot(*np.diff(closed, axis=0).T) for closed in paths)
    return tuple(
        Path(closed, np.concatenate(((0.0,), np.cumsum(walk)))) for closed, walk in zip(paths, walks, strict=True)
    )


def sample_positions(path: Path, spacing: float) -> Floats:
    """Return distances along a contour: all its corners, and between them steps of at most `spacing` and `BEND`."""
    sides = np.diff(path.points, axis=0) / np.diff(path.walked)[:, None]
    before = np.roll(sides, 1, axis=0)
    straightness = np.einsum("ij,ij->i", sides, before)
    corner = straightness < CORNER_COSINE
    bends = np.where(corner, 0.0, np.arccos(np.minimum(straightness, 1.0))) / (2.0 * BEND)
    strides = np.diff(path.walked) / min(spacing, path.length / LEAST_SAMPLES) + bends + np.roll(bends, -1)
    paced = np.concatenate(((0.0,), np.cumsum(strides)))
    corners = paced[:-1][corner] if corner.any() else np.zeros(1)
    stretches = np.diff(np.concatenate((corners, (corners[0] + paced[-1],))))
    counts = np.ceil(stretches - 1e-9).astype(np.intp)
    first = np.cumsum(counts) - counts
    within = np.arange(int(counts.sum())) - np.repeat(first, counts)
    places = np.repeat(corners, counts) + within * np.repeat(stretches / np.maximum(counts, 1), counts)
    return np.sort(np.interp(np.mod(places, paced[-1]), paced, path.walked))


def rim_of(paths: tuple[Path, ...], positions: list[Floats]) -> OutlineSamples:
    """Join the samples of all contours into one set of arrays."""
    counts = [len(places) for places in positions]
    ends = np.cumsum(counts)
    numbers = np.arange(int(ends[-1]))
    following, preceding = numbers + 1, numbers - 1
    following[ends - 1] = ends - counts
    preceding[ends - counts] = ends - 1
    return OutlineSamples(
        paths,
        np.concatenate([path.at(places) for path, places in zip(paths, positions, strict=True)]),
        np.repeat(np.arange(len(paths)), counts),
        np.concatenate(positions),
        following,
        preceding,
    )
