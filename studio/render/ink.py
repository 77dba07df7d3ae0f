"""Lettering laid over a ground: which block of pixels it touches, and what they become.

Invariant: only the blocks returned differ from the ground, and no two of them share a pixel. No block reaches
over the border of two packed bands, and each is as narrow as its own ink.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.geometry.shapes import Contours
from studio.layout.placement import Placement
from studio.model.profile import PrinterProfile, Way
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelBox, PixelWindow, inked_box
from studio.render.pixels import blend_ink, mirror, mirrored_box
from studio.render.png.bands import Patch
from studio.render.png.plain_bands import BAND_ROWS, FlatPatch, PlainColour


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """Contours of one colour, in mm, filled non-zero."""

    contours: Contours
    colour: Colour


def inks_of(placement: Placement, profile: PrinterProfile | None = None, way: Way = "seen") -> tuple[Ink, ...]:
    """Return a placement's inks in the order they are laid down: each ring below its letters.

    Args:
        placement: The lettering.
        profile: The printer's colours that they are taken through.
        way: Whether they are as the printer is told them or as they come out.
    """
    inks = []
    for lettering in placement.letterings:
        if lettering.ring is not None and lettering.ring_contours:
            ring = lettering.ring.colour or lettering.colour
            inks.append(Ink(lettering.ring_contours, _through(ring, profile, way)))
        inks.append(Ink(lettering.contours, _through(lettering.colour, profile, way)))
    return tuple(inks)


def _through(colour: Colour, profile: PrinterProfile | None, way: Way) -> Colour:
    if profile is None:
        return colour
    from studio.render.profiled import colour_through  # loaded late: few signs have a profile

    return colour_through(colour, profile, way)


def inked_patches(
    inks: Sequence[Ink],
    window: PixelWindow,
    ground: NDArray[np.uint8],
    *,
    plain: PlainColour | None = None,
    ground_is_mirrored: bool = False,
) -> Iterator[Patch | FlatPatch]:
    """Yield each block of the ground that inks touch, with its new pixels.

    Args:
        inks: What is laid down, in order.
        window: The pixels of the unmirrored picture.
        ground: The picture's pixels so far, shape (rows, columns, 3 or 4); not changed.
        plain: Where the ground, as it is, is of one colour; quicker than without, and the same pixels.
        ground_is_mirrored: Whether `ground` has been flipped; the blocks are then of the flipped picture. The cover is
            always made unmirrored and flipped exactly, so that the result is the flip of the unmirrored one.
    """
    for box, covers in covered_boxes(inks, window):
        for strip in _strips(box, covers):
            place = mirrored_box(strip, window.width_px) if ground_is_mirrored else strip
            cut = [(cover[_within(strip, box)], colour) for cover, colour in covers]
            around = plain.around(place) if plain is not None and len(cut) == 1 else None
            if plain is not None and around is not None:
                cover, colour = cut[0]
                yield FlatPatch(
                    place.top_px, place.left_px, cover, plain.table(colour), around, is_flipped=ground_is_mirrored
                )
                continue
            pixels = ground[place.rows, place.columns].copy()
            for cover, colour in cut:
                blend_ink(pixels, mirror(cover) if ground_is_mirrored else cover, colour)
            yield Patch(place.top_px, place.left_px, pixels)


def covered_boxes(
    inks: Sequence[Ink], window: PixelWindow, *, around_px: int = 0
) -> Iterator[tuple[PixelBox, list[tuple[NDArray[np.uint8], Colour]]]]:
    """Yield blocks that hold all ink, no two of which meet, each with the cover of every ink in it and its colour.

    Args:
        inks: What is laid down, in order.
        window: The pixels of the unmirrored picture.
        around_px: Pixels kept round the ink on each side, as far as the window goes.
    """
    inked = [inked_box(ink.contours, window) for ink in inks]
    boxes = [_widened(box, around_px, window) for box in inked]
    for box in _disjoint(boxes):
        part = window.cut(box)
        yield (
            box,
            [
                (coverage(ink.contours, part), ink.colour)
                for ink, own in zip(inks, boxes, strict=True)
                if not own.is_empty and own.meets(box)
            ],
        )


def _widened(box: PixelBox, around_px: int, window: PixelWindow) -> PixelBox:
    if box.is_empty or not around_px:
        return box
    top, left = max(box.top_px - around_px, 0), max(box.left_px - around_px, 0)
    bottom = min(box.top_px + box.height_px + around_px, window.height_px)
    right = min(box.left_px + box.width_px + around_px, window.width_px)
    return PixelBox(top, left, bottom - top, right - left)


def _strips(box: PixelBox, covers: Sequence[tuple[NDArray[np.uint8], Colour]]) -> Iterator[PixelBox]:
    """Yield a box's strips, one to a packed band, each cut to the columns that its covers ink."""
    top, bottom = box.top_px, box.top_px + box.height_px
    while top < bottom:
        end = min(bottom, (top // BAND_ROWS + 1) * BAND_ROWS)
        inked = np.zeros(box.width_px, np.uint8)
        for cover, _ in covers:
            np.maximum(inked, cover[top - box.top_px : end - box.top_px].max(axis=0), out=inked)
        columns = inked.nonzero()[0]
        if len(columns):
            left, right = int(columns[0]), int(columns[-1]) + 1
            yield PixelBox(top, box.left_px + left, end - top, right - left)
        top = end


def _within(part: PixelBox, box: PixelBox) -> tuple[slice, slice]:
    """Return where a part of a box lies in an array of the box."""
    top, left = part.top_px - box.top_px, part.left_px - box.left_px
    return slice(top, top + part.height_px), slice(left, left + part.width_px)


def _disjoint(boxes: Sequence[PixelBox]) -> list[PixelBox]:
    """Return boxes that hold all the given ones, those that meet joined into one."""
    apart: list[PixelBox] = []
    for box in boxes:
        if box.is_empty:
            continue
        joined, changed = box, True
        while changed:
            changed = False
            for other in apart:
                if joined.meets(other):
                    joined, changed = joined.joined(other), True
                    apart.remove(other)
                    break
        apart.append(joined)
    return apart
