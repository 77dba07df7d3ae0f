"""Dye in a surface as scalars: how much of a fine mark survives when its dye spreads, in closed form.

Dye amount runs from 0 (bare) to 1 (solid). A press spreads it as a Gaussian, and light falls off by Beer and Lambert:
light = bare x 10^(-density x amount). That is mixing `dye`. Where a surface only blurs what is seen, as under a film,
light itself spreads: mixing `cover`. Both are models; a test strip tells which is nearer on a given stock.

Pure Python, so that the command line can judge a surface without loading an array library. Sources: the Gaussian's
integrals over a bar, a rectangle and a disc; Yule and Nielsen 1951 (`cover` is their n = 1, `dye` their n without end).
"""

from __future__ import annotations

import math
from typing import Final, Literal, TypeAlias

Mixing: TypeAlias = Literal["dye", "cover"]
Mark: TypeAlias = Literal["line", "slot", "dot", "counter"]
"""Line and dot are of dye on bare ground, slot and counter are bare in a solid; dot and counter are round."""

MIXINGS: Final[tuple[Mixing, ...]] = ("dye", "cover")
DENSITY: Final = 1.1
"""Optical density of a solid over the bare surface where nobody measured it: it keeps 8 % of the light."""
FINE: Final = 0.70
"""Kept contrast from which a mark is fine: grade A of modulation in ISO/IEC 15416."""
LOST: Final = 0.50
"""Kept contrast below which a mark is as good as lost: under grade C of modulation in ISO/IEC 15416."""


def bar_share(width_mm: float, spread_mm: float) -> float:
    """Return the dye amount left at the middle of a long bar, 0 to 1: erf(k / (2 sqrt 2)), k = width / spread."""
    return math.erf(width_mm / (2 * math.sqrt(2) * spread_mm)) if spread_mm > 0 else float(width_mm > 0)


def rectangle_share(width_mm: float, length_mm: float, spread_mm: float, spread_along_mm: float | None = None) -> float:
    """Return the dye amount left at the middle of a rectangle, 0 to 1.

    Args:
        width_mm: One side.
        length_mm: The other.
        spread_mm: Spread in the direction of the width.
        spread_along_mm: Spread in the direction of the length; the same when left out.
    """
    along_mm = spread_mm if spread_along_mm is None else spread_along_mm
    return bar_share(width_mm, spread_mm) * bar_share(length_mm, along_mm)


def dot_share(diameter_mm: float, spread_mm: float) -> float:
    """Return the dye amount left at the middle of a round dot, 0 to 1: 1 - exp(-k^2 / 8), k = diameter / spread."""
    return 1 - math.exp(-((diameter_mm / spread_mm) ** 2) / 8) if spread_mm > 0 else float(diameter_mm > 0)


def light_kept(amount: float, density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return the share of the bare surface's light that a dye amount of 0 to 1 leaves.

    Args:
        amount: The dye amount; with `cover` the share of the place that a solid covers.
        density: Optical density of a solid over the bare surface.
        mixing: Which of the two spreads.
    """
    solid = 10**-density
    return 10 ** (-density * amount) if mixing == "dye" else 1 - amount * (1 - solid)


def ink_kept(amount: float, density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return the contrast that a dye amount has against bare ground, as a share of the solid's, 0 to 1."""
    return (1 - light_kept(amount, density, mixing)) / (1 - 10**-density)


def hole_kept(share: float, density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return the contrast that a hole has against the solid round it, as a share of bare against solid, 0 to 1.

    Args:
        share: What a mark of the hole's shape would keep at its middle; the hole is left with 1 - share of dye.
        density: Optical density of a solid over the bare surface.
        mixing: Which of the two spreads.
    """
    return 1 - ink_kept(1 - share, density, mixing)


def kept(mark: Mark, width_mm: float, spread_mm: float, density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return the contrast that a mark keeps at its middle, 0 to 1.

    Args:
        mark: What it is.
        width_mm: Its width, or its diameter.
        spread_mm: Standard deviation of the spread across it.
        density: Optical density of a solid over the bare surface.
        mixing: What spreads.
    """
    is_round, is_ink = mark in ("dot", "counter"), mark in ("line", "dot")
    share = dot_share(width_mm, spread_mm) if is_round else bar_share(width_mm, spread_mm)
    return ink_kept(share, density, mixing) if is_ink else hole_kept(share, density, mixing)


def spreads_needed(mark: Mark, wanted: float = FINE, density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return how many spreads wide a mark must be to keep a contrast: the inverse of `kept`.

    Args:
        mark: What it is.
        wanted: The contrast to keep, over 0 and under 1.
        density: Optical density of a solid over the bare surface.
        mixing: What spreads.
    """
    is_ink = mark in ("line", "dot")
    light = 1 - (wanted if is_ink else 1 - wanted) * (1 - 10**-density)
    amount = -math.log10(light) / density if mixing == "dye" else (1 - light) / (1 - 10**-density)
    share = amount if is_ink else 1 - amount
    return math.sqrt(-8 * math.log1p(-share)) if mark in ("dot", "counter") else 2 * _normal_quantile((1 + share) / 2)


def growth_spreads(density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return how many spreads a long straight edge moves outwards, told at half the light between bare and solid."""
    return 0.0 if mixing == "cover" else -_normal_quantile(half_light_amount(density, mixing))


def half_light_amount(density: float = DENSITY, mixing: Mixing = "dye") -> float:
    """Return the dye amount that leaves half the light between solid and bare, where an edge is seen to be."""
    return 0.5 if mixing == "cover" else -math.log10((1 + 10**-density) / 2) / density


def spread_towards(angle_rad: float, along_mm: float, across_mm: float) -> float:
    """Return the spread in one direction: the root of n'Sn.

    Args:
        angle_rad: The direction, from the grain.
        along_mm: Spread along the grain.
        across_mm: Spread across it.
    """
    return math.hypot(along_mm * math.cos(angle_rad), across_mm * math.sin(angle_rad))


def _normal_quantile(probability: float) -> float:
    from statistics import NormalDist  # loaded late: help and lists of surfaces do without it

    return NormalDist().inv_cdf(probability)
