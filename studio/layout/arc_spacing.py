"""Even spacing on arcs: every pair of letters keeps the gap it has on a straight line.

On an arc the gap between two letters spreads or closes with height. The advance of each pair is solved so that its
mean gap over the height of the capitals is the straight line's, which keeps the face's kerning; then it is widened
where the letters' ink would come closer than the floor.

Invariant: on an infinite radius the advances are the shaper's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValues
from studio.layout.letter_contact import (
    LEAST_CURVATURE,
    Floats,
    LetterSides,
    facing_sides,
    for_each_pair,
    least_advances,
    straight_distances,
)
from studio.layout.work import STEP_MS, WORK
from studio.text.connected import is_connected
from studio.text.font import Face
from studio.text.shaping import Cluster, ShapedLine
from studio.text.side_profiles import (
    HEIGHTS,
    STEPS_BELOW,
    STEPS_PER_CAP,
    cluster_key,
    line_cap_height_em,
    profile_of,
)

LONGEST_GAP_EM: Final = 0.45
"""Gaps wider than this look no wider: they count as this much in the mean (and a word space on top of it)."""
_BAND: Final = slice(STEPS_BELOW + 1, STEPS_BELOW + STEPS_PER_CAP, 2)
"""The heights the mean is taken at: the middles of 32 bands from the baseline to the top of the capitals."""
_MARGIN_EM: Final = 0.001
"""Added to the finest gap for what sides made of chords may be out by, so that what is kept open measures as open."""
_SOLVER_STEPS: Final = 8
_PairKey: TypeAlias = tuple[object, ...]
_GAPS_EM: Final = KeptValues[Face, _PairKey, tuple[float, float]]()
"""How far apart two letters stand on a straight line, after how far that was measured."""
_MEASURED_EM: Final = (0.03, 0.06, 0.12, 0.25, 0.5, 2.0)
"""How far straight distances are measured: the first of these beyond the finest gap."""


def tracking_allowed(line: ShapedLine) -> bool:
    """Whether the gaps of a line may be changed: no letters that join, no script that must not be set apart."""
    if not all(cluster.trackable for cluster in line.clusters):
        return False
    faces = {glyph.face.key: glyph.face for cluster in line.clusters for glyph in cluster.glyphs}
    return not any(is_connected(face) for face in faces.values())


def plain_steps_em(clusters: tuple[Cluster, ...]) -> Floats:
    """Return the way along the baseline between the middles of neighbouring clusters, shape (C - 1,), in ems."""
    advances = np.array([cluster.advance_em for cluster in clusters], dtype=np.float64)
    steps: Floats = (advances[:-1] + advances[1:]) / 2
    return steps


def even_steps_em(clusters: tuple[Cluster, ...], radii_em: Floats, side: int, finest_gap_em: Floats | float) -> Floats:
    """Return the way along the baseline between the middles of neighbouring clusters after evening the gaps.

    Args:
        clusters: A line's clusters in visual order, C of them; `tracking_allowed` is the caller's question.
        radii_em: Radii of U baseline circles, in ems; may be infinite.
        side: +1 where the letters' tops point away from the centre, -1 where they point to it.
        finest_gap_em: What must stay open between two letters, one for all radii or shape (U,). No pair comes closer
            than this, or than it stands on a straight line where that is less.

    Returns:
        Arc lengths on the baseline circle in ems, shape (U, C - 1).
    """
    return EvenSpacing(clusters).steps_em(radii_em, side, finest_gap_em)


@dataclass(frozen=True, slots=True, eq=False)
class _Pairs:
    """Neighbouring clusters with ink, P pairs, spaces between them passed over.

    Attributes:
        inner: The steps from the first cluster with ink to the last.
        of_step: Which pair each of them belongs to.
        plain_em: From middle to middle on a straight line.
        right: Right side of the left clusters at all heights, from their middles, shape (P, HEIGHTS); filled where
            there is no ink, so that neighbouring heights can be interpolated.
        left: The same of the right clusters.
        shared: Whether both have ink, at the heights of the mean, shape (P, 32).
        longest_em: What a gap counts for at most.
        target_em: Mean straight gap over the shared heights.
    """

    inner: slice
    of_step: NDArray[np.intp]
    plain_em: Floats
    right: Floats
    left: Floats
    shared: Floats
    longest_em: Floats
    target_em: Floats
    sides: LetterSides
    known: tuple[tuple[dict[_PairKey, tuple[float, float]], _PairKey], ...]


class EvenSpacing:
    """The even spacing of one line, ready for any radius."""

    def __init__(self, clusters: tuple[Cluster, ...]) -> None:
        self.plain_em = plain_steps_em(clusters)
        self.cap_height_em = line_cap_height_em(clusters)
        self._step_em = self.cap_height_em / STEPS_PER_CAP
        inked = [index for index, cluster in enumerate(clusters) if cluster.has_ink]
        self._pairs = self._paired(clusters, inked) if len(inked) > 1 else None

    def steps_em(self, radii_em: Floats, side: int, finest_gap_em: Floats | float) -> Floats:
        """Return the steps at U radii; see `even_steps_em`."""
        radii = np.asarray(radii_em, dtype=np.float64)
        WORK.done_ms += STEP_MS * len(radii) * len(self.plain_em)
        curvature = np.where(radii * LEAST_CURVATURE < 1, 1 / radii, 0.0)
        finest = np.broadcast_to(np.asarray(finest_gap_em, dtype=np.float64), radii.shape)
        steps: Floats = self.plain_em / self._middle(curvature, side)
        if self._pairs is not None:
            pairs = self._pairs
            advances = self._evened(pairs, curvature, side)
            floor = np.minimum(
                self._straight_gaps(pairs, float(finest.max(initial=0.0)) + _MARGIN_EM), finest[:, None] + _MARGIN_EM
            )
            advances = least_advances(pairs.sides, curvature, side, floor, advances)
            share = advances / pairs.plain_em
            steps[:, pairs.inner] = self.plain_em[pairs.inner] * share[:, pairs.of_step]
        steps[curvature == 0] = self.plain_em
        return steps

    def steps_em_each(self, radii_em: Floats, side: int, finest_gap_em: float) -> Floats:
        """Return the steps, each at a radius of its own, shapes (C - 1,): what `steps_em` has on its diagonal."""
        radii = np.asarray(radii_em, dtype=np.float64)
        WORK.done_ms += STEP_MS * len(radii)
        curvature = np.where(radii * LEAST_CURVATURE < 1, 1 / radii, 0.0)
        steps: Floats = self.plain_em / self._middle(curvature, side)[:, 0]
        if self._pairs is not None:
            pairs = self._pairs
            here = curvature[pairs.inner]
            turn = np.arange(len(here)) - np.searchsorted(pairs.of_step, pairs.of_step)
            bends = np.tile(here[turn == 0], (int(turn.max()) + 1, 1))
            bends[turn, pairs.of_step] = here
            floor = np.minimum(self._straight_gaps(pairs, finest_gap_em + _MARGIN_EM), finest_gap_em + _MARGIN_EM)
            evened = self._evened(pairs, bends, side)
            advances = least_advances(pairs.sides, bends, side, np.broadcast_to(floor, bends.shape), evened)
            share = advances / pairs.plain_em
            steps[pairs.inner] = self.plain_em[pairs.inner] * share[turn, pairs.of_step]
        return np.where(curvature == 0, self.plain_em, steps)

    def _paired(self, clusters: tuple[Cluster, ...], inked: list[int]) -> _Pairs:
        first, last = np.array(inked[:-1]), np.array(inked[1:])
        profiles = [profile_of(clusters[index], self.cap_height_em) for index in inked]
        middles = np.array([clusters[index].advance_em for index in inked]) / 2
        before = np.concatenate([[0.0], np.cumsum(self.plain_em)])
        plain = before[last] - before[first]
        right_x = np.stack([profile.right.x_em for profile in profiles[:-1]]) - middles[:-1, None]
        left_x = np.stack([profile.left.x_em for profile in profiles[1:]]) - middles[1:, None]
        gaps = plain[:, None] + left_x[:, _BAND] - right_x[:, _BAND]
        shared = np.isfinite(gaps).astype(np.float64)
        spaces = plain - (middles[:-1] + middles[1:])
        longest = LONGEST_GAP_EM + np.maximum(spaces, 0.0)
        total = np.where(shared > 0, np.minimum(gaps, longest[:, None]), 0.0).sum(axis=1)
        target = total / np.maximum(shared.sum(axis=1), 1)
        right = np.stack([profile.right.chain_em for profile in profiles[:-1]])
        left = np.stack([profile.left.chain_em for profile in profiles[1:]])
        right[..., 0] -= middles[:-1, None]
        left[..., 0] -= middles[1:, None]
        return _Pairs(
            slice(inked[0], inked[-1]),
            np.repeat(np.arange(len(first)), last - first),
            plain,
            np.stack([profile.right.filled_em for profile in profiles[:-1]]) - middles[:-1, None],
            np.stack([profile.left.filled_em for profile in profiles[1:]]) - middles[1:, None],
            shared,
            longest,
            target,
            facing_sides(right, left, self._step_em),
            tuple(
                (_GAPS_EM.of(clusters[a].glyphs[0].face), _pair_key(clusters[a], clusters[b], plain[index]))
                for index, (a, b) in enumerate(pairwise(inked))
            ),
        )

    def _evened(self, pairs: _Pairs, curvature: Floats, side: int) -> Floats:
        """Return the advances, shape (U, P), at which mean gaps are the straight line's."""
        bent = for_each_pair(np.maximum(curvature, LEAST_CURVATURE))
        heights = np.arange(1, STEPS_PER_CAP, 2) * self._step_em
        share2 = np.maximum(1 + side * bent * heights, 0.02) ** 2
        turned_a, turned_b = bent * pairs.right[:, _BAND], bent * pairs.left[:, _BAND]
        level = (np.sqrt(turned_a**2 + share2) + np.sqrt(turned_b**2 + share2) - 2) / (2 * bent)
        along_a = self._along_at(pairs.right, level, bent, side)
        along_b = self._along_at(pairs.left, level, bent, side)
        between = along_b - along_a
        stretch = 1 + bent * level
        weight = pairs.shared / np.maximum(pairs.shared.sum(axis=1), 1)[:, None]
        longest = pairs.longest_em[:, None]
        target = pairs.target_em
        slope = (weight * stretch).sum(axis=2)
        free = slope == 0
        advance = (target - (weight * stretch * between).sum(axis=2)) / np.where(free, 1.0, slope)
        for _ in range(_SOLVER_STEPS):
            gaps = (advance[..., None] + between) * stretch
            open_ = np.where(gaps < longest, weight, 0.0)
            mean = (open_ * gaps).sum(axis=2) + ((weight - open_) * longest).sum(axis=2)
            slope = (open_ * stretch).sum(axis=2)
            missing = np.where(slope > 0, target - mean, 0.0)
            if np.abs(missing).max() < 1e-9:
                break
            advance = advance + missing / np.where(slope > 0, slope, 1.0)
        unseen = free | (pairs.target_em >= pairs.longest_em - 1e-9)
        evened: Floats = np.where(unseen, pairs.plain_em / self._middle(curvature, side), advance)
        return evened

    def _middle(self, curvature: Floats, side: int) -> Floats:
        """Return the radius through the middle of the capitals as a share of the baseline's, shape (U, 1 or P)."""
        middle: Floats = np.maximum(1 + side * for_each_pair(curvature)[..., 0] * self.cap_height_em / 2, 0.1)
        return middle

    def _along_at(self, outline: Floats, level: Floats, bent: Floats, side: int) -> Floats:
        """Return where sides stand on circles of the given levels: the along of the ink found there."""
        radius = 1 / bent
        whole = radius + level
        x = outline[:, _BAND]
        reach = np.sqrt(np.maximum(whole * whole - x * x, 0.0))
        place = side * (reach - radius) / self._step_em + STEPS_BELOW
        place = np.clip(place, 0, HEIGHTS - 1.001)
        lower = place.astype(np.intp)
        row = np.arange(len(outline))[:, None] * HEIGHTS + lower
        flat = outline.ravel()
        part = place - lower
        met = flat[row] * (1 - part) + flat[row + 1] * part
        along: Floats = np.arcsin(np.clip(met / whole, -1, 1)) * radius
        return along

    def _straight_gaps(self, pairs: _Pairs, finest_em: float) -> Floats:
        """Return each pair's distance on a straight line: inf beyond the finest gap, -1 where the letters touch."""
        gaps = np.full(len(pairs.plain_em), np.inf)
        unknown = []
        for index, (kept_of_face, key) in enumerate(pairs.known):
            measured, gap = kept_of_face.get(key, (-1.0, np.inf))
            gaps[index] = gap
            if gap > measured and measured < finest_em:
                unknown.append(index)
        if unknown:
            farthest = next((length for length in _MEASURED_EM if length >= finest_em), finest_em)
            kept = np.array(unknown)
            sides = pairs.sides
            some = facing_sides(sides.right[kept], sides.left[kept], sides.step_em)
            found = straight_distances(some, pairs.plain_em[kept], farthest)
            gaps[kept] = np.where(found > 0, found, -1.0)
            for index in unknown:
                kept_of_face, key = pairs.known[index]
                kept_of_face[key] = (farthest, float(gaps[index]))
        return gaps


def _pair_key(left: Cluster, right: Cluster, plain_em: float) -> _PairKey:
    return (cluster_key(left), cluster_key(right), round(float(plain_em), 7), right.glyphs[0].face.key)
