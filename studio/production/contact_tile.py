"""A sign as small as it stands on the contact sheet: a picture on white, and the same in plain ASCII.

A tile is bytes, drawn where the sign is made, so that a sheet of any length is put together without opening proofs.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.pipeline.cache import proof_base_for, thumbnail_for
from studio.pipeline.types import Assets, Plan
from studio.render.ascii_art import COLUMNS
from studio.render.png.deflate import adler32, deflate_run, inflate_run

TILE_PX: Final = 160
"""Pixels along the longer side."""
TILE_COLUMNS: Final = COLUMNS
"""Characters across the ASCII picture."""
_HEAD: Final = struct.Struct(">HHII")
"""Width, height, bytes of ASCII, checksum of all that follows."""


@dataclass(frozen=True, slots=True, eq=False)
class ContactTile:
    """A tile unpacked: pixels of shape (rows, columns, 3), and lines of ASCII."""

    pixels: NDArray[np.uint8]
    lines: tuple[str, ...]


def tile_of(planned: Plan, assets: Assets, thumbnail: str | None = None) -> bytes:
    """Return the tile of a sign that was fitted; one without a placement shows the blank with its artwork.

    Args:
        planned: The sign.
        assets: Where the picture comes from.
        thumbnail: The ASCII picture where it is drawn already.

    Raises:
        PictureError: The artwork cannot be read.
    """
    base = proof_base_for(planned.sign, assets, TILE_PX)
    seen = base.pixels_of(planned.placement).astype(np.uint16)
    alpha = seen[..., 3:]
    pixels = ((seen[..., :3] * alpha + 255 * (255 - alpha) + 127) // 255).astype(np.uint8)
    if thumbnail is None:
        thumbnail = thumbnail_for(planned.sign, assets, TILE_COLUMNS).draw(planned.placement)
    text = thumbnail.encode("ascii", "replace")
    body = text + deflate_run(pixels.tobytes())
    return _HEAD.pack(pixels.shape[1], pixels.shape[0], len(text), adler32(body)) + body


def unpacked(data: bytes) -> ContactTile | None:
    """Return a tile from its bytes; `None` when they are damaged."""
    if len(data) < _HEAD.size:
        return None
    width, height, text_length, checksum = _HEAD.unpack_from(data)
    body = data[_HEAD.size :]
    if adler32(body) != checksum:
        return None
    size = width * height * 3
    try:
        raw = inflate_run(body[text_length:], size)
    except zlib.error:
        return None
    if len(raw) != size:
        return None
    lines = tuple(body[:text_length].decode("ascii", "replace").splitlines())
    return ContactTile(np.frombuffer(raw, np.uint8).reshape(height, width, 3), lines)
