"""Lengths as a maker says them: in inches with fractions or in millimetres, the other behind it in brackets.

Invariant: what is shown is never finer than it can be measured: sixteenths of an inch, tenths of a millimetre; strokes
and gaps in thousandths of an inch.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal, TypeAlias, get_args

from studio.basics.units import MM_PER_INCH

Unit: TypeAlias = Literal["mm", "in"]
UNITS: Final[tuple[Unit, ...]] = get_args(Unit)
_PARTS: Final = 16
_MM_PER_FOOT: Final = 12 * MM_PER_INCH
_FINE_MM: Final = MM_PER_INCH / 4
"""Lengths under this are told in thousandths of an inch, as strokes and gaps are measured."""
_FAR_MM: Final = 3 * _MM_PER_FOOT
"""Distances over this are told in feet."""


def said_inches(length_mm: float) -> str:
    """Return a length in inches, to the nearest sixteenth: `9 3/8 in`."""
    sixteenths = round(abs(length_mm) / MM_PER_INCH * _PARTS)
    whole, rest = divmod(sixteenths, _PARTS)
    parts = [str(whole)] if whole or not rest else []
    parts += [str(Fraction(rest, _PARTS))] if rest else []
    return f"{'-' if length_mm < 0 and sixteenths else ''}{' '.join(parts)} in"


def said_mm(length_mm: float) -> str:
    """Return a length in millimetres, to a tenth: `238.1 mm`."""
    return f"{round(length_mm, 1):g} mm"


def said_imperial(length_mm: float) -> str:
    """Return a length as a shop in inches says it, by how large it is: `0.024 in`, `1 1/8 in`, `10 ft`."""
    if abs(length_mm) < _FINE_MM:
        return f"{round(length_mm / MM_PER_INCH, 3):g} in"
    return f"{round(length_mm / _MM_PER_FOOT)} ft" if abs(length_mm) > _FAR_MM else said_inches(length_mm)


def said(length_mm: float, unit: Unit) -> str:
    """Return a length in the maker's unit, with the other in brackets."""
    first, second = said_mm(length_mm), said_inches(length_mm)
    return f"{first} ({second})" if unit == "mm" else f"{second} ({first})"


def typed(length_mm: float, unit: Unit) -> str:
    """Return a length as it is typed into a field: `9 3/8in` where that is it exactly, else `238.2mm`."""
    sixty_fourths = length_mm / MM_PER_INCH * 64
    if unit == "in" and abs(sixty_fourths - round(sixty_fourths)) < 1e-3:
        whole, rest = divmod(round(sixty_fourths), 64)
        parts = [str(whole)] if whole or not rest else []
        parts += [str(Fraction(rest, 64))] if rest else []
        return f"{' '.join(parts)}in"
    return f"{length_mm:.6g}mm"
