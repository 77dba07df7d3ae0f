"""The bytes of a picture file, judged before a decoder sees them: kind, size in pixels, and what rides along.

Invariant: of a PNG only the chunks that make the picture are handed on, so that no side chunk can be a bomb.
Source: PNG specification (chunk layout); ITU-T T.81 (JPEG markers); from memory.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.basics.errors import PictureError
from studio.storage.regular_file import regular_bytes

MOST_PIXELS: Final = 100_000_000
MOST_BYTES: Final = 300_000_000
PICTURE_ENDINGS: Final = (".png", ".jpg", ".jpeg")

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_JPEG: Final = b"\xff\xd8\xff"
_KEPT_CHUNKS: Final = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"iCCP", b"sRGB", b"pHYs", b"eXIf"})
_PNG_HEADER_BYTES: Final = 33
_NEEDED_CHUNKS: Final = frozenset({b"IHDR", b"PLTE", b"IDAT", b"IEND"})
_MOST_SIDE_BYTES: Final = 4_000_000
_MOST_PROFILE_BYTES: Final = 8_000_000
_JPEG_FRAMES: Final = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})
"""Start-of-frame markers; the three left out are tables."""


@dataclass(frozen=True, slots=True)
class PictureBytes:
    """A file's bytes ready for a decoder, its format, and its size as stored."""

    data: bytes
    format: str
    width_px: int
    height_px: int


def picture_bytes(path: Path) -> PictureBytes:
    """Return a picture file's bytes, once its header has been judged.

    Raises:
        PictureError: The file is missing, no PNG or JPEG, or larger than what is read.
    """
    data = _read(path)
    if data.startswith(_PNG):
        size = _png_size(data, path)
        _refuse_enormous(size, path)
        return PictureBytes(_bare_png(data, path), "PNG", *size)
    if data.startswith(_JPEG):
        size = _jpeg_size(data, path)
        _refuse_enormous(size, path)
        return PictureBytes(data, "JPEG", *size)
    kind = "is empty" if not data else "is neither PNG nor JPEG"
    raise PictureError(f"{path} {kind}.", advice="Save the picture as PNG.")


def png_size(path: Path) -> tuple[int, int]:
    """Return width and height of a PNG from its first bytes alone.

    Raises:
        PictureError: The file is missing or no PNG.
    """
    return _png_size(_read(path, first=_PNG_HEADER_BYTES), path)


def _read(path: Path, first: int | None = None) -> bytes:
    try:
        return regular_bytes(path, most_bytes=MOST_BYTES, what="picture", error=PictureError, first=first)
    except (OSError, ValueError) as problem:
        raise _unreadable(path, problem) from problem


def _unreadable(path: Path, problem: OSError | ValueError) -> PictureError:
    if isinstance(problem, FileNotFoundError):
        return PictureError(f"The picture {path} is not there.", advice="Check the name and the folder.")
    reason = problem.strerror if isinstance(problem, OSError) else str(problem)
    return PictureError(f"The picture {path} cannot be read: {reason}.", advice="Check the file and its permissions.")


def _refuse_enormous(size: tuple[int, int], path: Path) -> None:
    width_px, height_px = size
    if width_px < 1 or height_px < 1:
        raise PictureError(
            f"{path}: the header states {width_px} x {height_px} pixels.", advice="Save it again as PNG."
        )
    if width_px * height_px > MOST_PIXELS:
        raise PictureError(
            f"{path} is {width_px} x {height_px} pixels, {width_px * height_px / 1e6:.0f} million; "
            f"at most {MOST_PIXELS / 1e6:.0f} million are read.",
            advice="Save it smaller: 300 pixels an inch of the printed size are plenty.",
        )


def _png_size(data: bytes, path: Path) -> tuple[int, int]:
    if len(data) < 33 or not data.startswith(_PNG) or data[12:16] != b"IHDR":
        raise PictureError(f"{path} is not a whole PNG: its header is missing.", advice="Save it again as PNG.")
    width_px, height_px = struct.unpack_from(">II", data, 16)
    return width_px, height_px


def _bare_png(data: bytes, path: Path) -> bytes:
    """Return the file with the picture's own chunks only."""
    kept, at = [_PNG], len(_PNG)
    while at + 12 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        end = at + 12 + length
        if kind in _KEPT_CHUNKS:
            sound = _is_sound(data, at, end)
            if kind in _NEEDED_CHUNKS and not sound:
                raise PictureError(
                    f"{path}: the picture is damaged or cut off at byte {at}.", advice="Get a fresh copy of it."
                )
            if sound and not _is_too_much(kind, data[at + 8 : end - 4]):
                kept.append(data[at:end])
        at = end
        if kind == b"IEND":
            break
    else:
        raise PictureError(
            f"{path} is not a whole PNG: it ends after {len(data)} bytes.", advice="Get a fresh copy of it."
        )
    if not any(part[4:8] == b"IDAT" for part in kept):
        raise PictureError(f"{path} is not a whole PNG: it holds no picture.", advice="Save it again as PNG.")
    return b"".join(kept)


def _is_sound(data: bytes, at: int, end: int) -> bool:
    """Whether a chunk is all there and its checksum holds."""
    return end <= len(data) and zlib.crc32(memoryview(data)[at + 4 : end - 4]) == int.from_bytes(
        data[end - 4 : end], "big"
    )


def _is_too_much(kind: bytes, body: bytes) -> bool:
    """Whether a side chunk is too large, or would be once decompressed; the picture is read without it."""
    if kind in _NEEDED_CHUNKS:
        return False
    if len(body) > _MOST_SIDE_BYTES:
        return True
    if kind != b"iCCP":
        return False
    _, _, packed = body.partition(b"\0")
    inflater = zlib.decompressobj()
    try:
        inflater.decompress(packed[1:], _MOST_PROFILE_BYTES)
    except zlib.error:
        return True
    return not inflater.eof


def _jpeg_size(data: bytes, path: Path) -> tuple[int, int]:
    """Return width and height from the start-of-frame marker."""
    at = 2
    while at + 9 <= len(data):
        if data[at] != 0xFF:
            break
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        if marker in _JPEG_FRAMES:
            height_px, width_px = struct.unpack_from(">HH", data, at + 5)
            return width_px, height_px
        if marker in (0xD9, 0xDA):
            break
        at += 2 if marker == 0x01 or 0xD0 <= marker <= 0xD7 else 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    raise PictureError(f"{path} is not a whole JPEG: its frame header is missing.", advice="Save it again as PNG.")
