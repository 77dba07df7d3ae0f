"""The deflate library, chosen once: isal where it is installed, else zlib.

Invariant: both give the same streams of meaning (raw deflate, full flush, Adler-32, CRC-32), not the same bytes; the
report therefore records `DEFLATE_LIBRARY`.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.errors import VerificationError

_RAW: Final = -15
"""Window of 32 KB, no zlib header and trailer: the bands are joined by hand."""
_BEHIND: Final = 1024
ADLER_BASE: Final = 65521
"""The largest prime below 65536. Source: RFC 1950, section 8.2."""

_engine: Any
try:
    import isal
    from isal import isal_zlib as _engine

    DEFLATE_LIBRARY: str = f"isal {isal.__version__}"
    _LEVEL = 0
    """Quickest, a sixth larger than the next, and the only one that always packs the same bytes alike: from 1 on, a
    match is chosen otherwise once in a few thousand runs (isal 1.9, seen in repeated runs)."""
except ImportError:  # no wheel for this machine: the same prints, five times slower
    _engine = zlib
    DEFLATE_LIBRARY = f"zlib {zlib.ZLIB_RUNTIME_VERSION}"
    _LEVEL = 1


def padded(rows: int, columns: int) -> NDArray[np.uint8]:
    """Return room for rows of bytes, shape (rows, columns), with zeros behind it.

    The packer looks a little beyond the end of what it is given. It never packs what is there, yet finds other matches
    by it: only with the same bytes behind them do the same rows give the same run.
    """
    room = np.empty(rows * columns + _BEHIND, np.uint8)
    room[-_BEHIND:] = 0
    return room[:-_BEHIND].reshape(rows, columns)


def deflate_run(data: object) -> bytes:
    """Return `data` (a contiguous buffer) as a run of raw deflate blocks ended by a full flush.

    Runs may be put one after the other in any order that suits their contents: none looks back into another.
    """
    packer = _engine.compressobj(_LEVEL, zlib.DEFLATED, _RAW)
    return bytes(packer.compress(data) + packer.flush(zlib.Z_FULL_FLUSH))


def packed_run(data: NDArray[np.uint8]) -> bytes:
    """Return bytes from `padded` as `deflate_run` does, proved by inflating them again.

    Raises:
        VerificationError: They came back as others.
    """
    run = deflate_run(data)
    _prove(run, data)
    return run


def packed_runs(data: NDArray[np.uint8], ends: Sequence[int]) -> list[bytes]:
    """Return each piece of some bytes as a run of its own, all of them proved.

    Args:
        data: Shape (bytes,), from `padded`.
        ends: Where each piece ends and the next one starts.

    Raises:
        VerificationError: They came back as others.
    """
    packer = _engine.compressobj(_LEVEL, zlib.DEFLATED, _RAW)
    compress, flush, whole = packer.compress, packer.flush, zlib.Z_FULL_FLUSH
    runs = [compress(data[start:end]) + flush(whole) for start, end in pairwise((0, *ends))]
    _prove(b"".join(runs), data)
    return runs


def _prove(run: bytes, data: NDArray[np.uint8]) -> None:
    prove_run(run, data.size, _engine.adler32(data))


def prove_run(run: bytes, length: int, adler: int) -> None:
    """Check that a run inflates to as many bytes as it was made of, with the same sum.

    Raises:
        VerificationError: It does not.
    """
    prove_runs(run, ((len(run), length),), adler)


def prove_runs(runs: bytes, pieces: Iterable[tuple[int, int]], adler: int) -> None:
    """Check that runs inflate to what they were made of, a piece at a time: small ones stay in the processor's cache.

    Args:
        runs: Runs one after the other.
        pieces: Where each piece of them ends, and how many bytes it was made of.
        adler: The Adler-32 of all.

    Raises:
        VerificationError: They do not.
    """
    found, start, view = 1, 0, memoryview(runs)
    for end, length in pieces:
        try:
            piece = inflate_run(view[start:end], length)
        except zlib.error:
            piece = b""
        if len(piece) != length:
            break
        found, start = _engine.adler32(piece, found), end
    if found != adler or start != len(runs):
        raise VerificationError("Packed pixels did not unpack to what they were.", advice="Make the sign again.")


def inflate_run(run: object, length: int) -> bytes:
    """Return the contents of one run, reading at most one byte more than `length`.

    Raises:
        zlib.error: The run is damaged.
    """
    try:
        return bytes(_engine.decompressobj(_RAW).decompress(run, length + 1))
    except _engine.error as error:
        raise zlib.error(str(error)) from None


def crc32(data: object, start: int = 0) -> int:
    """Return the CRC-32 of `data`, going on from `start`."""
    return int(_engine.crc32(data, start))


def adler32(data: object) -> int:
    """Return the Adler-32 sum of `data`."""
    return int(_engine.adler32(data))


def adler32_each(rows: NDArray[np.uint8]) -> list[int]:
    """Return the Adler-32 sum of each row of an array of shape (rows, bytes)."""
    return list(map(_engine.adler32, rows))


def adler32_combine(first: int, second: int, second_length: int) -> int:
    """Return the Adler-32 of two stretches put together, from their own sums.

    With s = 1 + sum of the bytes and t = sum of the s after each byte, every one of the second stretch's
    `second_length` steps sees the first stretch's bytes once more. Source: RFC 1950, section 8.2 (definition of the
    sum; the rule follows from it).
    """
    length = second_length % ADLER_BASE
    first_sum, first_total = first & 0xFFFF, first >> 16
    second_sum, second_total = second & 0xFFFF, second >> 16
    joined_sum = (first_sum + second_sum - 1) % ADLER_BASE
    joined_total = (first_total + second_total + length * (first_sum - 1)) % ADLER_BASE
    return joined_total << 16 | joined_sum
