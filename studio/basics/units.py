"""Lengths as people type them, and the one rule by which they become pixels.

Inside the project every length is a float in millimetres.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final

from studio.basics.errors import SettingsError

MM_PER_INCH: Final = 25.4
"""Exact by definition. Source: international yard and pound agreement of 1959 (from memory)."""

_MM_PER_UNIT: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
    "inch": Fraction(254, 10),
    "inches": Fraction(254, 10),
    '"': Fraction(254, 10),
    "″": Fraction(254, 10),
    "pt": Fraction(254, 720),
}
_VULGAR: Final = {"¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
_LENGTH: Final = re.compile(
    r"""(?P<sign>[+-]?)\s*
        (?:(?P<whole>\d+)(?:\s+|-)(?P<mixed>\d+/\d+)|(?P<fraction>\d+/\d+)|(?P<decimal>\d+(?:\.\d*)?|\.\d+))
        \s*(?P<unit>[a-z]+\.?|["″”“]|''|’’|‘‘|′′|)""",
    re.VERBOSE | re.ASCII,
)
_INCH_MARKS: Final = frozenset({'"', "″", "”", "“", "''", "’’", "‘‘", "′′"})
_LONGEST_MM: Final = 1e6


def parse_length_mm(text: str, *, what: str = "length", option: str = "") -> float:
    """Return a typed length in mm.

    Reads `254mm`, `25.4cm`, `10in`, `10 1/2in`, `3/4 in.`, `10½"` and `50pt`; a unit is always needed. The marks that
    phones put for inches are read too.

    Args:
        text: What the person typed.
        what: The name of the thing measured, for the message.
        option: The key of the option that the text was given for; then that is the thing measured.

    Raises:
        SettingsError: The text is not a length, or has no unit or an unknown one.
    """
    of = "" if option else f"{what}: "
    cleaned = text.strip().lower()
    for sign, spelled in _VULGAR.items():
        cleaned = cleaned.replace(sign, spelled)
    cleaned = cleaned.strip()
    match = _LENGTH.fullmatch(cleaned)
    shown = text.strip()[:40]
    if match is None:
        raise SettingsError(
            f"{of}{shown!r} is not a length.", advice="Write it like 254mm, 25.4cm, 10in or 10 1/2in.", option=option
        )
    if not match["unit"]:
        raise SettingsError(f"{of}{shown!r} has no unit.", advice=f"Write {shown}mm or {shown}in.", option=option)
    unit = "in" if match["unit"] in _INCH_MARKS else match["unit"].rstrip(".")
    if unit not in _MM_PER_UNIT:
        raise SettingsError(
            f"{of}the unit {match['unit']!r} in {shown!r} is not known.", advice="Use mm, cm, in or pt.", option=option
        )
    try:
        number = Fraction(match["whole"] or 0) + Fraction(match["mixed"] or match["fraction"] or match["decimal"])
    except ZeroDivisionError:
        raise SettingsError(
            f"{of}{shown!r} divides by zero.", advice="Write it like 10 1/2in.", option=option
        ) from None
    except ValueError:
        raise SettingsError(
            f"{of}{shown[:12]}... has too many digits.", advice="Write it like 254mm.", option=option
        ) from None
    length = number * _MM_PER_UNIT[unit]
    if length > _LONGEST_MM:
        raise SettingsError(f"{of}{shown!r} is over a kilometre.", advice="Check the unit.", option=option)
    return float(-length if match["sign"] == "-" else length)


def round_half_up(value: float) -> int:
    """Return `floor(value + 0.5)`, the one rounding rule of the project."""
    return math.floor(value + 0.5)


def px_count(length_mm: float, dpi: float) -> int:
    """Return how many pixels a length takes at a print density, to the nearest whole one."""
    return round_half_up(length_mm / MM_PER_INCH * dpi)


def inches(length_mm: float) -> float:
    """Return a length in inches."""
    return length_mm / MM_PER_INCH


def spoken_size(width_mm: float, height_mm: float) -> str:
    """Return a size in both systems, such as `272.0 x 272.0 mm (10.71 x 10.71 in)`."""
    metric = f"{width_mm:.1f} x {height_mm:.1f} mm"
    return f"{metric} ({inches(width_mm):.2f} x {inches(height_mm):.2f} in)"


def celsius(fahrenheit: Fraction | int) -> Fraction:
    """Return a temperature in degrees Celsius, exactly."""
    return (Fraction(fahrenheit) - 32) * Fraction(5, 9)
