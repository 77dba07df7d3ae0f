"""A picture compressed in horizontal bands, so that a changed name costs only the bands it touches.

Invariant: a band's bytes depend on that band's pixels alone. Each pixel is filtered against its left neighbour, which
packs artwork a tenth smaller than the row above does; its deflate run looks back at no other. Each run is inflated
and compared before anyone gets a file's bytes. Costly bands are split where lettering leaves their sides alone (see
`band_sides`); ink on plain ground is packed without its pixels (see `plain_runs`). Same patches, same bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import accumulate, groupby
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.render.pixel_grid import PixelBox
from studio.render.png.band_sides import BandSides, is_costly, joined_sums, middle_of, plain_middle, sides_of, spliced
from studio.render.png.container import ZLIB_HEADER, chunk, file_head, file_tail, text_chunks
from studio.render.png.deflate import (
    adler32,
    adler32_combine,
    adler32_each,
    packed_run,
    packed_runs,
    padded,
    prove_runs,
)
from studio.render.png.plain_bands import BAND_ROWS, FlatPatch, cover_changes
from studio.render.png.plain_runs import packed_rows, steps_of

Pixels = NDArray[np.uint8]
"""Shape (rows, columns, 3 or 4), rows running down."""

_FILTER_LEFT: Final = 1
_TOGETHER_PX: Final = 8_000_000


@dataclass(frozen=True, slots=True)
class Patch:
    """Pixels that take the place of a picture's own, from a top left corner on."""

    top_px: int
    left_px: int
    pixels: Pixels

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.pixels.shape[0], self.pixels.shape[1]

    def rows(self, start: int, stop: int) -> Patch:
        """Return some of its rows."""
        return Patch(self.top_px + start, self.left_px, self.pixels[start:stop])

    def lay_on(self, ground: Pixels) -> None:
        """Cover a block of ground of the patch's shape."""
        ground[:] = self.pixels


@dataclass(frozen=True, slots=True)
class BandSum:
    """Checksum and length of a band's filtered rows."""

    adler: int
    length: int


Unproved: TypeAlias = tuple[bytes, Sequence[tuple[int, int]], int]
"""Runs, their pieces and their sum, as `deflate.prove_runs` takes them."""


@dataclass(frozen=True, slots=True)
class BandedFile:
    """A finished file with what is needed to check it without decoding what did not change.

    Attributes:
        touched: Bands that were encoded for this file; all of them for a picture made whole.
        begun: How many parts at the front it shares with other files, and their SHA-256 to go on from.
    """

    _parts: tuple[bytes, ...] = field(repr=False)
    band_rows: int
    sums: tuple[BandSum, ...]
    touched: tuple[int, ...]
    begun: tuple[int, Any] = field(default_factory=lambda: (0, hashlib.sha256()), repr=False, compare=False)
    _unproved: list[Unproved] = field(default_factory=list, repr=False, compare=False)

    @property
    def parts(self) -> tuple[bytes, ...]:
        """The file's bytes, in pieces that it shares with others; what was packed is proved when they are first wanted.

        Raises:
            VerificationError: Some of it does not inflate to what it was made of.
        """
        while self._unproved:
            prove_runs(*self._unproved[-1])
            self._unproved.pop()
        return self._parts

    @property
    def data(self) -> bytes:
        """All bytes of the file, put together anew each time."""
        return b"".join(self.parts)

    def sha256(self) -> str:
        """Return the SHA-256 of the file."""
        shared, begun = self.begun
        digest = begun.copy()
        for part in self.parts[shared:]:
            digest.update(part)
        return str(digest.hexdigest())


@dataclass(frozen=True, slots=True)
class BandedPicture:
    """A picture with its bands compressed and their chunks ready. Make it with `encode`."""

    pixels: Pixels
    dpi: float
    band_rows: int
    head: bytes = field(repr=False)
    chunks: tuple[bytes, ...] = field(repr=False)
    sums: tuple[BandSum, ...] = field(repr=False)
    _sides: dict[tuple[int, int, int], BandSides] = field(default_factory=dict, repr=False, compare=False)
    """Band number, start and end of the middle -> its sides, once they were wanted."""
    _begun: dict[int, tuple[int, Any]] = field(default_factory=dict, repr=False, compare=False)
    """Band number -> parts before it and their SHA-256, once that was wanted."""

    @classmethod
    def encode(cls, pixels: Pixels, *, dpi: float, band_rows: int = BAND_ROWS) -> BandedPicture:
        """Compress a picture of shape (rows, columns, 3 or 4).

        Raises:
            ValueError: The array is empty or not of that shape and of bytes.
        """
        if pixels.ndim != 3 or pixels.shape[2] not in (3, 4) or not pixels.size or pixels.dtype != np.uint8:
            raise ValueError(f"not a picture of bytes with 3 or 4 channels: {pixels.shape} {pixels.dtype}")
        height_px, width_px, channels = pixels.shape
        whole = np.ascontiguousarray(pixels)
        chunks, sums = [], []
        for index, top in enumerate(range(0, height_px, band_rows)):
            ready, total = _band_chunk(_filtered(whole[top : top + band_rows]), index)
            chunks.append(ready)
            sums.append(total)
        whole.flags.writeable = False
        return cls(whole, dpi, band_rows, file_head(width_px, height_px, channels, dpi), tuple(chunks), tuple(sums))

    def whole(self, notes: Mapping[str, str] | None = None) -> BandedFile:
        """Return the file of the picture as it is."""
        return self._assembled({}, notes, tuple(range(len(self.chunks))))

    def with_changed(self, bands: Mapping[int, Pixels], notes: Mapping[str, str] | None = None) -> BandedFile:
        """Return the file with some bands replaced.

        Args:
            bands: Band number, from 0 at the top -> all its pixels, shape (rows of the band, columns, channels).
            notes: Text to carry, keyword -> text.
        """
        changed = {}
        for index, pixels in sorted(bands.items()):
            if pixels.shape != self._band(index).shape:
                raise ValueError(f"band {index} has shape {self._band(index).shape}, not {pixels.shape}")
            changed[index] = _band_chunk(_filtered(pixels), index)
        return self._assembled(changed, notes, tuple(changed))

    def with_patches(self, patches: Sequence[Patch | FlatPatch], notes: Mapping[str, str] | None = None) -> BandedFile:
        """Return the file with patches laid over the picture; later ones cover earlier ones.

        Only the rows of the bands they touch are filtered and compressed anew.
        """
        changed: dict[int, tuple[bytes, BandSum]] = {}
        by_band = self._by_band(patches)
        flat = {index: only for index, laid in by_band.items() if (only := _only_flat(laid)) is not None}
        unproved: list[Unproved] = []
        changed.update(self._inked(flat, unproved))
        rest = [index for index in by_band if index not in flat]
        for middle, indexes in groupby(rest, lambda index: self._middle(index, by_band[index])):
            if middle is not None:
                changed.update(self._spliced(tuple(indexes), by_band, *middle))
                continue
            for index in indexes:
                filtered = _filtered(self._band(index))
                self._refilter(index, by_band[index], filtered)
                changed[index] = _band_chunk(filtered, index)
        return self._assembled(changed, notes, tuple(sorted(changed)), unproved)

    def touched_by(self, patches: Sequence[Patch | FlatPatch]) -> tuple[int, ...]:
        """Return the numbers of the bands that the patches reach into."""
        return tuple(self._by_band(patches))

    def _by_band(self, patches: Sequence[Patch | FlatPatch]) -> dict[int, list[Patch | FlatPatch]]:
        """Return the patches that reach into each band, by band from the top."""
        found: dict[int, list[Patch | FlatPatch]] = {}
        for patch in patches:
            rows, columns = patch.shape
            if rows and columns:
                for index in range(patch.top_px // self.band_rows, (patch.top_px + rows - 1) // self.band_rows + 1):
                    found.setdefault(index, []).append(patch)
        return dict(sorted(found.items()))

    def patched(self, patches: Sequence[Patch | FlatPatch]) -> Pixels:
        """Return the whole picture's pixels with patches laid over it."""
        return np.concatenate(list(self.patched_bands(patches)))

    def patched_bands(self, patches: Sequence[Patch | FlatPatch]) -> Iterator[Pixels]:
        """Yield the picture's bands from the top, patches laid over them."""
        by_band = self._by_band(patches)
        for index in range(len(self.chunks)):
            band = self._band(index)
            if index in by_band:
                band = band.copy()
                _lay(by_band[index], band, index * self.band_rows, 0)
            yield band

    def _band(self, index: int) -> Pixels:
        return self.pixels[index * self.band_rows : (index + 1) * self.band_rows]

    def _middle(self, index: int, patches: Sequence[Patch | FlatPatch]) -> tuple[int, int] | None:
        """Return the columns to pack anew in a band that is worth splitting."""
        if not is_costly(len(self.chunks[index]), self.sums[index].length):
            return None
        left = min(patch.left_px for patch in patches)
        right = max(patch.left_px + patch.shape[1] for patch in patches)
        return middle_of(self.pixels.shape[1], left, right)

    def _spliced(
        self, indexes: Sequence[int], patches: Mapping[int, Sequence[Patch | FlatPatch]], start: int, stop: int
    ) -> Iterator[tuple[int, tuple[bytes, BandSum]]]:
        """Yield bands, with their numbers, of which only the columns from `start` to before `stop` are packed anew."""
        channels = self.pixels.shape[2]
        heights = [len(self._band(index)) for index in indexes]
        middles = padded(sum(heights), (stop - start) * channels)
        ends = list(accumulate(heights))
        for index, height, end in zip(indexes, heights, ends, strict=True):
            window = self._band(index)[:, start - 1 : stop].copy()
            _lay(patches[index], window, index * self.band_rows, start - 1)
            _filter_middle(window.reshape(height, -1), middles[end - height : end], channels)
        runs = packed_runs(middles.reshape(-1), range(middles.shape[1], middles.size + 1, middles.shape[1]))
        yield from self._joined({index: (start, stop) for index in indexes}, runs, adler32_each(middles))

    def _inked(
        self, flat: Mapping[int, FlatPatch], unproved: list[Unproved]
    ) -> Iterator[tuple[int, tuple[bytes, BandSum]]]:
        """Yield bands, with their numbers, in which one ink stands on plain ground; add what is yet to be proved."""
        channels = self.pixels.shape[2]
        for indexes in _alike(flat):
            middles = {index: plain_middle(self.pixels.shape[1], flat[index]) for index in indexes}
            parts = [
                PixelBox(index * self.band_rows, start, len(self._band(index)), stop - start)
                for index, (start, stop) in middles.items()
            ]
            changes = cover_changes([flat[index] for index in indexes], parts, channels)
            packed = packed_rows(changes, steps_of(flat[indexes[0]].table))
            unproved.append((packed.data, tuple(packed.pieces(changes.lengths)), packed.adler))
            runs = list(map(packed.data.__getitem__, map(slice, (0, *packed.ends), packed.ends)))
            yield from self._joined(middles, runs, packed.adlers)

    def _joined(
        self, middles: Mapping[int, tuple[int, int]], runs: Sequence[bytes], adlers: NDArray[np.int64] | Sequence[int]
    ) -> Iterator[tuple[int, tuple[bytes, BandSum]]]:
        """Yield bands with new middles, each row of them a run with its sum."""
        bands = [self._sides_of(index, *middle) for index, middle in middles.items()]
        at = 0
        for index, sides, adler in zip(middles, bands, joined_sums(bands, adlers), strict=True):
            run = spliced(sides, runs[at : at + len(self._band(index))])
            at += len(self._band(index))
            yield index, (_idat(run, index), BandSum(adler, self.sums[index].length))

    def _sides_of(self, index: int, start: int, stop: int) -> BandSides:
        """Return a band's sides, packed when they are first wanted."""
        if (index, start, stop) not in self._sides:
            channels, filtered = self.pixels.shape[2], _filtered(self._band(index))
            self._sides[index, start, stop] = sides_of(filtered, 1 + start * channels, 1 + stop * channels)
        return self._sides[index, start, stop]

    def _refilter(self, index: int, patches: Sequence[Patch | FlatPatch], filtered: Pixels) -> None:
        """Filter anew the columns that patches cover, and one more to the right, whose left neighbour changed."""
        channels = self.pixels.shape[2]
        left = min(patch.left_px for patch in patches)
        right = max(patch.left_px + patch.shape[1] for patch in patches)
        start, stop = max(0, left - 1), min(self.pixels.shape[1], right + 1)
        window = self._band(index)[:, start:stop].copy()
        _lay(patches, window, index * self.band_rows, start)
        lines = window.reshape(len(window), -1)
        first = 1 + start * channels
        known = channels if start else 0  # the column before the patch keeps the value it had
        target = filtered[:, first + known : first + lines.shape[1]]
        if not known:
            target[:, :channels] = lines[:, :channels]
        np.subtract(lines[:, channels:], lines[:, :-channels], out=target[:, channels - known :])

    def _assembled(
        self,
        changed: Mapping[int, tuple[bytes, BandSum]],
        notes: Mapping[str, str] | None,
        touched: tuple[int, ...],
        unproved: list[Unproved] | None = None,
    ) -> BandedFile:
        chunks = list(self.chunks)
        sums = list(self.sums)
        for index, (ready, total) in changed.items():
            chunks[index], sums[index] = ready, total
        parts = (self.head, text_chunks(notes or {}), *chunks, file_tail(joined_adler(sums)))
        begun = (0, hashlib.sha256()) if notes else self._begun_at(touched[0] if touched else len(chunks))
        return BandedFile(parts, self.band_rows, tuple(sums), touched, begun, unproved or [])

    def _begun_at(self, index: int) -> tuple[int, Any]:
        """Return how many parts stand before a band where there are no notes, and their SHA-256."""
        if index not in self._begun:
            before = (self.head, b"", *self.chunks[:index])
            self._begun[index] = (len(before), hashlib.sha256(b"".join(before)))
        return self._begun[index]


@dataclass(frozen=True, slots=True, eq=False)
class BandedDrawing:
    """A picture with patches laid over it, as a finished file; what is particular to prints or proofs is added."""

    file: BandedFile
    picture: BandedPicture = field(repr=False)
    patches: tuple[Patch | FlatPatch, ...] = field(repr=False)

    @property
    def png(self) -> bytes:
        """The file."""
        return self.file.data

    def pixels(self) -> Pixels:
        """Return the pixels as they stand in the file, shape (rows, columns, 3 or 4)."""
        return self.picture.patched(self.patches)


def _only_flat(patches: Sequence[Patch | FlatPatch]) -> FlatPatch | None:
    """Return the one patch of a band where it is a flat one."""
    return patches[0] if len(patches) == 1 and isinstance(patches[0], FlatPatch) else None


def _alike(flat: Mapping[int, FlatPatch]) -> Iterator[list[int]]:
    """Yield the numbers of bands to pack together: of one ink laid alike, and no more than memory is at hand for."""
    group: list[int] = []
    area_px = 0
    for index, patch in flat.items():
        rows, columns = patch.shape
        if group and (area_px + rows * columns > _TOGETHER_PX or not _is_same_ink(patch, flat[group[0]])):
            yield group
            group, area_px = [], 0
        group.append(index)
        area_px += rows * columns
    if group:
        yield group


def _is_same_ink(one: FlatPatch, other: FlatPatch) -> bool:
    if one.is_flipped != other.is_flipped:
        return False
    return one.table is other.table or np.array_equal(one.table, other.table)


def _lay(patches: Sequence[Patch | FlatPatch], window: Pixels, top_px: int, left_px: int) -> None:
    """Lay patches over a window of the picture whose upper left corner is given, as far as they reach into it."""
    for patch in patches:
        above, column = max(0, top_px - patch.top_px), patch.left_px - left_px
        rows, columns = min(patch.shape[0], top_px + len(window) - patch.top_px) - above, patch.shape[1]
        if rows > 0:
            row = patch.top_px + above - top_px
            patch.rows(above, above + rows).lay_on(window[row : row + rows, column : column + columns])


def _filter_middle(lines: Pixels, middle: Pixels, channels: int) -> None:
    """Filter a band's rows, shape (rows, bytes) and beginning one pixel further left, into its middles."""
    np.subtract(lines[:, channels:], lines[:, :-channels], out=middle)


def joined_adler(sums: Sequence[BandSum]) -> int:
    """Return the Adler-32 of all bands one after the other."""
    return reduce(lambda adler, band: adler32_combine(adler, band.adler, band.length), sums, 1)


def _filtered(band: Pixels) -> Pixels:
    """Return a band's rows with their filter bytes, shape (rows, 1 + columns x channels)."""
    channels = band.shape[2]
    lines = band.reshape(len(band), -1)
    rows = padded(len(band), 1 + lines.shape[1])
    rows[:, 0] = _FILTER_LEFT
    rows[:, 1 : 1 + channels] = lines[:, :channels]
    np.subtract(lines[:, channels:], lines[:, :-channels], out=rows[:, 1 + channels :])
    return rows


def _band_chunk(filtered: Pixels, index: int) -> tuple[bytes, BandSum]:
    return _idat(packed_run(filtered), index), BandSum(adler32(filtered), filtered.size)


def _idat(run: bytes, index: int) -> bytes:
    return chunk(b"IDAT", (ZLIB_HEADER if index == 0 else b"") + run)
