"""Laws of pixels that hold for any picture."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from studio.basics.colour import Colour
from studio.render.pixel_grid import PixelBox
from studio.render.pixels import blend_ink, mirror, mirror_in_place, mirrored_box, press

CODES = st.integers(0, 255)
COLOURS = st.builds(Colour, CODES, CODES, CODES)
PICTURES = arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9), st.sampled_from((3, 4))))


@given(PICTURES)
def test_mirroring_twice_changes_nothing(pixels: np.ndarray) -> None:
    """The flip is its own inverse, bit for bit."""
    assert np.array_equal(mirror(mirror(pixels)), pixels)


@given(PICTURES)
def test_mirroring_in_place_is_mirroring(pixels: np.ndarray) -> None:
    """The flip in place gives the same picture as the flip to a new one."""
    flipped = pixels.copy()
    mirror_in_place(flipped)
    assert np.array_equal(flipped, mirror(pixels))


@given(PICTURES, st.data())
def test_a_block_mirrors_to_its_mirrored_box(pixels: np.ndarray, data: st.DataObject) -> None:
    """Cutting a block and flipping it is cutting its mirrored box from the flipped picture."""
    rows, columns = pixels.shape[:2]
    top, left = data.draw(st.integers(0, rows - 1)), data.draw(st.integers(0, columns - 1))
    box = PixelBox(top, left, data.draw(st.integers(1, rows - top)), data.draw(st.integers(1, columns - left)))
    turned = mirrored_box(box, columns)
    assert np.array_equal(mirror(pixels[box.rows, box.columns]), mirror(pixels)[turned.rows, turned.columns])


@given(COLOURS, COLOURS, st.integers(0, 255))
def test_a_blend_lies_between_ground_and_ink(ground: Colour, ink: Colour, cover: int) -> None:
    """No channel of a blend leaves the span from the ground's code to the ink's."""
    base = np.array([[ground.rgb]], np.uint8)
    blend_ink(base, np.array([[cover]], np.uint8), ink)
    for got, low, high in zip(base[0, 0].tolist(), ground.rgb, ink.rgb, strict=True):
        assert min(low, high) <= got <= max(low, high)


@given(COLOURS, COLOURS, COLOURS)
def test_dye_only_darkens(surface: Colour, first: Colour, second: Colour) -> None:
    """A pressed print is nowhere lighter than the bare surface, and more dye is nowhere lighter than less."""
    lighter = np.maximum(first.rgb, second.rgb).astype(np.uint8)
    darker = np.minimum(first.rgb, second.rgb).astype(np.uint8)
    pressed = press(np.stack((darker, lighter))[None], surface.linear)[0]
    assert (pressed[0] <= pressed[1]).all()
    assert (pressed[1] <= np.array(surface.rgb)).all()
