"""A shaped line as the fitting sees it: its ink in em units, gathered once, scaled and bent many times."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValue, KeptValues, Memory
from studio.geometry.shapes import Contours, Points, outermost
from studio.text.font import GlyphOutline
from studio.text.shaping import Cluster, ShapedLine

SAMPLE_STEP_EM: Final = 0.07
"""Furthest apart two samples of an edge stand: 3.5 mm on a 50 mm em."""
LED_STEP_EM: Final = 0.02
"""The same for edges that are led along an arc: each bulges from its chord by a few micrometres at most."""
_CORNER_RAD: Final = 0.25
"""From this turn on a corner is a sample of its own."""
_OUTER_RAD: Final = 0.07
_SCOUTS: Final = 64

Owners: TypeAlias = NDArray[np.intp]
_SAMPLES: Final = KeptValue[GlyphOutline, Points]()
_EDGES: Final = KeptValues[GlyphOutline, float, tuple[Points, Owners]]()
_OUTER: Final = KeptValue[GlyphOutline, Points]()


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Every edge of some outlines.

    Attributes:
        points: Where each edge starts, shape (n, 2).
        following: Index of the point where it ends, shape (n,).
        owner: Which letter it belongs to, shape (n,).
    """

    points: Points
    following: Owners
    owner: Owners


@dataclass(frozen=True, eq=False)
class LineInk:
    """The ink of a line.

    Attributes:
        letters: The clusters that show, in visual order.
        mids_em: Middle of each letter's advance along the straight line, shape (n,).
        advances_em: Their advances, shape (n,).
        hull: Hull corners of all letters, x from the letter's own mid-advance, shape (h, 2).
        hull_owner: Which letter each corner belongs to, shape (h,).
        samples: Corners and points between them on all edges, no further apart than `SAMPLE_STEP_EM`, shape (s, 2), x
            as in `hull`. Those of hull corners and of curves are right to about a hundredth of the em.
        sample_owner: Which letter each sample belongs to.
        scouts: Indices of some of the samples, spread over the line: where they hit something the line does.
        advance_em: Advance of the whole line, spaces included.
        memory: What was worked out for this line, kept with it.
    """

    line: ShapedLine
    letters: tuple[Cluster, ...]
    mids_em: NDArray[np.float64]
    advances_em: NDArray[np.float64]
    hull: Points
    hull_owner: Owners
    samples: Points
    sample_owner: Owners
    scouts: Owners
    advance_em: float
    memory: Memory = field(default_factory=dict, repr=False)

    @cached_property
    def straight_hull(self) -> Points:
        """Points that bound the straight line, all its hull corners among them, from the line's start."""
        along = self.hull.copy()
        along[:, 0] += self.mids_em[self.hull_owner]
        return outermost(along)

    @cached_property
    def straight_samples(self) -> Points:
        """Samples along the straight line, from the line's start."""
        along = self.samples.copy()
        along[:, 0] += self.mids_em[self.sample_owner]
        return along

    @cached_property
    def outer_samples(self) -> tuple[Points, Owners]:
        """Few points that bound the letters to a thousandth of the em, and the letters they belong to."""
        return _gathered([_outer(letter.outline) for letter in self.letters], self.advances_em)

    @cached_property
    def extents(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """How far each letter's ink reaches to the left and right of its mid-advance, shapes (n,)."""
        starts = np.flatnonzero(np.diff(self.hull_owner, prepend=-1))
        return np.minimum.reduceat(self.hull[:, 0], starts), np.maximum.reduceat(self.hull[:, 0], starts)

    def edges(self, step_em: float = SAMPLE_STEP_EM) -> Edges:
        """Return all edges, those longer than `step_em` cut, x from the letter's own mid-advance."""
        parts = [_glyph_edges(letter.outline, step_em) for letter in self.letters]
        ends = np.cumsum([0, *(len(points) for points, _ in parts)])
        owner = np.repeat(np.arange(len(parts)), np.diff(ends))
        points = np.concatenate([points for points, _ in parts])
        points[:, 0] -= self.advances_em[owner] / 2
        following = np.concatenate([after + end for (_, after), end in zip(parts, ends[:-1], strict=True)])
        return Edges(points, following, owner)


def line_ink(line: ShapedLine) -> LineInk | None:
    """Return the ink of a line, or nothing when none of it shows."""
    shown = [(cluster, start) for cluster, start in zip(line.clusters, line.starts_em, strict=True) if cluster.has_ink]
    if not shown:
        return None
    letters = tuple(cluster for cluster, _ in shown)
    advances = np.array([cluster.advance_em for cluster in letters])
    mids = np.array([start for _, start in shown]) + advances / 2
    hull, hull_owner = _gathered([cluster.outline.hull for cluster in letters], advances)
    samples, sample_owner = _gathered([edge_samples(cluster.outline) for cluster in letters], advances)
    every = max(1, len(samples) // _SCOUTS)
    return LineInk(
        line,
        letters,
        mids,
        advances,
        hull,
        hull_owner,
        samples,
        sample_owner,
        np.arange(0, len(samples), every),
        line.advance_em,
    )


def _gathered(parts: list[Points], advances: NDArray[np.float64]) -> tuple[Points, Owners]:
    owner = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    points = np.concatenate(parts)
    points[:, 0] -= advances[owner] / 2
    return points, owner


def edge_samples(outline: GlyphOutline) -> Points:
    """Return corners of an outline and points between, no further apart than the step."""
    return _SAMPLES.of(
        outline,
        lambda: np.concatenate([_cut(_thinned(contour), SAMPLE_STEP_EM) for contour in outline.contours]),
    )


def _glyph_edges(outline: GlyphOutline, step_em: float) -> tuple[Points, Owners]:
    """Return where every edge of an outline starts, and which point it leads to."""
    return _EDGES.get(outline, step_em, lambda: _cut_edges(outline, step_em))


def _cut_edges(outline: GlyphOutline, step_em: float) -> tuple[Points, Owners]:
    parts, following, start = [], [], 0
    for contour in outline.contours:
        points = _cut(contour, step_em)
        parts.append(points)
        following.append(start + np.roll(np.arange(len(points)), -1))
        start += len(points)
    return np.concatenate(parts), np.concatenate(following)


def _outer(outline: GlyphOutline) -> Points:
    return _OUTER.of(outline, lambda: _thinned(outline.hull, _OUTER_RAD))


def _thinned(contour: Points, corner_rad: float = _CORNER_RAD) -> Points:
    """Return a polygon without points that hardly turn, its corners kept: right to about a hundredth of the em."""
    ahead = np.roll(contour, -1, axis=0) - contour
    length = np.hypot(ahead[:, 0], ahead[:, 1])
    before = np.roll(ahead, 1, axis=0)
    turn = np.abs(np.arctan2(before[:, 0] * ahead[:, 1] - before[:, 1] * ahead[:, 0], (before * ahead).sum(axis=1)))
    walked = np.floor(np.concatenate([[0.0], np.cumsum(length)[:-1]]) / SAMPLE_STEP_EM)
    turned = np.floor(np.cumsum(turn) / (2 * corner_rad))
    kept = (walked != np.roll(walked, 1)) | (turned != np.roll(turned, 1)) | (turn >= corner_rad)
    return contour[kept] if kept.sum() > 2 else contour


def _cut(contour: Points, step: float) -> Points:
    """Return a closed polygon with long edges cut so that none is longer than `step`."""
    ahead = np.roll(contour, -1, axis=0) - contour
    count = np.maximum(np.ceil(np.hypot(ahead[:, 0], ahead[:, 1]) / step), 1).astype(np.intp)
    edge = np.repeat(np.arange(len(contour)), count)
    first = np.cumsum(count) - count
    share = ((np.arange(len(edge)) - first[edge]) / count[edge])[:, None]
    cut: Points = contour[edge] + share * ahead[edge]
    return cut


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
