"""The frame of a PNG file: signature, header chunks and the chunks that close it.

Invariant: eight bits a channel, RGB or RGBA, not interlaced, tagged sRGB and with its density, so that a printing
program has nothing to guess. Source: PNG specification, third edition (chunk layout, sRGB with its recommended gAMA
and cHRM; from memory).
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Final

from studio.basics.units import round_half_up
from studio.render.png.deflate import crc32

SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
ZLIB_HEADER: Final = b"\x78\x01"
"""Deflate, 32 KB window, fastest; 0x7801 is a multiple of 31 as RFC 1950 wants."""
FINAL_BLOCK: Final = b"\x03\x00"
"""An empty deflate block marked as the last."""
COLOUR_TYPE: Final = {3: 2, 4: 6}
"""Channels in a pixel -> the header's colour type."""

_METRE_PER_INCH: Final = 0.0254
_SRGB_PERCEPTUAL: Final = b"\x00"
_GAMMA: Final = struct.pack(">I", 45455)
_PRIMARIES: Final = struct.pack(">8I", 31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)


def chunk(kind: bytes, body: bytes) -> bytes:
    """Return one chunk: length, kind, body and the CRC-32 of the two latter."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", crc32(body, crc32(kind)))


def pixels_per_metre(dpi: float) -> int:
    """Return the density as the file states it, in whole pixels a metre."""
    return round_half_up(dpi / _METRE_PER_INCH)


def file_head(width_px: int, height_px: int, channels: int, dpi: float) -> bytes:
    """Return everything from the signature to the density chunk."""
    header = struct.pack(">IIBBBBB", width_px, height_px, 8, COLOUR_TYPE[channels], 0, 0, 0)
    density = struct.pack(">IIB", pixels_per_metre(dpi), pixels_per_metre(dpi), 1)
    return b"".join(
        (
            SIGNATURE,
            chunk(b"IHDR", header),
            chunk(b"cHRM", _PRIMARIES),
            chunk(b"gAMA", _GAMMA),
            chunk(b"sRGB", _SRGB_PERCEPTUAL),
            chunk(b"pHYs", density),
        )
    )


def text_chunks(notes: Mapping[str, str]) -> bytes:
    """Return a text chunk for each keyword, in order: Latin-1 where that holds the text, else UTF-8.

    Args:
        notes: Keyword (1 to 79 characters of Latin-1) -> text.
    """
    written = []
    for keyword, text in notes.items():
        key = keyword.encode("latin-1")[:79]
        plain = text.replace("\0", "")
        try:
            written.append(chunk(b"tEXt", key + b"\0" + plain.encode("latin-1")))
        except UnicodeEncodeError:
            written.append(chunk(b"iTXt", key + b"\0\0\0\0\0" + plain.encode("utf-8", "replace")))
    return b"".join(written)


def file_tail(adler: int) -> bytes:
    """Return the last data chunk, which ends the deflate stream with its checksum, and the end chunk."""
    return chunk(b"IDAT", FINAL_BLOCK + struct.pack(">I", adler)) + chunk(b"IEND", b"")
