"""Bits by counting: the same key and counter give the same bits for ever, on every machine; nothing is drawn.

The function is Philox4x64-10 of Salmon, Moraes, Dror and Shaw, SC'11, as numpy carries it. Its raw bits are fixed by
that paper; what numpy's generators make of bits is not fixed, and is not used here.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

_COUNTERS: Final = 2**256


def counted_bits(key: int, count: int, first_counter: int = 0) -> NDArray[np.uint64]:
    """Return the bits of a key, four words for each counter from the first on, shape (count,).

    Args:
        key: From 0 to 2^128 - 1.
        count: Words wanted.
        first_counter: From 0 to 2^256 - 1.
    """
    counter = (first_counter - 1) % _COUNTERS  # numpy counts up before it makes each block
    words = np.array([counter >> (64 * place) & (2**64 - 1) for place in range(4)], np.uint64)
    keys = np.array([key & (2**64 - 1), key >> 64], np.uint64)
    return np.asarray(np.random.Philox(key=keys, counter=words).random_raw(count), np.uint64)


def counted_shares(key: int, shape: tuple[int, ...]) -> NDArray[np.float32]:
    """Return numbers from 0 up to 1 that a key gives, evenly spread, in steps of 2^-24."""
    bits = counted_bits(key, int(np.prod(shape)))
    return ((bits >> np.uint64(40)).astype(np.float32) * np.float32(2.0**-24)).reshape(shape)
