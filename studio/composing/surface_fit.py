"""Reduced lines kept printable: letters set further apart, then the line a little larger, else whole."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from studio.basics.kept import KeptValue
from studio.checks.letter_gaps import edges
from studio.checks.stroke_and_gap import glyph_thickness
from studio.composing.block import SetLine
from studio.composing.placing import SizeLimits
from studio.composing.prices import LARGEST_REDUCED, SCALE, SECOND_LINE
from studio.geometry.distance import gaps_of_pairs
from studio.layout.letter_ink import LineInk
from studio.layout.search import joins

MOST_TRACK_EM: Final = 0.12
"""Letters of a reduced line are set this much further apart at most."""
_TOUCHING_EM: Final = 1e-6
_SLACK: Final = 1.004
_STEPS: Final = (*sorted(size for size in SCALE if size <= LARGEST_REDUCED), LARGEST_REDUCED)


def printable(line: SetLine, em_mm: float, limits: SizeLimits) -> SetLine:
    """Return a reduced line as the surface can hold it.

    Args:
        line: The line; one at full size comes back as it is.
        em_mm: The em of the name.
        limits: The finest stroke and gap of the surface.
    """
    if line.level >= 1:
        return line
    ratio = line.size / line.level
    for level in (line.level, *(step for step in _STEPS if step > line.level + 1e-6)):
        changed = replace(line, level=level, size=level * ratio)
        track_em = _track_em(changed, em_mm, limits)
        if track_em is not None and _holds(changed, em_mm, limits):
            return replace(changed, track_em=track_em)
    whole = replace(line, level=1.0, size=ratio)
    if _holds(whole, em_mm, limits) and line.owner == 0:
        return whole
    most = LARGEST_REDUCED if line.owner == 0 else SECOND_LINE
    return replace(line, level=most, size=most * ratio)


def _holds(line: SetLine, em_mm: float, limits: SizeLimits) -> bool:
    """Whether the strokes of a line's letters, and the gaps in them, hold on the surface."""
    stroke_em, inner_em = _finest_em(line.ink)
    own_mm = em_mm * line.size
    return stroke_em * own_mm >= limits.finest_stroke_mm and inner_em * own_mm >= limits.finest_gap_mm


_FINEST_EM: Final = KeptValue[LineInk, tuple[float, float]]()
_GAPS_EM: Final = KeptValue[LineInk, tuple[float, ...]]()


def _finest_em(ink: LineInk) -> tuple[float, float]:
    """Return the thinnest stroke of a line's letters and the narrowest gap within one, its own em."""
    return _FINEST_EM.of(ink, lambda: _measured_em(ink))


def _measured_em(ink: LineInk) -> tuple[float, float]:
    measured = [glyph_thickness(letter.outline, ink.line.face.cap_height_em) for letter in ink.letters]
    strokes = [each.stroke.width for each in measured if each.stroke is not None]
    gaps = [each.gap.width for each in measured if each.gap is not None]
    return min(strokes, default=1.0), min(gaps, default=1.0)


def _track_em(line: SetLine, em_mm: float, limits: SizeLimits) -> float | None:
    """Return how much further apart letters must stand to keep the surface's gap; `None` when that is too much."""
    if joins(line.ink):
        return 0.0
    needed_em = limits.finest_gap_mm / (em_mm * line.size) * _SLACK
    short_em = max((needed_em - gap for gap in _gaps_em(line.ink) if gap > _TOUCHING_EM), default=0.0)
    if short_em <= 0:
        return 0.0
    track_em = round(short_em * 1.15 + 0.002, 3)
    return track_em if track_em <= MOST_TRACK_EM else None


def _gaps_em(ink: LineInk) -> tuple[float, ...]:
    """Return the gap of each pair of neighbouring letters as the face sets them, its own em."""
    return _GAPS_EM.of(ink, lambda: _measured_gaps_em(ink))


def _measured_gaps_em(ink: LineInk) -> tuple[float, ...]:
    outlines = [edges(letter.outline) for letter in ink.letters]
    starts = ink.mids_em - ink.advances_em / 2
    level = np.zeros(max(len(starts) - 1, 0))
    widths = gaps_of_pairs(outlines[:-1], outlines[1:], np.diff(starts), level, level)[0] if len(level) else level
    return tuple(float(width) for width in widths if not np.isnan(width))
