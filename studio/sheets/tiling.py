"""A sign on several sheets: the fewest that cover it, and seams where they cost least.

Everything is in the print's own frame: mm from the blank's centre, x to the right as seen on the printed side.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.geometry.shapes import Box, Rim
from studio.sheets.cover import (
    LEAST_OVERLAP_MM,
    OVERLAP_MM,
    Cover,
    Covering,
    SeamCost,
    Size,
    best_cover,
    cover_at,
    fewest_sheets,
)
from studio.sheets.outline import Outline, outline_of
from studio.sheets.seam_cost import Cost, CostMap

_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Of seams; I and O are left out, since they look like figures."""
_HIGHEST: Final = 60
"""More sheets than this to a sign are a mistake in a size."""


@dataclass(frozen=True, slots=True)
class Tile:
    """What one sheet prints of a sign.

    Attributes:
        kept: What is left of it once it is trimmed at its seams.
        printed: The same with half the overlap past each seam.
        is_turned: Whether the sign's up runs across the page.
    """

    number: int
    kept: Box
    printed: Box
    is_turned: bool


@dataclass(frozen=True, slots=True)
class Seam:
    """A straight line where sheets meet.

    Attributes:
        is_upright: Whether it runs up and down; `at_mm` is then its x, else its y.
        start_mm: Where it starts on blank plus bleed, along it.
        end_mm: Where it ends.
        is_open: Whether each end lies on the outline; an end that meets another seam does not.
        sheets: Numbers of the sheets that meet at it, the one to be trimmed last.
    """

    letter: str
    is_upright: bool
    at_mm: float
    start_mm: float
    end_mm: float
    is_open: tuple[bool, bool]
    sheets: tuple[int, ...]
    cost: Cost


@dataclass(frozen=True, slots=True)
class Tiling:
    """All sheets of one sign, in reading order on the printed side, and its seams."""

    tiles: tuple[Tile, ...]
    seams: tuple[Seam, ...]
    cost: Cost
    overlap_mm: float

    @property
    def is_mixed(self) -> bool:
        """Whether some sheets are laid along the sign and some across."""
        return len({tile.is_turned for tile in self.tiles}) > 1


@dataclass(frozen=True, slots=True)
class WantedSeams:
    """Seams where the maker wants them.

    Attributes:
        is_upright: Whether they run up and down.
        at_mm: Their places from the blank's centre as the sign is read, y up.
    """

    is_upright: bool
    at_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """What is to be tiled, and on what.

    Attributes:
        width_mm: What the printer prints of a sheet, across the feed.
        height_mm: The same along the feed.
        is_measured: Whether the printer's scale is known on both axes, so that sheets may be laid either way.
    """

    rim: Rim
    bleed_mm: float
    width_mm: float
    height_mm: float
    is_measured: bool = False
    overlap_mm: float = OVERLAP_MM

    def covering(self, *, upright_seams: bool, ways: tuple[bool, ...]) -> Covering:
        """Return the cover to find.

        Args:
            upright_seams: Which way the seams between bands run.
            ways: Which ways a sheet may be laid: along the sign (`False`), across it (`True`).
        """
        outline = outline_of(self.rim, self.bleed_mm, turned=upright_seams)
        return Covering(outline, tuple(self._size(way, upright_seams) for way in ways), self.overlap_mm)

    def _size(self, is_turned: bool, upright_seams: bool) -> Size:
        across, along = (self.height_mm, self.width_mm) if is_turned else (self.width_mm, self.height_mm)
        return (along, across) if upright_seams else (across, along)


def parse_seams(text: str) -> WantedSeams:
    """Return the seams that `36mm` (level, 36 mm above the centre), `x=20mm` or `40mm,-40mm` ask for.

    Raises:
        SettingsError: It is none of these.
    """
    kind, _, rest = text.strip().lower().rpartition("=")
    if kind.strip() not in ("", "x", "y"):
        raise SettingsError(f"{text[:40]!r} is not a place.", advice="Write it like 36mm, or x=-20mm.", option="seam")
    places = sorted(parse_length_mm(part, option="seam") for part in rest.split(","))
    if any(high - low < OVERLAP_MM for low, high in itertools.pairwise(places)):
        raise SettingsError("Two seams lie closer than their overlap.", advice="Leave one of them out.", option="seam")
    return WantedSeams(kind.strip() == "x", tuple(places))


def fewest_for(job: Job) -> int:
    """Return the fewest sheets that cover blank plus bleed, whatever is on it; 0 when no cover is found."""
    counts = [fewest_sheets(job.covering(upright_seams=upright, ways=(False, True))) for upright in (False, True)]
    return min((count for count in counts if count), default=0)


def tiling_of(job: Job, costs: CostMap, wanted: WantedSeams | None = None) -> Tiling:
    """Return the tiling of the fewest sheets whose seams cost least.

    Sheets laid along and across are not mixed in one sign while there is a way without, unless the printer has been
    measured: its scale differs between the two.

    Args:
        job: What is tiled.
        costs: What a seam would cut.
        wanted: Seams where the maker wants them; the rest follows from them.

    Raises:
        SettingsError: No sheets cover the sign, or not with the seams wanted.
    """
    if not LEAST_OVERLAP_MM <= job.overlap_mm <= min(job.width_mm, job.height_mm) / 2:
        raise SettingsError(
            f"An overlap of {job.overlap_mm:g} mm does not work on a sheet that prints {job.width_mm:.1f} x "
            f"{job.height_mm:.1f} mm.",
            advice=f"It is at least {LEAST_OVERLAP_MM:g} mm and at most half a sheet; take larger paper.",
        )
    found = list(_wanted_covers(job, costs, wanted) if wanted is not None else _covers(job, costs))
    if not found:
        raise SettingsError(
            f"The sign cannot be laid on sheets that print {job.width_mm:.1f} x {job.height_mm:.1f} mm.",
            advice="Take larger paper, or a smaller blank.",
        )
    best = min(found, key=lambda held: (held[0].sheets, held[3], held[0].cost, held[0].off_middle_mm, held[1]))
    cover, upright, ways, _ = best
    if cover.sheets > _HIGHEST:
        raise SettingsError(
            f"The sign would take {cover.sheets} sheets.", advice="Check the blank's size, or take larger paper."
        )
    return _tiling(job, cover, upright, ways, costs)


def _covers(job: Job, costs: CostMap) -> Iterator[tuple[Cover, bool, tuple[bool, ...], bool]]:
    """Yield the best cover of each kind: which way its seams run, how sheets are laid, and whether that is mixed."""
    kinds = [(upright, ways) for upright in (False, True) for ways in ((False,), (True,), (False, True))]
    counts = {kind: fewest_sheets(job.covering(upright_seams=kind[0], ways=kind[1])) for kind in kinds}
    fewest = min((count for count in counts.values() if count), default=0)
    kept = [kind for kind in kinds if counts[kind] == fewest > 0]
    unmixed = [kind for kind in kept if len(kind[1]) == 1]
    for upright, ways in kept if job.is_measured or not unmixed else unmixed:
        cover = best_cover(job.covering(upright_seams=upright, ways=ways), *_costs_along(costs, upright))
        if cover is not None:
            yield cover, upright, ways, _is_mixed(job, cover)


def _wanted_covers(
    job: Job, costs: CostMap, wanted: WantedSeams
) -> Iterator[tuple[Cover, bool, tuple[bool, ...], bool]]:
    upright = wanted.is_upright
    problems: list[SettingsError] = []
    for ways in ((False,), (True,), (False, True)):
        covering = job.covering(upright_seams=upright, ways=ways)
        places = sorted(-at for at in wanted.at_mm) if upright else list(wanted.at_mm)  # the print is mirrored
        edge = covering.edge_mm
        if not all(abs(at) < edge for at in places):
            raise SettingsError(
                f"{max(map(abs, places)):.1f} mm lies beyond the sign, which ends at {edge:.1f} mm with its bleed.",
                advice="Places are measured from the blank's centre.",
                option="seam",
            )
        try:
            cover = cover_at(covering, [-edge, *places, edge], *_costs_along(costs, upright))
        except SettingsError as problem:
            problems.append(problem)
            continue
        yield cover, upright, ways, _is_mixed(job, cover)
    if len(problems) == 3:
        raise problems[-1]


def _is_mixed(job: Job, cover: Cover) -> bool:
    return not job.is_measured and len({band.size for band in cover.bands}) > 1


def _costs_along(costs: CostMap, upright: bool) -> tuple[SeamCost, SeamCost]:
    """Return the costs of seams between bands, and of those across them."""

    def between(at: float, start: float, end: float) -> Cost:
        return costs.cost(at, start, end, upright=upright)

    def across(at: float, start: float, end: float) -> Cost:
        return costs.cost(at, start, end, upright=not upright)

    return between, across


def _tiling(job: Job, cover: Cover, upright: bool, ways: tuple[bool, ...], costs: CostMap) -> Tiling:
    """Return a cover as tiles and seams, numbered from the upper left as seen on the printed side."""
    covering = job.covering(upright_seams=upright, ways=ways)
    outline, half = covering.outline, job.overlap_mm / 2
    placed: list[tuple[Box, Box, bool]] = []
    for band in cover.bands:
        low, high = covering.reach(band.low_mm, band.high_mm)
        edge = outline.widest_mm(low, high) / 2
        for left, right in itertools.pairwise((-edge, *band.cuts_mm, edge)):
            kept = Box(left, band.low_mm, right, band.high_mm)
            printed = Box(left - (half if left > -edge else 0), low, right + (half if right < edge else 0), high)
            placed.append((_framed(kept, upright), _framed(printed, upright), ways[band.size]))
    placed.sort(key=lambda held: (-round(held[0].top_mm, 3), held[0].left_mm))
    tiles = tuple(Tile(number, *held) for number, held in enumerate(placed, 1))
    seams = []
    for (at, start, end, is_upright, ends_open), letter in zip(
        _lines(cover, outline, upright), itertools.cycle(_LETTERS), strict=False
    ):
        meeting = tuple(tile.number for tile in tiles if _touches(tile.kept, at, start, end, is_upright))
        cost = costs.cost(at, start, end, upright=is_upright)
        seams.append(Seam(letter, is_upright, at, start, end, ends_open, meeting, cost))
    return Tiling(tiles, tuple(seams), cover.cost, job.overlap_mm)


def _lines(
    cover: Cover, outline: Outline, upright: bool
) -> Iterator[tuple[float, float, float, bool, tuple[bool, bool]]]:
    """Yield each seam's place, start, end, whether it is upright, and which of its ends lie on the outline."""
    for band in cover.bands[1:]:
        half = outline.chord_mm(band.low_mm) / 2
        yield band.low_mm, -half, half, upright, (True, True)
    for index, band in enumerate(cover.bands):
        for cut in band.cuts_mm:
            limit = outline.reach_mm(cut)
            start, end = max(band.low_mm, -limit), min(band.high_mm, limit)
            yield cut, start, end, not upright, (index == 0, index == len(cover.bands) - 1)


def _framed(box: Box, upright: bool) -> Box:
    """Return a box given along and across bands in the print's own frame."""
    return Box(box.bottom_mm, box.left_mm, box.top_mm, box.right_mm) if upright else box


def _touches(box: Box, at: float, start: float, end: float, upright: bool) -> bool:
    low, high, left, right = box.bottom_mm, box.top_mm, box.left_mm, box.right_mm
    if upright:
        low, high, left, right = left, right, low, high
    return min(abs(low - at), abs(high - at)) < 1e-6 and left < end - 1e-6 and right > start + 1e-6
