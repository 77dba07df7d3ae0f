"""Gaps between letters: every pair that stands close is compared exactly, as the face draws them.

Letters that stand apart have a distance. Letters that touch have none, and may still leave a narrow slit beside the
place where they meet, as two joined loops do: their ink is united and measured as one outline.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from weakref import ReferenceType, ref

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValue, KeptValues
from studio.geometry.distance import OutlineEdges, edges_of, gap_to_point, gaps_of_pairs, joined_ink, windings
from studio.layout.placement import PlacedLetter, PlacedLettering
from studio.stroke.measure import narrowest_gap
from studio.stroke.results import Narrowest
from studio.text.font import GlyphOutline

NEAR_CAPS: Final = 0.35
"""How near two letters that are no neighbours must come to be compared, in cap heights."""
TOUCHING_EM: Final = 1e-8
"""Letters no further apart than this touch."""
GRAIN_EM: Final = 1e-7
"""United outlines are set on a grid this fine."""
_SAME_EM: Final = 0.02
"""A gap this close to a letter's own, and this like it in width, is that one."""
_BESIDE: Final = 1.1
"""How far from the middle of a gap, in halves of its width, the ink that bounds it may lie."""
_STAND_DIGITS: Final = 9
_PAIRS_KEPT: Final = 256

SLITS: Final = KeptValues[GlyphOutline, tuple[float, ...], tuple[ReferenceType[GlyphOutline], Narrowest | None]]()
"""Slits of touching pairs by their left letter: the right one, how it stands beside it, and the slit."""
_SCALED: Final = KeptValues[GlyphOutline, float, OutlineEdges](most=8)
_EDGES: Final = KeptValue[GlyphOutline, OutlineEdges]()


@dataclass(frozen=True, slots=True)
class LetterGap:
    """A gap between two letters of a lettering, in em and in the left letter's own axes."""

    left: PlacedLetter
    right: PlacedLetter
    place: Narrowest


def letter_gaps(lettering: PlacedLettering, boxes: NDArray[np.float64]) -> tuple[LetterGap, ...]:
    """The gap of each pair of neighbours on a line, and of all others that come within `NEAR_CAPS` of each other.

    Letters that touch count with the slit they leave between them, if they leave one that is narrower than any gap of
    their own. A gap that a third letter's ink lies over is none. `boxes` are those of `boxes_mm`.
    """
    letters = lettering.letters
    if len(letters) < 2:
        return ()
    near_mm = NEAR_CAPS * lettering.cap_height_mm
    ones, others = _pairs(letters, boxes, near_mm)
    ratios = [letters[other].size / letters[one].size for one, other in zip(ones, others, strict=True)]
    lefts = [edges(letters[one].outline) for one in ones]
    rights = [_edges_at(letters[other].outline, ratio) for other, ratio in zip(others, ratios, strict=True)]
    along, up, turn = _stands(lettering, ones, others)
    widths, middles = gaps_of_pairs(lefts, rights, along, up, turn)
    gaps = []
    for number in np.flatnonzero(~np.isnan(widths)).tolist():
        one, other = ones[number], others[number]
        width = float(widths[number])
        place: Narrowest | None
        if width > TOUCHING_EM:
            place = Narrowest(width, float(middles[number, 0]), float(middles[number, 1]), "between", width)
        else:
            stand = (float(along[number]), float(up[number]), float(turn[number]))
            right = letters[other].outline
            right = right if ratios[number] == 1 else right.moved(ratios[number], 0.0, 0.0)
            place = _slit(letters[one].outline, right, stand, lettering)
        if place is None or (other != one + 1 and place.width * lettering.em_mm * letters[one].size > near_mm):
            continue
        if not _is_covered(place, letters[one], (one, other), lettering, boxes):
            gaps.append(LetterGap(letters[one], letters[other], place))
    return tuple(gaps)


def _stands(
    lettering: PlacedLettering, ones: Sequence[int], others: Sequence[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return where each right letter starts in the left one's own axes: along and up in em, and its turn."""
    every = np.array([(one.x_mm, one.y_mm, one.angle_rad, one.advance_em, one.size) for one in lettering.letters])
    (x, y, angle, advance, size), (to_x, to_y, to_angle, to_advance, to_size) = every[ones].T, every[others].T
    away_x, away_y, turn = (to_x - x) / lettering.em_mm / size, (to_y - y) / lettering.em_mm / size, to_angle - angle
    to_advance = to_advance * to_size / size
    cos, sin = np.cos(angle), np.sin(angle)
    along = away_x * cos + away_y * sin + advance / 2 - to_advance / 2 * np.cos(turn)
    up = away_y * cos - away_x * sin - to_advance / 2 * np.sin(turn)
    return along.round(_STAND_DIGITS), up.round(_STAND_DIGITS), turn.round(_STAND_DIGITS)


def _pairs(
    letters: tuple[PlacedLetter, ...], boxes: NDArray[np.float64], near_mm: float
) -> tuple[list[int], list[int]]:
    """Return the pairs worth comparing, as numbers of letters: neighbours on a line, and those whose boxes are near."""
    low, high = boxes[:, :2], boxes[:, 2:]
    apart = np.maximum(np.maximum(low[:, None] - high, low - high[:, None]), 0.0)
    near = np.triu(np.hypot(apart[..., 0], apart[..., 1]) < near_mm, 1)
    lines = np.array([letter.line for letter in letters])
    following = np.arange(len(letters) - 1)
    near[following, following + 1] = lines[1:] == lines[:-1]
    ones, others = np.nonzero(near)
    return ones.tolist(), others.tolist()


def boxes_mm(letters: tuple[PlacedLetter, ...]) -> NDArray[np.float64]:
    """The left, bottom, right and top of each letter's ink, shape (letters, 4)."""
    points = np.concatenate([contour for letter in letters for contour in letter.contours])
    sizes = np.array([sum(map(len, letter.contours)) for letter in letters])
    starts = np.cumsum(sizes) - sizes
    return np.hstack((np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)))


def _slit(
    left: GlyphOutline, right: GlyphOutline, stand: tuple[float, float, float], lettering: PlacedLettering
) -> Narrowest | None:
    """Return the slit that two touching letters leave, kept as long as the left outline is.

    Letters stand beside each other alike at any size on a straight line.
    """
    along, up, turn = stand
    known = left.joint(right, along) if up == turn == 0 else None
    if known is not None:
        return known.slit
    kept = SLITS.of(left)
    key = (id(right), *stand)
    found = kept.get(key)
    if found is None or found[0]() is not right:
        if len(kept) >= _PAIRS_KEPT:
            kept.clear()
        cap_em = lettering.cap_height_mm / lettering.em_mm
        found = kept[key] = (ref(right), slit_between(left, right, along, up, turn, cap_em))
    return found[1]


def slit_between(
    left: GlyphOutline, right: GlyphOutline, along: float, up: float, turn: float, cap_em: float
) -> Narrowest | None:
    """The narrowest gap of two outlines united, unless it is a gap of one of them alone.

    Args:
        left: An outline in em.
        right: The one that touches it, before it is turned by `turn` and moved by `along` and `up`.
        along: To the right, em.
        up: Em.
        turn: Radians.
        cap_em: Height of a capital.
    """
    cos, sin = math.cos(turn), math.sin(turn)
    whole = joined_ink(edges(left), edges(right).moved(along, up, turn), GRAIN_EM)
    found = narrowest_gap(whole, cap_height=cap_em)
    if found is None:
        return None
    for outline, (x, y), (c, s) in ((left, (0.0, 0.0), (1.0, 0.0)), (right, (along, up), (cos, sin))):
        own = outline.measured.gap if outline.measured else narrowest_gap(outline.contours, cap_height=cap_em)
        if own is not None:
            place = (x + own.x * c - own.y * s, y + own.x * s + own.y * c)
            if math.dist(place, (found.x, found.y)) < _SAME_EM and abs(own.width - found.width) < _SAME_EM * own.width:
                return None
    return found


def _is_covered(
    place: Narrowest,
    left: PlacedLetter,
    pair: tuple[int, int],
    lettering: PlacedLettering,
    boxes: NDArray[np.float64],
) -> bool:
    """Return whether the ink of a third letter lies over a gap."""
    at = np.array(left.point_mm(place.x, place.y, lettering.em_mm))
    over = np.flatnonzero(((boxes[:, :2] < at) & (at < boxes[:, 2:])).all(axis=1))
    return any(
        windings(edges(letter.outline), on_outline(letter, at[None], lettering.em_mm))[0] != 0
        for letter in (lettering.letters[number] for number in over.tolist() if number not in pair)
    )


def letters_beside(lettering: PlacedLettering, at: tuple[float, float], width_mm: float) -> tuple[PlacedLetter, ...]:
    """The letters, one or two in visual order, whose ink bounds a gap of a width about a place on the sign, mm."""
    reach_mm = _BESIDE * width_mm / 2
    point = np.array([at])
    away = [(gap_to_point(edges_of(letter.contours), point), letter) for letter in lettering.letters]
    near = sorted((entry for entry in away if entry[0] <= reach_mm), key=lambda entry: entry[0])[:2]
    kept = {id(letter) for _, letter in near}
    return tuple(letter for letter in lettering.letters if id(letter) in kept)


def edges(outline: GlyphOutline) -> OutlineEdges:
    """The edges of an outline, indexed and kept as long as it is."""
    return _EDGES.of(outline, lambda: edges_of(outline.contours).indexed())


def _edges_at(outline: GlyphOutline, ratio: float) -> OutlineEdges:
    """Return the edges of an outline at another size, for letters of lines that are set larger or smaller."""
    if ratio == 1:
        return edges(outline)
    return _SCALED.get(
        outline, ratio, lambda: edges_of(tuple(contour * ratio for contour in outline.contours)).indexed()
    )


def on_outline(letter: PlacedLetter, points: NDArray[np.float64], em_mm: float) -> NDArray[np.float64]:
    """Where points of the sign, mm, lie on a letter's outline, em: `PlacedLetter.point_mm` the other way."""
    em_mm *= letter.size
    cos, sin = math.cos(letter.angle_rad) / em_mm, math.sin(letter.angle_rad) / em_mm
    away = points - np.array([letter.x_mm, letter.y_mm])
    return np.asarray(away @ np.array([[cos, -sin], [sin, cos]]) + np.array([letter.advance_em / 2, 0.0]), np.float64)
