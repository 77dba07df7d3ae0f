"""Coverage and tone against rasterisers, formulas and tables no one here wrote."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import uharfbuzz as hb
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import BasePen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from skimage.draw import polygon

from studio.basics.colour import Colour
from studio.geometry.shapes import circle, signed_area
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow, centred_window
from studio.render.pixels import LINEAR, codes_of, press

FONTS = Path(__file__).parents[2] / "fonts"
EM_PX = 100


class _Flattener(BasePen):  # type: ignore[misc]
    """A pen that keeps polygons, curves cut into 64 chords."""

    def __init__(self, glyphs: object) -> None:
        super().__init__(glyphs)
        self.contours: list[list[tuple[float, float]]] = []

    def _moveTo(self, point: tuple[float, float]) -> None:
        self.contours.append([point])

    def _lineTo(self, point: tuple[float, float]) -> None:
        self.contours[-1].append(point)

    def _curveToOne(self, *knots: tuple[float, float]) -> None:
        start = self.contours[-1][-1]
        for step in np.linspace(0, 1, 65)[1:]:
            weights = ((1 - step) ** 3, 3 * (1 - step) ** 2 * step, 3 * (1 - step) * step**2, step**3)
            x, y = (sum(w * knot[axis] for w, knot in zip(weights, (start, *knots), strict=True)) for axis in (0, 1))
            self.contours[-1].append((x, y))


def _font_file() -> Path:
    return sorted(FONTS.glob("YoungSerif/*.ttf"))[0]


def _glyph(letter: str) -> tuple[tuple[np.ndarray, ...], float]:
    """Return a glyph's contours at `EM_PX` pixels an em, and its area by fontTools."""
    font = TTFont(_font_file())
    glyphs, name = font.getGlyphSet(), font.getBestCmap()[ord(letter)]
    scale = EM_PX / font["head"].unitsPerEm
    pen, area = _Flattener(glyphs), AreaPen(glyphs)
    glyphs[name].draw(TransformPen(pen, (scale, 0, 0, scale, 0, 0)))
    glyphs[name].draw(TransformPen(area, (scale, 0, 0, scale, 0, 0)))
    contours = tuple(np.array(contour) for contour in pen.contours)
    if sum(map(signed_area, contours)) < 0:
        contours = tuple(contour[::-1] for contour in contours)
    return contours, abs(area.value)


@pytest.mark.parametrize("letter", list("RoSg&"))
def test_ink_is_the_area_of_the_outline(letter: str) -> None:
    """The sum of coverage is the outline's area within 0.3 %. Source: fontTools' areaPen (exact for the curves)."""
    contours, area = _glyph(letter)
    window = PixelWindow(1, -50, 150, 250, 250)
    assert coverage(contours, window).sum() / 255 == pytest.approx(area, rel=0.003)


def _font_of(contours: tuple[np.ndarray, ...], units_per_px: int) -> bytes:
    """Return a font whose one glyph is the given polygons, so that both rasterisers fill the very same outline."""
    pen = TTGlyphPen(None)
    for contour in contours:
        points = [tuple(point) for point in np.rint(contour * units_per_px).astype(int).tolist()]
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        pen.closePath()
    builder = FontBuilder(EM_PX * units_per_px, isTTF=True)
    builder.setupGlyphOrder([".notdef"])
    builder.setupCharacterMap({})
    builder.setupGlyf({".notdef": pen.glyph()})
    left = min(int(np.rint(contour[:, 0].min() * units_per_px)) for contour in contours)
    builder.setupHorizontalMetrics({".notdef": (EM_PX * units_per_px, left)})
    builder.setupHorizontalHeader()
    builder.setupOS2()
    builder.setupPost()
    written = io.BytesIO()
    builder.save(written)
    return written.getvalue()


@pytest.mark.parametrize("letter", list("RoSg&"))
def test_pixels_agree_with_harfbuzz(letter: str) -> None:
    """No pixel of the same polygon differs by more than 4/255 from HarfBuzz's rasteriser. Source: HarfBuzz raster."""
    units = 100
    contours = tuple(np.rint(contour * units) / units for contour in _glyph(letter)[0])
    drawn = hb.RasterDraw()
    drawn.transform = (1 / units, 0, 0, 1 / units, 0, 0)
    drawn.extents = hb.RasterExtents(x_origin=-50, y_origin=-100, width=250, height=250)
    drawn.draw_glyph(hb.Font(hb.Face(_font_of(contours, units))), 0)
    image = drawn.render()
    width, height = image.extents.width, image.extents.height
    stride = image.extents.stride or width
    theirs = np.frombuffer(image.buffer, np.uint8).reshape(height, stride)[::-1, :width]
    ours = coverage(contours, PixelWindow(1, -50, 150, 250, 250))
    assert np.abs(ours.astype(int) - theirs.astype(int)).max() <= 4


def test_pixels_agree_with_supersampling() -> None:
    """A ring with an off-centre hole agrees with 32 x 32 samples within 8 %. Source: scikit-image's polygon fill."""
    outer, inner = circle(1.3, -0.7, 9.1, 1e-4), circle(2.2, 0.4, 4.3, 1e-4)
    window, fine = centred_window(40, 40, 1.7), 32
    samples = np.zeros((40 * fine, 40 * fine), bool)
    for contour, filled in ((outer, True), (inner, False)):
        at = window.pixels_of(contour) * fine - 0.5
        samples[polygon(at[:, 1], at[:, 0], samples.shape)] = filled
    theirs = samples.reshape(40, fine, 40, fine).mean(axis=(1, 3)) * 255
    ours = coverage((outer, inner[::-1]), window)
    assert np.abs(ours - theirs).max() <= 0.08 * 255
    assert ours.sum() == pytest.approx(theirs.sum(), rel=0.002)


@pytest.mark.parametrize(
    ("code", "light"),
    [
        (0, 0.0),
        (10, 0.003035269835488375),
        (11, 0.003346535763899161),
        (118, 0.18116424424986022),
        (119, 0.184474994500441),
        (128, 0.21586050011389926),
        (188, 0.5028864580325687),
        (255, 1.0),
    ],
)
def test_srgb_codes_and_light(code: int, light: float) -> None:
    """Codes and linear light agree with the published curve. Source: IEC 61966-2-1, from its formula."""
    assert LINEAR[code] == pytest.approx(light, rel=1e-6)
    assert codes_of(np.array([light], np.float32))[0] == code


def test_mid_light_lies_where_the_curve_says() -> None:
    """Half the light is code 188 and 18 % is code 118. Source: IEC 61966-2-1 (187.516 and 117.646)."""
    assert codes_of(np.array([0.5, 0.18], np.float32)).tolist() == [188, 118]


def test_a_proof_multiplies_reflectances() -> None:
    """Pressed light is print light times surface light. Source: Beer-Lambert law, from memory."""
    surface = Colour(222, 184, 135)
    pressed = press(np.array([[[188, 128, 64]]], np.uint8), surface.linear)[0, 0]
    expected = LINEAR[[188, 128, 64]] * np.array(surface.linear, np.float32)
    assert pressed.tolist() == codes_of(expected).tolist()
