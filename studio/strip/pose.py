"""Where the strip lies in a picture: a homography, and one term for the lens.

Invariant: `to_px` and `to_mm` undo each other to a thousandth of a pixel. Nothing in a photo tells the strip's true
size: the strip's millimetres are taken as printed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.strip.layout import HEIGHT_MM, RING_OUTER_MM, RINGS_MM, WIDTH_MM
from studio.strip.marks import FoundRing

Points = NDArray[np.float64]
"""Shape (n, 2): x and y in mm, or column and row in pixels."""

LEAST_RINGS: Final = 6
_TOLERANCE_RADII: Final = 0.35
"""How far a ring may lie from where four others put it, in its own radii: a lens bends that much."""
_ROUGH_RINGS: Final = 5
_MODEL: Final[Points] = np.array(RINGS_MM)


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """The strip's place in a picture.

    Attributes:
        matrix: Homography, shape (3, 3), strip mm to pixels of a picture without a lens.
        middle_px: Column and row of the picture's middle.
        reach_px: Half the picture's diagonal.
        bend: The lens: a point at `reach_px` from the middle lies further out by this share.
        rings: Which of the ring marks it rests on.
        residual_px: Root mean square of what the rings leave.
    """

    matrix: NDArray[np.float64]
    middle_px: tuple[float, float]
    reach_px: float
    bend: float = 0.0
    rings: tuple[int, ...] = ()
    residual_px: float = 0.0

    def to_px(self, points_mm: Points) -> Points:
        """Return where points of the strip lie in the picture; pixel (0, 0) has its middle at (0.5, 0.5)."""
        flat = _mapped(self.matrix, points_mm)
        if not self.bend:
            return flat
        away = flat - self.middle_px
        share = (away**2).sum(axis=1, keepdims=True) / self.reach_px**2
        bent: Points = np.asarray(self.middle_px) + away * (1 + self.bend * share)
        return bent

    def to_mm(self, points_px: Points) -> Points:
        """Return which points of the strip are seen at places of the picture."""
        away = points_px - self.middle_px
        flat = away
        if self.bend:
            for _ in range(4):  # a fixed point; each turn gains a factor of 50 and more
                flat = away / (1 + self.bend * (flat**2).sum(axis=1, keepdims=True) / self.reach_px**2)
        back: Points = np.asarray(flat + self.middle_px, np.float64)
        inverse: NDArray[np.float64] = np.asarray(np.linalg.inv(self.matrix), np.float64)
        return _mapped(inverse, back)

    def steps_px_per_mm(self, x_mm: float, y_mm: float) -> NDArray[np.float64]:
        """Return the 2 x 2 matrix of pixels a mm at a place of the strip."""
        near = np.array([(x_mm - 0.5, y_mm), (x_mm + 0.5, y_mm), (x_mm, y_mm - 0.5), (x_mm, y_mm + 0.5)])
        at = self.to_px(near)
        return np.column_stack((at[1] - at[0], at[3] - at[2]))

    def px_per_mm(self, x_mm: float = 0.0, y_mm: float = 0.0) -> float:
        """Return how many pixels a mm takes at a place, in the mean of all directions."""
        return float(np.sqrt(abs(np.linalg.det(self.steps_px_per_mm(x_mm, y_mm)))))

    @property
    def is_mirrored(self) -> bool:
        """Whether the strip is seen left for right; rows run down, so a right one has a negative determinant."""
        return bool(np.linalg.det(self.steps_px_per_mm(0.0, 0.0)) > 0)

    @property
    def turn_deg(self) -> float:
        """How far the strip's long side is turned in the picture, counter-clockwise, -180 to 180."""
        step = self.steps_px_per_mm(0.0, 0.0)[:, 0]
        return float(np.degrees(np.arctan2(-step[1], step[0])))

    @property
    def outline_px(self) -> Points:
        """The strip's corners in the picture."""
        half_x, half_y = WIDTH_MM / 2, HEIGHT_MM / 2
        return self.to_px(np.array([(-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y)]))


def rough_poses(rings: tuple[FoundRing, ...], size_px: tuple[int, int]) -> list[Pose]:
    """Return poses that put ring marks where rings were found, the best first; at most a few of the same worth.

    Args:
        rings: As found in the picture.
        size_px: Width and height of the picture.
    """
    centres = np.array([ring.centre_px for ring in rings]).reshape(-1, 2)
    radii = np.array([ring.radius_px for ring in rings])
    if len(centres) < 4:
        return []
    model_quads, found_quads = _quads(centres)
    if not len(found_quads):
        return []
    matrices = _homographies(_MODEL[model_quads], centres[found_quads])
    ones = np.column_stack((_MODEL, np.ones(len(_MODEL))))
    seen = np.einsum("nij,mj->nmi", matrices, ones)
    depth = seen[..., 2]
    in_front = (np.sign(depth) == np.sign(depth[:, :1])).all(axis=1) & (np.abs(depth) > 1e-9).all(axis=1)
    matrices, seen = matrices[in_front], seen[in_front]
    at = seen[..., :2] / seen[..., 2:]
    edge = np.einsum("nij,mj->nmi", matrices, ones + np.array([RING_OUTER_MM, 0.0, 0.0]))
    size = np.hypot(*np.moveaxis(edge[..., :2] / edge[..., 2:] - at, -1, 0))
    apart = np.hypot(*np.moveaxis(at[:, :, None, :] - centres[None, None], -1, 0))
    nearest = apart.argmin(axis=2)
    gap = np.take_along_axis(apart, nearest[..., None], axis=2)[..., 0] / radii[nearest]
    alike = np.abs(np.log(np.maximum(size, 1e-9) / radii[nearest])) < 0.6
    hits = (gap < _TOLERANCE_RADII) & alike
    worth = hits.sum(axis=1) - 0.5 * np.where(hits, gap, 0.0).sum(axis=1) / _TOLERANCE_RADII / 7
    poses: list[Pose] = []
    kinds: list[tuple[tuple[int, int], ...]] = []
    for index in np.argsort(-worth, kind="stable")[:4000]:
        if hits[index].sum() < 4 or len(poses) >= 12:
            break
        pairs = tuple((int(mark), int(nearest[index, mark])) for mark in np.flatnonzero(hits[index]))
        if len({found for _, found in pairs}) < len(pairs) or any(set(pairs) <= set(kind) for kind in kinds):
            continue
        kinds.append(pairs)
        pose = Pose(matrices[index], (size_px[0] / 2, size_px[1] / 2), float(np.hypot(*size_px)) / 2)
        poses.append(fitted(pose, [mark for mark, _ in pairs], centres[[found for _, found in pairs]]))
    return poses


def fitted(pose: Pose, marks: list[int], centres_px: Points, *, lens: bool = True) -> Pose:
    """Return the pose that fits ring marks best, by least squares.

    Args:
        pose: A pose nearby, to start from.
        marks: Which ring marks were found.
        centres_px: Where, shape (n, 2).
        lens: Whether the lens is fitted too; it takes five rings.
    """
    from scipy.optimize import least_squares

    model = _MODEL[marks]
    scale = pose.matrix / pose.matrix[2, 2]
    with_lens = lens and len(marks) >= 6
    start = np.concatenate((scale.ravel()[:8], [pose.bend] if with_lens else []))
    units = np.concatenate((np.array([1, 1, 100, 1, 1, 100, 1e-3, 1e-3]), [1e-2] if with_lens else []))

    def posed(values: NDArray[np.float64]) -> Pose:
        matrix = np.append(values[:8], 1.0).reshape(3, 3)
        return replace(pose, matrix=matrix, bend=float(values[8]) if with_lens else 0.0)

    def left(values: NDArray[np.float64]) -> NDArray[np.float64]:
        away: NDArray[np.float64] = (posed(values * units).to_px(model) - centres_px).ravel()
        # a weak pull keeps the lens within what lenses do where few rings would leave it free
        return np.append(away, values[8] * units[8] * 5.0) if with_lens else away

    found = least_squares(left, start / units, method="lm" if not with_lens else "trf")
    best = posed(found.x * units)
    away = best.to_px(model) - centres_px
    residual = float(np.sqrt((away**2).sum(axis=1).mean()))
    return replace(best, rings=tuple(marks), residual_px=residual)


def _quads(centres: Points) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return fours of ring marks and of found rings that may be the same, as indexes, shape (n, 4) each.

    Perspective keeps the order of corners round a convex figure, so a four is turned and flipped but never crossed.
    """
    models = [_round(_MODEL, four) for four in combinations(range(len(_MODEL)), 4)]
    models = [four for four in models if four is not None]
    founds = [_round(centres, four) for four in combinations(range(len(centres)), 4)]
    turned = [
        way for four in founds if four is not None for start in range(4)
        for way in (np.roll(four, start), np.roll(four[::-1], start))
    ]  # fmt: skip
    if not turned:
        return np.zeros((0, 4), np.intp), np.zeros((0, 4), np.intp)
    every = np.array(turned)
    chosen = np.array([four for four in models if four is not None])
    return np.repeat(chosen, len(every), axis=0), np.tile(every, (len(chosen), 1))


def _round(points: Points, four: tuple[int, ...]) -> NDArray[np.intp] | None:
    """Return four points in order round their middle; `None` unless they are the corners of a fair convex figure."""
    at = points[list(four)]
    away = at - at.mean(axis=0)
    order = np.argsort(np.arctan2(away[:, 1], away[:, 0]))
    corners = at[order]
    following = np.roll(corners, -1, axis=0) - corners
    after = np.roll(following, -1, axis=0)
    turns = following[:, 0] * after[:, 1] - following[:, 1] * after[:, 0]
    sizes = np.hypot(*following.T)
    if (turns <= 0.02 * sizes.max() ** 2 * 0.3).any():
        return None
    kept: NDArray[np.intp] = np.array(four)[order]
    return kept


def _homographies(model: NDArray[np.float64], found: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the homographies that take fours of points, shape (n, 4, 2), to others, shape (n, 3, 3)."""
    count = len(model)
    system = np.zeros((count, 8, 8))
    x, y, u, v = model[..., 0], model[..., 1], found[..., 0], found[..., 1]
    system[:, :4, 0], system[:, :4, 1], system[:, :4, 2] = x, y, 1
    system[:, 4:, 3], system[:, 4:, 4], system[:, 4:, 5] = x, y, 1
    system[:, :4, 6], system[:, :4, 7] = -u * x, -u * y
    system[:, 4:, 6], system[:, 4:, 7] = -v * x, -v * y
    sound = np.abs(np.linalg.det(system)) > 1e-12
    values = np.zeros((count, 8))
    target = np.concatenate((u, v), axis=1)
    values[sound] = np.linalg.solve(system[sound], target[sound][..., None])[..., 0]
    matrices = np.concatenate((values, np.ones((count, 1))), axis=1).reshape(-1, 3, 3)
    kept: NDArray[np.float64] = matrices[sound]
    return kept


def _mapped(matrix: NDArray[np.float64], points: Points) -> Points:
    at = points @ matrix[:, :2].T + matrix[:, 2]
    mapped: Points = at[:, :2] / at[:, 2:]
    return mapped
