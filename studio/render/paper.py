"""Which common sheets a print fits on, either way round."""

from __future__ import annotations

from typing import Final

_INCH: Final = 25.4
SHEETS_MM: Final[dict[str, tuple[float, float]]] = {
    "A6": (105, 148),
    "A5": (148, 210),
    "B5": (176, 250),
    "A4": (210, 297),
    "letter": (8.5 * _INCH, 11 * _INCH),
    "legal": (8.5 * _INCH, 14 * _INCH),
    "tabloid": (11 * _INCH, 17 * _INCH),
    "A3": (297, 420),
    "13x19in": (13 * _INCH, 19 * _INCH),
    "C": (17 * _INCH, 22 * _INCH),
    "A2": (420, 594),
    "D": (22 * _INCH, 34 * _INCH),
    "A1": (594, 841),
    "A0": (841, 1189),
}
"""Name -> shorter and longer side. Source: ISO 216; ANSI/ASME Y14.1 for letter, tabloid (B), C and D; legal and
13 x 19 in are trade sizes."""
_SLACK_MM: Final = 0.01
"""A print exactly as large as the sheet fits; sums of floats must not say otherwise."""


def fits(width_mm: float, height_mm: float) -> tuple[str, ...]:
    """Return the names of the sheets a print fits on in full, smallest area first."""
    short, long = sorted((width_mm, height_mm))
    fitting = [
        (sheet_short * sheet_long, name)
        for name, (sheet_short, sheet_long) in SHEETS_MM.items()
        if short <= sheet_short + _SLACK_MM and long <= sheet_long + _SLACK_MM
    ]
    return tuple(name for _, name in sorted(fitting))
