"""The proof: the sign the right way round, cut to the blank, as it will look once pressed.

Invariant: drawn anew from the placement at its own density, never scaled from the print; no colour is lighter than the
bare surface. Bleed, waste and marks are not on it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.units import MM_PER_INCH, round_half_up
from studio.layout.placement import Placement
from studio.model.blank import Blank
from studio.model.profile import PrinterProfile
from studio.model.sign import Sign
from studio.model.surface import Surface
from studio.render.artwork import lay_artwork
from studio.render.background import cut_share, draw_ground
from studio.render.ink import inked_patches, inks_of
from studio.render.pixel_grid import PixelWindow, centred_window
from studio.render.pixels import press
from studio.render.png.bands import BandedDrawing, BandedPicture, Patch
from studio.render.png.plain_bands import FlatPatch, PlainColour

PROOF_PX: Final = 1200
"""Pixels along the proof's longer side."""


@dataclass(frozen=True, slots=True, eq=False)
class Proof(BandedDrawing):
    """A finished proof; its pixels have an alpha."""

    window: PixelWindow


@dataclass(frozen=True, slots=True, eq=False)
class ProofBase:
    """All of a proof but its lettering.

    Attributes:
        ground: The artwork on white before pressing, as the printer makes it, shape (rows, columns, 3).
        share: How much of each pixel is wood, shape (rows, columns).
        pressed: The artwork pressed and cut, shape (rows, columns, 4).
        profile: The printer's colours.
    """

    blank: Blank
    window: PixelWindow
    surface: Surface
    ground: NDArray[np.uint8] = field(repr=False)
    share: NDArray[np.uint8] = field(repr=False)
    pressed: NDArray[np.uint8] = field(repr=False)
    profile: PrinterProfile | None = field(default=None, kw_only=True)

    def pixels_of(self, placement: Placement | None) -> NDArray[np.uint8]:
        """Return the proof's pixels with a placement's lettering, shape (rows, columns, 4)."""
        pixels = self.pressed.copy()
        for patch in self.patches_of(placement):
            rows, columns = patch.pixels.shape[:2]
            pixels[patch.top_px : patch.top_px + rows, patch.left_px : patch.left_px + columns] = patch.pixels
        return pixels

    def patches_of(self, placement: Placement | None) -> tuple[Patch, ...]:
        """Return the blocks of the proof that a placement's lettering changes."""
        return tuple(patch for patch in self.inked(placement) if isinstance(patch, Patch))

    def inked(self, placement: Placement | None, plain: PlainColour | None = None) -> Iterator[Patch | FlatPatch]:
        """Yield the blocks that a placement's lettering changes; flat ones where the ground is known to be plain."""
        if placement is not None:
            for patch in inked_patches(inks_of(placement, self.profile), self.window, self.ground, plain=plain):
                yield self._pressed(patch)

    def _pressed(self, patch: Patch | FlatPatch) -> Patch | FlatPatch:
        if isinstance(patch, FlatPatch):
            return replace(patch, table=_pressed_table(patch.table.tobytes(), self.surface))
        rows, columns = patch.pixels.shape[:2]
        share = self.share[patch.top_px : patch.top_px + rows, patch.left_px : patch.left_px + columns]
        return Patch(patch.top_px, patch.left_px, pressed_and_cut(patch.pixels, share, self.surface))


@dataclass(frozen=True, slots=True, eq=False)
class ProofPress:
    """A proof's base with its bands compressed, for any number of signs that share the rest."""

    base: ProofBase
    picture: BandedPicture
    plain: PlainColour = field(repr=False)

    def proof_of(self, placement: Placement) -> Proof:
        """Return the proof of a placement."""
        patches = tuple(self.base.inked(placement, self.plain))
        return Proof(self.picture.with_patches(patches), self.picture, patches, self.base.window)


def proof_base_key(sign: Sign) -> Hashable:
    """Return what two signs must share to be proofed from one base."""
    return (sign.blank, sign.artwork, sign.bleed_mm, sign.surface, sign.wood, sign.profile)


def proof_base(sign: Sign, artwork_pixels: NDArray[np.uint8] | None, longer_px: int = PROOF_PX) -> ProofBase:
    """Return the base of a sign's proof.

    Args:
        sign: The sign; its lettering is not looked at.
        artwork_pixels: The artwork upright in sRGB, shape (rows, columns, 4); `None` for a bare sign.
        longer_px: Pixels along the longer side of the blank.
    """
    window = proof_window(sign, longer_px)
    laid = None
    if sign.artwork is not None and artwork_pixels is not None:
        covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
        laid = lay_artwork(sign.artwork, artwork_pixels, covered_width_mm=covered[0], covered_height_mm=covered[1])
    ground = draw_ground(laid, sign.blank, bleed_mm=sign.bleed_mm, window=window, background="white")
    if sign.profile is not None:
        from studio.render.profiled import through_profile  # loaded late: few signs have a profile

        ground = through_profile(ground, sign.profile, "seen")
    share = cut_share(sign.blank, 0.0, window)
    pressed = pressed_and_cut(ground, share, sign.surface)
    return ProofBase(sign.blank, window, sign.surface, ground, share, pressed, profile=sign.profile)


def proof_press(base: ProofBase) -> ProofPress:
    """Return a base with its bands compressed."""
    picture = BandedPicture.encode(base.pressed, dpi=base.window.px_per_mm * MM_PER_INCH)
    return ProofPress(base, picture, PlainColour(base.ground, base.share))


def proof_window(sign: Sign, longer_px: int) -> PixelWindow:
    """Return the proof's pixels: the blank's bounding box, its longer side `longer_px`."""
    blank = sign.blank
    px_per_mm = longer_px / max(blank.width_mm, blank.height_mm)
    width_px, height_px = round_half_up(blank.width_mm * px_per_mm), round_half_up(blank.height_mm * px_per_mm)
    return centred_window(max(width_px, 1), max(height_px, 1), px_per_mm)


@lru_cache(maxsize=16)
def _pressed_table(table: bytes, surface: Surface) -> NDArray[np.uint8]:
    """Return what an ink's table, of shape (256, 3), becomes on whole wood."""
    rows = np.frombuffer(table, np.uint8).reshape(1, 256, 3)
    pressed: NDArray[np.uint8] = pressed_and_cut(rows, np.full((1, 256), 255, np.uint8), surface)[0]
    return pressed


def pressed_and_cut(print_rgb: NDArray[np.uint8], share: NDArray[np.uint8], surface: Surface) -> NDArray[np.uint8]:
    """Return print pixels pressed onto a surface, with the wood's share as alpha, shape (rows, columns, 4)."""
    seen = np.empty((*share.shape, 4), np.uint8)
    press(print_rgb, surface.base_colour.linear, into=seen[..., :3])
    seen[..., 3] = share
    if not share.all():
        seen[share == 0] = 0
    return seen
