"""The print: mirrored, exactly sized, its bands ready before the name is known.

Invariant: a print's pixels are the exact flip of ground, marks and lettering drawn unmirrored; a sign made alone and
the same sign made in a run are the same bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Hashable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.basics.errors import VerificationError
from studio.layout.placement import Placement
from studio.model.blank import Blank
from studio.model.profile import PrinterProfile
from studio.model.sign import Sign
from studio.render.artwork import lay_artwork
from studio.render.background import draw_ground
from studio.render.canvas import Canvas, canvas_of
from studio.render.coverage import coverage
from studio.render.ink import Ink, inked_patches, inks_of
from studio.render.pixel_grid import inked_box
from studio.render.pixels import blend_ink, mirror_in_place
from studio.render.png.bands import BandedDrawing, BandedFile, BandedPicture
from studio.render.png.plain_bands import PlainColour
from studio.render.png.verify import verify_png
from studio.render.printer_marks import FixedMarks, LineSetter, Waste, fixed_marks, order_line

_MARK_COLOUR = Colour(0, 0, 0)


@dataclass(frozen=True, slots=True, eq=False)
class Print(BandedDrawing):
    """A finished print; its pixels are mirrored."""

    canvas: Canvas

    def pixels_sha256(self) -> str:
        """Return the SHA-256 of the pixels, row by row, without the file's packing."""
        digest = hashlib.sha256()
        for band in self.picture.patched_bands(self.patches):
            digest.update(band.data)
        return digest.hexdigest()

    def verify(self, data: bytes) -> None:
        """Check that bytes read back are this print.

        Raises:
            VerificationError: They are not.
        """
        if data != self.file.data:  # what was packed is proved already; the full check says what is wrong
            verify_print(data, self.canvas, self.picture.pixels.shape[2], self.file)
            raise VerificationError("The print did not read back as written.", advice="Check the disk.")


def verify_print(data: bytes, canvas: Canvas, channels: int, ordered: BandedFile | None = None) -> None:
    """Check that bytes read back are a print of a canvas, and the one that was encoded when that is given.

    Raises:
        VerificationError: They are not.
    """
    size = (canvas.width_px, canvas.height_px)
    verify_png(data, expected_size=size, channels=channels, dpi=canvas.dpi, ordered=ordered)


@dataclass(frozen=True, slots=True, eq=False)
class PrintBase:
    """All of a print but its lettering and its order: for any number of signs that share the rest."""

    canvas: Canvas
    blank: Blank
    picture: BandedPicture
    marks: FixedMarks
    set_line: LineSetter | None = field(repr=False)
    plain: PlainColour = field(repr=False)
    profile: PrinterProfile | None = None

    def print_of(self, placement: Placement, *, order: str = "") -> Print:
        """Return the print of a placement.

        Args:
            placement: The lettering.
            order: What the waste calls the sign; nothing stands there when it is empty.
        """
        inks = list(inks_of(placement, self.profile, "printed"))
        if self.set_line is not None:
            words = order_line(Waste(self.canvas, self.blank), self.marks.taken, order, self.set_line)
            inks.append(Ink(words, _MARK_COLOUR))
        patches = tuple(
            inked_patches(inks, self.canvas.window, self.picture.pixels, plain=self.plain, ground_is_mirrored=True)
        )
        return Print(self.picture.with_patches(patches), self.picture, patches, self.canvas)


def print_base_key(sign: Sign) -> Hashable:
    """Return what two signs must share to be made from one base."""
    return (sign.blank, sign.artwork, sign.bleed_mm, sign.waste_mm, sign.dpi, sign.background, sign.profile)


def print_base(sign: Sign, artwork_pixels: NDArray[np.uint8] | None, set_line: LineSetter | None = None) -> PrintBase:
    """Return the base of a sign's print.

    Args:
        sign: The sign; its lettering is not looked at.
        artwork_pixels: The artwork upright in sRGB, shape (rows, columns, 4); `None` for a bare sign.
        set_line: Sets the words in the waste; without it there are none.

    Raises:
        SettingsError: The canvas has more pixels than can be made.
    """
    canvas = canvas_of(sign)
    laid = None
    if sign.artwork is not None and artwork_pixels is not None:
        covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
        laid = lay_artwork(sign.artwork, artwork_pixels, covered_width_mm=covered[0], covered_height_mm=covered[1])
    ground = draw_ground(laid, sign.blank, bleed_mm=sign.bleed_mm, window=canvas.window, background=sign.background)
    if sign.profile is not None:
        from studio.render.profiled import through_profile  # loaded late: few signs have a profile

        ground = through_profile(ground, sign.profile, "printed")
    marks = fixed_marks(Waste(canvas, sign.blank), set_line)
    for contours in (*((shape,) for shape in marks.shapes), marks.words):
        box = inked_box(contours, canvas.window)
        blend_ink(ground[box.rows, box.columns], coverage(contours, canvas.window.cut(box)), _MARK_COLOUR)
    mirror_in_place(ground)
    picture = BandedPicture.encode(ground, dpi=canvas.dpi)
    return PrintBase(canvas, sign.blank, picture, marks, set_line, PlainColour(picture.pixels), sign.profile)
