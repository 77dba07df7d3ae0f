"""How many sheets some signs take, told before any of them is made."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from studio.geometry.shapes import Rim
from studio.model.sign import Sign
from studio.sheets.bottom_left import Footprint
from studio.sheets.cover import OVERLAP_MM
from studio.sheets.gang import GAP_MM, GangSign, fits, ganged
from studio.sheets.page import PackedPicture
from studio.sheets.sign_on_paper import Wish
from studio.sheets.tiling import Job, fewest_for

_NOTHING = PackedPicture(1, 1, 300.0, bytes, "")


def sheets_needed(signs: Iterable[tuple[Sign, int]], wish: Wish, *, gap_mm: float = GAP_MM) -> int:
    """Return how many sheets signs take, each so many times: small ones together, large ones by blank plus bleed.

    A large sign whose ink leaves the edge of its blank free may take fewer once it is made.

    Raises:
        SettingsError: The margins leave nothing of the paper, or there are too many signs.
    """
    printable = wish.printer.field(wish.paper)
    small: dict[Footprint, int] = {}
    total = 0
    for sign, count in signs:
        shape = Footprint(sign.blank.rim, sign.bleed_mm)
        if fits(shape, printable.width_mm, printable.height_mm):
            small[shape] = small.get(shape, 0) + count
        else:
            size = (printable.width_mm, printable.height_mm)
            total += count * _fewest(sign.blank.rim, sign.bleed_mm, size, wish.overlap_mm)
    if small:
        laid = [GangSign("", "", shape.rim, shape.reach_mm, _NOTHING, count) for shape, count in small.items()]
        places = ganged(laid, printable.width_mm, printable.height_mm, gap_mm, is_roll=wish.paper.is_roll)
        total += max(place.sheet for place in places)
    return total


@lru_cache(maxsize=64)
def _fewest(rim: Rim, bleed_mm: float, size: tuple[float, float], overlap_mm: float = OVERLAP_MM) -> int:
    return fewest_for(Job(rim, bleed_mm, *size, overlap_mm=overlap_mm))
