"""Lettering laid over a ground: which block of pixels it touches, and what they become.

Invariant: only the blocks returned differ from the ground, and no two of them share a pixel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.colour import Colour
from studio.fitting.placement import Placement
from studio.geometry import Contours
from studio.raster.coverage import coverage
from studio.raster.mirror import mirror, mirrored_box
from studio.raster.tone import blend_ink
from studio.raster.window import PixelBox, PixelWindow, inked_box


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """Contours of one colour, in mm, filled non-zero."""

    contours: Contours
    colour: Colour


def inks_of(placement: Placement) -> tuple[Ink, ...]:
    """Return a placement's inks in the order they are laid down: each ring below its letters."""
    inks = []
    for lettering in placement.letterings:
        if lettering.ring is not None and lettering.ring_contours:
            inks.append(Ink(lettering.ring_contours, lettering.ring.colour or lettering.colour))
        inks.append(Ink(lettering.contours, lettering.colour))
    return tuple(inks)


def inked_blocks(
    inks: Sequence[Ink], window: PixelWindow, ground: NDArray[np.uint8], *, ground_is_mirrored: bool = False
) -> Iterator[tuple[PixelBox, NDArray[np.uint8]]]:
    """Yield each block of the ground that inks touch, with its new pixels.

    Args:
        inks: What is laid down, in order.
        window: The pixels of the unmirrored picture.
        ground: The picture's pixels so far, shape (rows, columns, 3 or 4); not changed.
        ground_is_mirrored: Whether `ground` has been flipped; the blocks are then of the flipped picture. The cover is
            always made unmirrored and flipped exactly, so that the result is the flip of the unmirrored one.
    """
    boxes = [inked_box(ink.contours, window) for ink in inks]
    for box in _disjoint(boxes):
        place = mirrored_box(box, window.width_px) if ground_is_mirrored else box
        pixels = ground[place.rows, place.columns].copy()
        part = window.cut(box)
        for ink, inked in zip(inks, boxes, strict=True):
            if not inked.is_empty and inked.meets(box):
                cover = coverage(ink.contours, part)
                blend_ink(pixels, mirror(cover) if ground_is_mirrored else cover, ink.colour)
        yield place, pixels


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
