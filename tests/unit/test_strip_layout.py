"""The strip as printed: its layout, its print, its scale and what is noted by eye."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.model.surface import FinestMarks, Surface
from studio.production.strip_files import set_line
from studio.storage.catalogue import known_keys
from studio.storage.settings import read_settings
from studio.storage.surface_entry import surface_of
from studio.storage.surface_keeping import keep_surface
from studio.strip.drawing import strip_png
from studio.strip.layout import RINGS_MM, strip_layout
from studio.strip.noted import NotedStrip
from studio.strip.pose import Pose
from studio.strip.scale import scanned_scale, typed_scale


@pytest.fixture(scope="module")
def picture() -> Image.Image:
    """The print file, opened."""
    return Image.open(io.BytesIO(strip_png(set_line)))


def test_the_print_is_120_by_70_mm(picture: Image.Image) -> None:
    """The print is 120 x 70 mm at the 600 dots an inch that it states, RGB."""
    assert picture.mode == "RGB"
    assert picture.info["dpi"] == pytest.approx((600, 600), abs=0.01)
    assert picture.width / 600 * 25.4 == pytest.approx(120.0, abs=0.03)
    assert picture.height / 600 * 25.4 == pytest.approx(70.0, abs=0.03)


def test_the_print_is_mirrored(picture: Image.Image) -> None:
    """The ring beside the top left corner stands at the top right of the print file."""
    codes = np.asarray(picture)[..., 1]

    def dark(x_mm: float, y_mm: float) -> bool:
        column, row = (60 - x_mm) / 25.4 * 600, (35 - y_mm) / 25.4 * 600
        return bool(codes[round(row), round(column)] < 20)

    assert all(dark(x_mm, y_mm) for x_mm, y_mm in RINGS_MM)
    assert not dark(41.0, 28.0)


def test_lines_have_their_widths(picture: Image.Image) -> None:
    """Every line's ink adds up to its width within 0.02 mm."""
    dark = 1 - (np.asarray(picture)[..., 1].astype(float) / 255) ** 2.2
    for line in strip_layout().lines:
        if line.direction != "along":
            continue
        row = round((35 - line.y_mm) / 25.4 * 600)
        left, right = ((60 - line.x_mm + side * (line.width_mm / 2 + 0.5)) / 25.4 * 600 for side in (-1, 1))
        assert dark[row, round(left) : round(right)].sum() / 600 * 25.4 == pytest.approx(line.width_mm, abs=0.02)


def test_measured_shapes_keep_clear_of_each_other() -> None:
    """Every square keeps 3 mm of bare wood on all sides: its edges are read that far out."""
    codes = np.asarray(Image.open(io.BytesIO(strip_png(set_line, dpi=254))))[..., 1][:, ::-1]
    for square in strip_layout().squares:
        row, column = np.mgrid[: codes.shape[0], : codes.shape[1]]
        x = (column + 0.5) / 10 - 60 - square.x_mm
        y = 35 - (row + 0.5) / 10 - square.y_mm
        cos, sin = np.cos(square.turn_rad), np.sin(square.turn_rad)
        u, v = x * cos + y * sin, y * cos - x * sin
        outside = np.maximum(np.abs(u), np.abs(v)) - 5.25
        assert codes[(outside > 0.15) & (outside < 3.0)].min() > 240


def test_rulers_as_typed_tell_the_scale() -> None:
    """100mm=99.4mm is 99.4 % along the long side, 60mm=59.8mm 99.67 % along the short one."""
    scale = typed_scale("100mm=99.4mm, 60mm=59.8mm")

    assert scale.long == pytest.approx(0.994)
    assert scale.short == pytest.approx(0.99667, abs=1e-5)
    assert typed_scale("60mm=60mm").long is None


@pytest.mark.parametrize("text", ["", "100mm", "90mm=89mm", "100mm=50mm", "100=99", "100mm=abc"])
def test_wrong_readings_are_refused(text: str) -> None:
    """Readings that are none, or of a ruler that is not there, are refused."""
    with pytest.raises(SettingsError):
        typed_scale(text)


def test_a_scan_tells_the_scale() -> None:
    """A strip that takes 23.7 pixels a mm at 600 dpi was printed at 100.33 %."""
    pose = Pose(np.array([[23.7, 0.0, 1500.0], [0.0, -23.7, 900.0], [0.0, 0.0, 1.0]]), (1500.0, 900.0), 1700.0)
    scale = scanned_scale(pose, 600.0)

    assert scale.long == pytest.approx(1.00330, abs=1e-4)
    assert scale.short == pytest.approx(1.00330, abs=1e-4)


def test_a_gap_seen_open_is_2_33_spreads() -> None:
    """A gap of 0.7 mm that stays open stands for a spread of 0.30 mm: it keeps half its contrast at 2.33 spreads."""
    noted = NotedStrip(0.7, 0.5, 0.4)

    assert noted.along_mm == pytest.approx(0.300, abs=0.001)
    assert noted.across_mm == pytest.approx(0.2143, abs=0.001)
    assert noted.finest_gap_mm == 0.7


def test_a_note_off_the_strip_is_refused() -> None:
    """A gap that is not on the strip is refused."""
    with pytest.raises(SettingsError, match="not on the strip"):
        NotedStrip(7.0, 0.5)


MEASURED = Surface(
    "maple-film", 0.31, Colour(227, 199, 154), "Mine", 0.31, 0.22, "dye", 1.08,
    FinestMarks(0.41, 0.96, 0.5, 1.3), "2026-05-31", "maple",
)  # fmt: skip


def test_a_surface_is_kept_and_read_back(tmp_path: Path) -> None:
    """A measured surface written into a new settings file reads back as it was."""
    file = tmp_path / "sapwood.toml"

    assert keep_surface(file, MEASURED) is False
    assert surface_of(read_settings(file, known_keys()).surfaces[0]) == MEASURED
    assert MEASURED.standing == "measured 2026-05-31"


def test_keeping_a_surface_leaves_everything_else(tmp_path: Path) -> None:
    """Comments and other tables stay; the surface of that name is replaced, no old key of it is left."""
    file = tmp_path / "sapwood.toml"
    file.write_text(
        '# my shop\n[sign]\nsurface = "bare"  # usual\n\n[surfaces.maple-film]\nspread = "0.19mm"\n\n'
        '# oak, old stock\n[surfaces.oak]\nspread = "0.4mm"\n'
    )

    assert keep_surface(file, MEASURED) is True
    text = file.read_text()
    known = known_keys(frozenset({"surface"}))
    surfaces = {entry.name: surface_of(entry) for entry in read_settings(file, known).surfaces}
    assert surfaces["maple-film"] == MEASURED
    assert surfaces["oak"].spread_mm == 0.4
    assert '"0.19mm"' not in text
    assert all(kept in text for kept in ("# my shop", "# usual", "# oak, old stock"))
    keep_surface(file, replace(MEASURED, name="birch-film"))
    assert len(read_settings(file, known).surfaces) == 3


def test_a_broken_settings_file_stays_as_it_is(tmp_path: Path) -> None:
    """A file that is not valid TOML is refused and not touched."""
    file = tmp_path / "sapwood.toml"
    file.write_text("[surfaces\n")
    with pytest.raises(SettingsError, match="not valid TOML"):
        keep_surface(file, MEASURED)
    assert file.read_text() == "[surfaces\n"
