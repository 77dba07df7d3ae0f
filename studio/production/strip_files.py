"""The strip's files: its print with the page of what to do, and a photo of it read and the picture of that."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.geometry.shapes import Contours
from studio.production.captions import caption_line
from studio.storage.atomic_write import read_back, ready_folder, write_whole
from studio.storage.pictures import read_header, read_pixels
from studio.storage.write_errors import taken
from studio.strip.drawing import strip_png
from studio.strip.layout import HEIGHT_MM, WIDTH_MM
from studio.strip.words import figure_lines, how_to, measured_surface

if TYPE_CHECKING:
    from studio.model.surface import Surface
    from studio.sheets.gang import GangSign
    from studio.sheets.sign_on_paper import Wish
    from studio.strip.reading import StripReading

PRINT_NAME: Final = "strip-print.png"
PAGE_NAME: Final = "strip.txt"
SHEET_NAME: Final = "strip-sheet.pdf"


@dataclass(frozen=True, slots=True, eq=False)
class ReadPhoto:
    """A photo of the strip, read.

    Attributes:
        reading: What it told.
        picture: The picture of what was found, a PNG.
        dpi: The density that the file states, where that can be believed.
    """

    reading: StripReading
    picture: bytes
    dpi: float | None

    def surface(self, starting: Surface, name: str, day: str) -> Surface:
        """Return the surface that it makes, pressed on `starting` and measured on a day such as 2026-05-31."""
        return measured_surface(self.reading, starting, name, day)

    def figures(self, starting: Surface, day: str) -> str:
        """Return what it told beside the surface it was pressed on, a figure a line."""
        found = self.surface(starting, f"my-{starting.name}", day)
        return "\n".join(figure_lines(self.reading, found, starting))


def write_strip(folder: Path, *, wish: Wish | None = None, overwrite: bool = False) -> tuple[Path, ...]:
    """Write the strip's print, the page of what to do, and a sheet of paper where one is wanted; return their paths.

    Args:
        folder: Where they go; made when missing.
        wish: The paper and the printer of the sheet.
        overwrite: Replace files of the same name.

    Raises:
        OutputError: A file cannot be written, or is there already.
    """
    files = {PRINT_NAME: strip_png(set_line), PAGE_NAME: how_to(PRINT_NAME).encode()}
    if wish is not None:
        files[SHEET_NAME] = _sheet(files[PRINT_NAME], wish)
    targets = tuple(folder / name for name in files)
    for target in targets:
        if not overwrite and os.path.lexists(target):
            raise taken(target)
    ready_folder(folder)
    for target, data in zip(targets, files.values(), strict=True):
        write_whole(target, data, verify=read_back(data), overwrite=overwrite)
    return targets


def strip_piece(png: bytes | None = None) -> GangSign:
    """Return the strip as a piece for sheets that signs share.

    Args:
        png: Its print, where that is made already.
    """
    from studio.model.blank import parse_blank
    from studio.sheets.gang import GangSign
    from studio.sheets.page import picture_of_png

    rim = parse_blank(f"rect:{WIDTH_MM:g}mmx{HEIGHT_MM:g}mm").rim
    return GangSign("test strip", "", rim, 0.0, picture_of_png(png or strip_png(set_line)))


def _sheet(png: bytes, wish: Wish) -> bytes:
    """Return the strip on a sheet of paper, as a PDF at true size."""
    from studio.sheets.gang_sheets import gang_sheets
    from studio.sheets.pdf import pdf_bytes

    return pdf_bytes(gang_sheets([strip_piece(png)], wish, caption_line).pages, title="Test strip")


def read_photo(path: Path, *, reference: Path | None = None) -> ReadPhoto:
    """Return what a photo of the strip tells.

    Args:
        path: The photo or scan, PNG or JPEG.
        reference: A photo of the same strip on paper, unpressed.

    Raises:
        PictureError: A picture cannot be opened, or the strip in it cannot be read.
    """
    from studio.strip.found_picture import found_picture
    from studio.strip.reading import read_reference, read_strip

    known = None if reference is None else read_reference(read_pixels(reference)[..., :3])
    reading = read_strip(read_pixels(path)[..., :3], reference=known)
    return ReadPhoto(reading, found_picture(reading, set_line), read_header(path).dpi)


def found_path(photo: Path, folder: Path | None = None) -> Path:
    """Return where the picture of what was found goes: beside the photo, or into a folder, by a name that is free."""
    place = photo.parent if folder is None else folder
    target, number = place / f"{photo.stem}-found.png", 2
    while os.path.lexists(target):
        target, number = place / f"{photo.stem}-found-{number}.png", number + 1
    return target


def write_found(target: Path, picture: bytes) -> None:
    """Write the picture of what was found.

    Raises:
        OutputError: It cannot be written, or is there already.
    """
    ready_folder(target.parent)
    write_whole(target, picture, verify=read_back(picture))


def set_line(text: str) -> Contours:
    """Return a line of small type at an em of 1 mm, from the origin."""
    return caption_line(text).contours_em
