"""Where a ground is of one plain colour, as open areas mostly are: lettering there is a matter of cover alone.

Invariant: inked by a flat patch, pixels are those that blending its ink over the ground gives, bit for bit; all round
its ink the ground is plain too, so that a row filter next to it sees the plain colour.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from studio.colour import Colour
from studio.raster.tone import blend_ink
from studio.raster.window import PixelBox

_SAMPLED_EVERY = 8


@dataclass(slots=True, eq=False)
class PlainColour:
    """The commonest colour of a ground, and where it is. Worked out when it is first asked for.

    Attributes:
        ground: The ground's pixels, shape (rows, columns, 3 or 4).
        share: Where it is less than 255 nothing counts as plain; shape (rows, columns).
    """

    ground: NDArray[np.uint8] = field(repr=False)
    share: NDArray[np.uint8] | None = field(default=None, repr=False)
    _code: NDArray[np.uint8] | None = None
    _busy: NDArray[np.uint8] | None = field(default=None, repr=False)
    _tables: dict[Colour, NDArray[np.uint8]] = field(default_factory=dict, repr=False)

    @property
    def code(self) -> NDArray[np.uint8]:
        """The colour's codes, shape (3 or 4,)."""
        if self._code is None:
            sampled = self.ground[::_SAMPLED_EVERY, ::_SAMPLED_EVERY].reshape(-1, self.ground.shape[2])
            colours, counts = np.unique(sampled, axis=0, return_counts=True)
            self._code = colours[counts.argmax()]
        return self._code

    def is_busy(self, box: PixelBox, cover: NDArray[np.uint8]) -> bool:
        """Return whether ink in a block of the ground stands on, or next to, any other colour.

        Args:
            box: The block.
            cover: The ink there, shape (rows, columns).
        """
        if self._busy is None:
            busy = _unlike(self.ground, self.code)
            self._busy = _spread(busy if self.share is None else np.where(self.share < 255, np.uint8(255), busy))
        return bool(np.bitwise_and(cover, self._busy[box.rows, box.columns]).any())

    def table(self, colour: Colour) -> NDArray[np.uint8]:
        """Return what the plain colour becomes below each cover of an ink, shape (256, 3 or 4)."""
        if colour not in self._tables:
            pixels = np.tile(self.code, (1, 256, 1))
            blend_ink(pixels, np.arange(256, dtype=np.uint8)[None, :], colour)
            self._tables[colour] = pixels[0]
        return self._tables[colour]


@dataclass(slots=True, eq=False)
class GroundMemory:
    """A ground's plain colour, from the second sign on: for one alone it is not worth looking for."""

    ground: NDArray[np.uint8] = field(repr=False)
    share: NDArray[np.uint8] | None = field(default=None, repr=False)
    _asked: bool = False
    _plain: PlainColour | None = None

    def plain_colour(self) -> PlainColour | None:
        """Return the plain colour, `None` the first time."""
        if self._asked and self._plain is None:
            self._plain = PlainColour(self.ground, self.share)
        self._asked = True
        return self._plain


@dataclass(frozen=True, slots=True, eq=False)
class FlatPatch:
    """Ink over plain ground, from a top left corner on.

    Attributes:
        cover: Shape (rows, columns).
        table: What a pixel becomes below each cover, shape (256, channels).
    """

    top_px: int
    left_px: int
    cover: NDArray[np.uint8] = field(repr=False)
    table: NDArray[np.uint8] = field(repr=False)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.cover.shape[0], self.cover.shape[1]

    def rows(self, start: int, stop: int) -> FlatPatch:
        """Return some of its rows."""
        return FlatPatch(self.top_px + start, self.left_px, self.cover[start:stop], self.table)

    def lay_on(self, ground: NDArray[np.uint8]) -> None:
        """Ink a block of ground of the patch's shape; where no ink is the ground need not be plain."""
        np.copyto(ground, self.table[self.cover], where=(self.cover > 0)[..., None])


def refilter_flat(patch: FlatPatch, filtered: NDArray[np.uint8], top_px: int, left_px: int) -> None:
    """Change filtered rows of plain ground into those with a patch's ink: only where the cover changes.

    Args:
        patch: It must lie within the rows, and leave a column free on either side.
        filtered: Rows of a band, the first filtered against its left neighbour, the others against the row above;
            shape (rows, columns, channels), contiguous.
        top_px: The picture's row of the first.
        left_px: The picture's column of the first.
    """
    rows, columns = patch.shape
    cover = np.zeros((rows + 2, columns + 2), np.uint8)
    cover[1:-1, 1:-1] = patch.cover
    first, left = patch.top_px - top_px, patch.left_px - 1 - left_px
    pixel = np.dtype((np.void, filtered.shape[2]))  # pixels moved as one thing each
    whole = filtered.reshape(-1).view(pixel)
    width, wide = filtered.shape[1], columns + 2

    def step(to: NDArray[np.uint8], from_: NDArray[np.uint8]) -> NDArray[np.void]:
        return (patch.table.take(to, axis=0) - patch.table.take(from_, axis=0)).reshape(-1).view(pixel)

    if first == 0:
        line = cover[1]
        changed = np.flatnonzero(line[1:] != line[:-1])
        whole[changed + (left + 1)] = step(line[1:].take(changed), line[:-1].take(changed))
    start, stop = int(first == 0), min(rows + 1, len(filtered) - first)  # rows of `cover` with one below in the band
    above, below = cover[start:stop], cover[start + 1 : stop + 1]
    changed = np.flatnonzero(above != below)
    places = changed // wide
    places *= width - wide
    places += changed
    places += (first + start) * width + left
    whole[places] = step(below.take(changed), above.take(changed))


def _unlike(ground: NDArray[np.uint8], code: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return 255 where a pixel is of another colour, shape (rows, columns)."""
    busy = np.zeros(ground.shape[:2], np.bool_)
    for channel, value in enumerate(code):
        busy |= ground[..., channel] != value
    return np.where(busy, np.uint8(255), np.uint8(0))


def _spread(busy: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Spread a mask by one pixel to all sides."""
    for axis in (0, 1):
        lines = np.moveaxis(busy, axis, 0)
        grown = lines.copy()
        np.maximum(grown[1:], lines[:-1], out=grown[1:])
        np.maximum(grown[:-1], lines[1:], out=grown[:-1])
        busy = np.moveaxis(grown, 0, axis)
    return np.ascontiguousarray(busy)
