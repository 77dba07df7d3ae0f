"""Dye as optical density: print codes to dye amounts, spread amounts and tone to the codes that are seen.

Densities add where lights multiply, so a pressed pixel is one sum and one look-up: its wood's tone and its dye's
density. Amounts are kept in steps of 1/8192, densities in steps of 1/4096.

Invariant: no channel is lighter than the same pixel's bare wood. White takes no dye.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour, linear_from_code
from studio.model.dye import Mixing

TONE_SHARES: Final = (0.72, 1.0, 1.45)
"""What a tone does to red, green and blue: late wood is warmer as well as darker. Set by eye, no source."""
AMOUNT_STEPS: Final = 8192
COVER_STEPS: Final = 4096
_DENSITY_STEPS: Final = 4096
_LIGHTEST: Final = 0.5
"""Density by which the lightest grain may be lighter than the mean colour."""
_DARKEST: Final = 6.0


@dataclass(frozen=True, slots=True)
class Dye:
    """What dye does on a surface: how dark a solid is there, and what spreads."""

    density: float
    mixing: Mixing = "dye"


def amount_of_light(light: float, dye: Dye) -> float:
    """Return the dye amount, 0 to 1, that a print of so much linear light, 0 to 1, lays down.

    A solid keeps 10^-density of the light, so the print's light is brought into that range: what the printer calls
    black is as dark as the dye gets. With `cover` the amount is the share of the place that a solid covers.
    """
    solid = 10**-dye.density
    return 1 - light if dye.mixing == "cover" else -math.log10(solid + (1 - solid) * light) / dye.density


@lru_cache(maxsize=16)
def amounts_by_code(dye: Dye) -> NDArray[np.float32]:
    """Return the dye amount of each code of a channel, shape (256,)."""
    return np.array([amount_of_light(linear_from_code(code), dye) for code in range(256)], np.float32)


def amounts_of_colour(colour: Colour, dye: Dye) -> tuple[float, float, float]:
    """Return the dye amounts of an ink's red, green and blue."""
    red, green, blue = (amount_of_light(light, dye) for light in colour.linear)
    return red, green, blue


@lru_cache(maxsize=16)
def _densities_by_amount(dye: Dye) -> NDArray[np.int32]:
    """Return the density of each amount in 8192 steps, in density steps, shape (8193,)."""
    amount = np.arange(AMOUNT_STEPS + 1) / AMOUNT_STEPS
    covered = dye.mixing == "cover"
    density = -np.log10(1 - amount * (1 - 10**-dye.density)) if covered else dye.density * amount
    return np.round(density * _DENSITY_STEPS).astype(np.int32)


def stepped(amount: NDArray[np.float32]) -> NDArray[np.int16]:
    """Return amounts, or changes of them, in steps of 1/8192, of the same shape."""
    steps: NDArray[np.int16] = np.rint(amount * np.float32(AMOUNT_STEPS)).astype(np.int16)
    return steps


def tone_densities(tone: NDArray[np.float32]) -> NDArray[np.int16]:
    """Return a figure's tone as densities of red, green and blue, shape (3, rows, columns)."""
    planes = np.empty((3, *tone.shape), np.int16)
    for plane, share in zip(planes, TONE_SHARES, strict=True):
        density = np.clip(tone * np.float32(share / math.log(10)), -_LIGHTEST, _LIGHTEST)
        np.rint(density * _DENSITY_STEPS, out=density)
        plane[:] = density
    return planes


@lru_cache(maxsize=512)
def inked_densities(ink: float, under: float, settled: int, dye: Dye) -> NDArray[np.int16]:
    """Return what to look up for each cover of an ink on plain ground, in 4096 steps of cover, shape (4097,).

    It is the dye's density, counted from where `codes_of_density` begins; the wood's tone is still to be added.

    Args:
        ink: The ink's dye amount in one channel.
        under: That of the ground as printed.
        settled: That of the ground once spread, in amount steps.
        dye: What the dye does there.
    """
    change = np.rint((ink - under) * AMOUNT_STEPS / COVER_STEPS * np.arange(COVER_STEPS + 1))
    density = _densities_by_amount(dye).take((settled + change).astype(np.int64), mode="clip")
    counted: NDArray[np.int16] = (density + int(_LIGHTEST * _DENSITY_STEPS)).astype(np.int16)
    return counted


def seen_codes(
    amount: NDArray[np.int16], tone: NDArray[np.int16] | None, base_light: float, dye: Dye
) -> NDArray[np.uint8]:
    """Return the codes of one channel once pressed.

    Args:
        amount: Dye in steps, any shape; what lies outside 0 to 8192 is taken as the nearer end.
        tone: The wood's tone as a density, of the same shape; `None` for a flat ground.
        base_light: The channel's linear light on the bare ground.
        dye: What the dye does there.
    """
    density = _densities_by_amount(dye).take(amount, mode="clip")
    if tone is not None:
        density += tone
    density += int(_LIGHTEST * _DENSITY_STEPS)
    return codes_of_density(base_light).take(density, mode="clip")


@lru_cache(maxsize=64)
def codes_of_density(base_light: float) -> NDArray[np.uint8]:
    """Return the code at each density step, from the lightest grain to where nothing is left to see.

    Args:
        base_light: The channel's linear light on the bare ground.
    """
    density = np.arange(int((_LIGHTEST + _DARKEST) * _DENSITY_STEPS)) / _DENSITY_STEPS - _LIGHTEST
    light = np.minimum(base_light * 10**-density, 1.0)
    steps = np.array([linear_from_code(code + 0.5) for code in range(255)])
    return np.searchsorted(steps, light, side="right").astype(np.uint8)
