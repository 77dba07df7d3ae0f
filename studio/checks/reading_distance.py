"""From how far a sign reads: advice from a published table, not a claim of compliance."""

from __future__ import annotations

from typing import Final

from studio.basics.units import MM_PER_INCH
from studio.layout.placement import PlacedLettering
from studio.model.finding import Finding, Where, found

FOOT_MM: Final = 12 * MM_PER_INCH


def ada_min_height_in(baseline_in: float, distance_in: float) -> float:
    """Return the least character height in inches for a baseline height and a viewing distance.

    Args:
        baseline_in: Height of the baseline above the floor, at least 40 in.
        distance_in: Horizontal viewing distance.

    Raises:
        ValueError: The baseline is under 40 in; the table does not speak of that.

    Source: 2010 ADA Standards for Accessible Design, table 703.5.5 (read second-hand).
    """
    if baseline_in < 40:
        raise ValueError("the table starts at a baseline of 40 in")
    height_in, free_in = (0.625, 72.0) if baseline_in <= 70 else (2.0, 180.0) if baseline_in <= 120 else (3.0, 252.0)
    return height_in + max(0.0, distance_in - free_in) / 12 / 8


def reading_distance_mm(cap_height_mm: float) -> float:
    """Return from how far capitals of a height read at eye level, by the same table; 0 below its least height.

    Source: 2010 ADA Standards, table 703.5.5: 5/8 in up to 72 in away, and 1/8 in more for every foot beyond.
    """
    height_in = cap_height_mm / MM_PER_INCH
    if height_in < 0.625:
        return 0.0
    return 72 * MM_PER_INCH + (height_in - 0.625) * 8 * FOOT_MM


def distance_finding(lettering: PlacedLettering, number: int) -> Finding:
    """Return from how far a lettering reads, as a note."""
    cap_mm = lettering.cap_height_mm
    distance_m = reading_distance_mm(cap_mm) / 1000
    if distance_m:
        message = (
            f"“{lettering.text}” at {cap_mm:.1f} mm cap height reads from about {distance_m:.1f} m at eye level "
            "(advice from the 2010 ADA table 703.5.5, not a claim of compliance)."
        )
    else:
        message = (
            f"“{lettering.text}” at {cap_mm:.1f} mm cap height is for reading close by: the least in the 2010 ADA "
            "table 703.5.5 is 15.9 mm."
        )
    return found(
        "reads-from", message.replace("\n", " / "), where=Where(number), measured=round(distance_m, 2), unit="m"
    )
