"""Texts composed along an arc: with air round them, and priced, since an arc is harder to read than a line."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from studio.basics.kept import KeptValues
from studio.composing import prices
from studio.composing.placing import SizeLimits
from studio.layout.fit import Fit, Limits
from studio.layout.open_area import OpenArea
from studio.layout.search import Found, arc_bound_mm, fit_text, joins
from studio.layout.shaped_text import ShapedText
from studio.layout.work import DRAWN_IN_MS, WORK
from studio.model.sign import Layout, LetteringOrder

_ROUNDS: Final = 3
_NEARLY: Final = (0.97, 1.25)
"""Air that came out between these shares of what is wanted is left as it is."""
_AIR_STEP: Final = 1.12
"""Ratio of neighbouring widths of air, so that few areas serve all names."""
_AREAS_KEPT: Final = 8
_FIRST_SHARE: Final = 0.16
"""The cap height that air is first kept for, as a share of the blank's smaller size."""


@dataclass(frozen=True, slots=True, eq=False)
class SetArc:
    """A text set along an arc, with what that costs."""

    found: Found
    cap_mm: float
    prices: tuple[tuple[str, float], ...]

    @property
    def fit(self) -> Fit:
        """Where its letters stand."""
        return self.found.best

    @property
    def score(self) -> float:
        """ln(cap height) less the prices."""
        return math.log(self.cap_mm) - sum(price for _, price in self.prices)


def set_on_arc(
    order: LetteringOrder, setting: ShapedText, layout: Layout, area: OpenArea, limits: SizeLimits
) -> SetArc | None:
    """Return a text along an arc that was asked for, with the air it needs; `None` without room.

    Args:
        order: What was asked for.
        setting: The text with its face.
        layout: Which arc.
        area: Where it may stand, drawn in for what the ink grows by.
        limits: What bounds its size.
    """
    cap_em = setting.face.cap_height_em
    asked = replace(order, layout=layout)
    bounds = _bounds(order, limits, cap_em)
    air_mm = limits.clear_mm(min(limits.most_cap_mm, _FIRST_SHARE * area.blank.smaller_mm))
    best: Found | None = None
    for _ in range(_ROUNDS):
        air_mm = _rounded(air_mm)
        found = fit_text(asked, setting, with_air(area, air_mm), bounds)
        if found is None:
            air_mm *= 0.6
            continue
        wanted_mm = limits.clear_mm(found.best.em_mm * cap_em)
        if air_mm >= wanted_mm * _NEARLY[0]:
            best = found
            if air_mm <= wanted_mm * _NEARLY[1]:
                break
        air_mm = wanted_mm if air_mm < wanted_mm else (air_mm + wanted_mm) / 2
    if best is None:
        return None
    return SetArc(best, best.best.em_mm * cap_em, _arc_prices(best.best, cap_em))


def arc_cap_mm(order: LetteringOrder, setting: ShapedText, layout: Layout, area: OpenArea, limits: SizeLimits) -> float:
    """Return about the cap height of a text along an arc, looked for with one width of air; 0 without room."""
    cap_em = setting.face.cap_height_em
    air_mm = _rounded(limits.clear_mm(min(limits.most_cap_mm, _FIRST_SHARE * area.blank.smaller_mm)))
    found = fit_text(replace(order, layout=layout), setting, with_air(area, air_mm), _bounds(order, limits, cap_em))
    return 0.0 if found is None else found.best.em_mm * cap_em


def chosen_arcs(
    order: LetteringOrder, setting: ShapedText, area: OpenArea, limits: SizeLimits, score: float
) -> list[SetArc]:
    """Return the arcs that may be chosen without being asked for, those that surely do not reach a score left out.

    Only where a picture leaves a round blank a segment: elsewhere an arc leaves the middle of the sign empty.
    """
    if not area.blank.rim.is_circle or area.dense is None or area.box is not None or area.picture is None:
        return []
    ink, cap_em = setting.single_line(), setting.face.cap_height_em
    if ink is None or len(ink.letters) < prices.ARC_LETTERS:
        return []
    price = prices.ARC + (prices.ARC_JOINED if joins(ink) else 0.0)
    beaten_mm = math.exp(score + price) if math.isfinite(score) else limits.least_cap_mm
    room = with_air(area, _rounded(limits.clear_mm(beaten_mm)) / _AIR_STEP)
    found = []
    for side, layout in ((1, "arc-top"), (-1, "arc-bottom")):
        bound_mm = arc_bound_mm(order, setting, room, _bounds(order, limits, cap_em), side)
        if math.isfinite(bound_mm) and bound_mm * cap_em < beaten_mm:
            continue
        made = set_on_arc(order, setting, "arc-top" if layout == "arc-top" else "arc-bottom", area, limits)
        if made is not None and made.score > score and _may_be_chosen(made, setting):
            found.append(made)
    return found


_WITH_AIR: Final = KeptValues[OpenArea, float, OpenArea]()


def with_air(area: OpenArea, air_mm: float) -> OpenArea:
    """Return an area drawn in for air, those asked for last kept with the area."""
    WORK.done_ms += DRAWN_IN_MS
    kept = _WITH_AIR.of(area)
    if air_mm not in kept:
        while len(kept) >= _AREAS_KEPT:
            kept.pop(next(iter(kept)))
        kept[air_mm] = replace(area, dense=None).tightened(air_mm)
    return kept[air_mm]


def _rounded(air_mm: float) -> float:
    """Return a width of air of the ladder, at least as large."""
    return float(_AIR_STEP ** math.ceil(math.log(max(air_mm, 0.1)) / math.log(_AIR_STEP) - 1e-6))


def _may_be_chosen(made: SetArc, setting: ShapedText) -> bool:
    radius_mm = made.fit.baseline_radius_mm or 1.0
    sweep_deg = math.degrees(made.fit.sweep_rad)
    low, high = prices.ARC_SWEEPS_DEG
    return (
        low <= sweep_deg <= high
        and made.cap_mm <= prices.ARC_MOST_CAP_OF_RADIUS * radius_mm
        and len(made.fit.lines[0].ink.letters) >= prices.ARC_LETTERS
    )


def _arc_prices(fit: Fit, cap_em: float) -> tuple[tuple[str, float], ...]:
    ink = fit.lines[0].ink
    price = prices.ARC + (prices.ARC_JOINED if joins(ink) else 0.0)
    price += prices.ARC_SHORT * max(prices.ARC_LETTERS - len(ink.letters), 0)
    if fit.baseline_radius_mm is not None:
        share = fit.em_mm * cap_em / fit.baseline_radius_mm
        price += prices.ARC_CAP_EXCESS * max(share - prices.ARC_CAP_OF_RADIUS, 0.0)
    price += 0.01 * max(math.degrees(fit.sweep_rad) - prices.ARC_SWEEPS_DEG[1], 0.0)
    return (("arc", price),)


def _bounds(order: LetteringOrder, limits: SizeLimits, cap_em: float) -> Limits:
    return Limits(limits.most_cap_mm / cap_em, limits.least_cap_mm / cap_em, order.sweep_rad, limits.finest_gap_mm)
