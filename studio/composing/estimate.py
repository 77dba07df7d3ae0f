"""About how large each way to set a text comes out, all at once and before any of them is built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.composing.block import LEAST_LEADING_CAPS
from studio.composing.placing import SizeLimits
from studio.composing.room import FreeRoom

_STEP: Final = 1.09
_RUNGS: Final = 26
_PLACES: Final = 7
_FAR_MM: Final = 4.0
"""How far beyond its limits a place counts at most, so that a picture's edge does not pull a size its way."""


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A line as it may be set.

    Attributes:
        owner: Which text of the sign it belongs to.
        start: Its first character in that text, and the one after its last.
        width_em: Its advance in its own em.
        size: Its em against that of the name.
        level: Its cap height against that of the name.
        span: Its words, first and the one after the last.
    """

    owner: int
    start: int
    end: int
    width_em: float
    size: float
    level: float
    span: tuple[int, int]


def estimates_em(
    drafts: list[tuple[DraftLine, ...]], room: FreeRoom, limits: SizeLimits, cap_em: float
) -> NDArray[np.float64]:
    """Return about the em in mm of each draft, 0 where it has hardly any room, shape (n,).

    Lines stand for their boxes, from the baseline to the top of the capitals.
    """
    most = max(len(draft) for draft in drafts)
    sides = (1,) if room.is_symmetric else (1, -1)
    x = np.zeros((len(drafts), most * 2 * len(sides)))
    y = np.zeros_like(x)
    for row, draft in enumerate(drafts):
        corners = _corners(draft, cap_em, sides)
        count = len(corners)
        x[row, :count], y[row, :count] = corners[:, 0], corners[:, 1]
        x[row, count:], y[row, count:] = corners[-1]
    top = limits.most_cap_mm / cap_em
    least = min(limits.least_cap_mm / cap_em, top)
    sizes = np.geomspace(top, least, max(2, min(_RUNGS, int(np.log(top / least) / np.log(_STEP)) + 2)))
    _, low, _, high = room.spans_mm
    ys = np.append(np.linspace(low, high, _PLACES + 2)[1:-1], room.middle_mm[1])
    xs = 0.0 if room.is_symmetric else room.middle_mm[0]
    across = xs + sizes[None, None, :, None] * x[:, None, None, :]
    up = ys[None, :, None, None] + sizes[None, None, :, None] * y[:, None, None, :]
    across = np.broadcast_to(across, up.shape)
    needed = np.maximum(limits.breathing_caps * cap_em * sizes, limits.breathing_mm)
    spare = np.maximum(room.clearance_mm(across, up).min(axis=3) - needed, -_FAR_MM)
    return _largest(spare, sizes)


def _largest(spare: NDArray[np.float64], sizes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the largest size with room at any place, between two of the ladder where room begins, shape (n,)."""
    free = spare >= 0
    first = free.argmax(axis=2)
    has_room = free.any(axis=2)
    before = np.maximum(first - 1, 0)
    at, over = (np.take_along_axis(spare, index[:, :, None], axis=2)[:, :, 0] for index in (first, before))
    share = np.where(over < 0, at / np.maximum(at - over, 1e-9), 0.0)
    found = sizes[first] + share * (sizes[before] - sizes[first])
    return np.asarray(np.where(has_room, found, 0.0).max(axis=1), np.float64)


def _corners(draft: tuple[DraftLine, ...], cap_em: float, sides: tuple[int, ...]) -> NDArray[np.float64]:
    """Return the corners of every line's box about the middle of all, name ems, shape (n, 2)."""
    corners = []
    baseline, above = 0.0, draft[0].level
    for number, line in enumerate(draft):
        cap = line.level * cap_em
        if number:
            baseline -= cap + LEAST_LEADING_CAPS * (above + line.level) / 2 * cap_em
        above = line.level
        for side in sides:
            half = side * line.width_em * line.size / 2
            corners += [(half, baseline), (half, baseline + cap)]
    points = np.array(corners)
    points[:, 1] -= (points[:, 1].max() + points[:, 1].min()) / 2
    return points
