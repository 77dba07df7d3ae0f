"""Rows of one plain colour with ink on them, packed from where the ink changes alone: the rows are never written out.

Filtered, such a row is zeros but for the pixels where the cover is another than a pixel further left. So the deflate
run of a row is put together from two tables: what a change of cover is packed as, and what a stretch of zeros is. All
rows of a sign are done at once.

Invariant: each run inflates to the filtered row; the same changes always give the same bytes. Source: RFC 1951, 3.2.6
(blocks with fixed codes) and 3.2.4 (the empty stored block that ends a run on a whole byte).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.render.png.deflate import ADLER_BASE

_OPENING: Final = np.uint64(0b010)
"""Three bits: not the last block, fixed codes."""
_OPENING_BITS: Final = np.uint64(3)
_CLOSING_BITS: Final = 10
"""End of block (seven zeros), then the three zeros that open a stored block; zeros up to a whole byte follow."""
_STORED: Final = np.uint64(0xFFFF0000)
"""Length 0 and its complement, of the stored block."""
_STORED_BITS: Final = 32
_LONGEST: Final = 258
_AT_ONCE: Final = 3
"""Longest matches in one piece of code."""
_WORD_BITS: Final = 64
_ROWS_AT_ONCE: Final = 96
_LENGTH_AT: Final = np.uint64(56)
"""A code is kept together with its length, which stands above it."""
_CODE: Final = np.uint64((1 << 56) - 1)


def _reversed_bits(code: int, bits: int) -> int:
    return int(f"{code:0{bits}b}"[::-1], 2)


def _literal(value: int) -> tuple[int, int]:
    """Return a byte's fixed code, first bit lowest, and its length."""
    if value < 144:
        return _reversed_bits(0b00110000 + value, 8), 8
    return _reversed_bits(0b110010000 + value - 144, 9), 9


def _match(length: int) -> tuple[int, int]:
    """Return the code of a match of 3 to 258 bytes at distance 1, and its length."""
    if length == _LONGEST:
        symbol, extra, extra_bits = 285, 0, 0
    elif length < 11:
        symbol, extra, extra_bits = 254 + length, 0, 0
    else:
        extra_bits = (length - 3).bit_length() - 3
        symbol = 257 + 4 * extra_bits + (length - 3 >> extra_bits)
        extra = length - 3 & (1 << extra_bits) - 1
    code, bits = (symbol - 256, 7) if symbol < 280 else (0b11000000 + symbol - 280, 8)
    return _reversed_bits(code, bits) | extra << bits, bits + extra_bits + 5  # the distance: five zeros


_LITERALS: Final = tuple(_literal(value) for value in range(256))
_LONGEST_MATCH: Final = _match(_LONGEST)
_ZERO: Final = _LITERALS[0]


def _zeros(count: int) -> tuple[int, int]:
    """Return the code of up to 258 zeros after any byte, and its length: at most 26 bits."""
    if count == 0:
        return 0, 0
    rest = count - 1
    pieces = [_ZERO] + ([_match(rest)] if rest >= 3 else [_ZERO] * rest)
    code, length = 0, 0
    for piece, bits in pieces:
        code |= piece << length
        length += bits
    return code, length


_ZEROS: Final = tuple(_zeros(count) for count in range(_LONGEST + 1))
_ZEROS_CODE: Final = np.array([code | bits << int(_LENGTH_AT) for code, bits in _ZEROS], np.uint64)
_MATCH_BITS: Final = _LONGEST_MATCH[1]
_FAR_BITS: Final = _MATCH_BITS + 6
_FAR_MATCH: Final = _LONGEST_MATCH[0] | (_reversed_bits(15, 5) | 63 << 5) << _MATCH_BITS - 5
"""The same at distance 256: where enough zeros stand already, since whole stretches unpack sooner than byte by byte."""


def _matches(near: bool, count: int) -> int:
    """Return the code of longest matches, the first of them at distance 1 or all far ones."""
    code, bits = (_LONGEST_MATCH[0], _MATCH_BITS) if near else (_FAR_MATCH, _FAR_BITS)
    for _ in range(count - 1):
        code |= _FAR_MATCH << bits
        bits += _FAR_BITS
    return code if count else 0


_MATCHES_CODE: Final = np.array(
    [[_matches(near, count) for count in range(_AT_ONCE + 1)] for near in (False, True)], np.uint64
)
"""By whether the first is near, and by how many there are."""


@dataclass(frozen=True, slots=True, eq=False)
class CoverSteps:
    """What each change of cover is packed as, by 256 x the cover before + the cover after.

    Attributes:
        channels: Bytes of a pixel.
        code: The pixel's bytes as fixed codes, first bit lowest, their length from bit 56 on; shape (65536,).
        total: Sum of the pixel's bytes.
        behind: Sum of its bytes, each times how many of the pixel's stand before it.
    """

    channels: int
    code: NDArray[np.uint64] = field(repr=False)
    total: NDArray[np.int64] = field(repr=False)
    behind: NDArray[np.int64] = field(repr=False)


def steps_of(table: NDArray[np.uint8]) -> CoverSteps:
    """Return the steps of an ink; `table` is what a pixel becomes below each cover, shape (256, 3 or 4)."""
    return _steps(table.tobytes(), table.shape[1])


@lru_cache(maxsize=8)
def _steps(table: bytes, channels: int) -> CoverSteps:
    pixels = np.frombuffer(table, np.uint8).reshape(256, channels)
    codes = np.array([code for code, _ in _LITERALS], np.uint64)
    lengths = np.array([bits for _, bits in _LITERALS], np.uint64)
    code, bits = np.zeros(1 << 16, np.uint64), np.zeros(1 << 16, np.uint64)
    total, behind = np.zeros(1 << 16, np.int64), np.zeros(1 << 16, np.int64)
    for channel in range(channels):
        change = (pixels[None, :, channel] - pixels[:, None, channel]).ravel()
        code |= codes[change] << bits
        bits += lengths[change]
        total += change
        behind += channel * change.astype(np.int64)
    return CoverSteps(channels, code | bits << _LENGTH_AT, total, behind)


@dataclass(frozen=True, slots=True, eq=False)
class Changes:
    """Where the cover changes, row by row and from left to right.

    Attributes:
        at: First byte of each changed pixel, of all rows laid end to end; shape (n,), rising.
        step: 256 x the cover before + the cover after.
        counts: Changes in each row.
        lengths: Bytes of each row.
    """

    at: NDArray[np.int64]
    step: NDArray[np.intp]
    counts: NDArray[np.int64]
    lengths: NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class PackedRows:
    """Rows packed, each as a run of its own.

    Attributes:
        data: The runs, one after the other.
        ends: Where each ends.
        adlers: The Adler-32 of each row, unpacked.
        adler: That of all of them.
    """

    data: bytes = field(repr=False)
    ends: list[int]
    adlers: NDArray[np.int64]
    adler: int

    def pieces(self, lengths: NDArray[np.int64]) -> Iterator[tuple[int, int]]:
        """Yield where each piece of some rows ends, and how many bytes it unpacks to; `lengths` are the rows' own."""
        for start in range(0, len(lengths), _ROWS_AT_ONCE):
            stop = min(start + _ROWS_AT_ONCE, len(lengths))
            yield self.ends[stop - 1], int(lengths[start:stop].sum())


def packed_rows(changes: Changes, steps: CoverSteps) -> PackedRows:
    """Pack rows; `changes` is all that is not zero in them.

    A row is a block: its opening, the zeros before its first change, each change with the zeros behind it, its closing.
    """
    counts, ends = changes.counts, np.cumsum(changes.lengths)
    last, some = np.cumsum(counts), counts > 0
    leading = changes.lengths.copy()
    leading[some] = changes.at[(last - counts)[some]] - (ends - changes.lengths)[some]
    behind = np.empty_like(changes.at)
    behind[:-1] = changes.at[1:]
    behind[last[some] - 1] = ends[some]
    behind -= changes.at + steps.channels

    zeros, opening_bits, opening_more = _zeros_behind(leading)
    opening, opening_bits = zeros << _OPENING_BITS | _OPENING, opening_bits + _OPENING_BITS.astype(np.int64)
    pixels = steps.code.take(changes.step)
    zeros, bits, more = _zeros_behind(behind)
    code, pixel_bits = pixels & _CODE, pixels >> _LENGTH_AT
    code |= zeros << pixel_bits
    bits += pixel_bits.astype(np.int64)

    opening_matches, matches = _match_bits(opening_more), _match_bits(more)
    through = np.cumsum(bits + matches)
    before = np.concatenate(([0], through))[last - counts]
    row_bits = opening_bits + opening_matches + np.concatenate(([0], through))[last] - before
    row_bits += _CLOSING_BITS
    row_bits += -row_bits % 8 + _STORED_BITS
    row_ends = np.cumsum(row_bits)
    starts = row_ends - row_bits
    at = through - bits - matches
    at += np.repeat(starts + opening_bits + opening_matches - before, counts)

    words = np.zeros(int(row_ends[-1]) // _WORD_BITS + 2, "<u8")
    _put(words, code, at)
    _put(words, opening, starts)
    _put(words, np.full(len(starts), _STORED), row_ends - _STORED_BITS)
    for start, matches in ((starts + opening_bits, opening_more), (at + bits, more)):
        _put_matches(words, start, matches)
    data = words.tobytes()[: int(row_ends[-1]) // 8]
    return PackedRows(data, (row_ends // 8).tolist(), *_adlers(changes, steps, last, ends))


def _zeros_behind(count: NDArray[np.int64]) -> tuple[NDArray[np.uint64], NDArray[np.int64], NDArray[np.int64]]:
    """Return the code of so many zeros, its length, and how many longest matches are to follow."""
    more = np.zeros_like(count)
    long = np.flatnonzero(count >= len(_ZEROS))
    if len(long):
        count = count.copy()
        more[long] = (count[long] - 1) // _LONGEST
        count[long] -= more[long] * _LONGEST
    found = _ZEROS_CODE.take(count)
    return found & _CODE, (found >> _LENGTH_AT).astype(np.int64), more


def _match_bits(matches: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the length of the code of so many longest matches: the first is near, the others are far."""
    return matches * _FAR_BITS - (matches > 0) * (_FAR_BITS - _MATCH_BITS)


def _put_matches(words: NDArray[np.uint64], start: NDArray[np.int64], matches: NDArray[np.int64]) -> None:
    """Put so many longest matches at bits of the words."""
    long = np.flatnonzero(matches)
    wanted = matches[long]
    pieces = -(-wanted // _AT_ONCE)
    turn = np.arange(int(pieces.sum())) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    held = np.minimum(np.repeat(wanted, pieces) - turn * _AT_ONCE, _AT_ONCE)
    code = _MATCHES_CODE[(turn == 0).astype(np.intp), held]
    _put(words, code, np.repeat(start[long], pieces) + _match_bits(turn * _AT_ONCE))


def _put(words: NDArray[np.uint64], code: NDArray[np.uint64], at: NDArray[np.int64]) -> None:
    """Put pieces of code, none longer than a word, at bits of the words; those bits are zero."""
    word = at >> 6
    within = (at & (_WORD_BITS - 1)).astype(np.uint64)
    np.add.at(words, word, code << within)
    np.add.at(words, word + 1, code >> np.uint64(1) >> (np.uint64(_WORD_BITS - 1) - within))


def _adlers(
    changes: Changes, steps: CoverSteps, last: NDArray[np.int64], ends: NDArray[np.int64]
) -> tuple[NDArray[np.int64], int]:
    """Return the Adler-32 of each row, and of all: one plus the sum of the bytes, and the sum of that after each byte.

    Args:
        changes: The rows.
        steps: Sums of each step.
        last: Changes up to each row's end.
        ends: Bytes up to each row's end.
    """
    total = steps.total.take(changes.step)
    left = np.repeat(ends, changes.counts)
    left -= changes.at
    left *= total
    left -= steps.behind.take(changes.step)
    sums, totals = (np.diff(np.concatenate(([0], np.cumsum(each)))[last], prepend=0) for each in (total, left))
    adlers: NDArray[np.int64] = (changes.lengths + totals) % ADLER_BASE << 16 | (1 + sums) % ADLER_BASE
    all_totals = int(ends[-1]) + int((totals + (ends[-1] - ends) * sums).sum())
    return adlers, all_totals % ADLER_BASE << 16 | (1 + int(sums.sum())) % ADLER_BASE
