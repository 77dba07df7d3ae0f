"""Spliced files and whole files are the same, whatever is patched where."""

from __future__ import annotations

import io
import zlib

import numpy as np
import png as pypng
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from studio.render.png.bands import BandedPicture, Patch
from studio.render.png.deflate import adler32_combine
from studio.render.png.verify import verify_png


@st.composite
def patched_pictures(draw: st.DrawFn) -> tuple[np.ndarray, int, list[Patch]]:
    """Draw a picture, a band height and patches within it."""
    rows, columns = draw(st.integers(1, 50)), draw(st.integers(1, 30))
    channels = draw(st.sampled_from((3, 4)))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    patches = []
    for _ in range(draw(st.integers(0, 3))):
        top, left = draw(st.integers(0, rows - 1)), draw(st.integers(0, columns - 1))
        height, width = draw(st.integers(1, rows - top)), draw(st.integers(1, columns - left))
        patches.append(Patch(top, left, random.integers(0, 256, (height, width, channels), np.uint8)))
    return random.integers(0, 256, (rows, columns, channels), np.uint8), draw(st.integers(1, 60)), patches


@settings(max_examples=80, deadline=None)
@given(patched_pictures())
def test_spliced_and_whole_files_are_equal(case: tuple[np.ndarray, int, list[Patch]]) -> None:
    """Patching a compressed picture gives the bytes of compressing the patched one, and both decoders read it so."""
    pixels, band_rows, patches = case
    base = BandedPicture.encode(pixels, dpi=300, band_rows=band_rows)
    expected = base.patched(patches)
    made = base.with_patches(patches)
    assert made.data == BandedPicture.encode(expected, dpi=300, band_rows=band_rows).whole().data
    rows, columns, channels = expected.shape
    verify_png(made.data, expected_size=(columns, rows), channels=channels, dpi=300, ordered=made)
    with Image.open(io.BytesIO(made.data)) as picture:
        assert np.array_equal(np.asarray(picture), expected)
    width, height, values, _ = pypng.Reader(bytes=made.data).read()
    assert (width, height) == (columns, rows)
    assert np.array_equal(np.vstack([np.frombuffer(row, np.uint8) for row in values]).reshape(expected.shape), expected)


@given(st.binary(max_size=400), st.binary(max_size=400))
def test_adler_sums_combine_as_the_bytes_do(first: bytes, second: bytes) -> None:
    """Combining two sums gives zlib's sum of the bytes put together."""
    assert adler32_combine(zlib.adler32(first), zlib.adler32(second), len(second)) == zlib.adler32(first + second)


def test_adler_combines_over_long_stretches() -> None:
    """The rule holds beyond the sum's modulus of 65521."""
    first, second = b"\xff" * 200_001, b"\xfe" * 131_042
    assert adler32_combine(zlib.adler32(first), zlib.adler32(second), len(second)) == zlib.adler32(first + second)
