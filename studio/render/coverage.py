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

from studio.basics.errors import StudioError
from studio.geometry.shapes import Points
from studio.render.pixel_grid import PixelBox, PixelWindow, inked_box

_SUBPIXELS: Final = 64
_MOST_POINTS: Final = 32_000
"""The rasteriser counts an outline's points in a signed 16-bit number."""
_MOST_PX: Final = 16_384
"""It counts a bitmap's columns in one too; half of that leaves room for its margins."""
_FARTHEST_PX: Final = 16_384
"""Outlines that reach farther than this are cut first: the rasteriser refuses them."""
_PART_PX: Final = 1024
_FEW_POINTS: Final = 256
_GREY: Final = 2

_LONG: Final = np.dtype(ctypes.c_long)
_in_use = threading.Lock()
_library: Any = None


@dataclass(frozen=True, slots=True, eq=False)
class _Outlines:
    """Contours on the rasteriser's grid: columns and rows in 64ths of a pixel from the top left corner.

    Attributes:
        points: One array of shape (n, 2) a contour.
        extents: Least column, least row, greatest column, greatest row of each, shape (contours, 4).
    """

    points: tuple[NDArray[Any], ...]
    extents: NDArray[Any]

    @property
    def count(self) -> int:
        """Points in all."""
        return sum(map(len, self.points))

    def near(self, box: PixelBox) -> _Outlines:
        """Return those that may cover some of a part."""
        left, top = box.left_px * _SUBPIXELS, box.top_px * _SUBPIXELS
        right, bottom = left + box.width_px * _SUBPIXELS, top + box.height_px * _SUBPIXELS
        least_x, least_y, most_x, most_y = self.extents.T
        kept = (least_x < right) & (most_x > left) & (least_y < bottom) & (most_y > top)
        if kept.all():
            return self
        return _Outlines(tuple(self.points[index] for index in np.flatnonzero(kept)), self.extents[kept])


def coverage(contours: Sequence[Points], window: PixelWindow) -> NDArray[np.uint8]:
    """Return the share of each pixel that contours cover, shape (height_px, width_px), 0 to 255.

    Args:
        contours: Closed outlines in mm, each of shape (n, 2), y up, filled non-zero; they may reach out of the window.
        window: The pixels wanted.
    """
    cover = np.zeros((window.height_px, window.width_px), np.uint8)
    box = inked_box(contours, window)
    if not box.is_empty:
        outlines = _snapped(contours, window.cut(box))
        _fill(outlines, cover[box.rows, box.columns], PixelBox(0, 0, box.height_px, box.width_px))
    return cover


def _snapped(contours: Sequence[Points], window: PixelWindow) -> _Outlines:
    """Return contours on the rasteriser's grid, no point twice in a row. All at once: a name has many small ones."""
    closed = [contour for contour in contours if len(contour) > 2]
    if not closed:
        return _outlines(())
    ends = np.cumsum([len(contour) for contour in closed])
    starts = np.concatenate(([0], ends[:-1]))
    points = np.floor(window.pixels_of(np.concatenate(closed)) * _SUBPIXELS + 0.5).astype(_LONG)
    before = np.arange(-1, len(points) - 1)
    before[starts] = ends - 1
    moved = (points[:, 0] != points[before, 0]) | (points[:, 1] != points[before, 1])
    counts = np.add.reduceat(moved, starts, dtype=np.intp)
    return _outlines(tuple(np.split(points[moved], np.cumsum(counts)[:-1])))


def _outlines(contours: Sequence[NDArray[Any]]) -> _Outlines:
    """Gather contours on the grid; those without area are dropped."""
    kept = tuple(points for points in contours if len(points) > 2)
    if not kept:
        return _Outlines((), np.zeros((0, 4), _LONG))
    starts = np.concatenate(([0], np.cumsum([len(points) for points in kept])[:-1]))
    columns, rows = np.concatenate(kept).T.copy()
    extents = [part.reduceat(values, starts) for part in (np.minimum, np.maximum) for values in (columns, rows)]
    return _Outlines(kept, np.column_stack(extents))


def _fill(outlines: _Outlines, cover: NDArray[np.uint8], box: PixelBox) -> None:
    """Fill the part `box` of `cover`, in halves while that saves the rasteriser work or stays within its limits.

    The rasteriser goes through all points once for every few hundred pixels of edge; small parts with few outlines
    each are several times faster than one long line of letters.

    Args:
        outlines: What may reach into the part.
        cover: Receives the coverage, shape (rows, columns).
        box: The part to fill.
    """
    near = outlines.near(box)
    if not near.points:
        return
    points, longest = near.count, max(box.width_px, box.height_px)
    if points <= _MOST_POINTS and (longest <= _PART_PX or points <= _FEW_POINTS) and longest <= _MOST_PX:
        if np.abs(near.extents).max() > _FARTHEST_PX * _SUBPIXELS:
            near = _outlines([_clipped(each, box) for each in near.points])
        if near.points:
            _rasterise(near.points, box, cover[box.rows, box.columns])
        return
    if longest < 2:
        raise StudioError("An outline has too many corners within one pixel.", advice="Use a simpler typeface.")
    for half in _halves(box):
        cut = _outlines([_clipped(each, half) for each in near.points]) if points > _MOST_POINTS else near
        _fill(cut, cover, half)


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


def _clipped(points: NDArray[Any], box: PixelBox) -> NDArray[Any]:
    """Return a contour cut to a box, one pixel larger all round so that the cut runs where no pixel sees it."""
    cut = points.astype(np.float64)
    for axis, sign, limit_px in (
        (0, 1.0, box.left_px - 1.0),
        (0, -1.0, -(box.left_px + box.width_px + 1.0)),
        (1, 1.0, box.top_px - 1.0),
        (1, -1.0, -(box.top_px + box.height_px + 1.0)),
    ):
        if len(cut) < 3:
            break
        cut = _clipped_on_one_side(cut, sign * cut[:, axis] - limit_px * _SUBPIXELS)
    snapped: NDArray[Any] = np.floor(cut + 0.5).astype(_LONG)
    return snapped


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


def _rasterise(contours: Sequence[NDArray[Any]], box: PixelBox, cover: NDArray[np.uint8]) -> None:
    """Hand contours to the rasteriser. Every buffer it is given is held by a name here until it returns.

    Args:
        contours: On the rasteriser's grid.
        box: The part of the grid that is wanted.
        cover: Receives it, zeros so far; its rows may lie apart, each in one piece.
    """
    points = np.ascontiguousarray(np.concatenate(contours))
    points[:, 0] -= box.left_px * _SUBPIXELS
    np.subtract((box.top_px + box.height_px) * _SUBPIXELS, points[:, 1], out=points[:, 1])  # its y runs up
    ends = (np.cumsum([len(each) for each in contours]) - 1).astype(np.int16)
    tags = np.ones(len(points), np.uint8)
    outline = FT_Outline(
        len(ends),
        len(points),
        points.ctypes.data_as(ctypes.POINTER(FT_Vector)),
        tags.ctypes.data_as(ctypes.POINTER(ctypes.c_ubyte)),
        ends.ctypes.data_as(ctypes.POINTER(ctypes.c_short)),
        0,
    )
    bitmap = FT_Bitmap()
    bitmap.rows, bitmap.width, bitmap.pitch = box.height_px, box.width_px, cover.strides[0]
    bitmap.buffer = cover.ctypes.data_as(ctypes.POINTER(ctypes.c_ubyte))
    bitmap.num_grays, bitmap.pixel_mode = 256, _GREY
    with _in_use:
        failure = ft.FT_Outline_Get_Bitmap(_opened_library(), ctypes.byref(outline), ctypes.byref(bitmap))
    if failure:
        raise StudioError(f"The rasteriser gave up on an outline (FreeType error {failure}).")


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
