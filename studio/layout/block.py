"""Straight lines of text in the open area, as large as the room allows, centred on their ink.

In a plain safe zone the block stands in the middle and its size has a closed form on the outlines' own points. Where
something stands in the way the block starts from the largest free box of its aspect and then moves where it can grow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Points, bounds
from studio.layout.fit import NEAR, Fit, FittedLine, Limits
from studio.layout.letter_ink import LineInk
from studio.layout.open_area import OpenArea
from studio.layout.scaling import GROWTH, KEPT_BACK, ROUNDS, EdgePoints, Figure, fits, grown, largest_em

LINE_GAP_CAPS: Final = 0.22
"""Least clear height between the ink of two lines, in cap heights."""
CLOSEST_LEADING_CAPS: Final = 1.1
"""Least distance of two baselines, in cap heights."""
_COLUMN_EM: Final = 0.08
GIVEN_UP: Final = 0.996
"""Share of the largest size that is kept, for a place that is not wedged against its limits."""
_STEPS: Final = np.array([(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1)], np.float64)
_SCOUTS: Final = 96
_HOPEFUL_CELLS: Final = 0.4
"""How far beyond a limit, in cells, a place may seem that is looked at closely."""
_SAME_PLACE_CELLS: Final = 2
"""How far from an axis a box found roughly counts as standing on it."""
_FREER_CELLS: Final = 0.25
"""How much freer, in cells, a place must be to be worth leaving the middle for."""
_SHRINKS: Final = 5
_MOVES: Final = 6
MOVED_BLOCKS: Final = 2
"""How many of the best breaks are moved about to grow further."""
_PLACES_ASKED: Final = (33, 25)
"""Places across and up at which a blank with holes is looked over for room."""
_ROOM_HALVINGS: Final = 9
_ROOM_STEP: Final = 0.98
_ROOM_STEPS: Final = 20
"""Sizes tried from the largest that scouts find room for, each this much smaller."""
_ROOMIEST, _ROOM_SIZES = 4, 4
"""How many of the best of them are looked at closely at a size, and at how many sizes."""
_WORTH_MOVING: Final = 0.85
"""Share of the best break's size from which another may overtake it by moving."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Lines set one under another, in em, about the middle of their ink box.

    Attributes:
        origins: Where each line starts (x) and its baseline (y), shape (lines, 2).
        figure: All of their ink.
        samples: Points on all edges.
        balance: 0 for lines of one length, towards 1 as they differ.
    """

    lines: tuple[LineInk, ...]
    origins: Points
    samples: Points
    figure: Figure
    width_em: float
    height_em: float
    balance: float

    @property
    def aspect(self) -> float:
        """Width / height of the ink box."""
        return self.width_em / self.height_em


def block_of(lines: tuple[LineInk, ...]) -> Block:
    """Set lines one under another, each centred on its ink, closed up where no letters meet."""
    hulls = [line.straight_hull for line in lines]
    samples = [line.straight_samples for line in lines]
    middles = [(float(part[:, 0].min()) + float(part[:, 0].max())) / 2 for part in hulls]
    origins = np.zeros((len(lines), 2))
    origins[:, 0] = -np.array(middles)
    for index in range(1, len(lines)):
        above = samples[index - 1] + np.array([origins[index - 1, 0], 0.0])
        below = samples[index] + np.array([origins[index, 0], 0.0])
        origins[index, 1] = origins[index - 1, 1] - leading_em(above, below, lines[index])
    outline = np.concatenate([part + origin for part, origin in zip(hulls, origins, strict=True)])
    box = bounds((outline,))
    middle = np.array([box.left_mm + box.right_mm, box.bottom_mm + box.top_mm]) / 2
    origins -= middle
    outline -= middle
    widths = [float(np.ptp(part[:, 0])) for part in hulls]
    edges = np.concatenate([part + origin for part, origin in zip(samples, origins, strict=True)])
    scouts = edges[:: max(1, len(edges) // _SCOUTS)]
    figure = Figure(lambda: outline, scouts, lambda: edges, lambda: _edges(lines, origins))
    return Block(lines, origins, edges, figure, box.width_mm, box.height_mm, 1 - min(widths) / max(max(widths), 1e-9))


def _edges(lines: tuple[LineInk, ...], origins: Points) -> EdgePoints:
    points, following, start = [], [], 0
    for line, origin in zip(lines, origins, strict=True):
        every = line.edges()
        along = np.stack([line.mids_em[every.owner], np.zeros(len(every.owner))], axis=-1)
        points.append(every.points + along + origin)
        following.append(every.following + start)
        start += len(every.points)
    return np.concatenate(points), np.concatenate(following)


def leading_em(above: Points, below: Points, line: LineInk) -> float:
    """Return the distance between the baselines of two lines.

    It follows the ink of the face: as close as keeps the two lines `LINE_GAP_CAPS` apart wherever letters meet, and
    never closer than `CLOSEST_LEADING_CAPS`.

    Args:
        above: Samples of the upper line, em, baseline at y = 0, shape (n, 2).
        below: Samples of the lower line, em, baseline at y = 0.
        line: The lower line, for its face's measures.
    """
    cap_em = line.line.face.cap_height_em
    left = min(above[:, 0].min(), below[:, 0].min())
    columns = int((max(above[:, 0].max(), below[:, 0].max()) - left) / _COLUMN_EM) + 2
    floor = np.full(columns + 1, np.inf)
    np.minimum.at(floor, ((above[:, 0] - left) / _COLUMN_EM).astype(np.intp), above[:, 1])
    roof = np.full(columns + 1, -np.inf)
    np.maximum.at(roof, ((below[:, 0] - left) / _COLUMN_EM).astype(np.intp), below[:, 1])
    reach = roof.copy()
    np.maximum(reach[1:], roof[:-1], out=reach[1:])
    np.maximum(reach[:-1], roof[1:], out=reach[:-1])
    needed = float((reach - floor).max()) + LINE_GAP_CAPS * cap_em
    return max(needed, CLOSEST_LEADING_CAPS * cap_em) if np.isfinite(needed) else CLOSEST_LEADING_CAPS * cap_em


def fit_blocks(
    blocks: tuple[Block, ...], area: OpenArea, limits: Limits
) -> tuple[tuple[Fit, ...], tuple[tuple[str, float], ...]]:
    """Return a fit of every block that has room, largest first, and those that came nowhere near.

    Args:
        blocks: One for every break worth trying.
        area: The free region.
        limits: What bounds the size.

    Returns:
        The fits, those near in size by balance; and of each block beaten before it was worked out what it is, and an
        em in mm that it did not reach.
    """
    placed: list[tuple[Block, NDArray[np.float64], float]] = []
    beaten: list[tuple[str, float]] = []
    worth_mm = 0.0
    for block in blocks if area.is_plain else sorted(blocks, key=lambda block: -_promise_mm(block, area)):
        start = _start(block, area, limits, worth_mm)
        if start is not None:
            placed.append((block, *start))
            worth_mm = 0.0 if area.is_plain else max(worth_mm, start[1] * _WORTH_MOVING)
        elif worth_mm > limits.smallest_em_mm:
            beaten.append((_described(block), worth_mm))
    placed.sort(key=lambda entry: (-entry[2], entry[0].balance))
    if not area.is_plain:
        for index, (block, centre, em_mm) in enumerate(placed[:MOVED_BLOCKS]):
            if em_mm >= worth_mm:
                placed[index] = (block, *_moved(block, area, limits, centre, em_mm))
                worth_mm = max(worth_mm, placed[index][2] * _WORTH_MOVING)
        least_mm = NEAR * max((em_mm for _, _, em_mm in placed), default=0.0)
        placed = [
            (block, _freest(block, area, centre, em_mm) if em_mm >= least_mm else centre, em_mm)
            for block, centre, em_mm in placed
        ]
    fits = [_fitted(block, centre, em_mm) for block, centre, em_mm in placed]
    return tuple(sorted(fits, key=lambda fit: (-fit.em_mm, fit.balance))), tuple(beaten)


def _promise_mm(block: Block, area: OpenArea) -> float:
    """Return about the em at which a block fills the largest free box of its aspect."""
    box = area.roughly_largest_box(block.aspect)
    return 0.0 if box is None else box[2] / block.height_em


def _described(block: Block) -> str:
    return "one line" if len(block.lines) == 1 else f"{len(block.lines)} lines"


def _start(block: Block, area: OpenArea, limits: Limits, worth_mm: float) -> tuple[NDArray[np.float64], float] | None:
    """Return the best of three places and its size; where all hold the size asked for, one on the blank's axis.

    The places: level with the largest free box of the block's aspect, the middle of the blank, that box itself. An em
    under `worth_mm` is not looked for.
    """
    best: tuple[NDArray[np.float64], float] | None = None
    places, rounds = [np.zeros(2)], ROUNDS
    if not area.is_plain:
        rounds = 1  # The best are moved and grown further.
        box = area.roughly_largest_box(block.aspect)
        if box is not None:
            assert area.approximate is not None
            near_mm = _SAME_PLACE_CELLS * area.approximate.grid.pitch_mm
            across, up = [np.array(box[:2])], [np.array([0.0, box[1]])]
            places = [
                *_roomiest(block, area, limits),
                *(up if abs(box[1]) > near_mm else ()),
                *places,
                *(across if abs(box[0]) > near_mm else ()),
            ]
    for place in places:
        least = max(limits.smallest_em_mm, worth_mm) if best is None else best[1] * (1 + 1e-4)
        if least <= limits.largest_em_mm:
            em_mm = largest_em(
                area, place, block.figure, at_most_mm=limits.largest_em_mm, at_least_mm=least, rounds=rounds
            )
            if em_mm is not None:
                best = (place, em_mm)
    return best


def _roomiest(block: Block, area: OpenArea, limits: Limits) -> list[NDArray[np.float64]]:
    """Return the places of a blank with holes where the block may be largest, looked for all over it.

    Holes part the room, so that a block moved about from one place may never come to the best one.
    """
    if not area.blank.holes:
        return []
    assert area.approximate is not None
    room = area.approximate
    half = np.array([area.blank.width_mm, area.blank.height_mm]) / 2
    across, up = (np.linspace(-side, side, count) for side, count in zip(half, _PLACES_ASKED, strict=True))
    places = np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
    extent_em = np.array([block.width_em, block.height_em]) / 2

    hopeful_mm = -_HOPEFUL_CELLS * room.grid.pitch_mm

    def free(em_mm: float) -> NDArray[np.float64]:
        held = places[(np.abs(places) + extent_em * em_mm <= half).all(axis=1)]
        if len(held):
            held = held[room.least(held, em_mm, block.figure.scout_rays) >= hopeful_mm]
        return np.asarray(held, np.float64)

    low, high = 0.0, min(limits.largest_em_mm, float((half / extent_em).min()))
    for _ in range(_ROOM_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if len(free(middle)) else (low, middle)
    spacing_mm = float((2 * half / np.array(_PLACES_ASKED)).max())
    met, kept = 0, []
    for step in range(_ROOM_STEPS):  # Scouts miss holes that pass between them; all samples hardly do.
        em_mm = low * _ROOM_STEP**step
        asked = free(em_mm)
        if not len(asked):
            continue
        order = np.argsort(-room.least(asked, em_mm, block.figure.sample_rays), kind="stable")
        freest: list[NDArray[np.float64]] = []
        for place in asked[order]:
            if len(freest) < _ROOMIEST and all(np.abs(place - other).max() > 2 * spacing_mm for other in freest):
                freest.append(place)
        moved = [_freer(block, area, place, em_mm, spacing_mm) for place in freest]
        held = [place for place in moved if room.least_at(place, em_mm, block.figure.sample_rays) >= hopeful_mm]
        kept += held
        met += bool(held)
        if met == _ROOM_SIZES:
            break
    return kept


def _freer(
    block: Block, area: OpenArea, centre: NDArray[np.float64], em_mm: float, step_mm: float
) -> NDArray[np.float64]:
    """Return the place within about a step where a block of a size stands furthest from every limit on the map."""
    assert area.approximate is not None
    room, figure = area.approximate, block.figure
    best = room.least_at(centre, em_mm, figure.sample_rays)
    while step_mm > room.grid.pitch_mm / 2:
        places = centre + step_mm * _STEPS
        index = int(np.argmax(room.least(places, em_mm, figure.sample_rays)))
        freer = room.least_at(places[index], em_mm, figure.sample_rays)
        if freer > best:
            centre, best = places[index], freer
        else:
            step_mm /= 2
    return centre


def _moved(
    block: Block, area: OpenArea, limits: Limits, centre: NDArray[np.float64], em_mm: float
) -> tuple[NDArray[np.float64], float]:
    """Return the place and size after moving the block wherever it can grow."""
    step = block.height_em * em_mm / 4
    for _ in range(_SHRINKS):
        for _ in range(_MOVES):
            if em_mm >= limits.largest_em_mm * (1 - 1e-6):
                break
            found = _grown_beside(block, area, limits, centre, em_mm, step)
            if found is None:
                break
            centre, em_mm = found
        step /= 2
    if em_mm < limits.largest_em_mm * KEPT_BACK:
        em_mm = max(em_mm * GIVEN_UP, limits.smallest_em_mm)
    return centre, em_mm


def _grown_beside(
    block: Block, area: OpenArea, limits: Limits, centre: NDArray[np.float64], em_mm: float, step: float
) -> tuple[NDArray[np.float64], float] | None:
    assert area.approximate is not None
    places = centre + step * _STEPS
    least = area.approximate.least(places, em_mm * GROWTH, block.figure.scout_rays)
    for index in np.argsort(-least):
        if least[index] < -_HOPEFUL_CELLS * area.approximate.grid.pitch_mm:
            return None
        size = grown(area, places[index], block.figure, em_mm, limits.largest_em_mm)
        if size is not None:
            return places[index], size
    return None


def _freest(block: Block, area: OpenArea, centre: NDArray[np.float64], em_mm: float) -> NDArray[np.float64]:
    """Return the place nearby where a block of a given size stands furthest from every limit."""
    assert area.approximate is not None
    room, figure, step = area.approximate, block.figure, area.approximate.grid.pitch_mm * 4
    start, best = centre, room.least_at(centre, em_mm, figure.sample_rays)
    for _ in range(4):
        for _ in range(_MOVES):
            places = centre + step * _STEPS
            index = int(np.argmax(room.least(places, em_mm, figure.scout_rays)))
            freer = room.least_at(places[index], em_mm, figure.sample_rays)
            if freer <= best + _FREER_CELLS * room.grid.pitch_mm:
                break
            centre, best = places[index], freer
        step /= 2
    return centre if fits(area, centre, block.figure, em_mm) else start


def _fitted(block: Block, centre: NDArray[np.float64], em_mm: float) -> Fit:
    lines = []
    for ink, origin in zip(block.lines, block.origins, strict=True):
        x = centre[0] + em_mm * (origin[0] + ink.mids_em)
        y = np.full_like(x, centre[1] + em_mm * origin[1])
        lines.append(FittedLine(ink, (x, y, np.zeros_like(x))))
    return Fit(
        "box",
        em_mm,
        tuple(lines),
        balance=block.balance,
        description=_described(block),
    )
