"""The ways to clear a finding, each a changed sign fitted and checked again with words that say what it came to.

Nothing here is judged: a try may leave its finding or bring another. Every value told is the value that was tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from studio.checks.contrast import LEAST_CONTRAST, OUTLINE_COLOURS, pressed_contrast, ring_width_mm
from studio.layout.line_breaks import forced_lines
from studio.layout.placement import PlacedLettering
from studio.model.finding import Finding, Offer
from studio.model.sign import LARGEST_SWEEP_DEG, FaceChoice, Layout, LetteringOrder, Ring, Sign
from studio.pipeline.effort import OutOfBudgetError
from studio.pipeline.types import Assets, Plan
from studio.text.font import Face
from studio.text.shaping import shape_line
from studio.text.word_faces import covers

Replan = Callable[[Sign], Plan]

_LAYOUTS: Final[tuple[Layout, ...]] = ("box", "arc-top", "arc-bottom")
_FACES_TRIED: Final = 4
_WEIGHT_STEP: Final = 10.0
_OFFSET_SLACK_MM: Final = 0.002
_OFFSET_ROUNDS: Final = 6
_LARGEST_OFFSET_MM: Final = 1.5
_LEAST_GAIN: Final = 0.12
_ROOM_SHARES: Final = (1.0, 0.99, 0.97, 0.94, 0.9)
"""Shares of the room there is said to be at which it is tried, since a size asked for may be laid otherwise."""
_LEAST_CAP_MM: Final = 0.5
_SCALES_TRIED: Final = (1.1, 1.25, 1.5, 2.0)
"""How much larger letters are tried where what is kept of their contrast says nothing of the size."""
_LONGER_SWEEPS_DEG: Final = (240.0, LARGEST_SWEEP_DEG)
_PRESSED: Final = {
    "stroke-fades": "no stroke fades",
    "counter-fills": "no counter fills",
    "looks-alike": "no letter turns into another",
}
_KEPT: Final = {
    "outside-safe-zone": "stays inside",
    "texts-collide": "keeps off the other text",
    "covers-artwork": "keeps off the artwork",
}


@dataclass(frozen=True, slots=True, eq=False)
class TriedRemedy:
    """A change that was tried: the way it was made, what it says and sets, and the plan that came of it."""

    way: str
    words: str
    changes: tuple[tuple[str, str], ...]
    plan: Plan


def tries(way: str, planned: Plan, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Yield what one way comes to, the likeliest first; nothing where it does not apply."""
    number = finding.where.lettering
    if planned.placement is None or number is None or finding.measured is None or finding.limit is None:
        return
    ways: dict[str, Callable[..., Iterator[TriedRemedy]]] = {
        "cap": _larger,
        "weight": _heavier,
        "layout": _relaid,
        "break": _rebroken,
        "offset": _thickened,
        "face": _sturdier,
        "surface": _finer,
        "outline": _outlined,
        "colour": _recoloured,
        "shift": _shifted_less,
        "narrower": _narrower,
    }
    yield from ways[way](planned, number, finding, replan, assets)


def _larger(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    lettering, order = _lettering(planned, number), planned.sign.letterings[number]
    assert finding.measured is not None and finding.limit is not None
    if not finding.measured or (order.cap_mm is None and order.max_cap_mm is None and number == 0):
        return
    scales = (finding.limit / finding.measured,) if finding.unit == "mm" else _SCALES_TRIED
    unbounded = () if order.max_cap_mm is None else (("max_cap", "none"),)
    for scale in scales:
        cap_mm = math.ceil(lettering.cap_height_mm * scale * 10) / 10
        tried = replan(_changed(planned.sign, number, cap_mm=cap_mm, max_cap_mm=None, layout=lettering.layout))
        changes = (("cap", f"{cap_mm:.1f}mm"), *unbounded, ("layout", lettering.layout))
        yield TriedRemedy("cap", f"At {cap_mm:.1f} mm cap height it holds.", changes, tried)


def _heavier(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try the lightest weight of the same face that survives, found by bisection on the measured result."""
    order = planned.sign.letterings[number]
    face = assets.face(order.face)
    if face.weight_range is None or face.weight is None or finding.code != "thin-stroke":
        return
    low, high = face.weight, face.weight_range[1]
    best = _at_weight(planned, number, high, replan)
    if high <= low or not _gone(best, finding):
        return
    while high - low > _WEIGHT_STEP:
        middle = math.floor((low + high) / 2 / _WEIGHT_STEP + 0.5) * _WEIGHT_STEP
        if not low < middle < high:
            break
        try:
            tried = _at_weight(planned, number, middle, replan)
        except OutOfBudgetError:
            break  # a heavier one than needed clears it too
        if _gone(tried, finding):
            high, best = middle, tried
        else:
            low = middle
    lettering = _lettering(best, number)
    yield TriedRemedy(
        "weight",
        f"{face.name} at weight {high:.0f} holds at {lettering.cap_height_mm:.1f} mm cap height "
        f"({_fineness(best, number, finding)}).",
        (("weight", f"{high:.0f}"),),
        best,
    )


def _at_weight(planned: Plan, number: int, weight: float, replan: Replan) -> Plan:
    face = planned.sign.letterings[number].face
    return replan(_changed(planned.sign, number, face=FaceChoice(face.name, weight)))


def _relaid(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    if planned.sign.letterings[number].layout == "auto":
        return
    for layout in _LAYOUTS:
        if layout != _lettering(planned, number).layout:
            tried = replan(_changed(planned.sign, number, layout=layout))
            if tried.placement is not None:
                cap_mm = _lettering(tried, number).cap_height_mm
                words = f"Laid out as {layout} it has {cap_mm:.1f} mm cap height, which holds."
                yield TriedRemedy("layout", words, (("layout", layout),), tried)


def _rebroken(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try the text without the line breaks that were typed: all breaks are then open to the fitting."""
    order = planned.sign.letterings[number]
    spans = forced_lines(order.text)
    if len(spans) < 2:
        return
    text = " ".join(order.text[start:end] for start, end in spans)
    tried = replan(_changed(planned.sign, number, text=text))
    if tried.placement is not None:
        lettering = _lettering(tried, number)
        yield TriedRemedy(
            "break",
            f"Type “{text}”: broken as “{' / '.join(lettering.lines)}” it has {lettering.cap_height_mm:.1f} mm cap "
            "height, which holds.",
            (("text", text),),
            tried,
        )


def _thickened(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try the least offset that clears every stroke; the room shrinks with it, so that it takes a few rounds."""
    if finding.code != "thin-stroke":
        return
    assert finding.measured is not None and finding.limit is not None
    sign = planned.sign
    offset_mm = sign.letterings[number].offset_mm
    most_mm = min(_LARGEST_OFFSET_MM, _lettering(planned, number).cap_height_mm / 8)
    short_mm = finding.limit - finding.measured
    for _ in range(_OFFSET_ROUNDS):
        offset_mm += short_mm / 2 + _OFFSET_SLACK_MM
        if offset_mm > most_mm:
            return
        tried = replan(_changed(sign, number, offset_mm=offset_mm))
        if tried.placement is None:
            return
        again = next((one for one in tried.findings if same(one, finding)), None)
        if again is None or again.measured is None:
            yield TriedRemedy(
                "offset",
                f"Outlines moved out by {offset_mm:.2f} mm hold ({_fineness(tried, number, finding)}).",
                (("repair", "offset"),),
                tried,
            )
            return
        short_mm = finding.limit - again.measured


def _sturdier(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    face = assets.face(planned.sign.letterings[number].face)
    for shipped in assets.stand_ins(face)[:_FACES_TRIED]:
        choice = FaceChoice(shipped.name, planned.sign.letterings[number].face.weight)
        other = assets.face(choice)
        if not _sets_all(other, planned.sign.letterings[number]):
            continue
        tried = replan(_changed(planned.sign, number, face=choice))
        if tried.placement is not None:
            cap_mm = _lettering(tried, number).cap_height_mm
            yield TriedRemedy(
                "face",
                f"{other.label} holds at {cap_mm:.1f} mm cap height ({_fineness(tried, number, finding)}).",
                (("face", other.name),),
                tried,
            )


def _narrower(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try the shipped face that sets the text narrowest; it is told where capitals gain `_LEAST_GAIN`."""
    order = planned.sign.letterings[number]
    face, was_mm = assets.face(order.face), _lettering(planned, number).cap_height_mm
    widths = {}
    for shipped in assets.stand_ins(face):
        other = assets.face(FaceChoice(shipped.name))
        if _sets_all(other, order):
            widths[shipped.name] = shape_line(order.text, other).advance_em / other.cap_height_em
    for name in sorted(widths, key=lambda one: widths[one])[:_FACES_TRIED]:
        tried = replan(_changed(planned.sign, number, face=FaceChoice(name)))
        if tried.placement is None:
            continue
        gain = _lettering(tried, number).cap_height_mm / was_mm - 1
        if gain >= _LEAST_GAIN:
            words = f"{name}, a narrower face, gives {100 * gain:.0f} % more height."
            yield TriedRemedy("narrower", words, (("face", name),), tried)


def _finer(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try the surfaces at hand that spread less, the softest first."""
    surface = planned.sign.surface
    at_hand = next((other for other in assets.surfaces() if other.name == surface.name), surface)
    is_set = at_hand.spread_mm != surface.spread_mm  # by an option or by the house, and would hold for the other too
    own_spread = (("spread", "auto"),) if is_set else ()
    others = (other for other in assets.surfaces() if other.name != surface.name)
    finer = [other for other in others if other.spread_mm < surface.spread_mm]
    for other in sorted(finer, key=lambda other: -other.spread_mm):
        limits_mm = {"thin-stroke": other.finest_stroke_mm, "narrow-gap": other.finest_gap_mm}
        limit = f": {limits_mm[finding.code]:.2f} mm limit" if finding.code in limits_mm else ""
        yield TriedRemedy(
            "surface",
            f"On {other.name} it holds{limit}.",
            (("surface", other.name), *own_spread),
            replan(replace(planned.sign, surface=other, repair="none")),
        )


def _outlined(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    """Try an outline in a second colour, the one that the letters stand out from best first."""
    surface = planned.sign.surface
    ink = _lettering(planned, number).colour
    gains = [(pressed_contrast(ink, colour, surface), colour) for colour in OUTLINE_COLOURS]
    width_mm = ring_width_mm(surface)
    for gained, colour in sorted(gains, key=lambda gain: -gain[0]):
        if gained >= LEAST_CONTRAST:
            yield TriedRemedy(
                "outline",
                f"An outline of {width_mm:.1f} mm in {colour.hex} lifts it to {gained:.1f}.",
                (("outline", f"{width_mm:.1f}mm:{colour.hex}"),),
                replan(_changed(planned.sign, number, ring=Ring(width_mm, colour))),
            )


def _recoloured(planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets) -> Iterator[TriedRemedy]:
    for colour in OUTLINE_COLOURS:
        yield TriedRemedy(
            "colour",
            f"Letters in {colour.hex} stand out everywhere.",
            (("color", colour.hex),),
            replan(_changed(planned.sign, number, colour=colour)),
        )


def _shifted_less(
    planned: Plan, number: int, finding: Finding, replan: Replan, assets: Assets
) -> Iterator[TriedRemedy]:
    """Try less and less of the shift that was asked for."""
    order = planned.sign.letterings[number]
    if not order.shift_x_mm and not order.shift_y_mm:
        return
    for tenths in range(9, -1, -1):
        x_mm, y_mm = (math.trunc(shift_mm * tenths) / 10 for shift_mm in (order.shift_x_mm, order.shift_y_mm))
        yield TriedRemedy(
            "shift",
            f"Moved by {x_mm:g}, {y_mm:g} mm only, it {_KEPT[finding.code]}.",
            (("shift", f"{x_mm:g}mm,{y_mm:g}mm"),),
            replan(_changed(planned.sign, number, shift_x_mm=x_mm, shift_y_mm=y_mm)),
        )


def roomier(planned: Plan, finding: Finding, replan: Replan) -> list[Offer]:
    """Return what finds room, each tried: another layout, a longer arc, a smaller size."""
    number = finding.where.lettering or 0
    order = planned.sign.letterings[number]
    told: list[Offer] = []

    def tell(words: str, option: str, value: str, **changes: object) -> bool:
        try:
            tried = replan(_changed(planned.sign, number, **changes))
        except OutOfBudgetError:
            return False
        if tried.placement is None or tried.status == "refused":
            return False
        words = words.replace("{cap_mm:.1f}", f"{_lettering(tried, number).cap_height_mm:.1f}")
        told.append(Offer(words, ((option, value),)))
        return True

    for share in _ROOM_SHARES:
        least_mm = math.floor((finding.measured or 0.0) * share * 10 + 1e-6) / 10
        if least_mm < _LEAST_CAP_MM:
            break
        value = f"{least_mm:.1f}mm"
        if order.cap_mm is not None:
            has_room = tell(f"Capitals of {least_mm:.1f} mm fit.", "cap", value, cap_mm=least_mm)
        else:
            most_mm = None if order.max_cap_mm is None else max(order.max_cap_mm, least_mm)
            words = f"Capitals of {least_mm:.1f} mm fit in the room there is."
            has_room = tell(words, "min_cap", value, min_cap_mm=least_mm, max_cap_mm=most_mm)
        if has_room:
            break
    smaller = tuple(told)  # tried first, as it is the surest, and told last
    told.clear()
    spans = forced_lines(order.text)
    if len(spans) > 1:
        text = " ".join(order.text[start:end] for start, end in spans)
        tell(f"Type “{text}”: with other breaks it has room for {{cap_mm:.1f}} mm cap height.", "text", text, text=text)
    if order.layout != "auto":
        for layout in _LAYOUTS:
            if layout != order.layout:
                words = f"Laid out as {layout} it has room for {{cap_mm:.1f}} mm cap height."
                tell(words, "layout", layout, layout=layout)
    if order.layout != "box":
        for sweep_deg in _LONGER_SWEEPS_DEG:
            words, sweep_rad = (
                f"An arc of {sweep_deg:.0f} degrees has room for {{cap_mm:.1f}} mm cap height.",
                math.radians(sweep_deg),
            )
            if order.sweep_rad < sweep_rad - 1e-9 and tell(words, "sweep", f"{sweep_deg:.0f}", sweep_rad=sweep_rad):
                break
    return [*told, *smaller]


def same(one: Finding, other: Finding) -> bool:
    """Whether two findings are of one code and one lettering."""
    return one.code == other.code and one.where.lettering == other.where.lettering


def _gone(tried: Plan, finding: Finding) -> bool:
    """Whether a finding is gone, whatever else came; a heavier weight only ever thickens strokes."""
    return tried.placement is not None and not any(same(one, finding) for one in tried.findings)


def _fineness(tried: Plan, number: int, finding: Finding) -> str:
    if finding.code in _PRESSED:
        return _PRESSED[finding.code]
    fine = tried.thickness[number]
    if finding.code == "thin-stroke":
        return f"thinnest stroke {fine.thinnest_stroke_mm or 0:.2f} mm"
    return f"narrowest gap {fine.thinnest_gap_mm or 0:.2f} mm"


def _sets_all(face: Face, order: LetteringOrder) -> bool:
    return all(covers(face, word) for word in order.text.split())


def _lettering(planned: Plan, number: int) -> PlacedLettering:
    assert planned.placement is not None
    return planned.placement.letterings[number]


def _changed(sign: Sign, number: int, **changes: object) -> Sign:
    order = replace(sign.letterings[number], **changes)  # type: ignore[arg-type]
    letterings = (*sign.letterings[:number], order, *sign.letterings[number + 1 :])
    return replace(sign, letterings=letterings, repair="none")
