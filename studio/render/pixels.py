"""Light and codes for whole pictures: blending ink, and what dye makes of a surface.

Invariant: light adds and multiplies only in linear form; a code is the nearest one to its light, ties up, for every
single-precision float, not the entry of a coarse table. Source of the curve: IEC 61966-2-1 (`basics.colour`).
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour, linear_from_code
from studio.render.pixel_grid import PixelBox

_MIRROR_ROWS_AT_ONCE: Final = 64
_WORD: Final = 8


def mirror(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels, shape (rows, columns, ...), with the columns in reverse order."""
    if pixels.ndim == 2:
        return _mirror_by_words(pixels)
    return np.ascontiguousarray(pixels[:, ::-1])


def _mirror_by_words(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return single bytes with the columns in reverse order: eight at a time, then within each eight."""
    rows, columns = pixels.shape
    room = np.zeros((rows, columns + -columns % _WORD), np.uint8)
    room[:, :columns] = pixels
    flipped = room.view(np.uint64)[:, ::-1].byteswap().view(np.uint8)
    return flipped[:, room.shape[1] - columns :]


def mirror_in_place(pixels: NDArray[np.uint8]) -> None:
    """Put the columns of pixels in reverse order where they are: a large canvas has no room for a second copy."""
    for top in range(0, len(pixels), _MIRROR_ROWS_AT_ONCE):
        part = pixels[top : top + _MIRROR_ROWS_AT_ONCE]
        part[:] = mirror(part)


def mirrored_box(box: PixelBox, width_px: int) -> PixelBox:
    """Return where a block of pixels lies once a picture `width_px` wide has been flipped."""
    return PixelBox(box.top_px, width_px - box.left_px - box.width_px, box.height_px, box.width_px)


LINEAR: Final[NDArray[np.float32]] = np.array([linear_from_code(code) for code in range(256)], np.float32)
"""Code -> linear light, shape (256,)."""

_STEPS: Final = np.array([linear_from_code(code + 0.5) for code in range(255)] + [np.inf], np.float32)
"""Light at which each code gives way to the next."""
_BUCKETS: Final = 4096
"""Codes are nowhere closer than 1/3294 in light, so no bucket holds two steps."""
_CODE_AT_BUCKET: Final = np.searchsorted(
    _STEPS, np.arange(_BUCKETS + 1, dtype=np.float32) / _BUCKETS, side="right"
).astype(np.uint8)
_ROWS_AT_ONCE: Final = 256


def linear_of(codes: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return the linear light, 0 to 1, of sRGB codes of any shape."""
    return LINEAR[codes]


def codes_of(light: NDArray[np.floating[Any]]) -> NDArray[np.uint8]:
    """Return the nearest sRGB codes of linear light of any shape; light outside 0 to 1 is clipped."""
    clipped = np.clip(light, 0.0, 1.0).astype(np.float32, copy=False)
    low = _CODE_AT_BUCKET[(clipped * _BUCKETS).astype(np.int32)]
    codes: NDArray[np.uint8] = low + (clipped >= _STEPS[low])
    return codes


def blend_ink(base: NDArray[np.uint8], cover: NDArray[np.uint8], colour: Colour) -> None:
    """Lay ink over pixels, in place, mixed in linear light.

    Args:
        base: Codes, shape (rows, columns, 3 or 4); an alpha in the last place grows with the cover.
        cover: Share of each pixel that is inked, shape (rows, columns), 0 to 255.
        colour: The ink.
    """
    whole = cover == 255
    for channel, code in zip(range(base.shape[2]), (*colour.rgb, 255), strict=False):
        np.copyto(base[..., channel], np.uint8(code), where=whole)  # by channel: eight times faster than by pixel
    if base.flags.c_contiguous:
        places = np.flatnonzero(cover - np.uint8(1) < 254)
        pixels = base.reshape(-1, base.shape[2])
        if len(places):
            pixels[places] = _mixed(pixels.take(places, axis=0), cover.take(places), colour)
        return
    rows, columns = _partly(cover)
    if len(rows):
        base[rows, columns] = _mixed(base[rows, columns], cover[rows, columns], colour)


def _mixed(under: NDArray[np.uint8], cover: NDArray[np.uint8], colour: Colour) -> NDArray[np.uint8]:
    """Return pixels, shape (n, 3 or 4), with ink over a share of each, shape (n,)."""
    share = cover.astype(np.float32)[:, None] / 255.0
    ink = np.array(colour.linear, np.float32)
    light = linear_of(under[:, :3])
    if under.shape[1] == 3:
        return codes_of(light + share * (ink - light))
    return _mixed_on_nothing(under, share, ink, np.array(colour.rgb, np.float32))


def _mixed_on_nothing(
    under: NDArray[np.uint8], share: NDArray[np.float32], ink: NDArray[np.float32], codes: NDArray[np.float32]
) -> NDArray[np.uint8]:
    """Return pixels with an alpha, shape (n, 4), with ink over a share of each, shape (n, 1).

    Nearly every program lays such a picture down by mixing codes rather than light, which makes soft edges too dark.
    So alpha and colour are chosen such that mixing codes over white gives what mixing light would have given.
    """
    alpha = under[:, 3:].astype(np.float32) / 255.0
    below = alpha * under[:, :3] + (1 - alpha) * np.float32(255)
    seen = linear_of(np.floor(below + np.float32(0.5)).astype(np.uint8))
    wanted = codes_of(seen + share * (ink - seen)).astype(np.float32)
    dark = int(np.argmin(codes))
    alone = (255 - wanted[:, dark : dark + 1]) / max(255 - float(codes[dark]), 1.0)
    joined = np.where(alpha > 0, share + alpha * (1 - share), alone if codes[dark] < 255 else share)
    least = ((255 - wanted) / 255).max(axis=1, keepdims=True)
    opacity = np.ceil(np.clip(np.maximum(joined, least), 0, 1) * 255 - np.float32(1e-3)) / 255
    whole = np.maximum(opacity, np.float32(1 / 255))
    mixed = np.clip(np.floor((wanted - (1 - opacity) * 255) / whole + np.float32(0.5)), 0, 255).astype(np.uint8)
    return np.concatenate((mixed, _alpha_codes(opacity)), axis=1)


def over_white(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return RGBA pixels laid on white in linear light, shape (rows, columns, 3)."""
    flat = np.ascontiguousarray(pixels[..., :3])
    for top in range(0, len(flat), _ROWS_AT_ONCE):
        part, alpha = flat[top : top + _ROWS_AT_ONCE], pixels[top : top + _ROWS_AT_ONCE, :, 3]
        clear = alpha == 0
        for channel in range(3):
            np.copyto(part[..., channel], np.uint8(255), where=clear)
        rows, columns = _partly(alpha)
        if len(rows):
            share = alpha[rows, columns].astype(np.float32)[:, None] / 255.0
            part[rows, columns] = codes_of(1.0 + share * (linear_of(part[rows, columns]) - 1.0))
    return flat


def press(
    print_rgb: NDArray[np.uint8],
    surface_linear: tuple[float, float, float],
    *,
    into: NDArray[np.uint8] | None = None,
) -> NDArray[np.uint8]:
    """Return what a print looks like once pressed: print times surface, in linear light.

    Dye is transparent, so it can only take light away; where the print is white the bare surface shows.

    Args:
        print_rgb: Codes, shape (rows, columns, 3).
        surface_linear: The bare surface's colour in linear light.
        into: Where the result is put, of the same shape.
    """
    pressed = np.empty_like(print_rgb) if into is None else into
    for channel, surface in enumerate(surface_linear):
        codes = print_rgb[..., channel].tobytes().translate(_press_table(surface))
        pressed[..., channel] = np.frombuffer(codes, np.uint8).reshape(pressed.shape[:-1])
    return pressed


@lru_cache(maxsize=64)
def _press_table(surface: float) -> bytes:
    """Return what each code of a channel becomes on a surface of that light."""
    return codes_of((LINEAR * surface).astype(np.float32)).tobytes()


def _partly(share: NDArray[np.uint8]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns where a share is neither 0 nor 255; 0 wraps round to 255 and drops out with it."""
    rows, columns = np.divmod(np.flatnonzero(share - np.uint8(1) < 254), share.shape[1])
    return rows, columns


def _alpha_codes(share: NDArray[np.float32]) -> NDArray[np.uint8]:
    codes: NDArray[np.uint8] = np.floor(share * 255.0 + 0.5).astype(np.uint8)
    return codes
