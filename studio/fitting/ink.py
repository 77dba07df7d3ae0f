"""A shaped line as the fitting sees it: its ink in em units, gathered once, scaled and bent many times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry import Contours, Points
from studio.lettering.face import GlyphOutline
from studio.lettering.shaping import Cluster, ShapedLine

SAMPLE_STEP_EM: Final = 0.05
"""Furthest apart two samples of an edge stand: 2.5 mm on a 50 mm em."""


@dataclass(frozen=True, slots=True, eq=False)
class LineInk:
    """The ink of a line.

    Attributes:
        letters: The clusters that show, in visual order.
        mids_em: Middle of each letter's advance along the straight line, shape (n,).
        advances_em: Their advances, shape (n,).
        hull: Hull corners of all letters, x from the letter's own mid-advance, shape (h, 2).
        hull_owner: Which letter each corner belongs to, shape (h,).
        samples: Points on all edges, no further apart than `SAMPLE_STEP_EM`, shape (s, 2), x as in `hull`.
        sample_owner: Which letter each sample belongs to.
        advance_em: Advance of the whole line, spaces included.
    """

    line: ShapedLine
    letters: tuple[Cluster, ...]
    mids_em: NDArray[np.float64]
    advances_em: NDArray[np.float64]
    hull: Points
    hull_owner: NDArray[np.intp]
    samples: Points
    sample_owner: NDArray[np.intp]
    advance_em: float

    @property
    def straight_hull(self) -> Points:
        """Hull corners along the straight line, from the line's start."""
        shift = np.stack([self.mids_em[self.hull_owner], np.zeros(len(self.hull))], axis=-1)
        return self.hull + shift

    @property
    def straight_samples(self) -> Points:
        """Samples along the straight line, from the line's start."""
        shift = np.stack([self.mids_em[self.sample_owner], np.zeros(len(self.samples))], axis=-1)
        return self.samples + shift


def line_ink(line: ShapedLine) -> LineInk | None:
    """Return the ink of a line, or nothing when none of it shows."""
    shown = [(cluster, start) for cluster, start in zip(line.clusters, line.starts_em, strict=True) if cluster.has_ink]
    if not shown:
        return None
    letters = tuple(cluster for cluster, _ in shown)
    advances = np.array([cluster.advance_em for cluster in letters])
    mids = np.array([start for _, start in shown]) + advances / 2
    hulls = [cluster.outline.hull - np.array([cluster.advance_em / 2, 0.0]) for cluster in letters]
    edges = [edge_samples(line, cluster.outline) - np.array([cluster.advance_em / 2, 0.0]) for cluster in letters]
    return LineInk(
        line,
        letters,
        mids,
        advances,
        np.concatenate(hulls),
        np.repeat(np.arange(len(letters)), [len(part) for part in hulls]),
        np.concatenate(edges),
        np.repeat(np.arange(len(letters)), [len(part) for part in edges]),
        line.advance_em,
    )


def edge_samples(line: ShapedLine, outline: GlyphOutline) -> Points:
    """Return points along an outline's edges, no further apart than `SAMPLE_STEP_EM`; kept with the face."""
    kept: dict[GlyphOutline, Points] = line.face.memory.setdefault("ink samples", {})
    if outline not in kept:
        kept[outline] = np.concatenate([sampled_edge(contour, SAMPLE_STEP_EM) for contour in outline.contours])
    return kept[outline]


def sampled_edge(contour: Points, step: float) -> Points:
    """Return points of a closed polygon at even distances of at most `step`, shape (n, 2)."""
    closed = np.concatenate([contour, contour[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(4, int(np.ceil(along[-1] / step)))
    at = np.linspace(0, along[-1], count, endpoint=False)
    return np.stack([np.interp(at, along, closed[:, 0]), np.interp(at, along, closed[:, 1])], axis=-1)


def split_contours(outline: GlyphOutline, points: Points) -> Contours:
    """Return moved points as the contours of the outline that they came from."""
    return tuple(np.split(points, outline.splits)) if len(points) else ()
