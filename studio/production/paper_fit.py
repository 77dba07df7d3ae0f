"""Artwork shrunk on purpose to what one sheet prints, and what that costs."""

from __future__ import annotations

from collections.abc import Mapping

from studio.errors import SettingsError
from studio.model.options import Value
from studio.sheets.sign_on_paper import Wish
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign

_PROBE = "A"


def fitted_to_paper(values: Mapping[str, Value], catalogue: Catalogue, wish: Wish | None) -> dict[str, Value]:
    """Return option values with the artwork as wide as lets all of it be printed on one sheet.

    Artwork that fits already keeps its own size.

    Raises:
        SettingsError: No paper was named, or there is no artwork.
    """
    if wish is None:
        raise SettingsError("--artwork-fit paper needs a paper.", advice="Add --paper letter.")
    sign = build_sign(_PROBE, {**values, "artwork_fit": "own"}, catalogue)
    if sign.artwork is None:
        raise SettingsError("--artwork-fit paper needs artwork.", advice="Choose one with --artwork, or leave it out.")
    covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
    width_mm, height_mm = sign.artwork.printed_size_mm(*covered)
    room = wish.printer.field(wish.paper)
    scales = (
        min(across / min(width_mm, covered[0]), along / min(height_mm, covered[1]), 1.0)
        for across, along in ((room.width_mm, room.height_mm), (room.height_mm, room.width_mm))
    )
    scale = max(scales)
    if scale >= 1:
        return {**values, "artwork_fit": "own"}
    shown_mm = min(width_mm, covered[0]) * scale
    aspect_mm = shown_mm if width_mm <= covered[0] else width_mm * scale
    return {**values, "artwork_fit": f"{aspect_mm:.2f}mm"}
