"""Thin strokes and narrow gaps against the surface: what will blur, letter by letter.

Glyphs are measured once in em units and kept with the face's outlines, so that a size is answered at once. Letters that
were bent along an arc are measured as they stand. Outlines moved outwards add twice their way to every stroke and take
it from every gap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final
from weakref import ReferenceType, WeakKeyDictionary, ref

import numpy as np
from numpy.typing import NDArray

from studio.geometry.distance import Sides, gap_of_sides, sides_of, windings
from studio.geometry.shapes import Points, bounds
from studio.layout.letter_ink import sampled_edge
from studio.layout.placement import PlacedLetter, PlacedLettering
from studio.model.finding import Finding, Where, found
from studio.model.surface import Surface
from studio.stroke.measure import measure
from studio.stroke.results import Narrowest, ThicknessMeasure
from studio.text.font import GlyphOutline

MOST_LISTED: Final = 3
"""Letters named one by one for each code; the rest are counted in the last one's message."""
_TOUCHING_MM: Final = 1e-6
_SLACK: Final = 0.995
"""Share of a limit from which a place counts as held: the spacing sets gaps to the limit, give or take a rounding."""
_EDGE_STEP_EM: Final = 0.04
_EDGES: WeakKeyDictionary[GlyphOutline, Points] = WeakKeyDictionary()
PAIRS: WeakKeyDictionary[
    GlyphOutline, dict[tuple[float, ...], tuple[ReferenceType[GlyphOutline], Narrowest | None]]
] = WeakKeyDictionary()
"""Gaps of pairs by their left letter: the right one, how it stands beside it, and the gap."""
_SIDES: WeakKeyDictionary[GlyphOutline, Sides] = WeakKeyDictionary()
_PAIRS_KEPT: Final = 256
_STAND_DIGITS: Final = 9
_MEASURED: WeakKeyDictionary[GlyphOutline, ThicknessMeasure] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Weak:
    """A narrow place on the sign."""

    letter: str
    width_mm: float
    x_mm: float
    y_mm: float
    kind: str


@dataclass(frozen=True, slots=True)
class Thickness:
    """How fine a lettering is, in mm: per letter its thinnest stroke and narrowest gap, and gaps between letters."""

    strokes: tuple[Weak, ...]
    gaps: tuple[Weak, ...]
    tips: tuple[Weak, ...]
    wedges: tuple[Weak, ...]

    @property
    def thinnest_stroke_mm(self) -> float | None:
        """The thinnest stroke of all letters."""
        return min((weak.width_mm for weak in self.strokes), default=None)

    @property
    def thinnest_gap_mm(self) -> float | None:
        """The narrowest gap in and between letters."""
        return min((weak.width_mm for weak in self.gaps), default=None)


def glyph_thickness(outline: GlyphOutline, cap_height_em: float) -> ThicknessMeasure:
    """Return the measure of an outline in em units, kept as long as the outline is."""
    kept = outline.measured or _MEASURED.get(outline)
    if kept is None:
        kept = measure(outline.contours, cap_height=cap_height_em)
        _MEASURED[outline] = kept
    return kept


def thickness(lettering: PlacedLettering, asked_mm: float | None = None) -> Thickness:
    """Measure a lettering as it stands on the sign.

    Args:
        lettering: The lettering.
        asked_mm: Gaps between letters that are surely wider may be left out but for the narrowest of all; `None` asks
            for every gap.
    """
    drawn = _as_it_stands(lettering) if lettering.follow == "outline" else _letter_by_letter(lettering, asked_mm)
    more_mm = 2 * _growth_mm(lettering)
    if more_mm <= 0:
        return drawn
    return Thickness(
        _widened(drawn.strokes, more_mm),
        _widened(drawn.gaps, -more_mm),
        _widened(drawn.tips, more_mm),
        _widened(drawn.wedges, -more_mm),
    )


def _growth_mm(lettering: PlacedLettering) -> float:
    """Return how far ink of the letters' own colour reaches beyond what the face draws."""
    ring = lettering.ring
    same_mm = ring.width_mm if ring is not None and ring.colour in (None, lettering.colour) else 0.0
    return lettering.offset_mm + same_mm


def _widened(places: tuple[Weak, ...], more_mm: float) -> tuple[Weak, ...]:
    return tuple(replace(weak, width_mm=max(weak.width_mm + more_mm, 0.0)) for weak in places)


def _letter_by_letter(lettering: PlacedLettering, asked_mm: float | None) -> Thickness:
    """Return how fine each letter is as its face draws it, at the size it stands in."""
    strokes: list[Weak] = []
    gaps: list[Weak] = []
    tips: list[Weak] = []
    wedges: list[Weak] = []
    em_mm, cap_em = lettering.em_mm, lettering.cap_height_mm / lettering.em_mm
    for letter in lettering.letters:
        measured = glyph_thickness(letter.outline, cap_em)
        strokes += _on_sign(letter, (measured.stroke,), em_mm)
        gaps += _on_sign(letter, (measured.gap,), em_mm)
        tips += _on_sign(letter, measured.tips, em_mm)
        wedges += _on_sign(letter, measured.wedges, em_mm)
    strokes = _uncovered(strokes, lettering)
    return Thickness(tuple(strokes), (*gaps, *between_letters(lettering, asked_mm)), tuple(tips), tuple(wedges))


def between_letters(lettering: PlacedLettering, asked_mm: float | None = None) -> tuple[Weak, ...]:
    """Return the gap between each pair of neighbouring letters that do not touch, as the face draws them.

    Args:
        lettering: The lettering.
        asked_mm: See `thickness`.
    """
    pairs = [(left, right) for left, right in pairwise(lettering.letters) if left.line == right.line]
    if asked_mm is not None and pairs:
        asked_mm += 2 * lettering.offset_mm
        least, most = _gap_bounds(pairs, lettering.em_mm)
        narrowest = float(most.min())
        pairs = [pair for pair, bound in zip(pairs, least, strict=True) if bound <= max(asked_mm, narrowest)]
    gaps = []
    for left, right in pairs:
        gap, em_mm = gap_em(left, right, lettering.em_mm), lettering.em_mm * left.size
        if gap is not None and gap.width * em_mm > _TOUCHING_MM:
            x_mm, y_mm = left.point_mm(gap.x, gap.y, lettering.em_mm)
            gaps.append(Weak(f"{left.letter}{right.letter}", gap.width * em_mm, x_mm, y_mm, "between"))
    return tuple(gaps)


def gap_em(left: PlacedLetter, right: PlacedLetter, em_mm: float) -> Narrowest | None:
    """Return the gap of two letters as their face draws them, in em, in the left letter's own axes.

    Kept for as long as the left outline is: letters stand beside each other alike at any size on a straight line.
    """
    em_mm *= left.size
    x_mm, y_mm, turn = right.x_mm - left.x_mm, right.y_mm - left.y_mm, right.angle_rad - left.angle_rad
    cos, sin = math.cos(left.angle_rad) / em_mm, math.sin(left.angle_rad) / em_mm
    exact = (x_mm * cos + y_mm * sin + left.advance_em / 2, y_mm * cos - x_mm * sin, turn, right.advance_em)
    along, up, turn, advance_em = stand = tuple(round(value, _STAND_DIGITS) for value in exact)
    kept = PAIRS.setdefault(left.outline, {})
    key = (id(right.outline), *stand)
    found = kept.get(key)
    if found is None or found[0]() is not right.outline:
        if len(kept) >= _PAIRS_KEPT:
            kept.clear()
        back = advance_em / 2
        stood = _sides(right.outline).moved(along - back * math.cos(turn), up - back * math.sin(turn), turn)
        gap = gap_of_sides(_sides(left.outline), stood)
        found = kept[key] = (ref(right.outline), gap)
    return found[1]


def _sides(outline: GlyphOutline) -> Sides:
    """Return the sides of an outline, kept as long as it is."""
    kept = _SIDES.get(outline)
    if kept is None:
        kept = _SIDES[outline] = sides_of(outline.contours)
    return kept


def _gap_bounds(
    pairs: list[tuple[PlacedLetter, PlacedLetter]], em_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return between which widths the gap of each pair lies, from places along their edges, shapes (pairs,).

    Letters that may touch or lie in one another have no upper bound: their gap is not one between letters.
    """
    apart = []
    letters = {id(letter): letter for pair in pairs for letter in pair}
    edges = {number: _edge_mm(letter, em_mm) for number, letter in letters.items()}
    for left, right in pairs:
        one, other = edges[id(left)], edges[id(right)]
        across, up = one[:, None, 0] - other[:, 0], one[:, None, 1] - other[:, 1]
        apart.append(math.sqrt(float((across * across + up * up).min())))
    most, slack = np.array(apart), _EDGE_STEP_EM * em_mm
    return most - slack, np.where(most > slack, most, np.inf)


def _edge_mm(letter: PlacedLetter, em_mm: float) -> Points:
    """Return places along a letter's edges on the sign, `_EDGE_STEP_EM` apart."""
    kept = _EDGES.get(letter.outline)
    if kept is None:
        parts = [sampled_edge(contour, _EDGE_STEP_EM) for contour in letter.outline.contours]
        kept = _EDGES[letter.outline] = np.concatenate(parts)
    em_mm *= letter.size
    cos, sin = math.cos(letter.angle_rad) * em_mm, math.sin(letter.angle_rad) * em_mm
    turned = (kept - np.array([letter.advance_em / 2, 0.0])) @ np.array([[cos, sin], [-sin, cos]])
    return np.asarray(turned + np.array([letter.x_mm, letter.y_mm]), np.float64)


def thickness_findings(
    lettering: PlacedLettering, measured: Thickness, surface: Surface, number: int
) -> tuple[Finding, ...]:
    """Return what will blur on the surface: thin strokes and narrow gaps as warnings, tips and wedges as notes."""
    findings: list[Finding] = []
    cap_mm = lettering.cap_height_mm
    for code, weak_places, limit in (
        ("thin-stroke", measured.strokes, surface.finest_stroke_mm),
        ("narrow-gap", measured.gaps, surface.finest_gap_mm),
        ("tapering-tip", measured.tips, surface.finest_stroke_mm),
        ("join-wedge", measured.wedges, surface.finest_gap_mm),
    ):
        under = sorted((weak for weak in weak_places if weak.width_mm < limit * _SLACK), key=lambda weak: weak.width_mm)
        listed = under[: MOST_LISTED if code in ("thin-stroke", "narrow-gap") else 1]
        for weak in listed:
            more = len(under) - len(listed) if weak is listed[-1] else 0
            findings.append(_finding(code, weak, limit, cap_mm, surface, number, more))
    return tuple(findings)


_WORDS: Final = {
    "thin-stroke": "a stroke of {width:.2f} mm in “{letter}” is thinner than the {limit:.2f} mm that {surface} holds",
    "narrow-gap": "a gap of {width:.2f} mm {where} is narrower than the {limit:.2f} mm that stays open on {surface}",
    "tapering-tip": "a tip of “{letter}” tapers below {limit:.2f} mm and will end a little short",
    "join-wedge": "the acute corner in “{letter}” fills in below {limit:.2f} mm",
}


def _finding(code: str, weak: Weak, limit: float, cap_mm: float, surface: Surface, number: int, more: int) -> Finding:
    where = f"between “{weak.letter}”" if weak.kind == "between" else f"in “{weak.letter}”"
    message = _WORDS[code].format(
        width=weak.width_mm, letter=weak.letter, limit=limit, surface=f"the {surface.name} surface", where=where
    )
    if more:
        message += f" (and {more} more like it)"
    needed_mm = cap_mm * limit / weak.width_mm if weak.width_mm > 0 else None
    remedy = (
        f"At {needed_mm:.1f} mm cap height it holds." if needed_mm and code in ("thin-stroke", "narrow-gap") else ""
    )
    return found(
        code,
        message[0].upper() + message[1:] + ".",
        where=Where(number, weak.letter, round(weak.x_mm, 3), round(weak.y_mm, 3)),
        measured=round(weak.width_mm, 4),
        limit=round(limit, 4),
        remedy=remedy,
    )


def _on_sign(letter: PlacedLetter, places: tuple[Narrowest | None, ...], em_mm: float) -> list[Weak]:
    weak = []
    for place in places:
        if place is not None:
            x_mm, y_mm = letter.point_mm(place.x, place.y, em_mm)
            weak.append(Weak(letter.letter, place.width * em_mm * letter.size, x_mm, y_mm, place.kind))
    return weak


def _uncovered(places: list[Weak], lettering: PlacedLettering) -> list[Weak]:
    """Return the weak places that no neighbour's ink lies over, as where joined letters run into one another."""
    if not places:
        return places
    points = np.array([(weak.x_mm, weak.y_mm) for weak in places])
    boxes = [bounds(letter.contours) for letter in lettering.letters]
    low = np.array([(box.left_mm, box.bottom_mm) for box in boxes])
    high = np.array([(box.right_mm, box.top_mm) for box in boxes])
    near = np.all((points[:, None] >= low) & (points[:, None] <= high), axis=2)
    near[near.sum(axis=1) < 2] = False
    covers = np.zeros(len(places), np.intp)
    is_as_drawn = lettering.offset_mm <= 0 and lettering.follow == "letters"
    for letter, beside in zip(lettering.letters, near.T, strict=True):
        asked = np.flatnonzero(beside)
        if len(asked) and is_as_drawn:
            local = _on_outline(letter, points[asked], lettering.em_mm)
            covers[asked] += windings(_sides(letter.outline), local) != 0
        elif len(asked):
            covers[asked] += _holds(letter, points[asked])
    return [weak for weak, count in zip(places, covers, strict=True) if count < 2]


def _on_outline(letter: PlacedLetter, points: Points, em_mm: float) -> Points:
    """Return where points of the sign lie on a letter's outline, em: `PlacedLetter.point_mm` the other way."""
    em_mm *= letter.size
    cos, sin = math.cos(letter.angle_rad) / em_mm, math.sin(letter.angle_rad) / em_mm
    away = points - np.array([letter.x_mm, letter.y_mm])
    return np.asarray(away @ np.array([[cos, -sin], [sin, cos]]) + np.array([letter.advance_em / 2, 0.0]), np.float64)


def _holds(letter: PlacedLetter, points: Points) -> NDArray[np.bool_]:
    """Return which points lie in a letter's ink."""
    return np.not_equal(windings(sides_of(letter.contours), points), 0)


def _as_it_stands(lettering: PlacedLettering) -> Thickness:
    """Measure the ink in mm, united where letters were bent, and name the letter nearest to each weak place."""
    measured = measure(lettering.drawn or lettering.contours, cap_height=lettering.cap_height_mm)
    centres = np.array([(letter.x_mm, letter.y_mm) for letter in lettering.letters])

    def weak(place: Narrowest) -> Weak:
        inside = [letter for letter in lettering.letters if _holds(letter, np.array([[place.x, place.y]]))[0]]
        nearest = lettering.letters[int(np.argmin(np.hypot(*(centres - (place.x, place.y)).T)))]
        return Weak((inside or [nearest])[0].letter, place.width, place.x, place.y, place.kind)

    return Thickness(
        tuple(weak(place) for place in (measured.stroke,) if place),
        tuple(weak(place) for place in (measured.gap,) if place),
        tuple(weak(place) for place in measured.tips),
        tuple(weak(place) for place in measured.wedges),
    )
