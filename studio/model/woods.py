"""The woods that a proof can be shown in: their colour, and how lively their figure is.

Colours and figure were set by eye on simulated boards, no source; a maker's own board differs from any of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood as a flat sawn board shows it. Depths are in natural logarithms of light.

    Attributes:
        name: Its name in options and settings.
        colour: Its mean colour, bare and sanded.
        ring_mm: Mean width of a year's ring.
        ring_depth: How much darker late wood is than early wood.
        late_share: Share of a ring's width over which it darkens, towards its end.
        band_depth: Broad bands of tone, 90 x 7 mm.
        streak_depth: Streaks of tone, 22 x 0.8 mm.
        fibre_depth: Fibres, 7 x 0.16 mm.
        pore_share: Share of places that hold a pore's dark stroke.
        pore_depth: How dark these are.
        pore_mm: Their length.
        pith_mm: How deep below the face the middle of the trunk lies: less makes stronger arches.
    """

    name: str
    colour: Colour
    ring_mm: float
    ring_depth: float
    late_share: float
    band_depth: float
    streak_depth: float
    fibre_depth: float
    pore_share: float
    pore_depth: float
    pore_mm: float
    pith_mm: float


WOODS: Final[dict[str, Wood]] = {
    wood.name: wood
    for wood in (
        Wood("maple", Colour(0xE2, 0xC6, 0x9C), 4.2, 0.105, 0.32, 0.018, 0.014, 0.024, 0.010, 0.11, 1.0, 46.0),
        Wood("birch", Colour(0xDC, 0xBF, 0x94), 3.4, 0.12, 0.45, 0.034, 0.024, 0.032, 0.022, 0.18, 2.6, 38.0),
        Wood("basswood", Colour(0xE8, 0xD3, 0xAF), 5.5, 0.055, 0.50, 0.016, 0.010, 0.016, 0.003, 0.07, 1.6, 60.0),
        Wood("pine", Colour(0xE6, 0xC2, 0x8A), 4.4, 0.40, 0.55, 0.034, 0.026, 0.036, 0.003, 0.14, 4.0, 32.0),
    )
}
"""Wood by name."""


def wood_named(name: str) -> Wood:
    """Return the wood of a name.

    Raises:
        SettingsError: There is none of that name.
    """
    if name not in WOODS:
        raise SettingsError(
            f"There is no wood called {name[:40]!r}; known are {', '.join(WOODS)} and none.",
            advice="Take the one nearest to your blank: only its picture in the proof depends on it.",
            option="wood",
        )
    return WOODS[name]
