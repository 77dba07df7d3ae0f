"""Artwork on disk: the pieces that ship, a folder of the workshop's own, and single files; headers only.

A TOML of the same name beside a picture says what its pixels cannot: title, size, open area, lettering colour.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final, TypeAlias, get_args

from studio.basics.colour import parse_colour
from studio.basics.errors import PictureError, StudioError
from studio.basics.units import MM_PER_INCH
from studio.model.artwork import Artwork, box_about
from studio.model.options import nearest
from studio.model.sign import Layout
from studio.storage.picture_guard import PICTURE_ENDINGS, png_size
from studio.storage.pictures import read_header
from studio.storage.regular_file import regular_bytes

_KEYS: Final = frozenset(
    {"title", "description", "width_mm", "height_mm", "lettering_color", "full_bleed", "open_area", "layout", "keep"}
)
_AREA_KEYS: Final = ("x_mm", "y_mm", "width_mm", "height_mm")
MiddleAndSize: TypeAlias = tuple[float, float, float, float]
"""A box as `_AREA_KEYS` state it, in mm."""
_MOST_KEPT: Final = 40
_LARGEST_NOTE_BYTES: Final = 100_000


@dataclass(frozen=True, slots=True)
class Fault:
    """A picture of a folder that cannot be used, and why; it bars nothing but itself."""

    name: str
    message: str


def artworks_in(folder: Path | None) -> tuple[tuple[Artwork, ...], tuple[Fault, ...]]:
    """Return the pictures of a folder in order of name, and those that cannot be used; only headers are read."""
    if folder is None or not folder.is_dir():
        return (), ()
    artworks, faults = [], []
    try:
        files = sorted(file for file in folder.iterdir() if file.suffix.lower() in PICTURE_ENDINGS and file.is_file())
    except OSError as problem:
        return (), (Fault(folder.name, f"The folder {folder} cannot be read: {problem.strerror}."),)
    for file in files:
        try:
            artworks.append(artwork_from_file(file, name=file.stem))
        except StudioError as problem:
            faults.append(Fault(file.stem, str(problem)))
    return tuple(artworks), tuple(faults)


def artwork_from_file(file: Path, *, name: str | None = None) -> Artwork:
    """Return a picture file as an artwork, with what the TOML beside it says.

    Args:
        file: A PNG or JPEG.
        name: What it is called; the path as typed when not given.

    Raises:
        PictureError: The picture or its TOML cannot be used.
    """
    if file.is_dir():
        raise PictureError(f"{file} is a folder, not a picture.", advice="Name a PNG or JPEG file.")
    note = file.with_suffix(".toml")
    return _artwork(file, name or str(file), _stamp(file), _stamp(note))


def _stamp(file: Path) -> tuple[int, int] | None:
    try:
        found = file.stat()
    except (OSError, ValueError):
        return None
    return (found.st_mtime_ns, found.st_size)


@lru_cache(maxsize=512)
def _artwork(file: Path, name: str, picture: tuple[int, int] | None, note: tuple[int, int] | None) -> Artwork:
    """Return the artwork; the stamps tell a changed file from the one that was read."""
    said = _read_note(file.with_suffix(".toml")) if note is not None and picture is not None else {}
    width_mm, height_mm = _number(said, "width_mm", file), _number(said, "height_mm", file)
    if said and file.suffix.lower() == ".png":
        width_px, height_px = png_size(file)
    else:
        header = read_header(file)
        width_px, height_px = header.width_px, header.height_px
        if width_mm is None and header.dpi is not None:
            width_mm, height_mm = width_px / header.dpi * MM_PER_INCH, height_px / header.dpi * MM_PER_INCH
    layout = said.get("layout")
    if layout is not None and layout not in get_args(Layout):
        raise _wrong(file, f"'layout' is {layout!r}", f"It is one of {', '.join(get_args(Layout))}.")
    colour = said.get("lettering_color")
    stated = _open_area(said, file)
    return Artwork(
        name=name,
        source=str(file),
        width_px=width_px,
        height_px=height_px,
        width_mm=width_mm,
        height_mm=height_mm,
        title=str(said.get("title", "")),
        description=str(said.get("description", "")),
        open_area=None if stated is None else box_about(*stated),
        keep=tuple(box_about(*kept) for kept in _keep(said, file)),
        lettering_colour=None if colour is None else parse_colour(str(colour), what=f"{file.stem}: lettering_color"),
        full_bleed=said.get("full_bleed") is True,
        layout_hint=None if layout is None else str(layout),
    )


def _read_note(note: Path) -> Mapping[str, object]:
    try:
        data = regular_bytes(note, most_bytes=_LARGEST_NOTE_BYTES, what="note about a picture", error=PictureError)
        said = tomllib.loads(data.decode("utf-8-sig"))
    except OSError as problem:
        raise PictureError(f"{note} cannot be read: {problem.strerror}.", advice="Check the file.") from problem
    except (ValueError, RecursionError) as problem:
        raise PictureError(f"{note} is not valid TOML: {problem}.", advice="Fix that line.") from problem
    for key in said:
        if key not in _KEYS:
            raise PictureError(f"{note}: {key!r} is not known{nearest(key, _KEYS)}", advice="Fix or remove it.")
    return said


def _number(said: Mapping[str, object], key: str, file: Path) -> float | None:
    value = said.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 10_000:
        raise _wrong(file, f"{key!r} is {value!r}", "It is a number of mm, over 0.")
    return float(value)


def _open_area(said: Mapping[str, object], file: Path) -> MiddleAndSize | None:
    area = said.get("open_area")
    if area is None:
        return None
    if not isinstance(area, dict) or set(area) != set(_AREA_KEYS):
        raise _wrong(file, "[open_area] is not complete", f"It holds {', '.join(_AREA_KEYS)}.")
    return _box(area, file, "[open_area]")


def _keep(said: Mapping[str, object], file: Path) -> tuple[MiddleAndSize, ...]:
    """Return the boxes that no seam should cross, as tables [[keep]] state them."""
    boxes = said.get("keep", [])
    if not isinstance(boxes, list) or len(boxes) > _MOST_KEPT:
        raise _wrong(file, "'keep' is not a list of boxes", f"Write each as a table [[keep]], at most {_MOST_KEPT}.")
    for box in boxes:
        if not isinstance(box, dict) or set(box) != set(_AREA_KEYS):
            raise _wrong(file, "a [[keep]] is not complete", f"It holds {', '.join(_AREA_KEYS)}.")
    return tuple(_box(box, file, "a [[keep]]") for box in boxes)


def _box(area: Mapping[str, object], file: Path, what: str) -> MiddleAndSize:
    numbers = [area[key] for key in _AREA_KEYS]
    known = [float(number) for number in numbers if isinstance(number, int | float) and abs(number) <= 10_000]
    if len(known) < len(numbers):
        raise _wrong(file, f"{what} holds something that is not a number of mm", "Fix it.")
    x_mm, y_mm, width_mm, height_mm = known
    if width_mm <= 0 or height_mm <= 0:
        raise _wrong(file, f"{what} has no size", "Give it a width and a height over 0 mm.")
    return x_mm, y_mm, width_mm, height_mm


def _wrong(file: Path, what: str, advice: str) -> StudioError:
    return PictureError(f"{file.with_suffix('.toml')}: {what}.", advice=advice)
