"""Baselines: circles in closed form, and offsets of an oval's rim by arc length."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipe

from studio.geometry.shapes import Rim
from studio.layout.baselines import CircleTrack, rim_track


@pytest.mark.parametrize("side", [1, -1])
def test_a_quarter_of_a_circle(side: int) -> None:
    """A quarter of the way round to the right is (80, 0) on either side, turned by a quarter."""
    x, y, turn = CircleTrack(80, side).frames(np.array([0.0, 80 * math.pi / 2]))
    assert x == pytest.approx([0, 80], abs=1e-12)
    assert y == pytest.approx([side * 80, 0], abs=1e-12)
    assert turn == pytest.approx([0, -side * math.pi / 2], abs=1e-12)
    assert CircleTrack(80, side).half_length_mm == pytest.approx(80 * math.pi)


@pytest.mark.parametrize("side", [1, -1])
def test_a_round_oval_is_a_circle(side: int) -> None:
    """The track of an oval as wide as high, 20 mm inside, is the circle of 80 mm."""
    track, circle = rim_track(Rim("oval", 200, 200), 20, side), CircleTrack(80, side)
    assert track is not None
    along = np.linspace(-150, 150, 41)
    for got, expected in zip(track.frames(along), circle.frames(along), strict=True):
        assert got == pytest.approx(expected, abs=1e-4)
    assert track.radius_mm(along) == pytest.approx(80)


def test_the_rim_of_an_oval_is_as_long_as_its_elliptic_integral() -> None:
    """Half the rim of a 300 x 200 mm oval is 2 a E(1 - b²/a²), the complete elliptic integral of the second kind."""
    track = rim_track(Rim("oval", 300, 200), 0, 1)
    assert track is not None
    assert track.half_length_mm == pytest.approx(2 * 150 * ellipe(1 - (100 / 150) ** 2), rel=1e-6)


@pytest.mark.parametrize("depth_mm", [0.0, 12.0, 40.0])
@pytest.mark.parametrize("side", [1, -1])
def test_a_track_keeps_its_depth(depth_mm: float, side: int) -> None:
    """Every point of the track is `depth_mm` inside the rim, and moves along its own direction by the way given."""
    rim = Rim("oval", 300, 200)
    track = rim_track(rim, depth_mm, side)
    assert track is not None
    along = np.linspace(-100, 100, 101)
    x, y, turn = track.frames(along)
    assert rim.depth_mm(np.stack([x, y], -1)) == pytest.approx(depth_mm, abs=1e-3)
    step = 1e-2
    ahead = track.frames(along + step)
    assert (ahead[0] - x) / step == pytest.approx(np.cos(turn), abs=5e-3)
    assert (ahead[1] - y) / step == pytest.approx(np.sin(turn), abs=5e-3)


def test_no_track_beyond_the_centre_of_curvature() -> None:
    """In the middle of an oval's long side the rim's radius is a²/b = 225 mm: deeper than that there is no track."""
    assert rim_track(Rim("oval", 300, 200), 226, 1) is None
    assert rim_track(Rim("oval", 300, 200), 200, 1) is not None
