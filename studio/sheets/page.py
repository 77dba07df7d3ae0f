"""A page to be printed, as a value: its size, and what stands on it, in the order in which it is drawn.

Lengths are mm from the lower left corner, x right, y up, of the portrait sheet as it is fed. Pictures of prints lie
on a grid of their own pixels counted from the sheet's top left corner, so that a renderer at that density shows the
very pixels. Nothing here knows the file that it is written to.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.geometry.shapes import Box, Contours
from studio.render.pixel_grid import PixelBox
from studio.render.png.container import SIGNATURE

BLACK: Final = Colour(0, 0, 0)
LINE_MM: Final = 0.25
PT_PER_MM: Final = 72 / 25.4
"""A PDF's unit is 1/72 in. Source: ISO 32000-1, 8.3.2.3 (from memory)."""

Curve: TypeAlias = tuple[str, tuple[float, ...]]
"""One step of an outline: `m` and `l` with a point, `c` with two controls and a point, `h` (closed) with none."""
Matrix: TypeAlias = tuple[float, float, float, float]
"""A, b, c, d of x' = a x + c y, y' = b x + d y."""
IDENTITY: Final[Matrix] = (1.0, 0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """Outlines filled, drawn as lines, or both.

    Attributes:
        contours: Each of shape (n, 2), mm.
        fill: The colour inside (non-zero rule); `None` for lines alone.
        stroke: The colour of the line; `None` for a filled shape without one.
        line_mm: The line's width, half of it on either side; its ends are cut square at the end points.
        is_closed: Whether a line goes back to its first point.
        dashes_mm: Lengths of dash and gap in turn; empty for a whole line.
    """

    contours: Contours
    fill: Colour | None = BLACK
    stroke: Colour | None = None
    line_mm: float = LINE_MM
    is_closed: bool = True
    dashes_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of a line for the text layer: its characters as seen from left to right, and where they stand.

    Attributes:
        characters: In visual order, a space that follows included.
        start_mm: From the line's start.
        advance_mm: Its length along the line.
    """

    characters: str
    start_mm: float
    advance_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line of text: its outlines to see, its characters to search and copy. Made by `words.set_line`.

    Attributes:
        text: As typed.
        x_mm: Where its baseline starts.
        turn_rad: The baseline's turn about its start, counter-clockwise.
        curves: Its outlines in mm from its start, before the turn.
        words: Its text layer, in visual order.
        ink: The box of its outlines on the page; of no size at its start where nothing shows.
    """

    text: str
    x_mm: float
    y_mm: float
    em_mm: float
    turn_rad: float
    advance_mm: float
    curves: tuple[Curve, ...] = field(repr=False)
    words: tuple[Word, ...] = field(repr=False)
    ink: Box = field(repr=False)
    colour: Colour = BLACK


@dataclass(frozen=True, slots=True, eq=False)
class PackedPicture:
    """A picture of 8-bit RGB as a PNG packs it: rows with their filter bytes, deflated.

    Attributes:
        packed: Gives the zlib stream, the IDAT bodies of its file joined; asked once for each file that it goes into.
        key: What tells it from others; pictures of one key are written once.
    """

    width_px: int
    height_px: int
    dpi: float
    packed: Callable[[], bytes] = field(repr=False)
    key: str


@dataclass(frozen=True, slots=True, eq=False)
class PlacedPrint:
    """A print's picture, pixel for pixel at its own density, or a window of it.

    Attributes:
        left_px: Where the picture's left edge lies, pixels from the sheet's left edge; the picture as turned.
        top_px: Where its upper edge lies, pixels down from the sheet's upper edge.
        window: The block of the picture's own pixels that shows, before it is turned.
        quarter_turns: How often it is turned a quarter, counter-clockwise.
        clip: Outlines on the page, mm, outside of which nothing shows; empty for none.
    """

    picture: PackedPicture
    left_px: int
    top_px: int
    window: PixelBox
    quarter_turns: int = 0
    clip: Contours = ()


@dataclass(frozen=True, slots=True, eq=False)
class ScaledPicture:
    """A picture drawn into a box of any size, for proofs and drawings; never for what is pressed."""

    picture: PackedPicture
    box: Box


Item: TypeAlias = Shape | Line | PlacedPrint | ScaledPicture


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """One sheet of paper, portrait, with what stands on it; the first item is drawn first.

    Attributes:
        trim: Box of the blank, on a sheet that holds one whole sign.
        bleed: The same with its bleed.
        correction: What undoes the printer's own scale and skew, about the sheet's centre, for all items alike.
    """

    width_mm: float
    height_mm: float
    items: tuple[Item, ...] = ()
    trim: Box | None = None
    bleed: Box | None = None
    correction: Matrix = IDENTITY


def picture_of_png(png: bytes) -> PackedPicture:
    """Return a PNG file's picture with its packed bytes as they are.

    Raises:
        SettingsError: The picture is not of 8-bit RGB.
    """
    width_px, height_px, dpi = _png_size(png)
    return PackedPicture(width_px, height_px, dpi, lambda: packed_bytes(png), hashlib.sha256(png).hexdigest())


def picture_of_pixels(pixels: NDArray[np.uint8], dpi: float) -> PackedPicture:
    """Return pixels, shape (rows, columns, 3), packed anew: for what is no print."""
    rows, columns, channels = pixels.shape
    if channels != 3:
        raise ValueError(f"not a picture with 3 channels: {pixels.shape}")
    lines = pixels.reshape(rows, -1).astype(np.uint8)
    filtered = np.ones((rows, 1 + lines.shape[1]), np.uint8)
    filtered[:, 1:] = lines
    filtered[:, 1 + channels :] -= lines[:, :-channels]
    data = zlib.compress(filtered.tobytes(), 6)
    return PackedPicture(columns, rows, dpi, lambda: data, hashlib.sha256(data).hexdigest())


def packed_bytes(png: bytes) -> bytes:
    """Return the IDAT bodies of a PNG file, joined. Source: PNG specification, third edition, 5.3 (from memory)."""
    return b"".join(body for kind, body in _chunks(png) if kind == b"IDAT")


def _chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(SIGNATURE)
    while at + 8 <= len(png):
        length = int.from_bytes(png[at : at + 4], "big")
        yield png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        at += 12 + length


def _png_size(png: bytes) -> tuple[int, int, float]:
    """Return columns, rows and density; the density is what the pixels a metre are nearest to in whole dpi."""
    size, dpi = (0, 0), 300.0
    for kind, body in _chunks(png):
        if kind == b"IHDR":
            if body[8:10] != b"\x08\x02":
                raise SettingsError(
                    "A print with a transparent background cannot be laid on a sheet.",
                    advice="Use a white background; white is left unprinted.",
                    ways=("background",),
                )
            size = (int.from_bytes(body[:4], "big"), int.from_bytes(body[4:8], "big"))
        elif kind == b"pHYs":
            dpi = float(round(int.from_bytes(body[:4], "big") * 0.0254))
        elif kind == b"IDAT":
            break
    return (*size, dpi)
