"""One text fitted: every layout allowed is tried, and the best is kept.

Best is first what survives the surface, then what is largest, then what is best balanced. Of one face the thinnest
stroke grows with the em, so the largest em is also the one that survives best; sizes within `NEAR` count as equal and
the better balanced wins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from studio.layout.arc_pitch import LetterSteps, Pitches
from studio.layout.arc_spacing import tracking_allowed
from studio.layout.bent_outline import ligature_lifts
from studio.layout.block import Block, block_of, fit_blocks
from studio.layout.circle_arc import fit_circle, most_mm
from studio.layout.fit import NEAR, NO_LIMIT_MM, TINIEST_EM_MM, Fit, Limits
from studio.layout.letter_ink import LineInk
from studio.layout.line_breaks import breaks, forced_lines
from studio.layout.open_area import OpenArea
from studio.layout.placement import FollowUsed
from studio.layout.rim_arc import RimArc
from studio.layout.shaped_text import ShapedText
from studio.model.sign import LetteringOrder, Spacing
from studio.text.connected import is_connected
from studio.text.font import Face
from studio.text.shaping import NO_LIGATURES

TIGHT_RADIUS_EM: Final = 20.0
"""Joined letters on an arc of a smaller radius are led along it; on a wider one the joins hold when turned."""
_ROUNDS: Final = 2
_SAME_SIZE: Final = 0.02
_EVENED_GAIN: Final = 1.25
"""How much larger evened letters may come out than plain ones, at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The best fit of a text, the spacing it was set with, and what else was tried, best first.

    Attributes:
        beaten: What was not worked out, since it has no room above a size: what it is, and that em in mm.
    """

    best: Fit
    spacing: Spacing
    starts: tuple[int, ...]
    others: tuple[Fit, ...]
    beaten: tuple[tuple[str, float], ...] = ()


def fit_text(order: LetteringOrder, setting: ShapedText, area: OpenArea, limits: Limits) -> Found | None:
    """Return the best fit of one text, or `None` when nothing of the smallest size fits.

    Args:
        order: What was asked for.
        setting: The text with its face, ready to be shaped.
        area: Where it may stand.
        limits: What bounds its size.
    """
    forced = forced_lines(setting.text)
    found: list[tuple[Fit, Spacing, tuple[int, ...]]] = []
    beaten: list[tuple[str, float]] = []
    if order.layout in ("auto", "box"):
        boxes, beaten = _boxes(setting, area, limits)
        found.extend(boxes)
    if order.layout != "box" and (order.layout != "auto" or len(forced) == 1):
        for side, layout in ((1, "arc-top"), (-1, "arc-bottom")):
            if order.layout in ("auto", layout):
                beat_mm = max((fit.em_mm for fit, _, _ in found), default=0.0)
                bound_mm = arc_bound_mm(order, setting, area, limits, side) if beat_mm else math.inf
                if bound_mm < beat_mm * NEAR:
                    beaten.append((layout, bound_mm))
                    continue
                fit, spacing = _arc(order, setting, area, limits, side)
                if fit is not None:
                    found.append((fit, spacing, (forced[0][0],)))
    if not found:
        return None
    largest = max(fit.em_mm for fit, _, _ in found)
    found.sort(key=lambda entry: (entry[0].em_mm < largest * NEAR, entry[0].balance, -entry[0].em_mm))
    fit, spacing, starts = found[0]
    others = sorted((entry[0] for entry in found[1:]), key=lambda other: -other.em_mm)
    return Found(fit, spacing, starts, tuple(others[:3]), tuple(beaten))


def _boxes(
    setting: ShapedText, area: OpenArea, limits: Limits
) -> tuple[list[tuple[Fit, Spacing, tuple[int, ...]]], list[tuple[str, float]]]:
    face = setting.face
    blocks: list[Block] = []
    starts: dict[tuple[LineInk, ...], tuple[int, ...]] = {}
    for lines in breaks(setting.text, setting.width_em, 1.4 * face.cap_height_em):
        inks = [(setting.line(start, end), start) for start, end in lines]
        shown = tuple(ink for ink, _ in inks if ink is not None)
        if shown:
            blocks.append(block_of(shown))
            starts[shown] = tuple(start for ink, start in inks if ink is not None)
    fits, beaten = fit_blocks(tuple(blocks), area, limits)
    return [(fit, "plain", starts[tuple(line.ink for line in fit.lines)]) for fit in fits], list(beaten)


def _arc(
    order: LetteringOrder, setting: ShapedText, area: OpenArea, limits: Limits, side: int
) -> tuple[Fit | None, Spacing]:
    ink = setting.single_line()
    if ink is None:
        return None, "plain"
    spacing: Spacing = order.spacing if tracking_allowed(ink.line) else "plain"
    follow: FollowUsed = "outline" if _leads(order, ink) else "letters"
    if follow == "outline":
        spacing = "plain"
    fit = _laid(ink, side, spacing, follow, area, limits)
    if fit is not None and fit.baseline_radius_mm is not None:
        radius_em = fit.baseline_radius_mm / fit.em_mm
        if follow == "outline" and order.follow == "auto" and radius_em > TIGHT_RADIUS_EM:
            fit = _laid(ink, side, spacing, "letters", area, limits) or fit
        elif follow == "letters" and any(ligature_lifts(cluster, radius_em) for cluster in ink.letters):
            broken = setting.with_features(NO_LIGATURES).single_line()
            if broken is not None:
                fit = _laid(broken, side, spacing, follow, area, limits) or fit
    return fit, spacing


def arc_bound_mm(order: LetteringOrder, setting: ShapedText, area: OpenArea, limits: Limits, side: int) -> float:
    """Return an em above which an arc surely has no room; infinite where no quick bound is known."""
    ink = setting.single_line()
    if ink is None or area.is_plain or not area.blank.rim.is_circle:
        return math.inf
    follow: FollowUsed = "outline" if _leads(order, ink) else "letters"
    evened = order.spacing == "even" and follow == "letters" and tracking_allowed(ink.line)
    bound = most_mm(Pitches(LetterSteps(ink, side, "plain", 0.0), follow), area, limits)
    return bound * (_EVENED_GAIN if evened else 1.0)


def _laid(ink: LineInk, side: int, spacing: Spacing, follow: FollowUsed, area: OpenArea, limits: Limits) -> Fit | None:
    """Return the arc, the finest gap taken at the size that comes out."""
    em_mm = min(limits.largest_em_mm, max(area.blank.smaller_mm / max(ink.advance_em, 2.0), limits.smallest_em_mm))
    fit: Fit | None = None
    for _ in range(_ROUNDS):
        gap_em = limits.finest_gap_mm / em_mm
        steps = LetterSteps(ink, side, spacing, gap_em)
        if area.blank.rim.is_circle:
            fit = fit_circle(Pitches(steps, follow), area, limits)
        else:
            fit = RimArc(steps, area, limits, follow).fit()
        if fit is None or abs(fit.em_mm / em_mm - 1) < _SAME_SIZE or _is_settled(fit, steps, limits):
            break
        em_mm = fit.em_mm
    return fit


def _is_settled(fit: Fit, steps: LetterSteps, limits: Limits) -> bool:
    """Whether the finest gap at the size that came out leaves the letters where they stand."""
    assert fit.track is not None and fit.lines[0].along_mm is not None
    bends = fit.em_mm / fit.track.radius_mm(fit.lines[0].along_mm)
    return steps.floored_alike(np.unique([bends.min(), bends.max()]), limits.finest_gap_mm / fit.em_mm)


def _leads(order: LetteringOrder, ink: LineInk) -> bool:
    """Whether the joined outline is led along the arc rather than each letter turned."""
    if order.follow != "auto":
        return order.follow == "outline"
    return joins(ink)


def joins(ink: LineInk) -> bool:
    """Whether the letters of a line join: a connected face, or a script whose letters do."""
    faces: set[Face] = {glyph.face for cluster in ink.letters for glyph in cluster.glyphs}
    return any(is_connected(face) for face in faces) or any(not cluster.trackable for cluster in ink.letters)


def without_limits(limits: Limits) -> Limits:
    """Return the limits with no least size, to find out how much room there is."""
    return replace(limits, smallest_em_mm=TINIEST_EM_MM, largest_em_mm=NO_LIMIT_MM)
