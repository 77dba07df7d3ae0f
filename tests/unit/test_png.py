"""Our PNG writer: exact header fields, bands that splice, damage that is found."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pytest

from studio.basics.errors import VerificationError
from studio.render.png.bands import BandedPicture, Patch
from studio.render.png.container import chunk, pixels_per_metre, text_chunks
from studio.render.png.deflate import adler32_combine, deflate_run
from studio.render.png.verify import verify_png


def picture(rows: int = 70, columns: int = 41, channels: int = 3) -> np.ndarray:
    """Return a picture with smooth parts and noise."""
    noise = np.random.default_rng(5).integers(0, 256, (rows, columns, channels), np.uint8)
    noise[10:40] = np.arange(columns, dtype=np.uint8)[None, :, None]
    return noise


def chunks_of(data: bytes) -> list[tuple[bytes, bytes]]:
    """Return kind and body of each chunk, read with nothing but struct."""
    found, at = [], 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        found.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + length]))
        at += 12 + length
    return found


def test_header_states_size_depth_and_colour() -> None:
    """The header chunk holds width, height, 8 bits and the colour type for RGB and RGBA."""
    for channels, colour_type in ((3, 2), (4, 6)):
        data = BandedPicture.encode(picture(channels=channels), dpi=300).whole().data
        assert chunks_of(data)[0] == (b"IHDR", struct.pack(">IIBBBBB", 41, 70, 8, colour_type, 0, 0, 0))


def test_chunks_stand_in_the_order_readers_expect() -> None:
    """Colour and density come before the data, the data in one piece, the end last."""
    kinds = [kind for kind, _ in chunks_of(BandedPicture.encode(picture(), dpi=300, band_rows=32).whole().data)]
    assert kinds == [b"IHDR", b"cHRM", b"gAMA", b"sRGB", b"pHYs", b"IDAT", b"IDAT", b"IDAT", b"IDAT", b"IEND"]


def test_data_is_one_zlib_stream() -> None:
    """The data chunks put together are one zlib stream of the filtered rows, its Adler-32 right."""
    data = BandedPicture.encode(picture(), dpi=300, band_rows=16).whole().data
    stream = b"".join(body for kind, body in chunks_of(data) if kind == b"IDAT")
    assert len(zlib.decompress(stream)) == 70 * (1 + 41 * 3)


def test_changed_bands_give_the_file_of_the_changed_picture() -> None:
    """Replacing two bands gives byte for byte what encoding the changed picture gives."""
    before, after = picture(), picture()
    after[17:19, 5:9] = 7
    after[66:, :3] = 9
    base = BandedPicture.encode(before, dpi=300, band_rows=16)
    spliced = base.with_changed({1: after[16:32], 4: after[64:]})
    assert spliced.data == BandedPicture.encode(after, dpi=300, band_rows=16).whole().data
    assert spliced.touched == (1, 4)


def test_bands_of_the_wrong_height_are_refused() -> None:
    """A band must have the rows of the one it replaces."""
    base = BandedPicture.encode(picture(), dpi=300, band_rows=16)
    with pytest.raises(ValueError, match="band 4"):
        base.with_changed({4: picture()[:16]})


def test_patches_touch_only_their_bands() -> None:
    """A patch from row 15 to row 16 touches the bands on both sides of the border, one of no rows none."""
    base = BandedPicture.encode(picture(), dpi=300, band_rows=16)
    assert base.touched_by([Patch(15, 0, np.zeros((2, 3, 3), np.uint8))]) == (0, 1)
    assert base.touched_by([Patch(15, 0, np.zeros((0, 3, 3), np.uint8))]) == ()


def test_what_is_not_a_picture_is_refused() -> None:
    """Grey, empty and floating-point arrays are no pictures to us."""
    for wrong in (np.zeros((4, 4), np.uint8), np.zeros((0, 4, 3), np.uint8), np.zeros((4, 4, 3))):
        with pytest.raises(ValueError, match="not a picture"):
            BandedPicture.encode(wrong, dpi=300)


def test_the_encoded_picture_cannot_be_changed_behind_its_back() -> None:
    """The pixels of a compressed picture are frozen."""
    base = BandedPicture.encode(picture(), dpi=300)
    with pytest.raises(ValueError, match="read-only"):
        base.pixels[0, 0] = 1


def test_deflate_runs_may_be_joined() -> None:
    """Two runs and an empty final block inflate to the two contents, in either order."""
    first, second = b"cabin " * 400, b"canoe " * 300
    for one, other in ((first, second), (second, first)):
        assert zlib.decompress(deflate_run(one) + deflate_run(other) + b"\x03\x00", -15) == one + other


def test_adler_of_the_empty_stretch_changes_nothing() -> None:
    """Joining with nothing on either side leaves the sum as it was."""
    whole = zlib.adler32(b"landing stage")
    assert adler32_combine(whole, 1, 0) == whole
    assert adler32_combine(1, whole, 13) == whole


def test_text_outside_latin_1_becomes_international_text() -> None:
    """Latin-1 text is written as tEXt, other text as iTXt in UTF-8."""
    both = text_chunks({"Title": "Jürgen", "Author": "Zoë ☾"})
    assert chunk(b"tEXt", b"Title\0J\xfcrgen") in both
    assert chunk(b"iTXt", b"Author\0\0\0\0\0" + "Zoë ☾".encode()) in both


def test_verification_accepts_what_was_ordered() -> None:
    """A good file passes all ways of checking it."""
    base = BandedPicture.encode(picture(), dpi=300, band_rows=16)
    patch = Patch(20, 4, np.full((5, 6, 3), 9, np.uint8))
    made = base.with_patches([patch])
    verify_png(made.data, expected_size=(41, 70), channels=3, dpi=300, ordered=made)
    verify_png(made.data, expected_size=(41, 70), channels=3, dpi=300, expected_pixels=base.patched([patch]))


@pytest.mark.parametrize("at", [3, 17, 60, 140, 400, -30, -16, -2])
def test_verification_finds_any_changed_byte(at: int) -> None:
    """One flipped bit anywhere in the file is found."""
    made = BandedPicture.encode(picture(), dpi=300, band_rows=16).whole()
    damaged = bytearray(made.data)
    damaged[at] ^= 4
    with pytest.raises(VerificationError):
        verify_png(bytes(damaged), expected_size=(41, 70), channels=3, dpi=300, ordered=made)


def test_verification_finds_a_short_file() -> None:
    """A file that breaks off is refused, wherever it does."""
    made = BandedPicture.encode(picture(), dpi=300, band_rows=16).whole()
    for length in (0, 7, 8, 20, 200, len(made.data) - 12, len(made.data) - 1):
        with pytest.raises(VerificationError):
            verify_png(made.data[:length], expected_size=(41, 70), channels=3, dpi=300, ordered=made)


def test_verification_finds_another_size_density_or_picture() -> None:
    """A sound file that is not the one ordered is refused with the reason."""
    base = BandedPicture.encode(picture(), dpi=300)
    data = base.whole().data
    with pytest.raises(VerificationError, match="ordered 70 x 41"):
        verify_png(data, expected_size=(70, 41), channels=3, dpi=300)
    with pytest.raises(VerificationError, match="density"):
        verify_png(data, expected_size=(41, 70), channels=3, dpi=301)
    with pytest.raises(VerificationError, match="other pixels"):
        verify_png(data, expected_size=(41, 70), channels=3, dpi=300, expected_pixels=255 - base.pixels)


def test_verification_finds_a_band_with_a_sound_crc_and_wrong_rows() -> None:
    """A touched band swapped for another valid one is found, with the order at hand and without."""
    base = BandedPicture.encode(picture(), dpi=300, band_rows=16)
    made = base.with_changed({1: picture()[16:32]})
    swapped = made.data.replace(made.data[made.data.index(base.chunks[1]) :][: len(base.chunks[1])], base.chunks[2])
    with pytest.raises(VerificationError, match="band 1 of its rows holds another picture"):
        verify_png(swapped, expected_size=(41, 70), channels=3, dpi=300, ordered=made)
    with pytest.raises(VerificationError, match="checksum"):
        verify_png(swapped, expected_size=(41, 70), channels=3, dpi=300)


def test_density_follows_the_one_rounding_rule() -> None:
    """Pixels a metre are the density over 0.0254, to the nearest whole number."""
    assert pixels_per_metre(300) == 11811
    assert pixels_per_metre(254 * 1.00005) == 10001
