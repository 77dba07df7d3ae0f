"""Whether an outline round the letters, in a colour of its own, is wide enough to hold on the surface."""

from __future__ import annotations

from studio.checking.contrast import ring_width_mm
from studio.checking.finding import Finding, Offer, Where, found
from studio.fitting.placement import PlacedLettering
from studio.surface import Surface

_SLACK_MM = 1e-6


def ring_findings(lettering: PlacedLettering, surface: Surface, number: int) -> tuple[Finding, ...]:
    """Return a warning where the outline is finer than the surface's finest stroke.

    One in the letters' own colour only makes them thicker, and is measured with them.
    """
    ring = lettering.ring
    if ring is None or ring.colour in (None, lettering.colour):
        return ()
    if ring.width_mm >= surface.finest_stroke_mm - _SLACK_MM:
        return ()
    value = f"{ring_width_mm(surface):.1f}mm:{ring.colour.hex}"
    return (
        found(
            "thin-outline",
            f"The outline of {ring.width_mm:.2f} mm round “{lettering.text}” is thinner than the "
            f"{surface.finest_stroke_mm:.2f} mm that the {surface.name} surface holds.",
            where=Where(number),
            measured=round(ring.width_mm, 4),
            limit=round(surface.finest_stroke_mm, 4),
            offers=(Offer(f"--outline {value} holds.", (("outline", value),)),),
        ),
    )
