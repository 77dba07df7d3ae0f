"""Light and codes: exact rounding, ink mixed in linear light, dye that only darkens."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.basics.colour import Colour, code_from_linear, linear_from_code
from studio.render.pixel_grid import PixelBox
from studio.render.pixels import LINEAR, blend_ink, codes_of, linear_of, mirror, mirrored_box, press

ALL_CODES = np.arange(256, dtype=np.uint8)


def test_every_code_comes_back() -> None:
    """Code to light to code is the identity."""
    assert np.array_equal(codes_of(linear_of(ALL_CODES)), ALL_CODES)


def test_codes_are_the_nearest_ones() -> None:
    """On a fine ladder of light the vectorised code is the scalar formula's, rounded half up."""
    light = np.linspace(0, 1, 20_011, dtype=np.float32)
    expected = [math.floor(code_from_linear(float(value)) + 0.5) for value in light]
    assert codes_of(light).tolist() == expected


def test_each_step_lies_halfway_between_codes() -> None:
    """Just below the light of code k + 0.5 the code is k, just above it is k + 1, for all k."""
    steps = np.array([linear_from_code(code + 0.5) for code in range(255)])
    assert codes_of(steps * (1 - 1e-6)).tolist() == list(range(255))
    assert codes_of(steps * (1 + 1e-6)).tolist() == list(range(1, 256))


def test_light_beyond_the_range_is_clipped() -> None:
    """Light below 0 and above 1 gives the end codes."""
    assert codes_of(np.array([-0.5, 1.5], np.float32)).tolist() == [0, 255]


def test_full_and_no_cover() -> None:
    """Full cover gives the ink's codes, none leaves the pixel as it was."""
    base = np.full((1, 2, 3), 200, np.uint8)
    blend_ink(base, np.array([[255, 0]], np.uint8), Colour(1, 2, 3))
    assert base.tolist() == [[[1, 2, 3], [200, 200, 200]]]


def test_half_cover_mixes_light_not_codes() -> None:
    """Black over half of a white pixel leaves half the light, which is code 188, not 128."""
    base = np.full((1, 1, 3), 255, np.uint8)
    blend_ink(base, np.array([[128]], np.uint8), Colour(0, 0, 0))
    assert base[0, 0].tolist() == [math.floor(code_from_linear(127 / 255) + 0.5)] * 3


def test_ink_on_nothing() -> None:
    """No cover leaves a transparent pixel as it was; full cover gives the ink's codes, opaque."""
    base = np.zeros((1, 2, 4), np.uint8)
    blend_ink(base, np.array([[0, 255]], np.uint8), Colour(10, 20, 30))
    assert base[0].tolist() == [[0, 0, 0, 0], [10, 20, 30, 255]]


@pytest.mark.parametrize("colour", [Colour(59, 35, 20), Colour(10, 20, 30), Colour(250, 240, 10), Colour(0, 0, 0)])
def test_transparent_and_white_backgrounds_agree(colour: Colour) -> None:
    """A transparent picture laid on white by codes, as other programs do, is what inking white directly gives."""
    cover = np.arange(256, dtype=np.uint8)[None]
    clear, white = np.zeros((1, 256, 4), np.uint8), np.full((1, 256, 3), 255, np.uint8)
    blend_ink(clear, cover, colour)
    blend_ink(white, cover, colour)
    share = clear[..., 3:].astype(float) / 255
    laid = np.floor(share * clear[..., :3] + (1 - share) * 255 + 0.5)
    assert np.abs(laid - white).max() <= 1


def test_white_print_shows_the_bare_surface() -> None:
    """Where nothing is printed the surface keeps its own code."""
    surface = Colour(222, 184, 135)
    assert press(np.full((2, 2, 3), 255, np.uint8), surface.linear)[0, 0].tolist() == [222, 184, 135]


def test_print_on_white_is_itself() -> None:
    """On a perfectly white surface every code stays."""
    ramp = np.repeat(ALL_CODES[None, :, None], 3, axis=2)
    assert np.array_equal(press(ramp, (1.0, 1.0, 1.0)), ramp)


def test_flipping_puts_the_last_column_first() -> None:
    """The mirror reverses columns and leaves rows and channels alone."""
    pixels = np.arange(2 * 3 * 3, dtype=np.uint8).reshape(2, 3, 3)
    assert mirror(pixels)[:, 0].tolist() == pixels[:, 2].tolist()
    assert mirrored_box(PixelBox(4, 1, 2, 3), 10) == PixelBox(4, 6, 2, 3)


def test_linear_table_is_the_formula() -> None:
    """The table of light holds the scalar formula's values."""
    assert LINEAR.tolist() == pytest.approx([linear_from_code(code) for code in range(256)], rel=1e-6)
