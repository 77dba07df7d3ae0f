"""Bands packed in pieces hold the patched picture, whatever is patched where."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import png as pypng
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studio.basics.colour import Colour
from studio.basics.errors import VerificationError
from studio.render.pixel_grid import PixelBox
from studio.render.pixels import blend_ink
from studio.render.png import bands as png_bands
from studio.render.png.band_sides import STEPS, middle_of
from studio.render.png.bands import BandedFile, BandedPicture, Patch
from studio.render.png.plain_bands import FlatPatch, PlainColour
from studio.render.png.plain_runs import Changes, CoverSteps, PackedRows, packed_rows
from studio.render.png.verify import verify_png

WIDTH_PX, HEIGHT_PX, BAND_ROWS = 620, 40, 8
INK = Colour(59, 35, 20)


def noisy_ring(channels: int, seed: int) -> np.ndarray:
    """Return a picture that is costly at both sides and of one colour in the middle."""
    picture = np.random.default_rng(seed).integers(0, 256, (HEIGHT_PX, WIDTH_PX, channels), np.uint8)
    picture[:, 150:470] = 250
    return picture


@st.composite
def strips(draw: st.DrawFn) -> tuple[int, int, int, int]:
    """Draw a block within one band: top, left, rows, columns."""
    band = draw(st.integers(0, HEIGHT_PX // BAND_ROWS - 1))
    first = draw(st.integers(0, BAND_ROWS - 1))
    rows = draw(st.integers(1, BAND_ROWS - first))
    left = draw(st.integers(1, WIDTH_PX - 2))
    return band * BAND_ROWS + first, left, rows, draw(st.integers(1, WIDTH_PX - 1 - left))


@settings(max_examples=60, deadline=None)
@given(st.lists(strips(), min_size=1, max_size=4), st.sampled_from((3, 4)), st.integers(0, 2**32 - 1))
def test_split_bands_hold_the_patched_picture(
    places: list[tuple[int, int, int, int]], channels: int, seed: int
) -> None:
    """Two decoders read the patched pixels from a file of split bands, and the full check accepts it."""
    random = np.random.default_rng(seed)
    base = BandedPicture.encode(noisy_ring(channels, seed), dpi=300, band_rows=BAND_ROWS)
    patches = [
        Patch(top, left, random.integers(0, 256, (rows, columns, channels), np.uint8))
        for top, left, rows, columns in places
    ]
    made, expected = base.with_patches(patches), base.patched(patches)
    assert made.data == base.with_patches(patches).data
    verify_png(made.data, expected_size=(WIDTH_PX, HEIGHT_PX), channels=channels, dpi=300, ordered=made)
    verify_png(made.data, expected_size=(WIDTH_PX, HEIGHT_PX), channels=channels, dpi=300, expected_pixels=expected)
    _, _, rows, _ = pypng.Reader(bytes=made.data).read()
    assert np.array_equal(np.vstack([np.frombuffer(row, np.uint8) for row in rows]).reshape(expected.shape), expected)


@settings(max_examples=80, deadline=None)
@given(strips(), st.sampled_from((3, 4)), st.sampled_from((400, WIDTH_PX)), st.booleans(), st.integers(0, 2**32 - 1))
def test_flat_patches_are_the_blended_pixels(
    place: tuple[int, int, int, int], channels: int, width_px: int, flipped: bool, seed: int
) -> None:
    """On plain ground alone, a flat patch gives the pixels that blending gives, flipped or not, to two decoders."""
    top, left, rows, columns = place
    picture = noisy_ring(channels, seed)[:, :width_px]
    left, columns = min(left, width_px - 2), min(columns, width_px - 1 - min(left, width_px - 2))
    cover = np.random.default_rng(seed).choice(np.array([0, 0, 255, 255, 90], np.uint8), (rows, columns))
    box, plain = PixelBox(top, left, rows, columns), PlainColour(picture, band_rows=BAND_ROWS)
    assert set(plain.code.tolist()) == {250}
    around = plain.around(box)
    assert (around is not None) == (left > 150 and left + columns < min(470, width_px - 1))
    if around is None:
        return
    pixels = picture[box.rows, box.columns].copy()
    blend_ink(pixels, cover, INK)
    base = BandedPicture.encode(picture, dpi=300, band_rows=BAND_ROWS)
    held = cover[:, ::-1] if flipped else cover
    flat = FlatPatch(top, left, held, plain.table(INK), around, is_flipped=flipped)
    blended = Patch(top, left, pixels)
    expected, made = base.patched([blended]), base.with_patches([flat])
    assert np.array_equal(base.patched([flat]), expected)
    verify_png(made.data, expected_size=(width_px, HEIGHT_PX), channels=channels, dpi=300, ordered=made)
    verify_png(made.data, expected_size=(width_px, HEIGHT_PX), channels=channels, dpi=300, expected_pixels=expected)
    _, _, lines, _ = pypng.Reader(bytes=made.data).read()
    assert np.array_equal(
        np.vstack([np.frombuffer(line, np.uint8) for line in lines]).reshape(expected.shape), expected
    )


@settings(max_examples=50, deadline=None)
@given(
    st.lists(
        st.tuples(st.booleans(), st.integers(151, 400), st.integers(0, 7), st.integers(1, 8)), min_size=5, max_size=5
    ),
    st.sampled_from((3, 4)),
    st.integers(1, 3000),
    st.integers(0, 2**32 - 1),
)
def test_inks_of_many_bands_are_packed_together(
    places: list[tuple[bool, int, int, int]], channels: int, together_px: int, seed: int
) -> None:
    """Flat patches, one a band, of two inks, some flipped, in groups of any size: together, the blended picture."""
    random = np.random.default_rng(seed)
    picture = noisy_ring(channels, seed)
    plain = PlainColour(picture, band_rows=BAND_ROWS)
    flats: list[Patch | FlatPatch] = []
    expected = picture.copy()
    for band, (dark, left, first, rows) in enumerate(places):
        rows, columns = min(rows, BAND_ROWS - first), int(random.integers(1, 469 - left + 1))
        top, colour = band * BAND_ROWS + first, INK if dark else Colour(20, 60, 140)
        cover = random.choice(np.array([0, 0, 255, 255, 90], np.uint8), (rows, columns))
        around = plain.around(PixelBox(top, left, rows, columns))
        assert around is not None
        flipped = bool(random.random() < 0.5 if seed % 2 else seed % 4)
        held = cover[:, ::-1] if flipped else cover
        flats.append(FlatPatch(top, left, held, plain.table(colour), around, is_flipped=flipped))
        block = expected[top : top + rows, left : left + columns].copy()
        blend_ink(block, cover, colour)
        expected[top : top + rows, left : left + columns] = block
    base = BandedPicture.encode(picture, dpi=300, band_rows=BAND_ROWS)
    with pytest.MonkeyPatch.context() as changed:
        changed.setattr(png_bands, "_TOGETHER_PX", together_px)
        made = base.with_patches(flats)
    assert made.data == base.with_patches(flats).data
    assert made.sha256() == hashlib.sha256(made.data).hexdigest()
    verify_png(made.data, expected_size=(WIDTH_PX, HEIGHT_PX), channels=channels, dpi=300, ordered=made)
    verify_png(made.data, expected_size=(WIDTH_PX, HEIGHT_PX), channels=channels, dpi=300, expected_pixels=expected)


@given(st.integers(600, 5000), st.data())
def test_a_middle_leaves_a_column_free_on_either_side(width_px: int, data: st.DataObject) -> None:
    """The middle holds the changed columns and one more each way, is symmetrical, and of few widths."""
    left = data.draw(st.integers(0, width_px - 1))
    right = data.draw(st.integers(left + 1, width_px))
    middle = middle_of(width_px, left, right)
    if middle is not None:
        start, stop = middle
        assert 1 <= start < left and right < stop == width_px - start
    centred = middle_of(width_px, width_px // 2 - 40, width_px // 2 + 40)
    assert centred is not None and centred[1] - centred[0] <= 2 * width_px // STEPS + 4


@pytest.mark.parametrize("wanted", [lambda made: made.parts, lambda made: made.data, lambda made: made.sha256()])
def test_no_bytes_leave_a_file_that_does_not_inflate_to_its_pixels(wanted: Callable[[BandedFile], object]) -> None:
    """Where packing went wrong by one bit, neither bytes nor digest are to be had, however often they are asked for."""
    picture = noisy_ring(3, 1)
    plain = PlainColour(picture, band_rows=BAND_ROWS)
    around = plain.around(PixelBox(8, 200, 4, 100))
    assert around is not None
    cover = np.random.default_rng(2).choice(np.array([0, 255, 90], np.uint8), (4, 100))
    patch = FlatPatch(8, 200, cover, plain.table(INK), around)
    base = BandedPicture.encode(picture, dpi=300, band_rows=BAND_ROWS)
    wanted(base.with_patches([patch]))
    with pytest.MonkeyPatch.context() as changed:
        changed.setattr(png_bands, "packed_rows", _one_bit_off)
        made = base.with_patches([patch])
    for _ in range(2):
        with pytest.raises(VerificationError):
            wanted(made)


def _one_bit_off(changes: Changes, steps: CoverSteps) -> PackedRows:
    packed = packed_rows(changes, steps)
    data = bytearray(packed.data)
    data[len(data) // 2] ^= 4
    return replace(packed, data=bytes(data))
