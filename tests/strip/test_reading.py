"""Photos of the strip read: simulated captures, whose truth is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.basics.errors import PictureError
from studio.strip.layout import RINGS_MM
from studio.strip.reading import StripReading, read_reference, read_strip
from tests.strip.simulator import Camera, Press, drawn_case, hard_case, photographed, pressed

Codes = NDArray[np.uint8]
Shoot = Callable[[Camera], Codes]


def covered(photo: Codes, reading: StripReading, ring: int) -> Codes:
    """The photo with a coin over a ring."""
    coin = photo.copy()
    x, y = reading.pose.to_px(np.array([RINGS_MM[ring]]))[0]
    row, column = np.mgrid[: coin.shape[0], : coin.shape[1]]
    coin[np.hypot(column - x, row - y) < 6 * reading.px_per_mm] = (90, 92, 95)
    return coin


def test_a_fair_photo_tells_both_spreads_and_what_spreads(reading: StripReading) -> None:
    """A photo at 15 pixels a mm gives the spread within 2 % along and 3 % across, and tells dye from light."""
    assert reading.spread.along_mm == pytest.approx(0.35, rel=0.02)
    assert reading.spread.across_mm == pytest.approx(0.25, rel=0.03)
    assert reading.mixing == "dye"
    assert reading.density == pytest.approx(1.1, abs=0.03)
    assert not reading.is_mirrored
    assert reading.pose.turn_deg == pytest.approx(12, abs=1)
    assert len(reading.pose.rings) == 7


def test_a_clean_picture_is_read_within_one_percent(png: bytes) -> None:
    """Without grain, noise or lens both spreads are told within 1 %; a wrong model puts edges 0.7 spreads off."""
    scene = pressed(png, Press(texture=0.0), 1)
    reading = read_strip(photographed(scene, Camera(px_per_mm=20), 1))

    assert reading.spread.along_mm == pytest.approx(0.35, rel=0.01)
    assert reading.spread.across_mm == pytest.approx(0.25, rel=0.01)
    assert abs(reading.spread.offset_mm) < 0.02
    light = reading.mixed.spreads["cover"]
    assert 0.55 < light.offset_mm / np.hypot(light.along_mm, light.across_mm) * np.sqrt(2) < 0.75


def test_light_that_blurs_is_told_from_dye_that_spreads(png: bytes) -> None:
    """Where only light is blurred the reader says so, and edges do not grow."""
    scene = pressed(png, Press(along_mm=0.3, across_mm=0.2, mixing="cover", texture=0.03), 5)
    reading = read_strip(photographed(scene, Camera(px_per_mm=15, turn_deg=-70, noise=0.006, jpeg=85), 5))

    assert reading.mixing == "cover"
    assert abs(reading.growth_mm) < 0.02
    assert reading.spread.along_mm == pytest.approx(0.3, rel=0.05)
    assert reading.spread.across_mm == pytest.approx(0.2, rel=0.10)


def test_a_quarter_turn_changes_nothing(photo: Codes, reading: StripReading) -> None:
    """The same picture turned by 90 degrees gives the same figures."""
    turned = read_strip(np.ascontiguousarray(np.rot90(photo)))

    assert turned.spread.along_mm == pytest.approx(reading.spread.along_mm, rel=0.005)
    assert turned.spread.across_mm == pytest.approx(reading.spread.across_mm, rel=0.005)
    assert turned.pose.turn_deg == pytest.approx(reading.pose.turn_deg + 90, abs=0.1)


def test_a_mirrored_strip_is_told(photo: Codes, reading: StripReading) -> None:
    """A strip seen left for right is read all the same, and said to be mirrored."""
    mirrored = read_strip(np.ascontiguousarray(photo[:, ::-1]))

    assert mirrored.is_mirrored
    assert any("printed unmirrored" in remark for remark in mirrored.remarks)
    assert mirrored.spread.along_mm == pytest.approx(reading.spread.along_mm, rel=0.005)


@pytest.mark.parametrize("ring", [0, 2, 5, 6])
def test_a_covered_ring_does_no_harm(photo: Codes, reading: StripReading, ring: int) -> None:
    """With any one ring under a coin, a corner or the one that tells up from down, the figures stay within 1 %."""
    found = read_strip(covered(photo, reading, ring))

    assert ring not in found.pose.rings
    assert len(found.pose.rings) == 6
    assert not found.is_mirrored
    assert found.spread.along_mm == pytest.approx(reading.spread.along_mm, rel=0.01)
    assert found.spread.across_mm == pytest.approx(reading.spread.across_mm, rel=0.01)


def test_two_covered_rings_are_too_many(photo: Codes, reading: StripReading) -> None:
    """With two rings covered the picture is refused, and the sentence says how many are needed."""
    once = covered(photo, reading, 0)
    with pytest.raises(PictureError, match="Only 5 of the strip's 7 ring marks were found; 6 are needed"):
        read_strip(covered(once, reading, 3))


def test_half_a_strip_is_refused(photo: Codes) -> None:
    """Half of the strip is refused with the number of rings that were found."""
    with pytest.raises(PictureError, match="ring marks"):
        read_strip(photo[:, : photo.shape[1] // 2])


@pytest.mark.parametrize("kind", ["black", "noise", "tiny", "wood"])
def test_no_strip_is_said_in_a_sentence(kind: str, wood: NDArray[np.float32]) -> None:
    """A picture without a strip gives one sentence and what to do."""
    rng = np.random.default_rng(1)
    pictures = {
        "black": np.zeros((400, 600, 3), np.uint8),
        "noise": rng.integers(0, 255, (500, 700, 3)).astype(np.uint8),
        "tiny": np.full((5, 5, 3), 200, np.uint8),
        "wood": (255 * np.clip(wood[:300], 0, 1) ** 0.45).astype(np.uint8),
    }
    with pytest.raises(PictureError, match="no test strip in this picture") as refused:
        read_strip(pictures[kind])
    assert "Photograph" in refused.value.advice


def test_the_print_file_itself_is_no_photo(png: bytes) -> None:
    """The print file, or a screenshot of it, is refused as a drawing."""
    import io

    from PIL import Image

    drawn = np.asarray(Image.open(io.BytesIO(png)).convert("RGB").resize((1890, 1103)))
    with pytest.raises(PictureError, match="drawing of the strip, or a screenshot"):
        read_strip(drawn)


def test_eight_pixels_a_mm_are_read_within_the_stated_error(shoot: Shoot) -> None:
    """At 8 pixels a mm the figures are within the error that is stated, and more pixels are asked for."""
    reading = read_strip(shoot(Camera(px_per_mm=8.3, turn_deg=3, noise=0.005, jpeg=85)))

    assert abs(reading.spread.along_mm - 0.35) <= reading.spread.along_error_mm
    assert abs(reading.spread.across_mm - 0.25) <= reading.spread.across_error_mm
    assert any("pixels a mm are few" in remark for remark in reading.remarks)


def test_a_small_strip_is_refused_with_its_density(shoot: Shoot) -> None:
    """At 6 pixels a mm the picture is refused; the sentence says how many there are and how many are needed."""
    with pytest.raises(PictureError, match=r"too small in the picture: [56]\.\d pixels a mm, at least 8 are needed"):
        read_strip(shoot(Camera(px_per_mm=6, noise=0.004)))


def test_an_overexposed_picture_is_refused(shoot: Shoot) -> None:
    """Wood at the top of the scale is refused, since nothing can be compared to it."""
    with pytest.raises(PictureError, match="overexposed"):
        read_strip(shoot(Camera(px_per_mm=12, exposure=1.5, noise=0.004)))


def test_a_reference_takes_off_camera_and_paper(png: bytes) -> None:
    """With the same strip on paper, a soft lens and ink that grew on the paper do not count as the wood's."""
    camera = Camera(px_per_mm=15, turn_deg=4, blur_px=1.6, noise=0.004, jpeg=90)
    grown = Press(along_mm=0.14, across_mm=0.10, wood="factory", texture=0.005, grown_mm=0.03)
    paper = Press(along_mm=0.001, across_mm=0.001, wood="factory", texture=0.0, grown_mm=0.03, mirrored_by_mistake=True)
    photo = photographed(pressed(png, grown, 2), camera, 2)
    reference = read_reference(photographed(pressed(png, paper, 3), camera, 3))
    plain, referred = read_strip(photo), read_strip(photo, reference=reference)

    assert abs(referred.spread.along_mm - 0.14) < 0.012
    assert abs(referred.spread.along_mm - 0.14) < abs(plain.spread.along_mm - 0.14)
    assert referred.mixing == "dye"
    assert reference.grown_mm == pytest.approx(0.03, abs=0.02)


@pytest.mark.parametrize("seed", [1001])
def test_drawn_captures_are_read(png: bytes, seed: int) -> None:
    """Captures drawn at random, 15 pixels a mm and up: found, spread within 5 % along and 10 % across, model right."""
    press, camera = drawn_case(seed, (15.0, 16.0))
    reading = read_strip(photographed(pressed(png, press, seed), camera, seed))

    assert reading.spread.along_mm == pytest.approx(press.along_mm, rel=0.05)
    assert reading.spread.across_mm == pytest.approx(press.across_mm, rel=0.10)
    assert reading.mixing == press.mixing
    assert reading.is_mirrored == press.mirrored_by_mistake


@pytest.mark.slow
@pytest.mark.parametrize("seed", [7])
def test_hard_captures_are_found(png: bytes, seed: int) -> None:
    """Strong figure, faint dye, a checked cloth, shadow and glare: the strip is found the right way round."""
    press, camera = hard_case(seed)
    reading = read_strip(photographed(pressed(png, press, seed), replace(camera, px_per_mm=12.5), seed))

    assert reading.is_mirrored == press.mirrored_by_mistake
    assert reading.spread.along_mm == pytest.approx(press.along_mm, rel=0.08)


@pytest.mark.slow
def test_fifty_megapixels_are_read(photo: Codes, reading: StripReading) -> None:
    """A photo of 50 million pixels is read like a smaller one."""
    from PIL import Image

    size = (photo.shape[1] * 4, photo.shape[0] * 4)
    large = np.asarray(Image.fromarray(photo).resize(size, Image.Resampling.BICUBIC))
    found = read_strip(large)

    assert large.shape[0] * large.shape[1] > 48_000_000
    assert found.spread.along_mm == pytest.approx(reading.spread.along_mm, rel=0.05)
