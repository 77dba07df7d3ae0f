"""Reading a finished PNG back before it takes its name.

Invariant: nothing here trusts the encoder: chunks are parsed from the bytes, their CRCs computed anew, the deflate
runs inflated and their Adler-32 compared with the one in the file.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.basics.errors import VerificationError
from studio.render.png.bands import BandedFile, BandSum
from studio.render.png.container import COLOUR_TYPE, FINAL_BLOCK, SIGNATURE, ZLIB_HEADER, pixels_per_metre
from studio.render.png.deflate import adler32, adler32_combine, crc32, inflate_run

_ADVICE: Final = "Make the sign again; if it happens twice, look for a failing disk."


@dataclass(frozen=True, slots=True)
class _Frame:
    """The parts of a file that the checks need, as found in it."""

    header: bytes
    density: bytes
    runs: tuple[memoryview, ...]


def verify_png(
    data: bytes,
    *,
    expected_size: tuple[int, int],
    channels: int,
    dpi: float,
    ordered: BandedFile | None = None,
    expected_pixels: NDArray[np.uint8] | None = None,
) -> None:
    """Check a file that was read back.

    Args:
        data: The file.
        expected_size: Width and height in pixels.
        channels: 3 for RGB, 4 for RGBA.
        dpi: The print density it was ordered with.
        ordered: The file as encoded. Then only its touched bands are inflated; the sums of the others are taken from
            it, and their bytes are held by their CRCs. Without it every band is inflated.
        expected_pixels: When given, the file is decoded by a second decoder and compared with them.

    Raises:
        VerificationError: The file is not what was ordered.
    """
    frame = _parse(data)
    _check_header(frame, expected_size, channels, dpi)
    _check_bands(frame, expected_size, channels, ordered)
    if expected_pixels is not None:
        _check_pixels(data, expected_pixels)


def _refuse(what: str) -> VerificationError:
    return VerificationError(f"The picture did not read back as ordered: {what}.", advice=_ADVICE)


def _chunks(data: bytes) -> Iterator[tuple[bytes, memoryview]]:
    """Yield kind and body of every chunk, CRC checked."""
    view = memoryview(data)
    if data[:8] != SIGNATURE:
        raise _refuse("it does not begin like a PNG")
    at = len(SIGNATURE)
    while at < len(data):
        if at + 12 > len(data):
            raise _refuse(f"it breaks off in the chunk at byte {at}")
        (length,) = struct.unpack_from(">I", data, at)
        end = at + 12 + length
        if end > len(data):
            raise _refuse(f"it breaks off in the chunk at byte {at}")
        if crc32(view[at + 4 : end - 4]) != struct.unpack_from(">I", data, end - 4)[0]:
            raise _refuse(f"the chunk at byte {at} has a wrong CRC")
        yield bytes(view[at + 4 : at + 8]), view[at + 8 : end - 4]
        at = end


def _parse(data: bytes) -> _Frame:
    header = density = b""
    runs: list[memoryview] = []
    kinds: list[bytes] = []
    for kind, body in _chunks(data):
        kinds.append(kind)
        if kind == b"IHDR":
            header = bytes(body)
        elif kind == b"pHYs":
            density = bytes(body)
        elif kind == b"IDAT":
            runs.append(body)
    if kinds[:1] != [b"IHDR"] or kinds[-1:] != [b"IEND"] or kinds.count(b"IEND") != 1 or len(runs) < 2:
        raise _refuse("its chunks are not in order")
    return _Frame(header, density, tuple(runs))


def _check_header(frame: _Frame, size: tuple[int, int], channels: int, dpi: float) -> None:
    header = struct.pack(">IIBBBBB", *size, 8, COLOUR_TYPE[channels], 0, 0, 0)
    if frame.header != header:
        found = struct.unpack_from(">II", frame.header.ljust(8, b"\0"))
        raise _refuse(f"ordered {size[0]} x {size[1]} px with {channels} channels, found {found[0]} x {found[1]} px")
    if frame.density != struct.pack(">IIB", pixels_per_metre(dpi), pixels_per_metre(dpi), 1):
        raise _refuse(f"its density is not {pixels_per_metre(dpi)} pixels a metre")


def _check_bands(frame: _Frame, size: tuple[int, int], channels: int, ordered: BandedFile | None) -> None:
    *bands, last = frame.runs
    if bytes(bands[0][:2]) != ZLIB_HEADER or bytes(last[:2]) != FINAL_BLOCK or len(last) != 6:
        raise _refuse("its data stream is not closed as it should be")
    row_bytes = 1 + size[0] * channels
    if ordered is not None and len(ordered.sums) != len(bands):
        raise _refuse(f"it has {len(bands)} bands of rows, not {len(ordered.sums)}")
    touched = set(range(len(bands)) if ordered is None else ordered.touched)
    adler, total = 1, 0
    for index, run in enumerate(bands):
        if ordered is not None and index not in touched:
            band_adler, length = ordered.sums[index].adler, ordered.sums[index].length
        else:
            limit = row_bytes * size[1] if ordered is None else ordered.sums[index].length
            rows = _inflated(run[2:] if index == 0 else run, limit, index)
            band_adler, length = adler32(rows), len(rows)
            if ordered is not None and ordered.sums[index] != BandSum(band_adler, length):
                raise _refuse(f"band {index} of its rows holds another picture")
        adler, total = adler32_combine(adler, band_adler, length), total + length
    if total != row_bytes * size[1]:
        raise _refuse(f"it holds {total} bytes of rows, not {row_bytes * size[1]}")
    if struct.pack(">I", adler) != bytes(last[2:]):
        raise _refuse("the checksum of its rows is wrong")


def _inflated(run: memoryview, length: int, index: int) -> bytes:
    try:
        return inflate_run(run, length)
    except zlib.error as error:
        raise _refuse(f"band {index} of its rows is damaged ({error})") from None


def _check_pixels(data: bytes, expected: NDArray[np.uint8]) -> None:
    try:
        with Image.open(io.BytesIO(data)) as picture:
            found = np.asarray(picture)
    except (OSError, SyntaxError, ValueError) as error:
        raise _refuse(f"a second decoder cannot read it ({error})") from None
    if found.shape != expected.shape or not np.array_equal(found, expected):
        raise _refuse("a second decoder reads other pixels")
