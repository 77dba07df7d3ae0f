"""Artwork shrunk on purpose to what one sheet prints, and what that costs."""

from __future__ import annotations

from collections.abc import Mapping

from studio.basics.errors import SettingsError
from studio.model.options import Value
from studio.sheets.sign_on_paper import Wish
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign

_PROBE = "A"


def fitted_to_paper(
    values: Mapping[str, Value], catalogue: Catalogue, wish: Wish | None
) -> tuple[dict[str, Value], str]:
    """Return option values with the artwork as wide as lets all of it be printed on one sheet, and what that costs.

    Artwork that fits already keeps its own size.

    Raises:
        SettingsError: No paper was named, or there is no artwork.
    """
    if wish is None:
        raise SettingsError(
            "The value paper needs a paper.", advice="Add one, such as letter.", option="artwork_fit", ways=("paper",)
        )
    sign = build_sign(_PROBE, {**values, "artwork_fit": "original"}, catalogue)
    if sign.artwork is None:
        raise SettingsError(
            "The value paper needs artwork.",
            advice="Choose one, or leave it out.",
            option="artwork_fit",
            ways=("artwork",),
        )
    covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
    width_mm, height_mm = sign.artwork.printed_size_mm(*covered)
    room = wish.printer.field(wish.paper)
    scales = (
        min(across / min(width_mm, covered[0]), along / min(height_mm, covered[1]), 1.0)
        for across, along in ((room.width_mm, room.height_mm), (room.height_mm, room.width_mm))
    )
    scale = max(scales)
    if scale >= 1:
        return {**values, "artwork_fit": "original"}, ""
    shrunk_mm = (min(width_mm, covered[0]) * scale, min(height_mm, covered[1]) * scale)
    printed_mm = width_mm * scale if width_mm > covered[0] else shrunk_mm[0]
    bare_mm = ((sign.blank.width_mm - shrunk_mm[0]) / 2, (sign.blank.height_mm - shrunk_mm[1]) / 2)
    where = ("left and right", "above and below")
    sides = [f"{bare:.1f} mm {side}" for bare, side in zip(bare_mm, where, strict=True) if bare > 0]
    cost = f"it no longer reaches the edge: {' and '.join(sides)} stay bare" if sides else "it still reaches the edge"
    return {**values, "artwork_fit": f"{printed_mm:.2f}mm"}, (
        f"{sign.artwork.artwork.name} is printed {printed_mm:.1f} mm wide in place of {width_mm:.1f} mm, so that it "
        f"fits one sheet of {wish.paper.name}; {cost}."
    )
