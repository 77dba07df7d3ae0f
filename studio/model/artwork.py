"""The base picture: its size, its stated open area, how it is laid on the blank.

Pixels are not held here; they are handed to the rooms that need them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from studio.basics.colour import Colour
from studio.geometry.shapes import Box

ArtworkFit: TypeAlias = Literal["own", "cover", "contain", "width"]
SMALLEST_ARTWORK_MM: Final = 3.0
"""A picture printed narrower than this is a speck."""
DEFAULT_THRESHOLD_PERCENT: Final = 4.0
"""Artwork at least this opaque counts as picture when the open area is sought."""


def box_about(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Box:
    """Return the box that an artwork's file states by its middle and its size, in the artwork's own mm."""
    return Box(x_mm - width_mm / 2, y_mm - height_mm / 2, x_mm + width_mm / 2, y_mm + height_mm / 2)


@dataclass(frozen=True, slots=True)
class Artwork:
    """A base picture.

    Attributes:
        name: Its name in the catalogue, or the file's path.
        source: The path of the picture file.
        width_px: Width of the stored picture once turned upright.
        height_px: Height of the same.
        width_mm: Its own printed width; `None` when the file does not say.
        height_mm: Its own printed height.
        open_area: The box for lettering that the artwork's file states, in the artwork's own mm, centre as origin.
        lettering_colour: The colour of lettering that reads on it.
        full_bleed: Whether it is meant to run off every edge.
        keep: Boxes that no seam between sheets should cross, such as faces, in the artwork's own mm.
    """

    name: str
    source: str
    width_px: int
    height_px: int
    width_mm: float | None = None
    height_mm: float | None = None
    title: str = ""
    description: str = ""
    open_area: Box | None = None
    lettering_colour: Colour | None = None
    full_bleed: bool = False
    layout_hint: str | None = None
    keep: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class ArtworkSetting:
    """An artwork and how it is laid on the blank: fitted, moved and turned about its own centre."""

    artwork: Artwork
    fit: ArtworkFit = "own"
    width_mm: float | None = None
    x_mm: float = 0.0
    y_mm: float = 0.0
    turn_rad: float = 0.0
    threshold_percent: float = DEFAULT_THRESHOLD_PERCENT

    def printed_size_mm(self, covered_width_mm: float, covered_height_mm: float) -> tuple[float, float]:
        """Return the printed width and height.

        Args:
            covered_width_mm: Width of blank plus bleed, which `cover` and `contain` refer to.
            covered_height_mm: Height of the same.
        """
        art = self.artwork
        aspect = art.height_px / art.width_px
        if self.fit == "width" and self.width_mm is not None:
            return (self.width_mm, self.width_mm * aspect)
        if self.fit == "own" and art.width_mm is not None:
            return (art.width_mm, art.height_mm if art.height_mm is not None else art.width_mm * aspect)
        scales = (covered_width_mm, covered_height_mm / aspect)
        width_mm = min(scales) if self.fit == "contain" else max(scales)
        return (width_mm, width_mm * aspect)
