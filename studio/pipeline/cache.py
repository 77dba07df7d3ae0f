"""What signs share, worked out once for the assets they come from: open areas, prints and proofs without lettering."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeVar
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.layout.open_area import OpenArea, open_area
from studio.model.sign import FaceChoice, Sign
from studio.pipeline.types import Assets
from studio.render.ascii_art import ThumbnailBase, thumbnail_base
from studio.render.canvas import canvas_of
from studio.render.print import PrintBase, print_base, print_base_key
from studio.render.printer_marks import Waste, marks_without_room
from studio.render.proof import ProofBase, ProofPress, proof_base, proof_base_key, proof_press
from studio.render.wood_proof import in_wood
from studio.text.shaping import ShapedLine, shape_line

_AREAS_KEPT: Final = 16
_BASES_KEPT: Final = 3
"""Prints without lettering kept at least; more while they are small."""
_PROOFS_KEPT: Final = 6
_PREVIEWS_KEPT: Final = 12
_LINES_KEPT: Final = 64
_PRINT_BYTES_KEPT: Final = 100_000_000
_MARKS_FACE: Final = FaceChoice("Nunito", 700)
"""Sets the small type in the waste."""
Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


@dataclass(slots=True, eq=False)
class RenderCache:
    """What signs share, worked out once for their assets: open areas, prints and proofs without lettering."""

    areas: dict[Hashable, OpenArea] = field(default_factory=dict)
    prints: dict[Hashable, PrintBase] = field(default_factory=dict)
    proofs: dict[Hashable, ProofBase] = field(default_factory=dict)
    presses: dict[Hashable, ProofPress] = field(default_factory=dict)
    thumbnails: dict[Hashable, ThumbnailBase] = field(default_factory=dict)
    marks: dict[str, ShapedLine] = field(default_factory=dict)


_CACHES: WeakKeyDictionary[Any, RenderCache] = WeakKeyDictionary()


def render_cache_of(assets: Assets) -> RenderCache:
    """Return what has been worked out for assets so far."""
    return _CACHES.setdefault(assets, RenderCache())


def forget(assets: Assets) -> None:
    """Let go of what has been worked out for assets, since what it came from has changed."""
    _CACHES.pop(assets, None)


def area_key(sign: Sign) -> Hashable:
    """Return what two signs must share to have one open area."""
    return (sign.blank, sign.safe_margin_mm, sign.artwork, sign.bleed_mm if sign.artwork else 0.0)


def area_for(sign: Sign, assets: Assets) -> OpenArea:
    """Return the open area of a sign before any text stands."""

    def area() -> OpenArea:
        alpha = None if sign.artwork is None else assets.pixels(sign.artwork.artwork)[..., 3]
        return open_area(sign.blank, sign.safe_margin_mm, setting=sign.artwork, alpha=alpha, bleed_mm=sign.bleed_mm)

    return _kept(render_cache_of(assets).areas, area_key(sign), area, _AREAS_KEPT)


def print_base_for(sign: Sign, assets: Assets) -> PrintBase:
    """Return all of a sign's print but its lettering."""

    def base() -> PrintBase:
        return print_base(sign, _pixels(sign, assets), lambda text: _small_type(text, assets).contours_em)

    return _kept(render_cache_of(assets).prints, print_base_key(sign), base, _prints_kept)


def proof_base_for(sign: Sign, assets: Assets, longer_px: int) -> ProofBase:
    """Return all of a sign's proof but its lettering, `longer_px` on the longer side, for previews and checks.

    Artwork much finer than that is averaged down first: quicker, and a tone or two off the proof at full size.
    """

    def base() -> ProofBase:
        if sign.wood is not None:
            return in_wood(proof_base_for(replace(sign, wood=None), assets, longer_px), sign.wood)
        return proof_base(sign, _coarser(_pixels(sign, assets), longer_px), longer_px)

    return _kept(render_cache_of(assets).proofs, (proof_base_key(sign), longer_px), base, _PREVIEWS_KEPT)


def has_proof_press(sign: Sign, assets: Assets) -> bool:
    """Return whether a sign's proof at full size, without lettering, is at hand."""
    return proof_base_key(sign) in render_cache_of(assets).presses


def proof_press_for(sign: Sign, assets: Assets) -> ProofPress:
    """Return a sign's proof at full size, ready for its lettering."""

    def press() -> ProofPress:
        base = proof_base(sign, _pixels(sign, assets))
        return proof_press(base if sign.wood is None else in_wood(base, sign.wood))

    return _kept(render_cache_of(assets).presses, proof_base_key(sign), press, _PROOFS_KEPT)


def thumbnail_for(sign: Sign, assets: Assets, columns: int = 60) -> ThumbnailBase:
    """Return all of a sign's thumbnail but its lettering, `columns` wide; always of the plain proof, without grain."""
    plain = replace(sign, wood=None)

    def thumbnail() -> ThumbnailBase:
        is_plain = sign.wood is None
        base = proof_press_for(sign, assets).base if is_plain else proof_base(plain, _pixels(plain, assets))
        return thumbnail_base(base, columns)

    return _kept(render_cache_of(assets).thumbnails, (proof_base_key(plain), columns), thumbnail, _AREAS_KEPT)


def marks_without_room_for(sign: Sign, assets: Assets) -> tuple[str, ...]:
    """The names of the marks that find no room in a sign's waste."""
    return marks_without_room(Waste(canvas_of(sign), sign.blank), lambda text: _small_type(text, assets).contours_em)


def _pixels(sign: Sign, assets: Assets) -> NDArray[np.uint8] | None:
    return None if sign.artwork is None else assets.pixels(sign.artwork.artwork)


def _coarser(pixels: NDArray[np.uint8] | None, longer_px: int) -> NDArray[np.uint8] | None:
    """Return a picture averaged down by whole steps to no less than twice the pixels wanted."""
    if pixels is None:
        return None
    step = max(pixels.shape[:2]) // (2 * longer_px)
    if step < 2:
        return pixels
    averaged = Image.fromarray(pixels, "RGBA").convert("RGBa").reduce(step).convert("RGBA")
    return np.asarray(averaged)


def _small_type(text: str, assets: Assets) -> ShapedLine:
    """Return a line of the small type in the waste."""
    return _kept(render_cache_of(assets).marks, text, lambda: shape_line(text, assets.face(_MARKS_FACE)), _LINES_KEPT)


def _prints_kept(base: PrintBase) -> int:
    """Return how many prints as large as this one are kept."""
    return min(max(_BASES_KEPT, _PRINT_BYTES_KEPT // base.picture.pixels.nbytes), _PREVIEWS_KEPT)


def _kept(kept: dict[Key, Value], key: Key, work_out: Callable[[], Value], most: int | Callable[[Value], int]) -> Value:
    """Return a value, worked out where it is not kept; the oldest ones are let go."""
    value = kept.get(key)
    if value is None:
        value = work_out()
        room = most if isinstance(most, int) else most(value)
        while len(kept) >= room:
            kept.pop(next(iter(kept)))
        kept[key] = value
    return value
