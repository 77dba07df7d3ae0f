"""What signs share, worked out once for the assets they come from: open areas, prints and proofs without lettering."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from typing import Any, Final
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
_PRINT_BYTES_KEPT: Final = 100_000_000
_MARKS_FACE: Final = FaceChoice("Nunito", 700)
"""Sets the small type in the waste."""


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
    render_cache, key = render_cache_of(assets), area_key(sign)
    if key not in render_cache.areas:
        alpha = None
        if sign.artwork is not None:
            alpha = assets.pixels(sign.artwork.artwork)[..., 3]
        area = open_area(sign.blank, sign.safe_margin_mm, setting=sign.artwork, alpha=alpha, bleed_mm=sign.bleed_mm)
        _keep(render_cache.areas, key, area, _AREAS_KEPT)
    return render_cache.areas[key]


def has_bases(sign: Sign, assets: Assets) -> bool:
    """Return whether a sign's print and proof without lettering are at hand."""
    render_cache = render_cache_of(assets)
    return print_base_key(sign) in render_cache.prints and proof_base_key(sign) in render_cache.presses


def print_base_for(sign: Sign, assets: Assets) -> PrintBase:
    """Return all of a sign's print but its lettering."""
    render_cache, key = render_cache_of(assets), print_base_key(sign)
    if key not in render_cache.prints:
        base = print_base(sign, _pixels(sign, assets), lambda text: _small_type(text, assets).contours_em)
        fitting = _PRINT_BYTES_KEPT // base.picture.pixels.nbytes
        _keep(render_cache.prints, key, base, min(max(_BASES_KEPT, fitting), _PREVIEWS_KEPT))
    return render_cache.prints[key]


def proof_base_for(sign: Sign, assets: Assets, longer_px: int) -> ProofBase:
    """Return all of a sign's proof but its lettering, `longer_px` on the longer side, for previews and checks.

    Artwork much finer than that is averaged down first: quicker, and a tone or two off the proof at full size.
    """
    render_cache, key = render_cache_of(assets), (proof_base_key(sign), longer_px)
    if key not in render_cache.proofs:
        if sign.wood is not None:
            base: ProofBase = in_wood(proof_base_for(replace(sign, wood=None), assets, longer_px), sign.wood)
        else:
            base = proof_base(sign, _coarser(_pixels(sign, assets), longer_px), longer_px)
        _keep(render_cache.proofs, key, base, _PREVIEWS_KEPT)
    return render_cache.proofs[key]


def proof_press_for(sign: Sign, assets: Assets) -> ProofPress:
    """Return a sign's proof at full size, ready for its lettering."""
    render_cache, key = render_cache_of(assets), proof_base_key(sign)
    if key not in render_cache.presses:
        base = proof_base(sign, _pixels(sign, assets))
        if sign.wood is not None:
            base = in_wood(base, sign.wood)
        _keep(render_cache.presses, key, proof_press(base), _PROOFS_KEPT)
    return render_cache.presses[key]


def thumbnail_for(sign: Sign, assets: Assets, columns: int = 60) -> ThumbnailBase:
    """Return all of a sign's thumbnail but its lettering, `columns` wide; always of the plain proof, without grain."""
    plain = replace(sign, wood=None)
    render_cache, key = render_cache_of(assets), (proof_base_key(plain), columns)
    if key not in render_cache.thumbnails:
        is_plain = sign.wood is None
        base = proof_press_for(sign, assets).base if is_plain else proof_base(plain, _pixels(plain, assets))
        _keep(render_cache.thumbnails, key, thumbnail_base(base, columns), _AREAS_KEPT)
    return render_cache.thumbnails[key]


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
    marks = render_cache_of(assets).marks
    if text not in marks:
        _keep(marks, text, shape_line(text, assets.face(_MARKS_FACE)), 64)
    return marks[text]


def _keep(kept: dict[Any, Any], key: Hashable, value: Any, most: int) -> None:
    """Keep a value, the oldest ones let go."""
    while len(kept) >= most:
        kept.pop(next(iter(kept)))
    kept[key] = value
