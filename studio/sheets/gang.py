"""Small signs on shared sheets: which piece lies where, on the fewest sheets or the shortest roll.

Invariant: the order of the list changes nothing but which of two alike pieces lies where; any two pieces keep the gap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from studio.basics.errors import SettingsError
from studio.geometry.shapes import Box, Rim
from studio.sheets.bottom_left import Footprint, Spot, lay
from studio.sheets.page import PackedPicture
from studio.sheets.rows import best_rows

GAP_MM: Final = 4.0
MOST_PIECES: Final = 2_000
_MIXED_TOGETHER: Final = 120
"""Up to so many pieces are also laid all together, without rows."""


@dataclass(frozen=True, slots=True, eq=False)
class GangSign:
    """A small sign, and how many of it are wanted."""

    name: str
    order: str
    rim: Rim
    bleed_mm: float
    picture: PackedPicture
    count: int = 1

    @property
    def footprint(self) -> Footprint:
        """What one of it takes up."""
        return Footprint(self.rim, self.bleed_mm)


@dataclass(frozen=True, slots=True)
class Place:
    """Where one piece of a sign lies.

    Attributes:
        sign: The sign's number in the list that was given, from 0.
        sheet: From 1.
        number: On its sheet, in reading order, from 1.
        x_mm: Its middle, from the region's lower left corner.
    """

    sign: int
    sheet: int
    number: int
    x_mm: float
    y_mm: float
    is_turned: bool


def fits(sign: Footprint, width_mm: float, height_mm: float) -> bool:
    """Tell whether a piece fits a region by itself, one way or the other."""
    return any(2 * way.half_mm[0] <= width_mm + 1e-6 and 2 * way.half_mm[1] <= height_mm + 1e-6 for way in sign.ways)


def ganged(
    signs: Sequence[GangSign], width_mm: float, height_mm: float, gap_mm: float = GAP_MM, *, is_roll: bool = False
) -> tuple[Place, ...]:
    """Return where all pieces lie, sheet by sheet in reading order.

    Args:
        signs: What is laid; each must fit the region by itself.
        width_mm: Width of the region on each sheet.
        height_mm: Its height.
        gap_mm: Kept between any two, bleed included.
        is_roll: Whether the least length is sought, not the fewest sheets.

    Raises:
        SettingsError: There is nothing to lay, or more than can be laid at once.
    """
    pieces = [index for index, sign in enumerate(signs) for _ in range(sign.count)]
    if not pieces:
        raise SettingsError("There is no sign to lay on sheets.", advice="Make at least one that is not refused.")
    if len(pieces) > MOST_PIECES:
        raise SettingsError(
            f"{len(pieces):,} signs are more than are laid on sheets at once ({MOST_PIECES:,}).",
            advice="Choose fewer rows, or check the quantities.",
            ways=("rows",),
        )
    if not 0 <= gap_mm <= 100:
        raise SettingsError(
            f"{gap_mm:g} mm is not a gap between signs.", advice="It is from 0 to 100 mm; 4 is usual.", option="gap"
        )
    pieces.sort(key=lambda index: _rank(signs[index]))
    shapes = [signs[index].footprint for index in pieces]
    spots = min(_layouts(shapes, width_mm, height_mm, gap_mm, is_roll), key=lambda held: _used(shapes, held))
    reach = max(_top(shapes, spot) for spot in spots) if is_roll else height_mm
    upper = [replace(spot, y_mm=reach - spot.y_mm) for spot in spots]  # what stays free is at the foot
    return _numbered(upper, shapes, pieces)


def _rank(sign: GangSign) -> tuple[object, ...]:
    """Return what orders pieces, so that it is not the list: size first, then the name, then what tells alike ones."""
    rim = sign.rim
    size = (-max(rim.width_mm, rim.height_mm), -min(rim.width_mm, rim.height_mm), rim.shape, rim.width_mm)
    return (*size, rim.corner_radius_mm, sign.bleed_mm, sign.name.casefold(), sign.name, sign.order, sign.picture.key)


def _layouts(
    shapes: list[Footprint], width_mm: float, height_mm: float, gap_mm: float, is_roll: bool
) -> list[tuple[Spot, ...]]:
    """Return the layouts to choose from: equal rounds in rows with the rest together, and all together."""
    found = []
    groups = [list(held) for _, held in groupby(range(len(shapes)), key=lambda index: shapes[index])]
    if any(shapes[group[0]].rim.is_circle for group in groups):
        found.append(_in_rows(shapes, groups, width_mm, height_mm, gap_mm, is_roll))
    if not found or (len(groups) > 1 and len(shapes) <= _MIXED_TOGETHER):
        found.append(lay(shapes, width_mm, height_mm, gap_mm, is_roll=is_roll))
    return found


def _in_rows(
    shapes: list[Footprint], groups: list[list[int]], width_mm: float, height_mm: float, gap_mm: float, is_roll: bool
) -> tuple[Spot, ...]:
    """Return equal rounds on full sheets in rows, and what is left of them with all other pieces after that."""
    spots: list[Spot] = []
    rest: list[int] = []
    sheet = 0
    for group in groups:
        shape = shapes[group[0]]
        if not shape.rim.is_circle or (is_roll and len(groups) > 1):
            rest += group
            continue
        half, left = shape.half_mm[0], group
        while left:
            centres = best_rows(width_mm - 2 * half, height_mm - 2 * half, 2 * half + gap_mm, len(left))
            if len(centres) == len(left) and len(groups) > 1:
                break  # a sheet that is not full may take other pieces too
            spots += [
                Spot(piece, sheet, x + half, y + half, is_turned=False)
                for piece, (x, y) in zip(left, centres, strict=False)
            ]
            left, sheet = left[len(centres) :], sheet + 1
        rest += left
    laid = lay([shapes[index] for index in rest], width_mm, height_mm, gap_mm, is_roll=is_roll)
    spots += [Spot(rest[spot.piece], spot.sheet + sheet, spot.x_mm, spot.y_mm, spot.is_turned) for spot in laid]
    return tuple(spots)


def _used(shapes: list[Footprint], spots: tuple[Spot, ...]) -> tuple[int, float]:
    """Return sheets used, and the height used of the last."""
    last = max(spot.sheet for spot in spots)
    return last + 1, round(max(_top(shapes, spot) for spot in spots if spot.sheet == last), 6)


def _top(shapes: list[Footprint], spot: Spot) -> float:
    shape = shapes[spot.piece]
    return spot.y_mm + Footprint(shape.rim, shape.reach_mm, spot.is_turned).half_mm[1]


def _numbered(spots: Sequence[Spot], shapes: list[Footprint], pieces: list[int]) -> tuple[Place, ...]:
    """Return spots as places in reading order; alike pieces are given to alike spots in that order."""
    reading = sorted(spots, key=lambda spot: (spot.sheet, -round(spot.y_mm, 3), round(spot.x_mm, 3)))
    waiting: dict[Footprint, list[int]] = {}
    for shape, sign in zip(shapes, pieces, strict=True):
        waiting.setdefault(shape, []).append(sign)
    places = []
    for sheet, held in groupby(reading, key=lambda spot: spot.sheet):
        for number, spot in enumerate(held, 1):
            sign = waiting[shapes[spot.piece]].pop(0)
            places.append(Place(sign, sheet + 1, number, spot.x_mm, spot.y_mm, spot.is_turned))
    return tuple(places)


def region_of(printable: Box, foot_mm: float) -> tuple[float, float]:
    """Return the size of the region for pieces on a sheet whose foot is kept for words."""
    return printable.width_mm, printable.height_mm - foot_mm
