"""Whether the artwork is fine enough for its printed size, and whether it reaches past the edge."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from studio.basics.units import MM_PER_INCH
from studio.geometry.shapes import Points
from studio.model.artwork import SMALLEST_ARTWORK_MM
from studio.model.finding import Finding, Offer, found
from studio.model.sign import Sign

COARSE_DPI: Final = 200.0
TOO_COARSE_DPI: Final = 100.0
"""Common practice, no source: 300 dpi is asked for, under 200 shows on close looking, under 100 at arm's length."""
_SHORT_MM: Final = 0.05


def picture_findings(sign: Sign) -> tuple[Finding, ...]:
    """Return what is wrong with the artwork at its printed size."""
    setting = sign.artwork
    if setting is None:
        return ()
    art, blank = setting.artwork, sign.blank
    width_mm, height_mm = setting.printed_size_mm(
        blank.width_mm + 2 * sign.bleed_mm, blank.height_mm + 2 * sign.bleed_mm
    )
    findings = []
    dpi = min(art.width_px / width_mm, art.height_px / height_mm) * MM_PER_INCH
    if dpi < COARSE_DPI - 0.5:
        code = "artwork-too-coarse" if dpi < TOO_COARSE_DPI - 0.5 else "artwork-coarse"
        limit = TOO_COARSE_DPI if code == "artwork-too-coarse" else COARSE_DPI
        holds_mm = math.floor(width_mm * dpi / limit)
        is_speck = min(holds_mm, holds_mm * height_mm / width_mm) < SMALLEST_ARTWORK_MM
        value = f"{holds_mm:.0f}mm"
        holds = Offer(
            f"{holds_mm:.0f} mm wide it holds {limit:.0f} dpi; or use a picture of more pixels.",
            (("artwork_fit", value),),
        )
        findings.append(
            found(
                code,
                f"The artwork {art.name} has {_told_dpi(dpi)} pixels to the inch at {width_mm:.0f} x "
                f"{height_mm:.0f} mm; "
                f"{limit:.0f} are {'needed' if limit == TOO_COARSE_DPI else 'wanted'}.",
                measured=round(dpi, 1),
                limit=limit,
                unit="dpi",
                remedy="Use a picture of more pixels." if is_speck else "",
                offers=() if is_speck else (holds,),
            )
        )
    short_mm = bleed_shortage_mm(sign, width_mm, height_mm)
    wanted = art.full_bleed or setting.fit == "cover"
    if wanted and short_mm > _SHORT_MM:
        findings.append(
            found(
                "artwork-short-of-bleed",
                f"The artwork {art.name} ends {short_mm:.1f} mm short of the bleed; bare wood may show at the edge.",
                measured=round(sign.bleed_mm - short_mm, 3),
                limit=round(sign.bleed_mm, 3),
                offers=(_larger_artwork(sign, width_mm, height_mm),),
            )
        )
    return tuple(findings)


def _told_dpi(dpi: float) -> str:
    return f"{dpi:.0f}" if dpi >= 1 else "less than 1"


def _larger_artwork(sign: Sign, width_mm: float, height_mm: float) -> Offer:
    """Offer the least width at which the artwork, laid as it is, reaches the bleed all round."""
    setting = sign.artwork
    assert setting is not None
    x, y = np.abs(_bleed_in_artwork(sign)).T
    growth = max(float(x.max()) * 2 / width_mm, float(y.max()) * 2 / height_mm)
    needed_mm = math.ceil(width_mm * growth * 10) / 10
    if needed_mm > setting.artwork.width_px / TOO_COARSE_DPI * MM_PER_INCH:
        words = "Use a larger picture, or centre it."
        return Offer(words, (("artwork_at", "0mm,0mm"),))
    value = f"{needed_mm:.1f}mm"
    return Offer(f"{needed_mm:.1f} mm wide it reaches the bleed all round.", (("artwork_fit", value),))


def bleed_shortage_mm(sign: Sign, width_mm: float, height_mm: float) -> float:
    """Return by how much the artwork's rectangle falls short of blank plus bleed, at its worst place; 0 if nowhere."""
    beyond = np.abs(_bleed_in_artwork(sign)) - np.array([width_mm / 2, height_mm / 2])
    return max(0.0, float(beyond.max()))


def _bleed_in_artwork(sign: Sign) -> Points:
    """Return the edge of blank plus bleed as the artwork sees it: from its own centre, along its own axes."""
    setting = sign.artwork
    assert setting is not None
    outline = sign.blank.rim.contour(sign.bleed_mm, 0.05) - np.array([setting.x_mm, setting.y_mm])
    cos, sin = math.cos(setting.turn_rad), math.sin(setting.turn_rad)
    turned: Points = outline @ np.array([[cos, -sin], [sin, cos]])
    return turned
