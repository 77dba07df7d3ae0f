"""What spreading dye does to each letter: strokes that fade, counters that fill, letters that turn into others.

A contrast kept of 70 % is fine, from 50 to 70 % is noted, under 50 % is warned of: grades A and C of modulation in
ISO/IEC 15416, made for bar codes. Strokes are judged so where a strip told what spreads; elsewhere the rule of three
spreads in `stroke_and_gap` is the stricter one.

The letters are spread as a Gaussian. That is a model of a press, so a sign without a finding may still come out badly,
and one with a finding may hold.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import numpy as np

from studio.basics.kept import KeptValues
from studio.checks.letter_gaps import boxes_mm
from studio.checks.stroke_and_gap import MOST_LISTED, Thickness, Weak, glyph_thickness, is_covered
from studio.geometry.offset import offset
from studio.geometry.shapes import FLATTEN_TOLERANCE_MM, signed_area
from studio.layout.placement import PlacedLetter, PlacedLettering
from studio.model.dye import DENSITY, FINE, LOST, half_light_amount
from studio.model.finding import Finding, Where, found
from studio.model.surface import Surface
from studio.stroke.pressed_shape import PressedShape, pressed_shape
from studio.text.font import GlyphOutline

LEAST_SPREADS: Final = 13.0
"""Spreads to an x-height from which every letter of nearly all shipped faces is told apart in simulated pictures."""
_SURE_STROKE_SPREADS: Final = 4.0
_SURE_GAP_SPREADS: Final = 7.0
"""Letters whose thinnest stroke and narrowest gap are that wide keep more than 70 % everywhere."""
_SLACK: Final = 0.995
"""Share of a limit from which a place counts as held, as in `stroke_and_gap`."""
_ROUND: Final = 1.35
_LARGEST_DOT: Final = 0.4
_FLAT_LETTERS: Final = "xzvwnmurs"
_STEP: Final = 0.02
"""Letters not measured ahead are measured at a spread within 1 % of theirs, so that sizes nearby are known."""
_SHAPES: Final = KeptValues[GlyphOutline, tuple[int, float, float], PressedShape]()


def pressed_findings(
    lettering: PlacedLettering, surface: Surface, number: int, measured: Thickness | None = None
) -> tuple[Finding, ...]:
    """Return what spreading dye does to a lettering, letter by letter, the worst first.

    Args:
        lettering: The lettering.
        surface: The surface; where nobody measured what spreads there, the weaker of both models is taken.
        number: Of the lettering on the sign.
        measured: How fine the letters are; one that is told to be too thin, or too narrow, is not told to pale as well.
    """
    strokes: list[tuple[int, bool, Weak]] = []
    counters: list[Weak] = []
    shapes: list[tuple[PlacedLetter, PressedShape]] = []
    spread_em = surface.spread_mm / lettering.em_mm
    known: dict[int, PressedShape | None] = {}
    for place, letter in enumerate(lettering.letters):
        if not letter.outline.contours:
            continue
        is_first = id(letter.outline) not in known
        if is_first:
            known[id(letter.outline)] = _shape_of(letter, lettering, surface)
        shape = known[id(letter.outline)]
        if shape is None:
            continue
        amount = shape.stroke_amount(spread_em)
        if surface.is_measured and amount is not None and surface.ink_kept(amount) < FINE:
            strokes.append((place, True, _kept(letter, surface.ink_kept(amount), shape.stroke_at, lettering)))
        if is_first:
            shapes.append((letter, shape))
            amounts = shape.counter_amounts(spread_em)
            if amounts is not None:
                counters.append(_kept(letter, surface.hole_kept(*amounts), shape.counter_at, lettering))
    places = ((), ()) if measured is None else (measured.strokes, measured.gaps)
    thin = {weak.letter for weak in places[0] if weak.width_mm < surface.finest_stroke_mm * _SLACK}
    narrow = {weak.letter for weak in places[1] if weak.width_mm < surface.finest_gap_mm * _SLACK}
    covered = is_covered(strokes, lettering, boxes_mm(lettering.letters)) if strokes else []
    bare = {weak.letter: weak for (_, _, weak), is_over in zip(strokes, covered, strict=True) if not is_over}
    findings = [
        *_listed("stroke-fades", tuple(bare.values()), surface, number, thin),
        *_listed("counter-fills", counters, surface, number, set()),
        *_look_alikes(shapes, lettering, surface, number),
        *_listed("stroke-fading", tuple(bare.values()), surface, number, thin),
        *_listed("counter-closing", counters, surface, number, narrow),
        *_small_dots(lettering, surface, number, thin),
        *_small(lettering, surface, number),
    ]
    return tuple(findings)


def _each_once(lettering: PlacedLettering) -> Iterator[PlacedLetter]:
    """Yield the first letter of each outline."""
    seen: set[int] = set()
    for letter in lettering.letters:
        if id(letter.outline) not in seen and letter.outline.contours:
            seen.add(id(letter.outline))
            yield letter


def _shape_of(letter: PlacedLetter, lettering: PlacedLettering, surface: Surface) -> PressedShape | None:
    """Return a letter's pressed shape in em; `None` where it is surely sound, and measuring it would take long."""
    outline, cap_em = letter.outline, lettering.cap_height_mm / lettering.em_mm
    grown_em = _growth_mm(lettering) / lettering.em_mm
    if grown_em <= 0 and outline.pressed is not None:
        return outline.pressed
    measured = glyph_thickness(outline, cap_em)
    spread_em = surface.spread_mm / lettering.em_mm
    sure_stroke = measured.stroke is None or measured.stroke.width + 2 * grown_em >= _SURE_STROKE_SPREADS * spread_em
    sure_gap = measured.gap is None or measured.gap.width - 2 * grown_em >= _SURE_GAP_SPREADS * spread_em
    if sure_stroke and sure_gap:
        return None
    step = round(math.log(max(spread_em / cap_em, 1e-6)) / _STEP)
    kept = _SHAPES.of(outline)
    key = (step, round(grown_em, 6), round(cap_em, 6))
    if key not in kept:
        contours = outline.contours
        if grown_em > 0:
            contours = offset(contours, grown_em, FLATTEN_TOLERANCE_MM / lettering.em_mm)
        kept[key] = pressed_shape(contours, cap_em, (math.exp(step * _STEP),))
    return kept[key]


def _growth_mm(lettering: PlacedLettering) -> float:
    """Return how far ink of the letters' own colour reaches beyond what the face draws."""
    ring = lettering.ring
    same_mm = ring.width_mm if ring is not None and ring.colour in (None, lettering.colour) else 0.0
    return lettering.offset_mm + same_mm


def _kept(letter: PlacedLetter, share: float, at: tuple[float, float], lettering: PlacedLettering) -> Weak:
    """Return a place of the sign with the contrast kept there in place of its width."""
    x_mm, y_mm = letter.point_mm(*at, lettering.em_mm)
    return Weak(letter.letter, max(share, 0.0), x_mm, y_mm, "")


_SAID: Final = {
    "stroke-fades": "“{letter}” loses its weakest stroke on {surface}: {share:.0f} % of its contrast is kept",
    "stroke-fading": "The weakest stroke of “{letter}” fades on {surface}: {share:.0f} % of its contrast is kept",
    "counter-fills": "A counter of “{letter}” fills on {surface}: {share:.0f} % of its contrast is kept",
    "counter-closing": "A counter of “{letter}” begins to fill on {surface}: {share:.0f} % of its contrast is kept",
}


def _listed(code: str, places: Sequence[Weak], surface: Surface, number: int, named: set[str]) -> Iterator[Finding]:
    """Yield the worst few letters of a code, and how many more there are."""
    low, high = (0.0, LOST) if code in ("stroke-fades", "counter-fills") else (LOST, FINE)
    under = sorted(
        (one for one in places if low <= one.width_mm < high and one.letter not in named), key=lambda one: one.width_mm
    )
    for one in under[:MOST_LISTED]:
        message = _SAID[code].format(letter=one.letter, surface=_named(surface), share=100 * one.width_mm)
        yield found(
            code,
            f"{message}, {100 * high:.0f} % wanted{_more(under, one)}.",
            where=Where(number, one.letter, round(one.x_mm, 3), round(one.y_mm, 3)),
            measured=round(100 * one.width_mm, 1),
            limit=100 * high,
            unit="%",
        )


def _more(under: Sequence[Weak], one: Weak) -> str:
    more = len(under) - MOST_LISTED
    return f" (and {more} more like it)" if more > 0 and one is under[MOST_LISTED - 1] else ""


def _named(surface: Surface) -> str:
    return f"the {surface.name} surface ({surface.standing})"


def _look_alikes(
    shapes: Iterable[tuple[PlacedLetter, PressedShape]], lettering: PlacedLettering, surface: Surface, number: int
) -> Iterator[Finding]:
    """Yield letters that are nearer to another letter of their face than to themselves."""
    if _growth_mm(lettering) > 0:
        return
    turned: list[tuple[float, PlacedLetter, str]] = []
    for letter, shape in shapes:
        told = _likeness(shape, surface)
        if told is not None and lettering.cap_height_mm < surface.spread_mm / told[0]:
            turned.append((surface.spread_mm / told[0], letter, told[1]))
    turned.sort(key=lambda one: -one[0])
    for place, (needed_mm, letter, other) in enumerate(turned[:MOST_LISTED]):
        more = f" (and {len(turned) - MOST_LISTED} more like it)" if place == MOST_LISTED - 1 < len(turned) - 1 else ""
        yield found(
            "looks-alike",
            f"“{letter.letter}” comes nearer to “{other}” than to itself on {_named(surface)}: from "
            f"{needed_mm:.1f} mm cap height on the two are told apart{more}.",
            where=Where(number, letter.letter, round(letter.x_mm, 3), round(letter.y_mm, 3)),
            measured=round(lettering.cap_height_mm, 3),
            limit=round(needed_mm, 3),
        )


def _likeness(shape: PressedShape, surface: Surface) -> tuple[float, str] | None:
    """Return from which spread on, in cap heights, a letter is nearer to which other, on a surface.

    Where nobody measured what spreads, both models must say so. Between the two that were measured ahead, the limit
    moves with the dye amount at half light.
    """
    by_dye, by_cover = shape.dye_likeness, shape.cover_likeness
    if surface.mixing is None:
        if by_dye is None or by_cover is None:
            return None
        last = max((by_dye, by_cover), key=lambda one: one.spread)
        return last.spread, last.other
    if surface.mixing == "cover" or by_dye is None:
        told = by_cover if surface.mixing == "cover" else None
        return None if told is None else (told.spread, told.other)
    amount, at_dye = half_light_amount(surface.solid_density), half_light_amount(DENSITY)
    part = min(max((amount - at_dye) / (0.5 - at_dye), 0.0), 1.0)
    if by_cover is None:
        return (by_dye.spread, by_dye.other) if part < 1 else None
    spread = by_dye.spread * (by_cover.spread / by_dye.spread) ** part
    return spread, (by_dye if part < 0.5 else by_cover).other


def _small_dots(lettering: PlacedLettering, surface: Surface, number: int, named: set[str]) -> Iterator[Finding]:
    """Yield the letter with the smallest dot that the surface does not hold."""
    smallest: tuple[float, PlacedLetter, tuple[float, float]] | None = None
    more_mm = 2 * _growth_mm(lettering)
    most_em = _LARGEST_DOT * lettering.cap_height_mm / lettering.em_mm
    for letter in _each_once(lettering):
        for contour in letter.outline.contours:
            low, high = contour.min(axis=0), contour.max(axis=0)
            narrow_em, wide_em = (float(size) for size in np.sort(high - low))
            if wide_em > most_em or wide_em > _ROUND * narrow_em or signed_area(contour) <= 0:
                continue
            across_mm = narrow_em * lettering.em_mm + more_mm
            if across_mm < surface.finest_dot_mm and letter.letter not in named:
                middle = (low + high) / 2
                if smallest is None or across_mm < smallest[0]:
                    smallest = (across_mm, letter, (float(middle[0]), float(middle[1])))
    if smallest is not None:
        across_mm, letter, middle_em = smallest
        x_mm, y_mm = letter.point_mm(*middle_em, lettering.em_mm)
        yield found(
            "small-dot",
            f"A dot of {across_mm:.2f} mm in “{letter.letter}” is smaller than the {surface.finest_dot_mm:.2f} mm that "
            f"{_named(surface)} holds.",
            where=Where(number, letter.letter, round(x_mm, 3), round(y_mm, 3)),
            measured=round(across_mm, 4),
            limit=round(surface.finest_dot_mm, 4),
        )


def _small(lettering: PlacedLettering, surface: Surface, number: int) -> Iterator[Finding]:
    """Yield that a lettering is small for what its surface spreads."""
    height_mm, what = _letter_height(lettering)
    least_mm = LEAST_SPREADS * surface.spread_mm
    if height_mm < least_mm:
        needed_mm = math.ceil(lettering.cap_height_mm * least_mm / height_mm * 10) / 10
        yield found(
            "small-for-surface",
            f"The lettering is small for {_named(surface)}: its {what} is {height_mm:.1f} mm; under {least_mm:.1f} mm "
            f"({LEAST_SPREADS:.0f} spreads) letters begin to be taken for others.",
            where=Where(number),
            measured=round(height_mm, 3),
            limit=round(least_mm, 3),
            remedy=f"At {needed_mm:.1f} mm cap height it is not.",
        )


def _letter_height(lettering: PlacedLettering) -> tuple[float, str]:
    """Return the height of the small letters where there are any, else that of the capitals, mm."""
    small = [letter for letter in lettering.letters if letter.letter[:1].islower() and len(letter.outline.points)]
    if not small:
        return lettering.cap_height_mm, "cap height"
    flat = [letter for letter in small if letter.letter in _FLAT_LETTERS]
    tops = [float(letter.outline.points[:, 1].max()) for letter in flat or small]
    return min(min(tops) * lettering.em_mm, lettering.cap_height_mm), "x-height"
