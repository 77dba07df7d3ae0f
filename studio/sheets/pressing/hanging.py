"""Where a sign hangs: its hanger or knots, and how high the hook goes.

Invariant: heights are from the finished floor, drops are from the sign's top edge down; a rope's hook lies above the
top edge, its drop is negative.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from studio.model.blank import Blank, Hole

CENTRE_MM: Final = 57 * 25.4
"""Height of a picture's centre above the floor: gallery custom, 57 in (common practice, no source)."""
FOOT_BELOW_TOP_MM: Final = 3 * 25.4
"""A hanger's foot below the top edge (common practice, no source)."""
LOWEST_FOOT_SHARE: Final = 0.375
"""Of the height: a hanger lower than that is near the middle of a small sign, which then tips over."""
KNOT_TO_HOLE: Final = 2.0
"""A knot at least so many times as wide as its hole does not slip through (common practice, no source)."""
KNOT_ROPE_MM: Final = 150.0
"""Rope for one knot with its end (common practice, no source)."""

CAUTIONS: Final = (
    "Hang nothing heavy over a bed, a crib, a seat, or where children play or climb.",
    "Use a hook, hanger and rope rated for well over the sign's weight, fixed as their makers say for your wall.",
    "Look for wires and pipes before you drill. Local codes come first; where in doubt ask a licensed professional.",
    "Pull down on the sign before you let go of it, and check hook, rope and knots every season.",
)


@dataclass(frozen=True, slots=True)
class Knot:
    """A knot behind a rope hole: where the hole is, and how wide the knot must be at least."""

    x_mm: float
    y_mm: float
    hole_mm: float

    @property
    def least_mm(self) -> float:
        """Its least width."""
        return KNOT_TO_HOLE * self.hole_mm


@dataclass(frozen=True, slots=True)
class Hanging:
    """How a sign hangs.

    Attributes:
        by: `hanger` on the back, `rope` through two holes, or `hole`: one hole on a nail.
        height_mm: Of the sign.
        drop_mm: From the top edge down to where it hangs on the hook; negative above the edge.
        hook_mm: Height of the hook above the floor.
        centre_mm: Height of the sign's centre above the floor.
        knots: Of a rope.
        rope_mm: Length of rope to cut, knots included; 0 without.
    """

    by: str
    height_mm: float
    drop_mm: float
    hook_mm: float
    centre_mm: float
    knots: tuple[Knot, ...] = ()
    rope_mm: float = 0.0


def hook_height_mm(height_mm: float, drop_mm: float, centre_mm: float = CENTRE_MM) -> float:
    """Return the height of a hook above the floor so that the sign's centre comes to `centre_mm`."""
    return centre_mm + height_mm / 2 - drop_mm


def hanger_drop_mm(height_mm: float) -> float:
    """Return how far below the top edge a hanger's foot goes: 3 in, and less on a small sign."""
    return min(FOOT_BELOW_TOP_MM, LOWEST_FOOT_SHARE * height_mm)


def hanging_of(blank: Blank, centre_mm: float = CENTRE_MM) -> Hanging:
    """Return how a blank hangs: by its highest pair of level holes, by one hole above its middle, or by a hanger."""
    pair = _rope_pair(blank.holes)
    if pair is not None:
        return _on_rope(blank, pair, centre_mm)
    single = [hole for hole in blank.holes if hole.y_mm > 0 and abs(hole.x_mm) < 1.0]
    if single:
        hole = max(single, key=lambda hole: hole.y_mm)
        drop = blank.height_mm / 2 - (hole.y_mm + hole.diameter_mm / 2)
        return Hanging("hole", blank.height_mm, drop, hook_height_mm(blank.height_mm, drop, centre_mm), centre_mm)
    drop = hanger_drop_mm(blank.height_mm)
    return Hanging("hanger", blank.height_mm, drop, hook_height_mm(blank.height_mm, drop, centre_mm), centre_mm)


def _rope_pair(holes: tuple[Hole, ...]) -> tuple[Hole, Hole] | None:
    """Return the highest two holes that mirror each other above the middle; `None` where there are none."""
    pairs = [
        (left, right)
        for left in holes
        for right in holes
        if left.x_mm < 0 < right.x_mm
        and abs(left.x_mm + right.x_mm) < 2.0
        and abs(left.y_mm - right.y_mm) < 2.0
        and left.y_mm + right.y_mm > 0
    ]
    return max(pairs, key=lambda pair: pair[0].y_mm + pair[1].y_mm, default=None)


def _on_rope(blank: Blank, pair: tuple[Hole, Hole], centre_mm: float) -> Hanging:
    """Return the hanging on a rope whose two halves rise at 60 degrees, so that each carries little more than half."""
    left, right = pair
    half = (right.x_mm - left.x_mm) / 2
    rise = half * math.tan(math.pi / 3)
    drop = blank.height_mm / 2 - ((left.y_mm + right.y_mm) / 2 + rise)
    knots = tuple(Knot(hole.x_mm, hole.y_mm, hole.diameter_mm) for hole in pair)
    rope = 2 * math.hypot(half, rise) + len(knots) * KNOT_ROPE_MM
    hook = hook_height_mm(blank.height_mm, drop, centre_mm)
    return Hanging("rope", blank.height_mm, drop, hook, centre_mm, knots, rope)


def tape_words(length_mm: float) -> str:
    """Return a length as both tape measures read it: `1448 mm (57 in)`, inches to the nearest sixteenth."""
    sixteenths = math.floor(abs(length_mm) / 25.4 * 16 + 0.5)
    whole, part = divmod(sixteenths, 16)
    shared = math.gcd(part, 16)
    fraction = f"{part // shared}/{16 // shared}" if part else ""
    inches = " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))
    return f"{math.floor(abs(length_mm) + 0.5)} mm ({inches} in)"
