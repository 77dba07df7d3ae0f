"""The dye model against published laws and figures that no one here wrote."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy import integrate, optimize, special

from studio.model.dye import (
    FINE,
    LOST,
    bar_share,
    dot_share,
    growth_spreads,
    kept,
    light_kept,
    rectangle_share,
    spread_towards,
    spreads_needed,
)


@pytest.mark.parametrize(("spreads", "left"), [(1, 0.38292), (2, 0.68269), (3, 0.86639)])
def test_a_bar_keeps_the_normal_laws_share(spreads: float, left: float) -> None:
    """A bar of k spreads keeps the 68-95-99.7 rule's shares for k/2 deviations. Source: tables of the normal law."""
    assert bar_share(spreads, 1.0) == pytest.approx(left, abs=5e-6)


@pytest.mark.parametrize(("spreads", "left"), [(1, 0.1175), (2, 0.3935), (3, 0.6753), (4, 0.8647)])
def test_a_dot_keeps_rayleighs_share(spreads: float, left: float) -> None:
    """A dot of diameter k keeps Rayleigh's distribution at k/2: 1 - exp(-k^2/8). Source: tables of that law."""
    assert dot_share(spreads, 1.0) == pytest.approx(left, abs=5e-5)


def test_shares_are_the_gaussians_integrals() -> None:
    """Bar and dot shares are what scipy integrates of a Gaussian over a bar and over a disc."""
    bar = integrate.quad(lambda x: math.exp(-x * x / 2) / math.sqrt(2 * math.pi), -0.65, 0.65)[0]
    disc = integrate.quad(lambda r: r * math.exp(-r * r / 2), 0, 0.65)[0]

    assert bar_share(1.3, 1.0) == pytest.approx(bar, abs=1e-12)
    assert dot_share(1.3, 1.0) == pytest.approx(disc, abs=1e-12)
    assert rectangle_share(1.3, 2.0, 1.0) == pytest.approx(bar * special.erf(2 / (2 * math.sqrt(2))), abs=1e-12)


@pytest.mark.parametrize(
    ("mixing", "light"),
    [("cover", 0.54), ("dye", 0.28284)],
)
def test_half_a_cover_gives_yule_nielsens_two_ends(mixing: str, light: float) -> None:
    """Half cover of a solid of 8 % gives 54 % by Murray and Davies (n = 1) and 28.28 % with n without end.

    Source: Yule and Nielsen 1951, R^(1/n) = sum of a R^(1/n); Noffke and Seymour (TAGA) with out-spread area .5 and 1.
    """
    found = light_kept(0.5, -math.log10(0.08), mixing)  # type: ignore[arg-type]

    assert found == pytest.approx(light, abs=5e-6)


def test_yule_nielsen_in_between_lies_in_between() -> None:
    """Yule and Nielsen's n = 2 (41.14 %) lies between the two models, and large n runs to the dye model."""

    def yule_nielsen(n: float) -> float:
        return float((0.5 + 0.5 * 0.08 ** (1 / n)) ** n)

    density = -math.log10(0.08)

    assert yule_nielsen(2) == pytest.approx(0.4114, abs=5e-5)
    assert light_kept(0.5, density, "dye") < yule_nielsen(2) < light_kept(0.5, density, "cover")
    assert yule_nielsen(1e6) == pytest.approx(light_kept(0.5, density, "dye"), abs=1e-5)


@pytest.mark.parametrize(
    ("density", "mixing", "line", "slot", "dot", "counter"),
    [
        (1.1, "cover", (2.073, 1.349), (2.073, 1.349), (3.104, 2.355), (3.104, 2.355)),
        (0.5, "dye", (1.564, 0.945), (2.566, 1.818), (2.583, 1.901), (3.592, 2.846)),
        (0.9, "dye", (1.216, 0.710), (2.902, 2.173), (2.209, 1.612), (3.918, 3.204)),
        (1.1, "dye", (1.072, 0.620), (3.047, 2.333), (2.049, 1.494), (4.058, 3.362)),
        (1.5, "dye", (0.847, 0.485), (3.296, 2.611), (1.783, 1.305), (4.298, 3.635)),
    ],
)
def test_widths_needed_are_those_of_a_numerical_inversion(
    density: float,
    mixing: str,
    line: tuple[float, float],
    slot: tuple[float, float],
    dot: tuple[float, float],
    counter: tuple[float, float],
) -> None:
    """Widths for 70 and 50 % are those that scipy's root finder gets from the integrals, to three digits."""
    solid = 10**-density

    def contrast(amount: Any) -> Any:
        light = 10 ** (-density * amount) if mixing == "dye" else 1 - amount + amount * solid
        return (1 - light) / (1 - solid)

    for mark, wanted in (("line", line), ("slot", slot), ("dot", dot), ("counter", counter)):
        for share, spreads in zip((0.70, 0.50), wanted, strict=True):

            def lacks(k: float, mark: str = mark, share: float = share) -> float:
                in_line = special.ndtr(k / 2) - special.ndtr(-k / 2)
                amount = in_line if mark in ("line", "slot") else special.gammainc(1, k * k / 8)
                return (contrast(amount) if mark in ("line", "dot") else 1 - contrast(1 - amount)) - share

            found = float(optimize.brentq(lacks, 0.01, 20))
            assert found == pytest.approx(spreads, abs=6e-4)
            assert spreads_needed(mark, share, density, mixing) == pytest.approx(spreads, abs=6e-4)  # type: ignore[arg-type]


def test_what_marks_of_three_spreads_keep() -> None:
    """At three spreads, density 1.1: line 96.5, slot 68.8, dot 89.0, hole 39.1 % are kept; a raster agrees."""
    cells, step = 401, 0.05
    place = (np.arange(cells) - cells // 2) * step
    weight = np.exp(-(place**2) / 2)
    weight /= weight.sum()
    bar = float(weight[np.abs(place) <= 1.5].sum())
    plane = weight[:, None] * weight
    disc = float(plane[np.hypot(place[:, None], place) <= 1.5].sum())
    solid = 10**-1.1

    def contrast(amount: float) -> float:
        return (1 - 10 ** (-1.1 * amount)) / (1 - solid)

    for mark, wanted, raster in (
        ("line", 0.965, contrast(bar)),
        ("slot", 0.688, 1 - contrast(1 - bar)),
        ("dot", 0.890, contrast(disc)),
        ("counter", 0.391, 1 - contrast(1 - disc)),
    ):
        assert kept(mark, 3.0, 1.0, 1.1, "dye") == pytest.approx(wanted, abs=6e-4)  # type: ignore[arg-type]
        assert raster == pytest.approx(wanted, abs=0.015)


@pytest.mark.parametrize(("density", "spreads"), [(0.5, 0.3494), (0.9, 0.5910), (1.1, 0.6951), (1.5, 0.8717)])
def test_an_edge_grows_to_where_half_the_light_is_left(density: float, spreads: float) -> None:
    """An edge told at half light stands where Beer's law leaves half: scipy's normal law finds the same place."""
    amount = -math.log10((1 + 10**-density) / 2) / density

    assert growth_spreads(density) == pytest.approx(spreads, abs=6e-5)
    assert growth_spreads(density) == pytest.approx(-float(special.ndtri(amount)), abs=1e-9)


@pytest.mark.parametrize(("degrees", "spread"), [(5, 0.34935), (95, 0.25091), (40, 0.31259), (130, 0.29545)])
def test_the_spread_in_a_direction_is_the_covariances(degrees: float, spread: float) -> None:
    """The spread towards a direction n is the root of n'Sn. Source: the variance of a linear form."""
    towards = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    covariance = np.diag([0.35**2, 0.25**2])

    assert spread_towards(math.radians(degrees), 0.35, 0.25) == pytest.approx(spread, abs=6e-6)
    assert spread_towards(math.radians(degrees), 0.35, 0.25) == pytest.approx(
        math.sqrt(towards @ covariance @ towards), abs=1e-12
    )


def test_the_thresholds_are_the_bar_codes_grades() -> None:
    """Fine is grade A of modulation, lost is below grade C. Source: ISO/IEC 15416, grades at 70, 60, 50 and 40 %."""
    assert (FINE, LOST) == (0.70, 0.50)
