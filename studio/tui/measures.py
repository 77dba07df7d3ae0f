"""A blank's shape and measurements as separate words, and back to the one value that an option holds.

Invariant: `blank_text(parts_of(text)) == text` for any `SHAPE:SIZE` that is written plainly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from studio.blank import Blank
from studio.errors import StudioError
from studio.files.catalogue import Catalogue
from studio.files.options import Value

SHAPES: Final = ("round", "oval", "rect")
SHAPE_WORDS: Final = {"round": "round", "oval": "oval", "rect": "rectangle"}


@dataclass(frozen=True, slots=True)
class BlankParts:
    """A blank as typed, part by part; whatever is typed stays as it is."""

    shape: str = "round"
    width: str = ""
    height: str = ""
    corner: str = ""


def parts_of(text: str, catalogue: Catalogue) -> BlankParts:
    """Return the parts of a blank's name, or of `SHAPE:SIZE`."""
    if ":" not in text:
        try:
            return _measured(catalogue.blank(text))
        except StudioError:
            return BlankParts("round", "", "", "")
    shape, _, rest = text.partition(":")
    size, _, corner = rest.partition(":")
    width, cross, height = size.replace("×", "x").partition("x")
    return BlankParts(shape, width, height if cross else width, corner)


def blank_text(parts: BlankParts) -> str:
    """Return the parts as an option's value."""
    size = parts.width if parts.width == parts.height and parts.shape != "oval" else f"{parts.width}x{parts.height}"
    corner = f":{parts.corner}" if parts.corner and parts.shape == "rect" else ""
    return f"{parts.shape}:{size}{corner}"


def with_part(text: str, holes: Value, part: str, typed: str, catalogue: Catalogue) -> tuple[str, Value]:
    """Return the blank and its holes once one part is typed; a catalogue blank's own holes are kept.

    Args:
        text: The blank as it is.
        holes: The holes as they are said.
        part: `shape`, `width`, `height` or `corner`.
        typed: What was typed.
        catalogue: Where names are looked up.
    """
    parts = replace(parts_of(text, catalogue), **{part: typed.strip()})
    kept = holes
    if ":" not in text and not holes:
        kept = own_holes(text, catalogue)
    return blank_text(parts), kept


def own_holes(text: str, catalogue: Catalogue) -> tuple[str, ...]:
    """Return a catalogue blank's holes as they are typed."""
    try:
        blank = catalogue.blank(text)
    except StudioError:
        return ()
    return tuple(f"{hole.x_mm:g}mm,{hole.y_mm:g}mm,{hole.diameter_mm:g}mm" for hole in blank.holes)


def _measured(blank: Blank) -> BlankParts:
    corner = f"{blank.corner_radius_mm:g}mm" if blank.corner_radius_mm else ""
    return BlankParts(blank.shape, f"{blank.width_mm:g}mm", f"{blank.height_mm:g}mm", corner)
