"""Options of several parts as a field for each: a hole, an offset, an outline; and lengths in the maker's unit.

Invariant: what is typed stays as it is until it can be read as a length; nothing typed is ever lost.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.tui.lengths import Unit, typed

HOLE_PARTS: Final = ("hole_across", "hole_down", "hole_size")
PAIRS: Final = {
    "artwork_right": ("artwork_at", 0),
    "artwork_up": ("artwork_at", 1),
    "shift_right": ("shift", 0),
    "shift_up": ("shift", 1),
}
"""Fields for the two halves of an offset."""
OUTLINE_PARTS: Final = ("outline_width", "outline_color")
LENGTHS: Final = frozenset(
    {"width", "height", "corner", "clearance", "margin", "spread", "artwork_fit", "cap", "max_cap", "min_cap", "bleed",
     "waste", "outline_width", *HOLE_PARTS, *PAIRS}
)  # fmt: skip
"""Fields that hold a length, so that a bare number is in the maker's unit."""
_BARE: Final = re.compile(r"[+-]?(\d+([.,]\d+)?|\d+/\d+|\d+ \d+/\d+)")


def with_unit(text: str, unit: Unit) -> str:
    """Return a length as typed, with the maker's unit where it has none."""
    plain = text.strip()
    return f"{plain.replace(',', '.')}{unit}" if _BARE.fullmatch(plain) and plain.strip("+-0.,") else plain


def in_unit(text: str, unit: Unit) -> str:
    """Return a length in the maker's unit; what is none stays as it is."""
    length_mm = _mm(text)
    return text if length_mm is None else typed(length_mm, unit)


def hole_part(holes: Sequence[str], part: str, height: str, unit: Unit) -> str:
    """Return what a field of the first hole holds: how far across the middle, how far below the top edge, how wide.

    Args:
        holes: All holes, each as `x,y,diameter` from the blank's centre.
        part: One of `HOLE_PARTS`.
        height: The blank's height as typed.
        unit: The unit to show.
    """
    if not holes:
        return ""
    across, up, size = (*holes[0].split(","), "", "", "")[:3]
    if part == "hole_down":
        return _flipped(up, height, unit)
    return in_unit(across if part == "hole_across" else size, unit)


def with_hole_part(holes: Sequence[str], part: str, text: str, height: str) -> tuple[str, ...]:
    """Return all holes once a field of the first one is typed; a hole without a size is none."""
    across, up, size = (*holes[0].split(","), "", "", "")[:3] if holes else ("0mm", _up_of("20mm", height), "")
    if part == "hole_across":
        across = text or "0mm"
    elif part == "hole_down":
        up = _up_of(text, height)
    else:
        size = text
    rest = tuple(holes[1:])
    if not size or size == "none":
        return rest if part == "hole_size" else (f"{across},{up},8mm", *rest)
    return (f"{across},{up},{size}", *rest)


def pair_part(value: str, place: int, unit: Unit) -> str:
    """Return one half of an offset."""
    halves = (*value.split(","), "0mm")
    return in_unit(halves[place].strip(), unit)


def with_pair_part(value: str, place: int, text: str) -> str:
    """Return an offset once one half of it is typed."""
    halves = [*value.split(","), "0mm", "0mm"][:2]
    halves[place] = text or "0mm"
    return ",".join(half.strip() for half in halves)


def outline_part(value: str, part: str, unit: Unit) -> str:
    """Return how wide an outline is, or its colour."""
    width, _, colour = value.partition(":")
    return in_unit(width, unit) if part == "outline_width" else colour or "auto"


def with_outline_part(value: str, part: str, text: str) -> str:
    """Return an outline once its width or its colour is typed."""
    width, _, colour = value.partition(":")
    if part == "outline_width":
        width = text or "none"
    else:
        colour = "" if text in ("auto", "own") else text
        width = "1mm" if colour and width in ("", "none") else width
    return f"{width}:{colour}" if colour and width != "none" else width


def _flipped(up: str, height: str, unit: Unit) -> str:
    """Return how far below the top edge a point is that lies so far up from the middle."""
    up_mm, height_mm = _mm(up), _mm(height)
    return up if up_mm is None or height_mm is None else typed(height_mm / 2 - up_mm, unit)


def _up_of(down: str, height: str) -> str:
    """Return how far up from the middle a point is that lies so far below the top edge."""
    down_mm, height_mm = _mm(down), _mm(height)
    return down if down_mm is None or height_mm is None else f"{height_mm / 2 - down_mm:.9g}mm"


def _mm(text: str) -> float | None:
    try:
        return parse_length_mm(text)
    except SettingsError:
        return None
