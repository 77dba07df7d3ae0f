"""The artwork brought to a window's pixels: sized, moved, turned.

Invariant: sampling is done on light multiplied by opacity, so that neither dark fringes nor colour from transparent
pixels creep in; the picture's own edges are cut by their exact coverage, never faded. Works tile by tile, so that
memory does not grow with the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.basics.units import round_half_up
from studio.geometry.shapes import Points
from studio.model.artwork import ArtworkSetting
from studio.render.pixel_grid import PixelBox, PixelWindow, centred_window
from studio.render.pixels import codes_of, linear_of

TILE_PX: Final = 1024
_QUARTER: Final = math.pi / 2
_AS_STORED: Final = 0.5
"""Scaling that moves no edge of the picture by more than this many pixels is left out: pixels are copied."""
_MOST_SOURCE_PX: Final = 16_000_000
"""A tile that would take more of the picture's pixels than this, and twice all there are, is made where it is."""
_MARGIN_PX: Final = 4
"""Picture taken beyond a tile's edge, for the reach of the sampling kernel."""


@dataclass(frozen=True, slots=True, eq=False)
class LaidArtwork:
    """A picture at its place: what a window needs to sample it. Make it with `lay_artwork`.

    Attributes:
        pixels: Upright, quarter turns already made, shape (rows, columns, 4).
        turn_rad: What is left to turn, at most an eighth of a circle either way.
    """

    pixels: NDArray[np.uint8]
    width_mm: float
    height_mm: float
    x_mm: float
    y_mm: float
    turn_rad: float

    @property
    def outline(self) -> Points:
        """The picture's four corners on the blank, counter-clockwise, mm."""
        half = np.array([self.width_mm, self.height_mm]) / 2
        corners = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) * half
        cos, sin = math.cos(self.turn_rad), math.sin(self.turn_rad)
        turned: Points = corners @ np.array([(cos, sin), (-sin, cos)]) + (self.x_mm, self.y_mm)
        return turned

    def tile(self, window: PixelWindow) -> NDArray[np.uint8]:
        """Return the picture as a window's pixels see it, shape (rows, columns, 4); its edges run on beyond it."""
        if self.turn_rad == 0:
            stored = self._as_stored(window)
            return stored if stored is not None else self._scaled(window)
        return self._turned(window)

    def _as_stored(self, window: PixelWindow) -> NDArray[np.uint8] | None:
        rows, columns = self.pixels.shape[:2]
        across, down = self.width_mm * window.px_per_mm, self.height_mm * window.px_per_mm
        if abs(across - columns) > _AS_STORED or abs(down - rows) > _AS_STORED:
            return None
        left = round_half_up((self.x_mm - window.left_mm) * window.px_per_mm - columns / 2)
        top = round_half_up((window.top_mm - self.y_mm) * window.px_per_mm - rows / 2)
        return _block(self.pixels, -top, -left, window.height_px, window.width_px)

    def _source_scale(self, px_per_mm: float) -> tuple[float, float]:
        """Return how many of the picture's columns and rows fall on one of the window's."""
        rows, columns = self.pixels.shape[:2]
        return columns / (self.width_mm * px_per_mm), rows / (self.height_mm * px_per_mm)

    def _scaled(self, window: PixelWindow) -> NDArray[np.uint8]:
        across, down = self._source_scale(window.px_per_mm)
        rows, columns = self.pixels.shape[:2]
        if across * window.width_px * down * window.height_px > _MOST_SOURCE_PX + 2 * rows * columns:
            return self._scaled_where_it_is(window)
        left = (window.left_mm - (self.x_mm - self.width_mm / 2)) * window.px_per_mm * across
        top = ((self.y_mm + self.height_mm / 2) - window.top_mm) * window.px_per_mm * down
        return _straight(self._sampled(left, top, across, down, window.width_px, window.height_px))

    def _scaled_where_it_is(self, window: PixelWindow) -> NDArray[np.uint8]:
        """Scale a picture that is small beside the window: only its own part, which runs on from its edges."""
        half = np.array([self.width_mm, self.height_mm]) / 2
        middle = np.array([self.x_mm, self.y_mm])
        corners = np.stack((middle - half, middle + half))
        (left, bottom), (right, top) = window.pixels_of(corners)
        spans = []
        for low, high, size in ((top, bottom, window.height_px), (left, right, window.width_px)):
            start = min(max(math.floor(low) - _MARGIN_PX, 0), size - 1)
            spans.append((start, max(min(math.ceil(high) + _MARGIN_PX, size), start + 1)))
        (top_px, bottom_px), (left_px, right_px) = spans
        part = self._scaled(window.cut(PixelBox(top_px, left_px, bottom_px - top_px, right_px - left_px)))
        beyond = ((top_px, window.height_px - bottom_px), (left_px, window.width_px - right_px), (0, 0))
        return np.pad(part, beyond, mode="edge")

    def at_density(self, px_per_mm: float) -> LaidArtwork:
        """Return the artwork ready for windows of a density: what is to be turned is made no finer than they are."""
        across, down = self._source_scale(px_per_mm)
        if self.turn_rad == 0 or max(across, down) <= 1:
            return self
        upright = replace(self, x_mm=0.0, y_mm=0.0, turn_rad=0.0)
        width_px = max(1, round_half_up(self.width_mm * px_per_mm))
        height_px = max(1, round_half_up(self.height_mm * px_per_mm))
        window = centred_window(width_px, height_px, px_per_mm)
        pixels = np.empty((height_px, width_px, 4), np.uint8)
        for box in tiles(window):
            pixels[box.rows, box.columns] = upright._scaled(window.cut(box))
        return replace(self, pixels=pixels, width_mm=width_px / px_per_mm, height_mm=height_px / px_per_mm)

    def _turned(self, window: PixelWindow) -> NDArray[np.uint8]:
        """Sample along the picture's own axes; rows run down, so turning back by an angle is turning forth by it."""
        across, down = self._source_scale(window.px_per_mm)
        rows, columns = self.pixels.shape[:2]
        cos, sin = math.cos(self.turn_rad), math.sin(self.turn_rad)
        back = np.array([(cos * across, -sin * across), (sin * down, cos * down)])
        centre = np.array([self.x_mm - window.left_mm, window.top_mm - self.y_mm]) * window.px_per_mm
        start = np.array([columns, rows]) / 2 - back @ centre
        corners = np.array([(x, y) for x in (0, window.width_px) for y in (0, window.height_px)]) @ back.T + start
        low = np.floor(corners.min(axis=0)).astype(int) - _MARGIN_PX
        high = np.ceil(corners.max(axis=0)).astype(int) + _MARGIN_PX
        part = _block(self.pixels, low[1], low[0], high[1] - low[1], high[0] - low[0])
        step = (*back[0], start[0] - low[0], *back[1], start[1] - low[1])
        size = (window.width_px, window.height_px)
        turned = [
            np.asarray(Image.fromarray(plane).transform(size, Image.Transform.AFFINE, step, Image.Resampling.BICUBIC))
            for plane in _light_times_opacity(part)
        ]
        return _straight(np.stack(turned))

    def _sampled(
        self, left: float, top: float, across: float, down: float, width_px: int, height_px: int
    ) -> NDArray[np.float32]:
        """Return light times opacity and opacity, shape (4, rows, columns), of a part of the picture.

        Args:
            left: The part's left edge, in columns of the picture.
            top: Its upper edge, in rows of the picture.
            across: Columns of the picture a sample.
            down: Rows of the picture a sample.
            width_px: Samples across.
            height_px: Samples down.
        """
        spare_x, spare_y = math.ceil(_MARGIN_PX * max(across, 1)), math.ceil(_MARGIN_PX * max(down, 1))
        first_column, first_row = math.floor(left) - spare_x, math.floor(top) - spare_y
        columns = math.ceil(left + across * width_px) + spare_x - first_column
        rows = math.ceil(top + down * height_px) + spare_y - first_row
        part = _block(self.pixels, first_row, first_column, rows, columns)
        box = (
            left - first_column,
            top - first_row,
            left - first_column + across * width_px,
            top - first_row + down * height_px,
        )
        planes = np.empty((4, height_px, width_px), np.float32)
        least, most = int(part[..., 3].min()), int(part[..., 3].max())
        if most == 0:
            planes[:] = 0
            return planes
        for channel, plane in enumerate(_light_times_opacity(part)):
            if channel == 3 and least == 255:
                planes[3] = 1
                break
            planes[channel] = np.asarray(
                Image.fromarray(plane).resize(
                    (width_px, height_px), Image.Resampling.LANCZOS, box=box, reducing_gap=3.0
                )
            )
        return planes


def lay_artwork(
    setting: ArtworkSetting, pixels: NDArray[np.uint8], *, covered_width_mm: float, covered_height_mm: float
) -> LaidArtwork:
    """Return an artwork at its place on the blank.

    Args:
        setting: How it is fitted, moved and turned.
        pixels: Upright sRGB, shape (rows, columns, 4).
        covered_width_mm: Width of blank plus bleed.
        covered_height_mm: Height of the same.
    """
    width_mm, height_mm = setting.printed_size_mm(covered_width_mm, covered_height_mm)
    quarters = round_half_up(setting.turn_rad / _QUARTER)
    left_rad = setting.turn_rad - quarters * _QUARTER
    if quarters % 2:
        width_mm, height_mm = height_mm, width_mm
    turned = np.rot90(pixels, quarters % 4)
    rest = 0.0 if abs(left_rad) < 1e-9 else left_rad
    return LaidArtwork(turned, width_mm, height_mm, setting.x_mm, setting.y_mm, rest)


def tiles(window: PixelWindow, size_px: int = TILE_PX) -> tuple[PixelBox, ...]:
    """Return the blocks a window is worked through in."""
    return tuple(
        PixelBox(top, left, min(size_px, window.height_px - top), min(size_px, window.width_px - left))
        for top in range(0, window.height_px, size_px)
        for left in range(0, window.width_px, size_px)
    )


def _block(pixels: NDArray[np.uint8], top: int, left: int, rows: int, columns: int) -> NDArray[np.uint8]:
    """Return a block of pixels; beyond the edges the outermost pixels go on."""
    height, width = pixels.shape[:2]
    if top >= 0 and left >= 0 and top + rows <= height and left + columns <= width:
        return pixels[top : top + rows, left : left + columns]
    first_row, last_row = (min(max(row, 0), height - 1) for row in (top, top + rows - 1))
    first_column, last_column = (min(max(column, 0), width - 1) for column in (left, left + columns - 1))
    held = pixels[first_row : last_row + 1, first_column : last_column + 1]
    above, before = min(max(-top, 0), rows - 1), min(max(-left, 0), columns - 1)
    below, after = rows - above - held.shape[0], columns - before - held.shape[1]
    return np.pad(held, ((above, below), (before, after), (0, 0)), mode="edge")


def _light_times_opacity(pixels: NDArray[np.uint8]) -> Iterator[NDArray[np.float32]]:
    """Yield red, green and blue light times opacity, then opacity, each of shape (rows, columns)."""
    opacity = pixels[..., 3].astype(np.float32) / np.float32(255)
    for channel in range(3):
        yield linear_of(pixels[..., channel]) * opacity
    yield opacity


def _straight(planes: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Return codes with opacity from light times opacity.

    The kernel overshoots both alike beside an edge, so light is divided by opacity first and clipped afterwards.
    """
    opacity = np.clip(planes[3], 0, 1)
    codes = np.empty((*opacity.shape, 4), np.uint8)
    whole = np.maximum(planes[3], np.float32(1e-6))
    for channel in range(3):
        codes[..., channel] = codes_of(planes[channel] / whole)
    codes[..., 3] = np.floor(opacity * 255 + np.float32(0.5)).astype(np.uint8)
    return codes
