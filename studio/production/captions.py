"""Small lines of text in any script that a shipped face has, for sheets and lists.

Set by the same shaping as signs, so that a name below its proof reads as it should.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.units import round_half_up
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow
from studio.storage.assets import read_font
from studio.storage.fonts import FaceEntry, shipped_faces
from studio.storage.paths import shipped_folder
from studio.text.font import Face, GlyphOutline, open_face
from studio.text.itemise import composed
from studio.text.shaping import ShapedLine, shape_line

_FACES: Final = ("Nunito", "Rubik", "Roboto Slab", "Marhey", "Noto Sans Devanagari", "Pacifico")
"""The first that has a letter sets it."""
_WEIGHT: Final = 600.0
_ASCENT_EM: Final = 1.0
_HEIGHT_EM: Final = 1.35
_QUARTERS: Final = 4
_LONGEST: Final = 80
_MORE: Final = "…"


def caption_cover(text: str, *, size_px: float, width_px: int) -> NDArray[np.uint8]:
    """Return how much ink a line has in each pixel, cut with an ellipsis where it is too long.

    Args:
        text: What cannot be shown in one line, or by no face, is left out.
        size_px: Pixels of the em.
        width_px: Most columns.

    Returns:
        Shape (rows, `width_px`), 0 to 255, set from the left.
    """
    plain = "".join(letter if letter.isprintable() else " " for letter in composed(text))
    shown = plain[:_LONGEST]
    while True:
        line = caption_line(shown if shown == plain else shown.rstrip() + _MORE)
        if line.advance_em * size_px <= width_px or not shown:
            break
        shown = shown[: min(len(shown) - 1, int(len(shown) * width_px / (line.advance_em * size_px)) + 1)]
    cover = np.zeros((math.ceil(_HEIGHT_EM * size_px), width_px), np.uint8)
    for cluster, start in zip(line.clusters, line.starts_em, strict=True):
        quarters = round_half_up(start * size_px * _QUARTERS)
        _lay(cover, *_letter(cluster.outline, quarters % _QUARTERS, size_px), quarters // _QUARTERS)
    return cover


@lru_cache(maxsize=2048)
def _letter(outline: GlyphOutline, quarters: int, size_px: float) -> tuple[NDArray[np.uint8], int]:
    """Return a letter's cover that begins so many quarters of a pixel from a column, and where its own columns begin.

    Letters are drawn once for each quarter of a pixel and kept: sheets say the same letters over and over.
    """
    rows, aside = math.ceil(_HEIGHT_EM * size_px), quarters / _QUARTERS
    if not outline.contours:
        return np.zeros((rows, 0), np.uint8), 0
    across = np.concatenate(outline.contours)[:, 0] * size_px + aside
    first, end = math.floor(across.min()), math.ceil(across.max())
    window = PixelWindow(size_px, (first - aside) / size_px, _ASCENT_EM, end - first, rows)
    return coverage(outline.contours, window), first


def _lay(cover: NDArray[np.uint8], letter: NDArray[np.uint8], first: int, column: int) -> None:
    """Lay a letter over a line from a column on, as far as it reaches into it."""
    start = column + first
    kept = letter[:, max(0, -start) : max(0, cover.shape[1] - start)]
    place = cover[:, max(0, start) : max(0, start) + kept.shape[1]]
    np.maximum(place, kept, out=place)


def caption_line(text: str) -> ShapedLine:
    """Return a line of small type, shaped; letters that no shipped face has are left out."""
    return shape_line(text, _face(_FACES[0]), stand_in=_stand_in)


@lru_cache(maxsize=1024)
def _stand_in(letter: str) -> Face | None:
    faces = (_face(name) for name in _FACES[1:])
    return next((face for face in faces if all(face.covers(character) for character in letter)), None)


@lru_cache(maxsize=16)
def _face(name: str) -> Face:
    entry = _entries()[name]
    weight = _WEIGHT if entry.weights is not None else None
    return open_face(read_font(entry), name=entry.name, weight=weight, kind=entry.kind)


@lru_cache(maxsize=1)
def _entries() -> dict[str, FaceEntry]:
    return {entry.name: entry for entry in shipped_faces(shipped_folder("fonts"))}
