"""The wood's bits, its spread and its picture against published vectors and reference libraries."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy import ndimage
from skimage.filters import gaussian

from studio.render.wood.counter_bits import counted_bits, counted_shares
from studio.render.wood.spreading import Spread, spread_dye

MASK = 2**64 - 1


def test_the_bits_are_philoxs_known_answers() -> None:
    """Philox4x64-10 of key 0 and counter 0 gives the published words. Source: Random123, file kat_vectors."""
    assert [f"{int(word):016x}" for word in counted_bits(0, 4)] == [
        "16554d9eca36314c",
        "db20fe9d672d0fdc",
        "d7e772cee186176b",
        "7e68b68aec7ba23b",
    ]


@pytest.mark.parametrize(
    ("counter", "key", "words"),
    [
        (
            2**256 - 1,
            2**128 - 1,
            ("87b092c3013fe90b", "438c3c67be8d0224", "9cc7d7c69cd777b6", "a09caebf594f0ba0"),
        ),
        (
            0x082EFA98EC4E6C89_A4093822299F31D0_13198A2E03707344_243F6A8885A308D3,
            0xBE5466CF34E90C6C_452821E638D01377,
            ("a528f45403e61d95", "38c72dbd566e9788", "a5a1610e72fd18b5", "57bd43b5e52b7fe6"),
        ),
    ],
)
def test_other_known_answers(counter: int, key: int, words: tuple[str, ...]) -> None:
    """Philox4x64-10 of all ones, and of the digits of pi, gives the published words. Source: Random123, kat_vectors."""
    assert tuple(f"{int(word):016x}" for word in counted_bits(key, 4, counter)) == words


def test_the_bits_are_what_the_paper_computes() -> None:
    """The bits are those of Philox written out from its paper: ten rounds of two multiplications and a key schedule.

    Source: Salmon, Moraes, Dror, Shaw, 'Parallel random numbers: as easy as 1, 2, 3', SC'11.
    """

    def philox(counter: int, key: int) -> list[int]:
        x = [counter >> (64 * place) & MASK for place in range(4)]
        k = [key & MASK, key >> 64]
        for _ in range(10):
            first, second = 0xD2E7470EE14C6C93 * x[0], 0xCA5A826395121157 * x[2]
            x = [(second >> 64) ^ x[1] ^ k[0], second & MASK, (first >> 64) ^ x[3] ^ k[1], first & MASK]
            k = [(k[0] + 0x9E3779B97F4A7C15) & MASK, (k[1] + 0xBB67AE8584CAA73B) & MASK]
        return x

    key = (3 << 64) + 5
    words = [word for counter in range(3) for word in philox(counter, key)]

    assert [int(word) for word in counted_bits(key, 12)] == words


def test_counted_shares_are_even() -> None:
    """A hundred thousand shares of a key pass the Kolmogorov-Smirnov test at 1 %: D under 1.63 / sqrt(n)."""
    shares = np.sort(counted_shares(7, (100_000,)).astype(float))
    steps = np.arange(1, 100_001) / 100_000

    assert max(np.abs(steps - shares).max(), np.abs(steps - 1e-5 - shares).max()) < 1.63 / math.sqrt(100_000)


@pytest.mark.parametrize("deviation", [1.2, 2.5, 6.0])
def test_a_plain_spread_is_scipys_and_skimages(deviation: float) -> None:
    """Without a turn dye spreads as scipy's and scikit-image's Gaussian filters blur, to 0.4 % of a solid."""
    picture = np.zeros((120, 160), np.float32)
    picture[40:80, 30:130] = 1
    picture[50:56, 60:100] = 0

    ours = spread_dye(picture, Spread(deviation, deviation))
    blurred: Any = gaussian

    assert np.abs(ours - ndimage.gaussian_filter(picture, deviation, mode="nearest", truncate=5)).max() < 0.004
    assert np.abs(ours - blurred(picture, deviation, mode="nearest", truncate=5)).max() < 0.004


@pytest.mark.parametrize("degrees", [0, 15, 45, 70, 90, 120, 179])
def test_a_turned_spread_has_the_covariance_asked_for(degrees: float) -> None:
    """A point spreads with covariance R diag(a^2, c^2) R', to 0.3 %, and keeps its sum. Source: linear algebra."""
    turn = math.radians(degrees)
    point = np.zeros((161, 161), np.float32)
    point[80, 80] = 1

    spread = spread_dye(point, Spread(4.0, 2.4, turn)).astype(float)

    down, across = np.mgrid[:161, :161] - 80
    up = -down
    found = np.array(
        [
            [(spread * across**2).sum(), (spread * across * up).sum()],
            [(spread * across * up).sum(), (spread * up**2).sum()],
        ]
    )
    turned = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    wanted = turned @ np.diag([16.0, 5.76]) @ turned.T
    assert spread.sum() == pytest.approx(1.0, abs=1e-5)
    assert np.abs(found - wanted).max() < 0.003 * 16


def test_a_turned_spread_is_a_true_gaussian() -> None:
    """At a turn of 30 degrees the spread of a point is the Gaussian's density, to 1.5 % of its peak."""
    turn = math.radians(30)
    point = np.zeros((121, 121), np.float32)
    point[60, 60] = 1

    spread = spread_dye(point, Spread(5.0, 3.0, turn))

    down, across = np.mgrid[:121, :121] - 60
    along = across * math.cos(turn) - down * math.sin(turn)
    aside = -across * math.sin(turn) - down * math.cos(turn)
    density = np.exp(-0.5 * (along**2 / 25 + aside**2 / 9)) / (2 * math.pi * 15)
    assert np.abs(spread - density).max() < 0.015 * density.max()


def test_a_spread_edge_has_the_gaussians_distances() -> None:
    """A spread edge runs from 10 to 90 % over 2.5631 deviations. Source: tables of the normal law."""
    edge = np.zeros((8, 400), np.float32)
    edge[:, 200:] = 1

    row = spread_dye(edge, Spread(10.0, 10.0))[4].astype(float)

    low, high = (float(np.interp(level, row[150:250], np.arange(150, 250))) for level in (0.1, 0.9))
    assert high - low == pytest.approx(25.631, rel=0.002)
