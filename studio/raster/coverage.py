"""How much of each pixel an outline covers.

Invariant: coverage is the exact area of the flattened outline within a pixel, in 255ths, to the rasteriser's own
error; contours count non-zero, so a hole must run against its outer contour. Curves arrive flattened, so that every
consumer sees the same shape. The rasteriser is FreeType's; it takes coordinates in 64ths of a pixel.
"""

from __future__ import annotations

import ctypes
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import freetype.raw as ft
import numpy as np
from freetype.ft_structs import FT_Bitmap, FT_Outline, FT_Vector
from numpy.typing import NDArray

from studio.errors import StudioError
from studio.geometry import Points
from studio.raster.window import PixelBox, PixelWindow, extent, inked_box

_SUBPIXELS: Final = 64
_MOST_POINTS: Final = 32_000
"""The rasteriser counts an outline's points in a signed 16-bit number."""
_MOST_PX: Final = 16_384
"""It counts a bitmap's columns in one too; half of that leaves room for its margins."""
_PART_PX: Final = 256
_FEW_POINTS: Final = 256
_GREY: Final = 2

_LONG: Final = np.dtype(ctypes.c_long)
_in_use = threading.Lock()
_library: Any = None


def coverage(contours: Sequence[Points], window: PixelWindow) -> NDArray[np.uint8]:
    """Return the share of each pixel that contours cover, shape (height_px, width_px), 0 to 255.

    Args:
        contours: Closed outlines in mm, each of shape (n, 2), y up, filled non-zero; they may reach out of the window.
        window: The pixels wanted.
    """
    cover = np.zeros((window.height_px, window.width_px), np.uint8)
    box = inked_box(contours, window)
    if not box.is_empty:
        inked = window.cut(box)
        outlines = [_snapped(contour, inked) for contour in contours if len(contour) > 2]
        _fill(outlines, cover[box.rows, box.columns], PixelBox(0, 0, box.height_px, box.width_px))
    return cover


@dataclass(frozen=True, slots=True)
class _Outline:
    """One contour on the rasteriser's grid: columns and rows in 64ths of a pixel from the top left corner."""

    points: NDArray[Any]
    extent: tuple[float, float, float, float]

    def reaches(self, box: PixelBox) -> bool:
        """Tell whether it may cover some of a part."""
        left, top, right, bottom = self.extent
        return (
            left < (box.left_px + box.width_px) * _SUBPIXELS
            and right > box.left_px * _SUBPIXELS
            and top < (box.top_px + box.height_px) * _SUBPIXELS
            and bottom > box.top_px * _SUBPIXELS
        )


def _outline(points: NDArray[Any]) -> _Outline:
    return _Outline(points, extent(points) if len(points) > 2 else (0, 0, 0, 0))


def _snapped(contour: Points, window: PixelWindow) -> _Outline:
    """Return a contour on the rasteriser's grid, no point twice in a row."""
    points = np.floor(window.pixels_of(contour) * _SUBPIXELS + 0.5).astype(_LONG)
    moved = np.empty(len(points), bool)
    np.logical_or(points[1:, 0] != points[:-1, 0], points[1:, 1] != points[:-1, 1], out=moved[1:])
    moved[0] = bool((points[0] != points[-1]).any())
    return _outline(points[moved])


def _fill(outlines: Sequence[_Outline], cover: NDArray[np.uint8], box: PixelBox) -> None:
    """Fill the part `box` of `cover`, in halves while that saves the rasteriser work or stays within its limits.

    The rasteriser goes through all points once for every few hundred pixels of edge; small parts with few outlines
    each are several times faster than one long line of letters.

    Args:
        outlines: What may reach into the part.
        cover: Receives the coverage, shape (rows, columns).
        box: The part to fill.
    """
    near = [outline for outline in outlines if outline.reaches(box)]
    points, longest = sum(len(outline.points) for outline in near), max(box.width_px, box.height_px)
    if not near:
        return
    if points <= _MOST_POINTS and (longest <= _PART_PX or points <= _FEW_POINTS) and longest <= _MOST_PX:
        cover[box.rows, box.columns] = _rasterised(near, box)
        return
    if longest < 2:
        raise StudioError("An outline has too many corners within one pixel.", advice="Use a simpler typeface.")
    for half in _halves(box):
        _fill([_clipped(outline, half) for outline in near] if points > _MOST_POINTS else near, cover, half)


def _halves(box: PixelBox) -> tuple[PixelBox, PixelBox]:
    if box.width_px >= box.height_px:
        half = box.width_px // 2
        return (
            PixelBox(box.top_px, box.left_px, box.height_px, half),
            PixelBox(box.top_px, box.left_px + half, box.height_px, box.width_px - half),
        )
    half = box.height_px // 2
    return (
        PixelBox(box.top_px, box.left_px, half, box.width_px),
        PixelBox(box.top_px + half, box.left_px, box.height_px - half, box.width_px),
    )


def _clipped(outline: _Outline, box: PixelBox) -> _Outline:
    """Return an outline cut to a box, one pixel larger all round so that the cut runs where no pixel sees it."""
    cut = outline.points.astype(np.float64)
    for axis, sign, limit_px in (
        (0, 1.0, box.left_px - 1.0),
        (0, -1.0, -(box.left_px + box.width_px + 1.0)),
        (1, 1.0, box.top_px - 1.0),
        (1, -1.0, -(box.top_px + box.height_px + 1.0)),
    ):
        if len(cut) < 3:
            break
        cut = _clipped_on_one_side(cut, sign * cut[:, axis] - limit_px * _SUBPIXELS)
    return _outline(np.floor(cut + 0.5).astype(_LONG))


def _clipped_on_one_side(outline: NDArray[np.float64], inside: NDArray[np.float64]) -> NDArray[np.float64]:
    """Keep what lies where `inside` is not negative. Source: Sutherland and Hodgman, polygon clipping, 1974."""
    keep = inside >= 0
    if keep.all():
        return outline
    following, next_inside = np.roll(outline, -1, axis=0), np.roll(inside, -1)
    crosses = keep != (next_inside >= 0)
    share = np.divide(inside, inside - next_inside, out=np.zeros_like(inside), where=crosses)
    met = outline + share[:, None] * (following - outline)
    both = np.stack((outline, met), axis=1).reshape(-1, 2)
    cut: NDArray[np.float64] = both[np.column_stack((keep, crosses)).ravel()]
    return cut


def _rasterised(outlines: Sequence[_Outline], box: PixelBox) -> NDArray[np.uint8]:
    """Hand outlines to the rasteriser. Every buffer it is given is held by a name here until it returns."""
    points = np.ascontiguousarray(np.concatenate([outline.points for outline in outlines]))
    points[:, 0] -= box.left_px * _SUBPIXELS
    np.subtract((box.top_px + box.height_px) * _SUBPIXELS, points[:, 1], out=points[:, 1])  # its y runs up
    ends = (np.cumsum([len(outline.points) for outline in outlines]) - 1).astype(np.int16)
    tags = np.ones(len(points), np.uint8)
    pixels = np.zeros((box.height_px, box.width_px), np.uint8)
    outline = FT_Outline(
        len(ends),
        len(points),
        points.ctypes.data_as(ctypes.POINTER(FT_Vector)),
        tags.ctypes.data_as(ctypes.POINTER(ctypes.c_ubyte)),
        ends.ctypes.data_as(ctypes.POINTER(ctypes.c_short)),
        0,
    )
    bitmap = FT_Bitmap()
    bitmap.rows, bitmap.width, bitmap.pitch = box.height_px, box.width_px, box.width_px
    bitmap.buffer = pixels.ctypes.data_as(ctypes.POINTER(ctypes.c_ubyte))
    bitmap.num_grays, bitmap.pixel_mode = 256, _GREY
    with _in_use:
        failure = ft.FT_Outline_Get_Bitmap(_opened_library(), ctypes.byref(outline), ctypes.byref(bitmap))
    if failure:
        raise StudioError(f"The rasteriser gave up on an outline (FreeType error {failure}).")
    return pixels


def _opened_library() -> Any:
    """Return this module's own library, apart from anyone else's; one rasteriser serves one caller at a time."""
    global _library
    if _library is None:
        handle = ft.FT_Library()
        if failure := ft.FT_Init_FreeType(ctypes.byref(handle)):
            raise StudioError(f"FreeType does not start (error {failure}).")
        _library = handle
    return _library


def freetype_version() -> str:
    """Return the rasteriser's version, which decides the last step of a pixel."""
    parts = [ctypes.c_int() for _ in range(3)]
    with _in_use:
        ft.FT_Library_Version(_opened_library(), *(ctypes.byref(part) for part in parts))
    return ".".join(str(part.value) for part in parts)
