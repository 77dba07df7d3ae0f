"""Rows of plain ground packed from their changes alone unpack to those rows."""

from __future__ import annotations

import zlib

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from studio.render.png.plain_runs import Changes, packed_rows, steps_of


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 3000), st.integers(0, 60)), min_size=1, max_size=8),
    st.sampled_from((3, 4)),
    st.integers(0, 2**32 - 1),
)
def test_every_row_unpacks_to_its_changes(rows: list[tuple[int, int]], channels: int, seed: int) -> None:
    """By zlib each run is the row it stands for, with its sum; rows may be of any lengths, empty or full."""
    random = np.random.default_rng(seed)
    table = random.integers(0, 256, (256, channels), np.uint8)
    at, steps, counts, expected = [], [], [], []
    for width_px, wanted in rows:
        columns = np.sort(random.choice(width_px, min(width_px, wanted), replace=False))
        taken = random.integers(0, 1 << 16, len(columns))
        row = np.zeros((width_px, channels), np.uint8)
        row[columns] = table[taken & 255] - table[taken >> 8]
        at.append(columns * channels + sum(map(len, expected)))
        steps.append(taken)
        counts.append(len(columns))
        expected.append(row.tobytes())
    changes = Changes(
        np.concatenate(at), np.concatenate(steps), np.array(counts), np.array([len(row) for row in expected])
    )
    packed = packed_rows(changes, steps_of(table))
    for start, end, row, adler in zip((0, *packed.ends), packed.ends, expected, packed.adlers.tolist(), strict=False):
        assert zlib.decompressobj(-15).decompress(packed.data[start:end]) == row
        assert zlib.adler32(row) == adler
    assert packed.ends[-1] == len(packed.data)
    assert zlib.adler32(b"".join(expected)) == packed.adler
