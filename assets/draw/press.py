"""From a drawn sheet to the PNG that is kept: few colours, exact holes, 300 dpi.

Invariant: a pixel that was fully transparent or fully opaque on the sheet still is in the file.
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.vq import kmeans2
from scipy.spatial import cKDTree

PIXELS_PER_METRE = 11811
ALPHA_STEPS = 6


def few_colours(rgba: NDArray[np.uint8], count: int, seed: int) -> NDArray[np.uint8]:
    """The picture in `count` colours and a few levels of alpha; colour under alpha 0 is black."""
    alpha = rgba[..., 3].astype(np.int32)
    level = np.clip((alpha * ALPHA_STEPS + 127) // 255, 1, ALPHA_STEPS - 1)
    out = np.zeros_like(rgba)
    out[..., 3] = np.where(alpha < 8, 0, np.where(alpha >= 252, 255, level * 255 // ALPHA_STEPS))
    seen = out[..., 3] > 0
    colours = rgba[seen][:, :3]
    keys, back, counts = np.unique(
        colours.astype(np.int64) @ np.array([65536, 256, 1]), return_inverse=True, return_counts=True
    )
    exact = np.column_stack([keys >> 16, (keys >> 8) & 255, keys & 255]).astype(float)
    if len(keys) > count:
        rng = np.random.default_rng(seed)
        sample = exact[rng.choice(len(exact), 40000, p=counts / counts.sum())]
        order = np.argsort(-counts, kind="stable")
        # Half the palette stands for the flat inks themselves, so that they keep their exact colour.
        flat = exact[order[: count // 4]]
        rest, _ = kmeans2(sample, count - len(flat), iter=12, minit="++", rng=rng)
        table = np.vstack([flat, rest])
        exact = table[cKDTree(table).query(exact)[1]]
    out[seen, :3] = np.clip(exact + 0.5, 0, 255).astype(np.uint8)[back]
    return out


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def write_png(rgba: NDArray[np.uint8], to: Path) -> int:
    """Write an RGBA PNG with sRGB and pHYs chunks; returns its size in bytes.

    With few colours the rows compress best unfiltered.
    """
    height, width = rgba.shape[:2]
    rows = np.zeros((height, 1 + width * 4), np.uint8)
    rows[:, 1:] = rgba.reshape(height, -1)
    packer = zlib.compressobj(9, zlib.DEFLATED, 15, 9)
    body = packer.compress(rows.tobytes()) + packer.flush()
    parts = [
        b"\x89PNG\r\n\x1a\n",
        _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)),
        _chunk(b"sRGB", b"\x00"),
        _chunk(b"pHYs", struct.pack(">IIB", PIXELS_PER_METRE, PIXELS_PER_METRE, 1)),
        _chunk(b"IDAT", body),
        _chunk(b"IEND", b""),
    ]
    data = b"".join(parts)
    to.write_bytes(data)
    return len(data)
