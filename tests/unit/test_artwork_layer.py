"""Artwork on the ground: at its place, at its size, turned, cut and left out over holes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank, Hole
from studio.render.artwork import lay_artwork
from studio.render.background import draw_ground
from studio.render.pixel_grid import PixelWindow, centred_window

BOARD = Blank("board", "rect", 100.0, 60.0)


def quarters(size: int = 40) -> np.ndarray:
    """Return a picture of four colours: red, green over blue, yellow."""
    pixels = np.full((size, size, 4), 255, np.uint8)
    half = size // 2
    pixels[:half, :half, :3] = (255, 0, 0)
    pixels[:half, half:, :3] = (0, 255, 0)
    pixels[half:, :half, :3] = (0, 0, 255)
    pixels[half:, half:, :3] = (255, 255, 0)
    return pixels


def ground_of(
    pixels: np.ndarray,
    setting: ArtworkSetting,
    blank: Blank = BOARD,
    window: PixelWindow | None = None,
    background: str = "white",
) -> np.ndarray:
    """Draw an artwork on a blank with 3 mm of bleed; by default one pixel a millimetre."""
    laid = lay_artwork(setting, pixels, covered_width_mm=blank.width_mm + 6, covered_height_mm=blank.height_mm + 6)
    at = window or centred_window(120, 80, 1.0)
    return draw_ground(laid, blank, bleed_mm=3.0, window=at, background=background)


def own(width_mm: float = 40.0, **changes: float) -> ArtworkSetting:
    """Return the four colours at a width of their own."""
    return ArtworkSetting(Artwork("quarters", "-", 40, 40, width_mm, width_mm), **changes)


def at(ground: np.ndarray, x_mm: float, y_mm: float) -> list[int]:
    """Return the pixel over a point, the origin in the middle, one pixel a millimetre."""
    rows, columns = ground.shape[:2]
    return ground[math.floor(rows / 2 - y_mm), math.floor(columns / 2 + x_mm)].tolist()


def test_a_picture_at_its_own_density_is_copied() -> None:
    """At one pixel a millimetre the stored pixels come through untouched."""
    ground = ground_of(quarters(), own())
    assert np.array_equal(ground[20:60, 40:80], quarters()[..., :3])
    assert (ground[:20] == 255).all()


def test_the_picture_stands_upright_and_moves_up_and_right() -> None:
    """Moved by 20, 10 mm its upper left quarter is red round (10, 20)."""
    ground = ground_of(quarters(), own(x_mm=20.0, y_mm=10.0))
    assert at(ground, 10.5, 19.5) == [255, 0, 0]
    assert at(ground, 30.5, 19.5) == [0, 255, 0]
    assert at(ground, 10.5, 0.5) == [0, 0, 255]


@pytest.mark.parametrize("turn_deg", [90.0, 89.0])
def test_turning_is_counter_clockwise(turn_deg: float) -> None:
    """Turned by a quarter to the left, green stands where red stood; just short of a quarter it is the same."""
    ground = ground_of(quarters(), own(turn_rad=math.radians(turn_deg)))
    assert at(ground, -9.5, 9.5) == [0, 255, 0]
    assert at(ground, 9.5, 9.5) == [255, 255, 0]
    assert at(ground, -9.5, -9.5) == [255, 0, 0]


@pytest.mark.parametrize("size", [40, 160, 13])
def test_a_turned_picture_covers_its_own_area(size: int) -> None:
    """Turned by 30 degrees a 40 mm square covers 1600 square millimetres, stored finer or coarser than the window."""
    pixels = np.zeros((size, size, 4), np.uint8)
    pixels[..., 3] = 255
    setting = ArtworkSetting(Artwork("black", "-", size, size, 40.0, 40.0), turn_rad=math.radians(30))
    clear = ground_of(pixels, setting, background="transparent")
    assert clear[..., 3].sum() / 255 == pytest.approx(1600, rel=0.002)


def test_cover_fills_blank_and_bleed_to_the_edge() -> None:
    """Set to cover, every pixel of blank plus bleed is picture, at full strength to its very edge."""
    pixels = np.zeros((40, 40, 4), np.uint8)
    pixels[..., 3] = 255
    ground = ground_of(pixels, own(fit="cover"))
    inside = ground[7:73, 7:113]
    assert (inside == 0).all()
    assert (ground[:7] == 255).all()
    assert (ground[:, 113:] == 255).all()


def test_scaling_keeps_edges_and_makes_no_fringe() -> None:
    """A picture of one colour, half of it transparent, scaled oddly, has that one colour wherever it is opaque."""
    pixels = np.zeros((37, 37, 4), np.uint8)
    pixels[:, :18] = (200, 40, 10, 255)
    setting = ArtworkSetting(Artwork("half", "-", 37, 37, 50.0, 50.0))
    clear = ground_of(pixels, setting, background="transparent")
    seen = clear[clear[..., 3] > 8]
    assert np.abs(seen[:, :3].astype(int) - (200, 40, 10)).max() <= 3
    assert len(seen) > 1000


def test_holes_are_left_out() -> None:
    """Nothing is printed over a hole, and the share of the pixels at its rim is the hole's area."""
    blank = Blank("board", "rect", 100.0, 60.0, holes=(Hole(10.0, 5.0, 12.0),))
    pixels = np.zeros((40, 40, 4), np.uint8)
    pixels[..., 3] = 255
    clear = ground_of(pixels, own(fit="cover"), blank, background="transparent")
    assert at(clear, 10.5, 5.5) == [0, 0, 0, 0]
    missing = 106 * 66 - clear[..., 3].sum() / 255
    assert missing == pytest.approx(math.pi * 36, rel=0.01)


def test_overlapping_holes_and_one_over_the_rim_stay_holes() -> None:
    """Two holes that overlap, and one that runs over the edge, print nothing anywhere in them."""
    holes = (Hole(0.0, 0.0, 12.0), Hole(5.0, 0.0, 12.0), Hole(50.0, 0.0, 14.0))
    blank = Blank("board", "rect", 100.0, 60.0, holes=holes)
    pixels = np.zeros((40, 40, 4), np.uint8)
    pixels[..., 3] = 255
    ground = ground_of(pixels, own(fit="cover"), blank)
    for x_mm in (2.5, -3.5, 8.5, 46.5, 52.5, 55.5):
        assert at(ground, x_mm, 0.5) == [255, 255, 255]


def test_tiles_leave_no_seam() -> None:
    """A smooth ramp scaled over several tiles has no step at their borders."""
    pixels = np.full((64, 64, 4), 255, np.uint8)
    pixels[..., :3] = (np.arange(64) * 3 + 20)[None, :, None]
    setting = ArtworkSetting(Artwork("ramp", "-", 64, 64, 100.0, 100.0))
    window = centred_window(2400, 40, 24.0)
    ground = ground_of(pixels, setting, window=window)
    steps = np.diff(ground[20, 100:-100, 0].astype(int))
    assert steps.min() >= 0
    assert steps.max() <= 1


def test_half_transparent_ink_on_white_is_mixed_in_light() -> None:
    """Black at half opacity on white keeps half the light: code 188."""
    pixels = np.zeros((40, 40, 4), np.uint8)
    pixels[..., 3] = 128
    assert at(ground_of(pixels, own()), 0.5, 0.5) == pytest.approx([188] * 3, abs=1)


def test_no_artwork_is_bare() -> None:
    """Without an artwork the ground is white, or nothing."""
    window = centred_window(5, 4, 1.0)
    assert (draw_ground(None, BOARD, bleed_mm=3, window=window, background="white") == 255).all()
    assert draw_ground(None, BOARD, bleed_mm=3, window=window, background="transparent").tolist() == [[[0] * 4] * 5] * 4
