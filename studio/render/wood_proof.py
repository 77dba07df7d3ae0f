"""The proof in the wood: grain below, the dye spread as the surface spreads it, no darker than its solid, no white ink.

Invariant: no channel is lighter than the same pixel's bare wood. Without grain, without spread and with a solid as dark
as black it is the plain proof, to a code. A further sign on a base costs what its lettering and its spread touch, no
more: dye amounts add, so the ground is spread once and lettering by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.layout.placement import Placement
from studio.model.sign import ProofWood
from studio.model.surface import Surface
from studio.model.woods import WOODS
from studio.render.ink import covered_boxes, inks_of
from studio.render.pixel_grid import PixelBox
from studio.render.pixels import blend_ink
from studio.render.png.bands import Patch
from studio.render.png.plain_bands import BAND_ROWS, FlatPatch, PlainColour
from studio.render.proof import ProofBase
from studio.render.wood.densities import (
    COVER_STEPS,
    Dye,
    amounts_by_code,
    amounts_of_colour,
    codes_of_density,
    inked_densities,
    seen_codes,
    stepped,
    tone_densities,
)
from studio.render.wood.figure import Board, Sight, figure
from studio.render.wood.spreading import Spread, spread_dye

_SHARP_PX: Final = 0.3
"""A spread of less is not to be seen between pixels: edges are then left as the print has them."""


@dataclass(frozen=True, slots=True, eq=False)
class WoodProofBase(ProofBase):
    """All of a proof in the wood but its lettering.

    Attributes:
        bare_light: The bare ground's mean colour in linear light.
        dye: What dye does on the surface.
        spread: How far it spreads, in pixels; `None` for no further than to be seen.
        amounts: The artwork's dye once it has spread, in steps, shape (3, rows, columns).
        tones: The figure as densities, shape (3, rows, columns); `None` for a plain ground.
    """

    bare_light: tuple[float, float, float]
    dye: Dye
    spread: Spread | None
    amounts: NDArray[np.int16] = field(repr=False)
    tones: NDArray[np.int16] | None = field(repr=False)

    def inked(self, placement: Placement | None, plain: PlainColour | None = None) -> Iterator[Patch | FlatPatch]:
        """Yield the blocks that a placement's lettering changes, cut to packed bands; `plain` is of no use here."""
        if placement is None:
            return
        around_px = 0 if self.spread is None else self.spread.reach_px
        for box, covers in covered_boxes(inks_of(placement, self.profile), self.window, around_px=around_px):
            for strip, around in _strips(box, covers, around_px):
                cut = [(cover[_within(around, box)], colour) for cover, colour in covers]
                pixels = self._on_plain_ground(strip, around, cut)
                if pixels is None:
                    amounts = self._printed(around, cut) if self.spread is None else self._spread(around, cut)
                    pixels = self._seen(strip, amounts[(slice(None), *_within(strip, around))])
                yield Patch(strip.top_px, strip.left_px, pixels)

    def _on_plain_ground(
        self, strip: PixelBox, around: PixelBox, covers: list[tuple[NDArray[np.uint8], Colour]]
    ) -> NDArray[np.uint8] | None:
        """Return a strip as it is seen where one ink lies on ground of one colour, which is quicker; else `None`.

        Args:
            strip: The pixels wanted.
            around: Those with all from where dye gets there.
            covers: The cover of every ink there, over `around`, with its colour.
        """
        under = self.ground[around.rows, around.columns]
        settled = self.amounts[:, strip.rows, strip.columns]
        first = settled[:, :1, :1]
        if self.spread is None or len(covers) != 1 or (under != under[0, 0]).any() or (settled != first).any():
            return None
        cover, colour = covers[0]
        blurred = spread_dye(cover.astype(np.float32), self.spread)[_within(strip, around)]
        steps = (blurred * np.float32(COVER_STEPS / 255) + np.float32(0.5)).astype(np.intp)
        share = self.share[strip.rows, strip.columns]
        seen = np.empty((*share.shape, 4), np.uint8)
        inks, there = amounts_of_colour(colour, self.dye), amounts_by_code(self.dye)[under[0, 0]]
        for channel, (ink, printed) in enumerate(zip(inks, there.tolist(), strict=True)):
            density = inked_densities(ink, printed, int(first[channel, 0, 0]), self.dye).take(steps)
            if self.tones is not None:
                density += self.tones[channel, strip.rows, strip.columns]
            seen[..., channel] = codes_of_density(self.bare_light[channel]).take(density, mode="clip")
        return _cut(seen, share)

    def _printed(self, box: PixelBox, covers: list[tuple[NDArray[np.uint8], Colour]]) -> NDArray[np.int16]:
        """Return a block's dye as printed, edges mixed in light as the print has them, shape (3, rows, columns)."""
        pixels = self.ground[box.rows, box.columns].copy()
        for cover, colour in covers:
            blend_ink(pixels, cover, colour)
        return stepped(_amounts_of(pixels, self.dye))

    def _spread(self, box: PixelBox, covers: list[tuple[NDArray[np.uint8], Colour]]) -> NDArray[np.int16]:
        """Return a block's dye with the lettering's spread by itself and added, shape (3, rows, columns)."""
        assert self.spread is not None
        under = self.ground[box.rows, box.columns]
        printed = _amounts_of(under, self.dye)
        change = printed.copy()
        for cover, colour in covers:
            share = cover.astype(np.float32) * np.float32(1 / 255)
            for channel, amount in zip(change, amounts_of_colour(colour, self.dye), strict=True):
                channel += share * (np.float32(amount) - channel)
        return self.amounts[:, box.rows, box.columns] + stepped(spread_dye(change - printed, self.spread))

    def _seen(self, box: PixelBox, amounts: NDArray[np.int16]) -> NDArray[np.uint8]:
        """Return a block as it is seen, cut to the wood, shape (rows, columns, 4)."""
        tones = None if self.tones is None else self.tones[:, box.rows, box.columns]
        share = self.share[box.rows, box.columns]
        return _pressed(amounts, tones, share, self.bare_light, self.dye)


def in_wood(base: ProofBase, wood: ProofWood) -> WoodProofBase:
    """Return a plain proof's base as it is seen in the wood.

    Args:
        base: The plain proof without lettering.
        wood: The wood; where the surface hides the wood its own ground shows.
    """
    surface, window = base.surface, base.window
    dye = Dye(surface.solid_density, surface.mixing or "dye")
    spread = Spread(
        surface.spread_along_mm * window.px_per_mm, surface.spread_across_mm * window.px_per_mm, wood.grain_rad
    )
    amounts = _amounts_of(base.ground, dye)
    seen_spread = spread if max(spread.along_px, spread.across_px) >= _SHARP_PX else None
    if seen_spread is not None:
        amounts = spread_dye(amounts, seen_spread)
    settled = stepped(amounts)
    tones = None
    if wood.is_seen_on(surface):
        board = Board(base.blank.width_mm, base.blank.height_mm, wood.grain_rad)
        sight = Sight(window.px_per_mm, window.left_mm, window.top_mm, window.width_px, window.height_px)
        tones = tone_densities(figure(WOODS[wood.name], board, sight))
    bare_light = bare_light_of(surface, wood)
    return WoodProofBase(
        blank=base.blank,
        window=window,
        surface=surface,
        ground=base.ground,
        share=base.share,
        pressed=_pressed(settled, tones, base.share, bare_light, dye),
        bare_light=bare_light,
        dye=dye,
        spread=seen_spread,
        amounts=settled,
        tones=tones,
        profile=base.profile,
    )


def bare_light_of(surface: Surface, wood: ProofWood) -> tuple[float, float, float]:
    """Return the mean colour of the bare ground in linear light.

    That is the surface's own. Where the surface says which wood that colour was seen on, another wood changes it by
    what the two woods differ.
    """
    own = surface.base_colour.linear
    if not wood.is_seen_on(surface) or surface.wood not in WOODS or surface.wood == wood.name:
        return own
    asked, seen_on = WOODS[wood.name].colour.linear, WOODS[surface.wood].colour.linear
    red, green, blue = (min(light * new / old, 1.0) for light, new, old in zip(own, asked, seen_on, strict=True))
    return red, green, blue


def _amounts_of(pixels: NDArray[np.uint8], dye: Dye) -> NDArray[np.float32]:
    """Return the dye amounts of print codes, shape (3, rows, columns)."""
    table = amounts_by_code(dye)
    return np.stack([table.take(pixels[..., channel]) for channel in range(3)])


def _pressed(
    amounts: NDArray[np.int16],
    tones: NDArray[np.int16] | None,
    share: NDArray[np.uint8],
    bare_light: tuple[float, float, float],
    dye: Dye,
) -> NDArray[np.uint8]:
    """Return dye in wood as it is seen, with the wood's share as alpha, shape (rows, columns, 4)."""
    seen = np.empty((*share.shape, 4), np.uint8)
    for channel in range(3):
        tone = None if tones is None else tones[channel]
        seen[..., channel] = seen_codes(amounts[channel], tone, bare_light[channel], dye)
    return _cut(seen, share)


def _cut(seen: NDArray[np.uint8], share: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels with the wood's share as alpha, in place; nothing is left where there is no wood."""
    seen[..., 3] = share
    if not share.all():
        seen[share == 0] = 0
    return seen


def _strips(
    box: PixelBox, covers: list[tuple[NDArray[np.uint8], Colour]], around_px: int
) -> Iterator[tuple[PixelBox, PixelBox]]:
    """Yield a box's strips that dye reaches, one to a packed band, each with all from where it gets there.

    Args:
        box: The box, wide enough for the dye to stay in it.
        covers: The cover of every ink over the box, with its colour.
        around_px: How far dye gets.
    """
    top, bottom, right = box.top_px, box.top_px + box.height_px, box.left_px + box.width_px
    while top < bottom:
        end = min(bottom, (top // BAND_ROWS + 1) * BAND_ROWS)
        high, low = max(top - around_px, box.top_px), min(end + around_px, bottom)
        inked = np.zeros(box.width_px, np.bool_)
        for cover, _ in covers:
            inked |= cover[high - box.top_px : low - box.top_px].any(axis=0)
        columns = np.flatnonzero(inked) + box.left_px
        if len(columns):
            first, last = max(int(columns[0]) - around_px, box.left_px), min(int(columns[-1]) + 1 + around_px, right)
            yield PixelBox(top, first, end - top, last - first), PixelBox(high, first, low - high, last - first)
        top = end


def _within(part: PixelBox, box: PixelBox) -> tuple[slice, slice]:
    """Return where a part of a box lies in an array of the box."""
    top, left = part.top_px - box.top_px, part.left_px - box.left_px
    return slice(top, top + part.height_px), slice(left, left + part.width_px)
