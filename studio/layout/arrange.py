"""All texts of a sign fitted beside one another: second texts first, kept modest, then the name in the room left."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.shapes import Contours
from studio.layout.fit import NO_LIMIT_MM, Limits
from studio.layout.open_area import OpenArea
from studio.layout.placement import NoFit, PlacedLettering, Placement
from studio.layout.search import Found, fit_text, without_limits
from studio.layout.shaped_text import ShapedText
from studio.layout.to_placement import place
from studio.model.sign import LARGEST_TURN_RAD, LetteringOrder

SECOND_CAP_SHARE: Final = 0.075
"""A second text's capitals take at most this share of the blank's smaller size, unless asked for otherwise."""
SECOND_TO_FIRST: Final = 0.6
"""A second text's capitals take at most this share of the name's."""
_FIXED_SLACK: Final = 1e-6
_NEARLY: Final = 0.97
"""From this share of a limit on it is what holds an arc back."""


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """One text to lay: what was asked for, the text with its face, and the colour it comes out in."""

    order: LetteringOrder
    setting: ShapedText
    colour: Colour


@dataclass(frozen=True, slots=True, eq=False)
class _Stuck:
    """The text that found no room, and where it looked for it."""

    index: int
    text: Wanted
    area: OpenArea
    limits: Limits


def lay(wanted: tuple[Wanted, ...], area: OpenArea, finest_gap_mm: float) -> Placement | NoFit:
    """Fit all texts of a sign so that none touches another.

    Args:
        wanted: The name first, then the second texts.
        area: The free region before any text stands.
        finest_gap_mm: The finest gap of the surface, the floor of the even spacing.

    Returns:
        The placement in the order given, or what had no room.
    """
    second_cap_mm = SECOND_CAP_SHARE * area.blank.smaller_mm
    seconds_first = (*range(1, len(wanted)), 0)
    laid = _in_turn(wanted, seconds_first, area, finest_gap_mm, second_cap_mm)
    if isinstance(laid, Placement):
        if len(wanted) == 1:
            return laid
        name_cap_mm = laid.letterings[0].cap_height_mm
        if name_cap_mm * SECOND_TO_FIRST < max(text.cap_height_mm for text in laid.letterings[1:]):
            smaller = _in_turn(wanted, seconds_first, area, finest_gap_mm, name_cap_mm * SECOND_TO_FIRST)
            laid = smaller if isinstance(smaller, Placement) else laid
        return laid
    if len(wanted) > 1:
        name_first = _in_turn(wanted, tuple(range(len(wanted))), area, finest_gap_mm, second_cap_mm)
        if isinstance(name_first, Placement):
            return name_first
    return _no_fit(laid)


def _in_turn(
    wanted: tuple[Wanted, ...], turns: tuple[int, ...], area: OpenArea, finest_gap_mm: float, second_cap_mm: float
) -> Placement | _Stuck:
    placed: dict[int, PlacedLettering] = {}
    for index in turns:
        text = wanted[index]
        gap_mm = finest_gap_mm + 2 * text.order.offset_mm
        limits = _limits(text, gap_mm, second_cap_mm if index else None)
        room = area.tightened(growth_mm(text.order))
        found = fit_text(text.order, text.setting, room, limits)
        if found is None:
            return _Stuck(index, text, room, limits)
        lettering = _placed(text, found)
        placed[index] = lettering
        if len(placed) < len(turns):
            area = area.with_text(_ink(lettering))
    return Placement(tuple(placed[index] for index in range(len(wanted))))


def _ink(lettering: PlacedLettering) -> Contours:
    return lettering.ring_contours or lettering.contours


def growth_mm(order: LetteringOrder) -> float:
    """Return how far ink grows once it is fitted: by an offset of its outlines, and by a ring round them."""
    return order.offset_mm + (order.ring.width_mm if order.ring is not None else 0.0)


def _limits(text: Wanted, finest_gap_mm: float, modest_cap_mm: float | None) -> Limits:
    order, cap_em = text.order, text.setting.face.cap_height_em
    if order.cap_mm is not None:
        em_mm = order.cap_mm / cap_em
        return Limits(em_mm, em_mm * (1 - _FIXED_SLACK), order.sweep_rad, finest_gap_mm)
    most_mm = order.max_cap_mm
    if most_mm is None and modest_cap_mm is not None:
        most_mm = max(modest_cap_mm, order.min_cap_mm)
    largest = NO_LIMIT_MM if most_mm is None else most_mm / cap_em
    return Limits(largest, order.min_cap_mm / cap_em, order.sweep_rad, finest_gap_mm)


def _placed(text: Wanted, found: Found) -> PlacedLettering:
    lettering = place(
        found.best, text.order, text.setting.text, text.setting.face, text.colour, found.spacing, found.starts
    )
    cap_em = text.setting.face.cap_height_em
    tried = tuple(f"{other.description}: {other.em_mm * cap_em:.1f} mm cap height" for other in found.others)
    beaten = tuple(f"{layout}: under {em_mm * cap_em:.1f} mm cap height" for layout, em_mm in found.beaten)
    return replace(lettering, runners_up=(*tried, *beaten))


def _no_fit(stuck: _Stuck) -> NoFit:
    """Return what had no room, with the largest size that would have had it: as much work as fitting."""
    index, text, area, limits = stuck.index, stuck.text, stuck.area, stuck.limits
    cap_em = text.setting.face.cap_height_em
    found = fit_text(text.order, text.setting, area, without_limits(limits))
    largest_mm = 0.0 if found is None else found.best.em_mm * cap_em
    reason = ", ".join([_reason(area), *_arc_limits(text.order, found)])
    return NoFit(index, text.order.layout, largest_mm, limits.smallest_em_mm * cap_em, reason)


def _arc_limits(order: LetteringOrder, found: Found | None) -> list[str]:
    """Return what else holds the largest arc back: how sharply its letters turn, and how far it goes round."""
    if found is None or found.best.layout == "box":
        return []
    turns = np.abs(np.diff(found.best.lines[0].frames[2]))
    limits = []
    if turns.max(initial=0.0) > _NEARLY * LARGEST_TURN_RAD:
        limits.append(f"and letters may turn at most {math.degrees(LARGEST_TURN_RAD):.1f} degrees from one to the next")
    if found.best.sweep_rad > _NEARLY * order.sweep_rad:
        limits.append(f"and the arc may sweep at most {math.degrees(order.sweep_rad):.0f} degrees")
    return limits


def _reason(area: OpenArea) -> str:
    """Return what bounds the room, as a clause."""
    size = f"{area.blank.width_mm:.0f} x {area.blank.height_mm:.0f} mm blank"
    bounds = [f"the safe zone {area.margin_mm:.1f} mm inside the rim"]
    if area.blank.holes:
        bounds.append("the holes")
    if area.box is not None:
        bounds.append(f"the artwork's own {area.box.width_mm:.0f} x {area.box.height_mm:.0f} mm area")
    if area.picture is not None:
        bounds.append("the artwork")
    if area.texts is not None:
        bounds.append("the other text")
    return f"on this {size} the room is bounded by " + ", ".join(bounds)
