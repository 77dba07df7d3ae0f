"""Our files in the eyes of decoders no one here wrote."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import numpy as np
import png as pypng
import pytest
from PIL import Image

from studio.render.png.bands import BandedPicture, Patch
from studio.render.png.container import pixels_per_metre

PIXELS = np.random.default_rng(3).integers(0, 256, (90, 51, 3), np.uint8)
SPLICED = BandedPicture.encode(PIXELS, dpi=300, band_rows=16).with_patches(
    [Patch(20, 7, np.full((30, 9, 3), 40, np.uint8))], {"Title": "Pikewater"}
)


@pytest.mark.parametrize(
    ("dpi", "per_metre"), [(300, 11811), (600, 23622), (150, 5906), (72, 2835), (360, 14173), (720, 28346)]
)
def test_density_of_common_settings(dpi: int, per_metre: int) -> None:
    """Pixels a metre agree with the values that follow from 1 in = 0.0254 m, and Pillow reads them back.

    Source: arithmetic on the exact inch; 300 dpi confirmed by Pillow writing 11811 for it.
    """
    assert pixels_per_metre(dpi) == per_metre
    data = BandedPicture.encode(PIXELS, dpi=dpi).whole().data
    with Image.open(io.BytesIO(data)) as picture:
        assert picture.info["dpi"][0] == pytest.approx(per_metre * 0.0254, rel=1e-6)


def test_density_reproduces_the_size_within_half_a_pixel() -> None:
    """The density as written gives 24 in back within half a pixel. Source: arithmetic on the exact inch."""
    for dpi in (72, 150, 300, 360, 600):
        width_px = 24 * dpi
        printed_mm = width_px / pixels_per_metre(dpi) * 1000
        assert abs(printed_mm - 609.6) <= 0.5 * 25.4 / dpi


def test_pypng_reads_colour_density_and_pixels() -> None:
    """The pure-Python decoder pypng reads the spliced file's pixels and density. Source: pypng 0.20220715."""
    reader = pypng.Reader(bytes=SPLICED.data)
    width, height, rows, info = reader.read()
    expected = PIXELS.copy()
    expected[20:50, 7:16] = 40
    assert (width, height) == (51, 90)
    assert (info["physical"].x, info["physical"].y, info["physical"].unit_is_meter) == (11811, 11811, True)
    assert info["gamma"] == pytest.approx(0.45455)
    assert np.array_equal(np.vstack([np.frombuffer(row, np.uint8) for row in rows]).reshape(90, 51, 3), expected)


def test_pillow_reads_mode_text_and_rendering_intent() -> None:
    """Pillow finds an sRGB picture with the perceptual intent and the text we gave it. Source: Pillow's decoder."""
    with Image.open(io.BytesIO(SPLICED.data)) as picture:
        picture.load()
        assert (picture.mode, picture.info["srgb"], picture.info["Title"]) == ("RGB", 0, "Pikewater")


def test_pngcheck_finds_no_error(tmp_path: Path) -> None:
    """The pngcheck program reports no error and 300 dpi. Source: pngcheck, where it is installed."""
    program = shutil.which("pngcheck")
    if program is None:
        pytest.skip("pngcheck is not installed on this machine")
    path = tmp_path / "spliced.png"
    path.write_bytes(SPLICED.data)
    told = subprocess.run([program, "-v", str(path)], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stdout
    assert "No errors detected" in told.stdout
    assert "300 dpi" in told.stdout
