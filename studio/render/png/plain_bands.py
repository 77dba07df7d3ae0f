"""Where a ground is of one plain colour, as open areas mostly are: lettering there is a matter of cover alone.

Invariant: inked by a flat patch, pixels are those that blending its ink over the ground gives, bit for bit; on all rows
of its band the ground beside its ink is plain too, so that a row filter next to it sees the plain colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.render.pixel_grid import PixelBox
from studio.render.pixels import blend_ink, mirror
from studio.render.png.plain_runs import Changes

BAND_ROWS: Final = 64
"""Fewer rows re-encode less of what did not change; more are fewer bands to put together, and pack a little better."""
_SAMPLED_EVERY: Final = 12


@dataclass(slots=True, eq=False)
class PlainColour:
    """The commonest colour of a ground, and where it is. Worked out when it is first asked for.

    Attributes:
        ground: The ground's pixels, shape (rows, columns, 3 or 4).
        share: Where it is less than 255 nothing counts as plain; shape (rows, columns).
        band_rows: Rows of a band; what is plain is known by whole columns of a band.
    """

    ground: NDArray[np.uint8] = field(repr=False)
    share: NDArray[np.uint8] | None = field(default=None, repr=False)
    band_rows: int = BAND_ROWS
    _code: NDArray[np.uint8] | None = None
    _stretches: dict[int, tuple[NDArray[np.intp], NDArray[np.intp]]] = field(default_factory=dict, repr=False)
    _tables: dict[Colour, NDArray[np.uint8]] = field(default_factory=dict, repr=False)

    @property
    def code(self) -> NDArray[np.uint8]:
        """The colour's codes, shape (3 or 4,)."""
        if self._code is None:
            sampled = self.ground[::_SAMPLED_EVERY, ::_SAMPLED_EVERY].reshape(-1, self.ground.shape[2])
            padded = np.zeros((len(sampled), 4), np.uint8)
            padded[:, : sampled.shape[1]] = sampled
            colours, counts = np.unique(padded.view("<u4"), return_counts=True)
            self._code = colours[counts.argmax() :][:1].view(np.uint8)[: sampled.shape[1]].copy()
        return self._code

    def around(self, box: PixelBox) -> tuple[int, int] | None:
        """Return first column and column past the last of the plain stretch that ink in a block stands in.

        The stretch is plain on all rows of the block's band, and goes on for a column at least on either side.

        Args:
            box: The block; it lies within one band.

        Returns:
            `None` where the block holds, or touches, anything else.
        """
        starts, ends = self._stretches_of(box.top_px // self.band_rows)
        found = int(np.searchsorted(starts, box.left_px)) - 1  # the last that starts further left
        if found < 0 or box.left_px + box.width_px >= ends[found]:
            return None
        return int(starts[found]), int(ends[found])

    def _stretches_of(self, band: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return where a band's stretches of plain columns start and end."""
        if band not in self._stretches:
            rows = slice(band * self.band_rows, (band + 1) * self.band_rows)
            pixels = self.ground[rows]
            width, channels = pixels.shape[1:]
            alike = (pixels.reshape(len(pixels), -1) == np.tile(self.code, width)).all(axis=0)
            plain = alike.reshape(width, channels).all(axis=1)
            if self.share is not None:
                plain &= (self.share[rows] == 255).all(axis=0)
            plain[-1:] = False  # what follows a stretch is packed apart, so there is always something
            edges = np.diff(plain.astype(np.int8), prepend=0, append=0)
            self._stretches[band] = np.flatnonzero(edges > 0), np.flatnonzero(edges < 0)
        return self._stretches[band]

    def table(self, colour: Colour) -> NDArray[np.uint8]:
        """Return what the plain colour becomes below each cover of an ink, shape (256, 3 or 4)."""
        if colour not in self._tables:
            pixels = np.tile(self.code, (1, 256, 1))
            blend_ink(pixels, np.arange(256, dtype=np.uint8)[None, :], colour)
            self._tables[colour] = pixels[0]
        return self._tables[colour]


@dataclass(frozen=True, slots=True, eq=False)
class FlatPatch:
    """Ink over plain ground, from a top left corner on.

    Attributes:
        cover: Shape (rows, columns).
        table: What a pixel becomes below each cover, shape (256, channels).
        plain_px: First column and column past the last of the stretch round it that is plain on all rows of its band.
        is_flipped: Whether the cover's columns are still to be put in reverse order; packing does that by the way.
    """

    top_px: int
    left_px: int
    cover: NDArray[np.uint8] = field(repr=False)
    table: NDArray[np.uint8] = field(repr=False)
    plain_px: tuple[int, int]
    is_flipped: bool = False

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.cover.shape[0], self.cover.shape[1]

    def rows(self, start: int, stop: int) -> FlatPatch:
        """Return some of its rows."""
        return replace(self, top_px=self.top_px + start, cover=self.cover[start:stop])

    def lay_on(self, ground: NDArray[np.uint8]) -> None:
        """Ink a block of ground of the patch's shape; where no ink is the ground need not be plain."""
        cover = mirror(self.cover) if self.is_flipped else self.cover
        np.copyto(ground, self.table[cover], where=(cover > 0)[..., None])


def cover_changes(patches: Sequence[FlatPatch], parts: Sequence[PixelBox], channels: int) -> Changes:
    """Return what inks change in filtered rows of plain ground: where their cover is another than a pixel further left.

    Args:
        patches: One to each part, all of them flipped or none; it lies within the part, and leaves its last column
            free.
        parts: The parts of bands that are packed anew, one below the other.
        channels: Bytes of a pixel.
    """
    rows = np.array([patch.shape[0] for patch in patches])
    steps = np.array([patch.shape[1] + 1 for patch in patches])  # each row ends in a pixel without ink
    begins = np.concatenate(([0], np.cumsum(rows * steps)))
    changed, step = (_flipped_steps if patches[0].is_flipped else _steps)(patches, begins)

    heights, widths = (np.array([getattr(part, side) for part in parts]) for side in ("height_px", "width_px"))
    above = np.concatenate(([0], np.cumsum(heights)))
    first = np.array([patch.top_px - part.top_px for patch, part in zip(patches, parts, strict=True)])
    left = np.array([patch.left_px - part.left_px for patch, part in zip(patches, parts, strict=True)])
    places = np.concatenate(([0], np.cumsum(heights * widths)))[:-1] + first * widths + left
    row = np.arange(int(rows.sum())) - np.repeat(np.cumsum(rows) - rows, rows)  # counted in each patch
    starts = np.repeat(begins[:-1], rows) + row * np.repeat(steps, rows)
    inked = np.diff(np.searchsorted(changed, np.append(starts, begins[-1])))
    counts = np.zeros(int(above[-1]), np.int64)
    counts[np.repeat(above[:-1] + first, rows) + row] = inked
    shifts = np.repeat(places, rows) + row * np.repeat(widths, rows) - starts
    at = (changed + np.repeat(shifts, inked)) * channels
    return Changes(at, step, counts, np.repeat(widths * channels, heights))


def _steps(patches: Sequence[FlatPatch], begins: NDArray[np.int64]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return behind which pixels the cover changes, and from what to what, all rows of the patches end to end.

    Each row ends in a pixel without ink; one stands before the first row.

    Args:
        patches: The patches.
        begins: Where each begins, and where the last ends.
    """
    cover = np.zeros(int(begins[-1]) + 1, np.uint8)
    for patch, begin, end in zip(patches, begins[:-1] + 1, begins[1:] + 1, strict=True):
        cover[begin:end].reshape(patch.shape[0], -1)[:, :-1] = patch.cover
    changed = np.flatnonzero(cover[1:] != cover[:-1])
    return changed, cover.take(changed).astype(np.intp) << 8 | cover.take(changed + 1)


def _flipped_steps(
    patches: Sequence[FlatPatch], begins: NDArray[np.int64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the same of patches whose columns are still to be reversed.

    All rows end to end are read backwards: with the last row first, that is each row backwards. So the pixels stay as
    they are, and only the changes are put in reverse order.
    """
    size = int(begins[-1]) + 1
    cover = np.zeros(size, np.uint8)
    for patch, begin, end in zip(patches, size - 1 - begins[1:], size - 1 - begins[:-1], strict=True):
        cover[begin:end].reshape(patch.shape[0], -1)[:, 1:] = patch.cover[::-1]
    found = np.flatnonzero(cover[1:] != cover[:-1])[::-1]
    return size - 2 - found, cover.take(found + 1).astype(np.intp) << 8 | cover.take(found)
