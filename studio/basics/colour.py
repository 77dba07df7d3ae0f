"""Colours as scalars: sRGB codes, linear light, and the contrast of two of them.

Pure Python, so that the command line can check a colour without loading an array library.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from studio.basics.errors import SettingsError

_HEX: Final = re.compile(r"#?([0-9a-fA-F]{3}|[0-9a-fA-F]{6})")


@dataclass(frozen=True, slots=True)
class Colour:
    """One opaque sRGB colour; each part is a code from 0 to 255."""

    red: int
    green: int
    blue: int

    @property
    def rgb(self) -> tuple[int, int, int]:
        """The three codes."""
        return (self.red, self.green, self.blue)

    @property
    def linear(self) -> tuple[float, float, float]:
        """The three parts in linear light, 0 to 1."""
        return (linear_from_code(self.red), linear_from_code(self.green), linear_from_code(self.blue))

    @property
    def hex(self) -> str:
        """The colour as `#rrggbb`."""
        return f"#{self.red:02x}{self.green:02x}{self.blue:02x}"


NAMED: Final = {
    "black": "#000000", "white": "#ffffff", "gray": "#808080", "silver": "#c0c0c0", "dark gray": "#a9a9a9",
    "brown": "#a52a2a", "saddle brown": "#8b4513", "sienna": "#a0522d", "chocolate": "#d2691e", "tan": "#d2b48c",
    "beige": "#f5f5dc", "ivory": "#fffff0", "maroon": "#800000", "dark red": "#8b0000", "firebrick": "#b22222",
    "red": "#ff0000", "crimson": "#dc143c", "coral": "#ff7f50", "orange": "#ffa500", "gold": "#ffd700",
    "yellow": "#ffff00", "olive": "#808000", "dark green": "#006400", "forest green": "#228b22", "green": "#008000",
    "teal": "#008080", "turquoise": "#40e0d0", "steel blue": "#4682b4", "royal blue": "#4169e1", "blue": "#0000ff",
    "navy": "#000080", "indigo": "#4b0082", "purple": "#800080", "plum": "#dda0dd", "pink": "#ffc0cb",
}  # fmt: skip
"""Colours that can be called by name. Source: CSS Color Module Level 4, W3C, named colours (spaces added)."""
_BY_NAME: Final = {name.replace(" ", ""): code for name, code in NAMED.items()}
WHITE: Final = Colour(255, 255, 255)


def parse_colour(text: str, *, what: str = "colour", option: str = "") -> Colour:
    """Return the colour that `#rrggbb`, `#rgb` or one of `NAMED` names; grey is spelled either way.

    Raises:
        SettingsError: The text is neither a name nor six (or three) hexadecimal digits.
    """
    name = "".join(text.casefold().replace("grey", "gray").replace("-", " ").split())
    match = _HEX.fullmatch(_BY_NAME.get(name, text.strip()))
    if match is None:
        of = "" if option else f"{what}: "
        raise SettingsError(
            f"{of}{text[:40]!r} is not a colour.", advice="Write a name such as dark green, or #3b2314.", option=option
        )
    digits = match[1] if len(match[1]) == 6 else "".join(digit * 2 for digit in match[1])
    return Colour(int(digits[:2], 16), int(digits[2:4], 16), int(digits[4:], 16))


def linear_from_code(code: float) -> float:
    """Return the linear light, 0 to 1, of an sRGB code, 0 to 255. Source: IEC 61966-2-1."""
    value = code / 255.0
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def code_from_linear(light: float) -> float:
    """Return the sRGB code, 0 to 255 and unrounded, of a linear light, 0 to 1. Source: IEC 61966-2-1."""
    clipped = min(max(light, 0.0), 1.0)
    value = clipped * 12.92 if clipped <= 0.0031308 else 1.055 * clipped ** (1 / 2.4) - 0.055
    return value * 255.0


def luminance(linear: tuple[float, float, float]) -> float:
    """Return the relative luminance of a linear colour. Source: WCAG 2.1, relative luminance."""
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast_ratio(first_luminance: float, second_luminance: float) -> float:
    """Return the contrast ratio, 1 to 21, of two luminances. Source: WCAG 2.1, contrast ratio."""
    lighter, darker = max(first_luminance, second_luminance), min(first_luminance, second_luminance)
    return (lighter + 0.05) / (darker + 0.05)
