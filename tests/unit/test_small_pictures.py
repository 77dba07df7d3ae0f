"""Pictures of odd sizes and turns: a speck, a ribbon, and a stated open area that is turned with its picture."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from studio.basics.errors import SettingsError
from studio.geometry.shapes import circle
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.render.artwork import lay_artwork
from studio.render.coverage import coverage
from studio.render.pixel_grid import centred_window
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def planned(text: str, **values: Value) -> Plan:
    """Return a sign, fitted and checked."""
    return plan(build_sign(text, values, catalogue()), assets(), remedies=False)


def test_a_picture_printed_as_a_speck_is_refused() -> None:
    """A width of 1 mm is refused before any picture is read, with the least that is made."""
    with pytest.raises(SettingsError, match="1 mm is not possible"):
        build_sign("Ada", {"artwork": "pine-ring", "artwork_fit": "1mm"}, catalogue())


def test_a_small_picture_takes_no_more_memory_than_a_large_one() -> None:
    """1200 pixels printed 4 mm wide are laid in a 1024 pixel tile within 60 MB: its own place alone is worked on."""
    pixels = np.full((1200, 1200, 4), 200, np.uint8)
    setting = ArtworkSetting(Artwork("a", "a", 1200, 1200), "width", 4.0)
    laid = lay_artwork(setting, pixels, covered_width_mm=260, covered_height_mm=260)
    window = centred_window(1024, 1024, 300 / 25.4)
    tracemalloc.start()
    tile = laid.tile(window)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert tile.shape == (1024, 1024, 4)
    assert most < 60e6


def test_a_small_picture_looks_as_it_does_in_a_small_window() -> None:
    """Where the picture is, working on its own place alone gives the pixels that a window just round it has."""
    rows, columns = np.mgrid[:600, :600]
    pixels = np.dstack([rows % 256, columns % 256, (rows + columns) % 256, np.full_like(rows, 255)]).astype(np.uint8)
    laid = lay_artwork(
        ArtworkSetting(Artwork("a", "a", 600, 600), "width", 4.0), pixels, covered_width_mm=9, covered_height_mm=9
    )
    large, small = laid.tile(centred_window(1024, 1024, 10.0)), laid.tile(centred_window(40, 40, 10.0))

    assert np.abs(large[492:532, 492:532].astype(int) - small).max() <= 1


def test_a_ribbon_of_a_picture_gets_its_sentence(tmp_path: Path) -> None:
    """A picture four thousand times as wide as high, made to cover the blank, is refused for its coarseness."""
    file = tmp_path / "ribbon.png"
    Image.fromarray(np.full((3, 12000, 4), 120, np.uint8)).save(file)
    made = planned("Ada", artwork=str(file), artwork_fit="cover")
    (told,) = [one for one in made.findings if one.code == "artwork-too-coarse"]

    assert made.status == "refused"
    assert "0mm" not in told.remedy and not told.offers


def test_an_outline_that_reaches_far_beyond_the_window_is_filled() -> None:
    """A rectangle a kilometre wide covers a window within it wholly, and a circle of that size too."""
    window = centred_window(50, 40, 12.0)
    far = np.array([(-5e5, -1.0), (5e5, -1.0), (5e5, 1.0), (-5e5, 1.0)])

    assert (coverage((far,), window)[16:24] == 255).all()
    assert coverage((circle(0.0, 0.0, 5e5),), window).min() == 255


@pytest.fixture
def stated(tmp_path: Path) -> str:
    """Return the path of a picture whose own file states a low, wide open area off its middle."""
    Image.fromarray(np.full((1000, 1000, 4), 90, np.uint8)).save(tmp_path / "scene.png")
    (tmp_path / "scene.toml").write_text(
        "width_mm = 260\nheight_mm = 260\n[open_area]\nx_mm = 20\ny_mm = -35\nwidth_mm = 120\nheight_mm = 60\n"
    )
    return str(tmp_path / "scene.png")


@pytest.mark.parametrize("turn", ["10", "90", "200", "359"])
def test_a_turned_picture_keeps_its_stated_area(stated: str, turn: str) -> None:
    """Turned with its picture, the stated area still bounds the lettering: all ink lies within the turned box."""
    made = planned("Anna", artwork=stated, artwork_turn=turn, composition="largest")
    setting = made.sign.artwork
    assert made.placement is not None and setting is not None and setting.artwork.open_area is not None
    box, angle = setting.artwork.open_area, setting.turn_rad
    points = np.concatenate(made.placement.letterings[0].contours)
    back = points @ np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])

    assert box.left_mm <= back[:, 0].min() and back[:, 0].max() <= box.right_mm
    assert box.bottom_mm <= back[:, 1].min() and back[:, 1].max() <= box.top_mm
    assert not [one for one in made.findings if one.code == "covers-artwork"]


def test_a_full_turn_is_none(stated: str) -> None:
    """Turned by 360 degrees the lettering is as large as unturned."""
    turned, upright = planned("Anna", artwork=stated, artwork_turn="360"), planned("Anna", artwork=stated)
    assert turned.placement is not None and upright.placement is not None

    assert turned.placement.letterings[0].cap_height_mm == upright.placement.letterings[0].cap_height_mm


def test_any_trace_may_count_as_picture(tmp_path: Path) -> None:
    """A threshold of 0 keeps lettering off the faintest wash, which the usual 4 percent lets it stand on."""
    pixels = np.zeros((600, 600, 4), np.uint8)
    pixels[:300] = (90, 60, 40, 3)
    file = tmp_path / "wash.png"
    Image.fromarray(pixels).save(file)
    caps = {}
    for threshold in ("0", "4"):
        made = planned("Anna", artwork=str(file), artwork_threshold=threshold, layout="box")
        assert made.placement is not None
        caps[threshold] = made.placement.letterings[0].contours
    lowest = max(contour[:, 1].max() for contour in caps["0"])

    assert lowest < 0 < max(contour[:, 1].max() for contour in caps["4"])
