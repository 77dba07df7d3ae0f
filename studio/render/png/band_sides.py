"""A band split into its middle, which a name changes, and its sides, which stay as they are packed.

A row's left and right edges hold most of what is costly to pack, and lettering seldom reaches them. So the end of each
row and the start of the next are one deflate run made beforehand, and only the middles are packed for a name.

Invariant: sides and middles put together inflate to the band's filtered rows; a middle's first and last column of
pixels are never changed, so that no side's filter looks at a changed neighbour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.render.png.deflate import ADLER_BASE, adler32, packed_runs, padded
from studio.render.png.plain_bands import FlatPatch

STEPS: Final = 8
"""Middles of so many widths, each as far from the left edge as from the right: names are mostly centred."""
_COSTLY: Final = 1 / 25
"""A band whose packed size is a smaller share of its rows is quickly packed whole, and smaller so."""
_LEAST_WIDTH_PX: Final = 600
"""Rows of fewer pixels are too short to be packed in pieces."""
_ROOM: Final = -1
"""Stands for the sum of a middle."""
_LEAST_SIDE: Final = 1 / 6
"""Sides that are a smaller share of a row are not worth it."""


@dataclass(frozen=True, slots=True)
class BandSides:
    """A band's sides.

    Attributes:
        start_byte: Where the middle begins in a filtered row.
        stop_byte: Where it ends.
        runs: The first row's start, each row's end with the next one's start, the last row's end; one more than rows.
        sums: Adler-32 of each at even places, between them room for the middles', shape (2 x rows + 1,).
        lengths: Bytes of sides and middles, unpacked, likewise.
    """

    start_byte: int
    stop_byte: int
    runs: tuple[bytes, ...] = field(repr=False)
    sums: NDArray[np.int64] = field(repr=False)
    lengths: NDArray[np.int64] = field(repr=False)


def middle_of(width_px: int, left_px: int, right_px: int) -> tuple[int, int] | None:
    """Return first column and column past the last of the narrowest middle that holds the changed columns.

    `None` where that leaves no sides worth keeping.
    """
    half = width_px / 2
    reach = max(half - (left_px - 1), right_px + 1 - half)
    step = -(-int(np.ceil(reach)) * 2 * STEPS // width_px)
    wide = step * width_px // (2 * STEPS)
    start, stop = int(half) - wide - 1, width_px - (int(half) - wide - 1)
    if width_px < _LEAST_WIDTH_PX or start < max(1, _LEAST_SIDE * width_px / 2) or left_px <= start or right_px >= stop:
        return None
    return start, stop


def plain_middle(width_px: int, patch: FlatPatch) -> tuple[int, int]:
    """Return first column and column past the last of a middle that holds a patch, within the plain stretch round it.

    Where there is room it is as narrow as `middle_of` makes it.
    """
    first, end = patch.plain_px[0] + 1, patch.plain_px[1]
    narrow = middle_of(width_px, patch.left_px, patch.left_px + patch.shape[1])
    return (first, end) if narrow is None else (max(first, narrow[0]), min(end, narrow[1]))


def is_costly(packed_bytes: int, filtered_bytes: int) -> bool:
    """Return whether a band is worth splitting."""
    return packed_bytes > _COSTLY * filtered_bytes


def sides_of(filtered: NDArray[np.uint8], start_byte: int, stop_byte: int) -> BandSides:
    """Pack a band's sides.

    Args:
        filtered: The band's filtered rows, shape (rows, bytes).
        start_byte: Where the middle begins in a row.
        stop_byte: Where it ends.
    """
    rows, width = filtered.shape
    room = padded(1, rows * (width - (stop_byte - start_byte)))[0]
    kept = np.concatenate((filtered[:, :start_byte], filtered[:, stop_byte:]), axis=1, out=room.reshape(rows, -1))
    ends = [*range(start_byte, room.size, kept.shape[1]), room.size]
    sums = np.full(2 * rows + 1, _ROOM, np.int64)
    sums[0::2] = [adler32(room[start:end]) for start, end in pairwise((0, *ends))]
    lengths = np.full(len(sums), stop_byte - start_byte, np.int64)
    lengths[0::2] = np.diff((0, *ends))
    return BandSides(start_byte, stop_byte, tuple(packed_runs(room, ends)), sums, lengths)


def spliced(sides: BandSides, middles: Sequence[bytes]) -> bytes:
    """Return a band's deflate runs with new middles, one for each row."""
    parts = [b""] * (2 * len(middles) + 1)
    parts[0::2] = sides.runs
    parts[1::2] = middles
    return b"".join(parts)


def joined_sums(bands: Sequence[BandSides], adlers: NDArray[np.int64] | Sequence[int]) -> list[int]:
    """Return the Adler-32 of the filtered rows of bands with new middles.

    By the rule of `deflate.adler32_combine`, for all stretches of all bands at once.

    Args:
        bands: The bands' sides.
        adlers: The Adler-32 of every middle, unpacked, band after band.
    """
    ends = np.cumsum([len(sides.sums) for sides in bands])
    starts = np.concatenate(([0], ends[:-1]))
    sums = np.concatenate([sides.sums for sides in bands])
    sums[sums == _ROOM] = adlers
    lengths = np.concatenate([sides.lengths for sides in bands]) % ADLER_BASE
    bytes_sum = (sums & 0xFFFF) - 1
    before = np.cumsum(bytes_sum) - bytes_sum
    before -= np.repeat(before[starts], ends - starts)
    totals = np.add.reduceat((sums >> 16) + lengths * (before % ADLER_BASE), starts) % ADLER_BASE
    whole = (1 + np.add.reduceat(bytes_sum, starts)) % ADLER_BASE
    joined: list[int] = (totals << 16 | whole).tolist()
    return joined
