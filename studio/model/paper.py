"""The paper that a printer takes: a sheet of exact size, or a roll of some width."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm, spoken_size

LONGEST_PAGE_MM: Final = 14_400 / 72 * 25.4
"""A PDF page is at most 14,400 units of 1/72 in long: 5080 mm. Source: ISO 32000-1, annex C (from memory)."""
SMALLEST_MM: Final = 50.0
WIDEST_MM: Final = 2_000.0
_ROLL: Final = "roll:"


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper, portrait as it is fed.

    Attributes:
        name: As chosen.
        width_mm: Across the feed; the shorter side of a sheet.
        height_mm: Along the feed; of a roll the most that one page may take.
        is_roll: Whether a page is as long as what stands on it.
    """

    name: str
    width_mm: float
    height_mm: float
    is_roll: bool = False
    description: str = ""

    def __post_init__(self) -> None:
        if self.width_mm < SMALLEST_MM or self.height_mm < SMALLEST_MM:
            raise SettingsError(
                f"paper {self.name}: {spoken_size(self.width_mm, self.height_mm)} is smaller than any that is printed.",
                advice=f"A side is at least {SMALLEST_MM:.0f} mm; write it like 8.5inx11in or roll:24in.",
            )
        if self.width_mm > WIDEST_MM or self.height_mm > LONGEST_PAGE_MM:
            raise SettingsError(
                f"paper {self.name}: {spoken_size(self.width_mm, self.height_mm)} is larger than a page can be.",
                advice=f"It is at most {WIDEST_MM:.0f} mm wide and {LONGEST_PAGE_MM:.0f} mm long.",
            )

    @property
    def told(self) -> str:
        """Its name and size in words."""
        if self.is_roll:
            return f"{self.name} ({self.width_mm:.1f} mm wide)"
        return f"{self.name} ({spoken_size(self.width_mm, self.height_mm)})"


def parse_paper(text: str, name: str | None = None) -> Paper:
    """Return the paper that `8.5inx11in`, `13x19in` or `roll:24in` describes; a sheet is taken upright.

    Raises:
        SettingsError: It is none, or no printer's.
    """
    named, cleaned = name or text.strip(), text.strip().lower().replace("×", "x")
    if cleaned.startswith(_ROLL):
        width_mm = parse_length_mm(cleaned.removeprefix(_ROLL), option="paper")
        return Paper(named, width_mm, LONGEST_PAGE_MM, is_roll=True)
    sides = [side.strip() for side in cleaned.split("x")]
    if len(sides) != 2 or not all(sides):
        raise SettingsError(
            f"{text[:40]!r} is not a paper.",
            advice="Name one, or write it like 8.5inx11in or roll:24in.",
            option="paper",
        )
    if sides[0].replace(".", "", 1).isdigit():  # 13x19in: one unit for both
        sides[0] += sides[1].lstrip("0123456789./ ")
    short_mm, long_mm = sorted(parse_length_mm(side, option="paper") for side in sides)
    return Paper(named, short_mm, long_mm)
