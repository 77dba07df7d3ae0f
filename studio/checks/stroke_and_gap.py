"""Thin strokes and narrow gaps against the surface: what will blur, letter by letter.

Glyphs are measured once in em units and kept with the face's outlines, so that a size is answered at once. Letters that
were bent along an arc are measured as they stand. Outlines moved outwards add twice their way to every stroke and take
it from every gap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValue
from studio.checks.letter_gaps import boxes_mm, edges, letter_gaps, letters_beside, on_outline
from studio.geometry.distance import edges_of, windings
from studio.geometry.shapes import Points
from studio.layout.placement import PlacedLetter, PlacedLettering
from studio.model.finding import Finding, Where, found
from studio.model.surface import Surface
from studio.stroke.measure import measure
from studio.stroke.results import Narrowest, ThicknessMeasure
from studio.text.font import GlyphOutline

BETWEEN_LETTERS: Final = "between letters"
"""Kind of a gap between two letters; "between" alone is one between parts of a letter, such as a dot and its stem."""
MOST_LISTED: Final = 3
"""Letters named one by one for each code; the rest are counted in the last one's message."""
_SLACK: Final = 0.995
"""Share of a limit from which a place counts as held: the spacing sets gaps to the limit, give or take a rounding."""
_MEASURED: Final = KeptValue[GlyphOutline, ThicknessMeasure]()


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
    if outline.measured is not None:
        return outline.measured
    return _MEASURED.of(outline, lambda: measure(outline.contours, cap_height=cap_height_em))


def thickness(lettering: PlacedLettering) -> Thickness:
    """Measure a lettering as it stands on the sign."""
    drawn = _as_it_stands(lettering) if lettering.follow == "outline" else _letter_by_letter(lettering)
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


def _letter_by_letter(lettering: PlacedLettering) -> Thickness:
    """Return how fine each letter is as its face draws it, at the size it stands in."""
    places: list[tuple[int, bool, Weak]] = []
    tips: list[Weak] = []
    wedges: list[Weak] = []
    em_mm, cap_em = lettering.em_mm, lettering.cap_height_mm / lettering.em_mm
    boxes = boxes_mm(lettering.letters)
    for number, letter in enumerate(lettering.letters):
        measured = glyph_thickness(letter.outline, cap_em)
        places += [(number, True, weak) for weak in _on_sign(letter, (measured.stroke,), em_mm)]
        places += [(number, False, weak) for weak in _on_sign(letter, (measured.gap,), em_mm)]
        tips += _on_sign(letter, measured.tips, em_mm)
        wedges += _on_sign(letter, measured.wedges, em_mm)
    bare = [entry for entry, covered in zip(places, is_covered(places, lettering, boxes), strict=True) if not covered]
    return Thickness(
        tuple(weak for _, is_stroke, weak in bare if is_stroke),
        (*(weak for _, is_stroke, weak in bare if not is_stroke), *between_letters(lettering, boxes)),
        tuple(tips),
        tuple(wedges),
    )


def between_letters(lettering: PlacedLettering, boxes: Points | None = None) -> tuple[Weak, ...]:
    """The gaps between letters, as the face draws them: see `letter_gaps`."""
    gaps = []
    for gap in letter_gaps(lettering, boxes_mm(lettering.letters) if boxes is None else boxes):
        x_mm, y_mm = gap.left.point_mm(gap.place.x, gap.place.y, lettering.em_mm)
        width_mm = gap.place.width * lettering.em_mm * gap.left.size
        gaps.append(Weak(f"{gap.left.letter}{gap.right.letter}", width_mm, x_mm, y_mm, BETWEEN_LETTERS))
    return tuple(gaps)


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
    where = f"between “{weak.letter}”" if weak.kind == BETWEEN_LETTERS else f"in “{weak.letter}”"
    measured = f" ({surface.standing})" if surface.measured else ""
    message = _WORDS[code].format(
        width=weak.width_mm,
        letter=weak.letter,
        limit=limit,
        surface=f"the {surface.name} surface{measured}",
        where=where,
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


def is_covered(places: list[tuple[int, bool, Weak]], lettering: PlacedLettering, boxes: Points) -> list[bool]:
    """Return of each weak place whether the ink of another letter lies over it, as where joined letters run together.

    Args:
        places: The number of the letter each is of, whether it is a stroke, and the place.
        lettering: The lettering. Gaps are those that the face draws, so it is there that they are covered.
        boxes: The box of each letter's ink: `boxes_mm`.
    """
    if not places:
        return []
    points = np.array([(weak.x_mm, weak.y_mm) for _, _, weak in places])
    near = np.all((points[:, None] >= boxes[:, :2]) & (points[:, None] <= boxes[:, 2:]), axis=2)
    near[np.arange(len(places)), [number for number, _, _ in places]] = False
    covered = np.zeros(len(places), np.bool_)
    for number in np.flatnonzero(near.any(axis=0)).tolist():
        letter, asked = lettering.letters[number], np.flatnonzero(near[:, number])
        over = windings(edges(letter.outline), on_outline(letter, points[asked], lettering.em_mm)) != 0
        if lettering.offset_mm > 0:
            over = np.where([places[place][1] for place in asked], _holds(letter, points[asked]), over)
        covered[asked] |= over
    return covered.tolist()


def _holds(letter: PlacedLetter, points: Points) -> NDArray[np.bool_]:
    """Return which points lie in a letter's ink."""
    return np.not_equal(windings(edges_of(letter.contours), points), 0)


def _as_it_stands(lettering: PlacedLettering) -> Thickness:
    """Measure the ink in mm, united where letters were bent, and name the letter nearest to each weak place."""
    measured = measure(lettering.drawn or lettering.contours, cap_height=lettering.cap_height_mm)
    centres = np.array([(letter.x_mm, letter.y_mm) for letter in lettering.letters])

    def weak(place: Narrowest) -> Weak:
        inside = [letter for letter in lettering.letters if _holds(letter, np.array([[place.x, place.y]]))[0]]
        nearest = lettering.letters[int(np.argmin(np.hypot(*(centres - (place.x, place.y)).T)))]
        return Weak((inside or [nearest])[0].letter, place.width, place.x, place.y, place.kind)

    def gap(place: Narrowest) -> Weak:
        beside = letters_beside(lettering, (place.x, place.y), place.width)
        if len(beside) < 2:
            return replace(weak(place), letter=beside[0].letter) if beside else weak(place)
        return Weak("".join(letter.letter for letter in beside), place.width, place.x, place.y, BETWEEN_LETTERS)

    return Thickness(
        tuple(weak(place) for place in (measured.stroke,) if place),
        tuple(gap(place) for place in (measured.gap,) if place),
        tuple(weak(place) for place in measured.tips),
        tuple(weak(place) for place in measured.wedges),
    )
