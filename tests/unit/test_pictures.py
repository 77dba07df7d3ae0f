from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from studio.basics.errors import PictureError
from studio.storage.picture_guard import MOST_PIXELS
from studio.storage.pictures import read_header, read_pixels

PATCH = np.array(
    [[[200, 30, 10], [20, 180, 60]], [[40, 60, 220], [250, 250, 250]], [[0, 0, 0], [128, 128, 128]]], np.uint8
)
"""Three rows of two pixels, all different."""
Saved = Callable[[str, Image.Image], Path]


def chunk(kind: bytes, body: bytes) -> bytes:
    """Return a PNG chunk."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png_with(extra: bytes, pixels: np.ndarray = PATCH) -> bytes:
    """Return a PNG of a patch with more chunks after its header."""
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "PNG")
    data = stream.getvalue()
    return data[:33] + extra + data[33:]


def saved(folder: Path, image: Image.Image, name: str = "a.png", **options: object) -> Path:
    """Save a picture and return its path."""
    path = folder / name
    image.save(path, **options)
    return path


def test_plain_rgb_comes_back_unchanged(tmp_path: Path) -> None:
    """An untagged RGB picture keeps every code, and is opaque."""
    pixels = read_pixels(saved(tmp_path, Image.fromarray(PATCH)))
    assert pixels.dtype == np.uint8
    assert np.array_equal(pixels[..., :3], PATCH)
    assert np.all(pixels[..., 3] == 255)


def test_alpha_is_kept(tmp_path: Path) -> None:
    """Codes and alpha of an RGBA picture come back as they are, also where it is clear."""
    rgba = np.dstack([PATCH, np.array([[0, 255], [17, 128], [255, 1]], np.uint8)])
    assert np.array_equal(read_pixels(saved(tmp_path, Image.fromarray(rgba))), rgba)


def test_palette_with_clear_entries(tmp_path: Path) -> None:
    """A palette picture gives its colours, and its clear entry as clear."""
    image = Image.new("P", (2, 1))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putdata([0, 1])
    pixels = read_pixels(saved(tmp_path, image, transparency=bytes([0, 255])))
    assert pixels[0, :, 3].tolist() == [0, 255]
    assert pixels[0, 1, :3].tolist() == [200, 100, 50]


def test_grey_and_grey_with_alpha(tmp_path: Path) -> None:
    """Grey becomes three equal codes; its alpha stays."""
    grey = read_pixels(saved(tmp_path, Image.fromarray(PATCH[..., 0])))
    assert np.array_equal(grey[..., 0], PATCH[..., 0])
    assert np.array_equal(grey[..., 1], grey[..., 2])
    both = Image.merge("LA", (Image.fromarray(PATCH[..., 0]), Image.fromarray(PATCH[..., 1])))
    pixels = read_pixels(saved(tmp_path, both, "la.png"))
    assert np.array_equal(pixels[..., 2], PATCH[..., 0])
    assert np.array_equal(pixels[..., 3], PATCH[..., 1])


def test_sixteen_bit_grey(tmp_path: Path) -> None:
    """Sixteen bit codes are scaled to eight bits, to the nearest one."""
    codes = np.array([[0, 257 * 10, 257 * 10 + 129, 65535]], np.uint16)
    assert read_pixels(saved(tmp_path, Image.fromarray(codes)))[0, :, 0].tolist() == [0, 10, 11, 255]


def test_sixteen_bit_colour(tmp_path: Path) -> None:
    """A sixteen bit RGBA file, written by hand, comes back within one code."""
    rows = b"".join(
        b"\0" + b"".join(struct.pack(">4H", *(257 * int(v) for v in px), 65535) for px in row) for row in PATCH
    )
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 3, 16, 6, 0, 0, 0))
    (tmp_path / "a.png").write_bytes(data + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))
    pixels = read_pixels(tmp_path / "a.png")
    assert np.abs(pixels[..., :3].astype(int) - PATCH).max() <= 1


def test_one_bit_picture(tmp_path: Path) -> None:
    """Black and white stay black and white."""
    image = Image.fromarray(np.array([[0, 255], [255, 0]], np.uint8)).convert("1", dither=Image.Dither.NONE)
    assert read_pixels(saved(tmp_path, image))[..., 0].tolist() == [[0, 255], [255, 0]]


def test_cmyk_jpeg(tmp_path: Path) -> None:
    """A CMYK JPEG comes as RGB: pure yellow ink is light and has no blue."""
    image = Image.new("CMYK", (16, 16), (0, 0, 255, 0))
    pixel = read_pixels(saved(tmp_path, image, "a.jpg", quality=95))[8, 8]
    assert pixel[0] > 240
    assert pixel[1] > 220
    assert pixel[2] < 40


@pytest.mark.parametrize("turn", range(1, 9))
def test_turned_by_the_camera(tmp_path: Path, turn: int) -> None:
    """A picture stored as the camera was held comes upright, whichever of the eight ways; the header knows its size."""
    undo: dict[int, Callable[[np.ndarray], np.ndarray]] = {
        1: lambda a: a,
        2: lambda a: a[:, ::-1],
        3: lambda a: a[::-1, ::-1],
        4: lambda a: a[::-1],
        5: lambda a: a.transpose(1, 0, 2),
        6: lambda a: np.rot90(a, 1),
        7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
        8: lambda a: np.rot90(a, -1),
    }
    exif = Image.Exif()
    exif[0x0112] = turn
    path = saved(tmp_path, Image.fromarray(np.ascontiguousarray(undo[turn](PATCH))), exif=exif)
    assert np.array_equal(read_pixels(path)[..., :3], PATCH)
    header = read_header(path)
    assert (header.width_px, header.height_px) == (2, 3)


def test_profile_is_followed(tmp_path: Path) -> None:
    """A picture tagged with another colour space changes its codes; one tagged sRGB does not by more than one."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = read_pixels(saved(tmp_path, Image.fromarray(PATCH), icc_profile=srgb))
    assert np.abs(same[..., :3].astype(int) - PATCH).max() <= 1
    lab = ImageCms.createProfile("LAB")
    in_lab = ImageCms.profileToProfile(Image.fromarray(PATCH), ImageCms.createProfile("sRGB"), lab, outputMode="LAB")
    assert in_lab is not None
    swapped = saved(tmp_path, Image.fromarray(PATCH), "b.png", icc_profile=linear_profile())
    changed = read_pixels(swapped)
    assert changed[2, 1, 0] > 180  # half of linear light is code 188
    assert changed[2, 0, 0] <= 2


def linear_profile() -> bytes:
    """Return a profile with sRGB's primaries and no curve: a copy of the sRGB one with its curves made straight."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack_from(">I", data, 128)[0]
    for tag in range(count):
        name, at, size = struct.unpack_from(">4sII", data, 132 + 12 * tag)
        if name in (b"rTRC", b"gTRC", b"bTRC"):
            straight = b"curv" + bytes(4) + struct.pack(">I", 0)
            data[at : at + 12] = straight[: min(size, 12)]
    return bytes(data)


def test_profile_of_another_kind_is_left_aside(tmp_path: Path) -> None:
    """A profile that does not fit the picture, or is rubbish, does not bar it."""
    for name, profile in (("a.png", b"x" * 400), ("b.png", linear_profile()[:200])):
        pixels = read_pixels(saved(tmp_path, Image.fromarray(PATCH), name, icc_profile=profile))
        assert np.array_equal(pixels[..., :3], PATCH)


def test_enormous_picture_is_refused_by_its_header(tmp_path: Path) -> None:
    """A header of 60000 x 60000 pixels is refused with both figures, without decoding."""
    (tmp_path / "a.png").write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 60000, 60000, 8, 6, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(b"\0" * 100))
        + chunk(b"IEND", b"")
    )
    for read in (read_header, read_pixels):
        with pytest.raises(PictureError) as caught:
            read(tmp_path / "a.png")
        assert "3600 million" in str(caught.value)
        assert f"{MOST_PIXELS // 1_000_000} million" in str(caught.value)


def test_side_chunks_cannot_be_bombs(tmp_path: Path) -> None:
    """Texts and profiles that unpack to very much are never unpacked; the picture is read without them."""
    bomb = zlib.compress(bytes(60_000_000), 9)
    extra = chunk(b"zTXt", b"k\0\0" + bomb) + chunk(b"iTXt", b"k\0\1\0\0\0" + bomb) + chunk(b"iCCP", b"p\0\0" + bomb)
    (tmp_path / "a.png").write_bytes(png_with(extra))
    assert np.array_equal(read_pixels(tmp_path / "a.png")[..., :3], PATCH)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"GIF89a" + bytes(40), "neither PNG nor JPEG"),
        (b"\x89PNG\r\n\x1a\n", "not a whole PNG"),
        (png_with(b"")[:50], "cut off"),
        (png_with(b"")[:-10], "it ends after"),
        (png_with(b"")[:33] + chunk(b"IEND", b""), "holds no picture"),
        (png_with(b"")[:45] + b"?" + png_with(b"")[46:], "damaged or cut off"),
        (b"\xff\xd8\xff\xe0" + bytes(30), "not a whole JPEG"),
    ],
)
def test_broken_files_are_told(tmp_path: Path, content: bytes, words: str) -> None:
    """Empty, foreign, headless and broken-off files are refused by name and with advice."""
    path = tmp_path / "bad.png"
    path.write_bytes(content)
    with pytest.raises(PictureError, match=words) as caught:
        read_pixels(path)
    assert "bad.png" in str(caught.value)


def test_missing_and_odd_places(tmp_path: Path) -> None:
    """A missing file and a folder are told apart."""
    with pytest.raises(PictureError, match="is not there"):
        read_pixels(tmp_path / "no.png")
    with pytest.raises(PictureError, match="is a folder"):
        read_pixels(tmp_path)
    with pytest.raises(PictureError, match="is a device"):
        read_pixels(Path("/dev/null"))


def test_broken_off_jpeg(tmp_path: Path) -> None:
    """Half a JPEG is refused, not shown grey below."""
    whole = saved(tmp_path, Image.fromarray(np.kron(PATCH, np.ones((40, 40, 1), np.uint8))), "a.jpg")
    (tmp_path / "half.jpg").write_bytes(whole.read_bytes()[: whole.stat().st_size * 2 // 3])
    with pytest.raises(PictureError):
        read_pixels(tmp_path / "half.jpg")


def test_density_is_believed_only_when_somebody_set_it(tmp_path: Path) -> None:
    """300 dpi counts; 72 and 96, which programs write by themselves, do not."""
    for name, dpi, believed in (("a.png", 300, True), ("b.png", 72, False), ("c.png", 96, False)):
        stated = read_header(saved(tmp_path, Image.fromarray(PATCH), name, dpi=(dpi, dpi))).dpi
        assert (stated is not None) is believed
        if believed:
            assert stated == pytest.approx(300, abs=0.01)


@given(st.data())
@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_damaged_bytes_never_crash(tmp_path: Path, data: st.DataObject) -> None:
    """Whatever is changed in a file, the answer is pixels or a sentence."""
    content = bytearray(png_with(chunk(b"pHYs", struct.pack(">IIB", 11811, 11811, 1))))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at] = data.draw(st.integers(0, 255))
    path = tmp_path / "hurt.png"
    path.write_bytes(bytes(content))
    try:
        pixels = read_pixels(path)
    except PictureError as problem:
        assert problem.message
    else:
        assert pixels.shape[2] == 4
