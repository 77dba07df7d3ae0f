"""Letters on an arc against a browser's text on a path, and circle segments against a handbook's table.

Sources: Chromium headless shell 156, DejaVu Sans at 100 px, `text-rendering: geometricPrecision`, text in the middle of
a half circle of radius 400 (`getStartPositionOfChar`, `getRotationOfChar`); its own path is 0.014 % longer than a true
half circle and its advances are rounded to 1/64 px, hence the tolerance of 0.25 % of the font size and 0.05 degrees. It
keeps a ligature as one turned unit and runs Hebrew from the far end of the path. Segment formulas and values for a
radius of 1: common engineering handbooks' table of circular segments, worked out anew.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Literal

import numpy as np
import pytest
import shapely

from studio.basics.colour import Colour
from studio.geometry.shapes import circle
from studio.layout.arrange import Wanted, lay
from studio.layout.baselines import CircleTrack
from studio.layout.open_area import open_area
from studio.layout.placement import PlacedLettering, Placement
from studio.layout.scaling import largest_em, polygon_figure
from studio.layout.shaped_text import ShapedText
from studio.model.blank import Blank
from studio.model.sign import LetteringOrder
from studio.text.font import Face, open_face

RADIUS = 400.0
FONT_PX = 100.0
CONVEX = (
    ("A", 418.3838, 142.2613, -22.4832),
    ("V", 475.9022, 118.4752, -13.5854),
    ("A", 536.2435, 103.9509, -4.8092),
    ("T", 596.6238, 99.1265, 3.3312),
    ("A", 650.1108, 101.6794, 12.0589),
    ("R", 717.3085, 116.0133, 21.9520),
)
HANDBOOK = {
    30: (0.52360, 0.51764, 0.03407, 0.01180),
    45: (0.78540, 0.76537, 0.07612, 0.03915),
    60: (1.04720, 1.00000, 0.13397, 0.09059),
    90: (1.57080, 1.41421, 0.29289, 0.28540),
    120: (2.09440, 1.73205, 0.50000, 0.61418),
    150: (2.61799, 1.93185, 0.74118, 1.05900),
}
FFI_DEG = -74.3087
HEBREW_LAST_DEG = -85.2


@cache
def face() -> Face:
    """Open DejaVu Sans."""
    return open_face((Path(__file__).parent / "dejavu" / "DejaVuSans.ttf").read_bytes(), name="DejaVu Sans")


def on_circle(text: str, layout: Literal["arc-top", "arc-bottom"], baseline: float = RADIUS) -> PlacedLettering:
    """Lay a text at 100 mm to the em on a plain arc whose baseline has a radius, by choosing the disc to suit."""
    cap_mm = FONT_PX * face().cap_height_em
    order = LetteringOrder(text, layout=layout, cap_mm=cap_mm, sweep_rad=math.radians(330), spacing="plain")
    low, high = baseline, baseline + 200.0
    for _ in range(40):
        radius = (low + high) / 2
        area = open_area(Blank("disc", "round", 2 * radius, 2 * radius), 0.0)
        laid = lay((Wanted(order, ShapedText(text, face()), Colour(0, 0, 0)),), area, 0.8)
        found = laid.letterings[0].baseline_radius_mm if isinstance(laid, Placement) else 0.0
        assert found is not None
        low, high = (radius, high) if found < baseline else (low, radius)
    assert isinstance(laid, Placement)
    (lettering,) = laid.letterings
    assert lettering.baseline_radius_mm == pytest.approx(baseline, rel=1e-4)
    return lettering


def test_avatar_on_a_convex_arc() -> None:
    """Start points and turns of AVATAR on the upper half circle, y running down from its centre at (600, 500)."""
    lettering = on_circle("AVATAR", "arc-top")
    for glyph, (letter, x, y, turn_deg) in zip(lettering.glyphs, CONVEX, strict=True):
        assert glyph.letter == letter
        assert math.hypot(600 + glyph.x_mm - x, 500 - glyph.y_mm - y) <= 0.0025 * FONT_PX
        assert -math.degrees(glyph.angle_rad) == pytest.approx(turn_deg, abs=0.05)


def test_avatar_on_a_concave_arc() -> None:
    """Its concave twin has the same start points seen in a level mirror, and turns of the other sign."""
    lettering = on_circle("AVATAR", "arc-bottom")
    for glyph, (letter, x, y, turn_deg) in zip(lettering.glyphs, CONVEX, strict=True):
        assert glyph.letter == letter
        assert math.hypot(600 + glyph.x_mm - x, 300 - glyph.y_mm - (800 - y)) <= 0.0025 * FONT_PX
        assert -math.degrees(glyph.angle_rad) == pytest.approx(-turn_deg, abs=0.05)


def test_a_ligature_turns_as_one() -> None:
    """The three letters of office's ffi are one glyph at one turn, as the browser reports one turn for all three."""
    lettering = on_circle("office", "arc-top")
    assert [glyph.letter for glyph in lettering.glyphs] == ["o", "ffi", "c", "e"]
    assert [glyph.cluster for glyph in lettering.glyphs] == [0, 1, 4, 5]
    # The browser set it from the start of the path: o is 1253 units and ffi 1980 of 2048; the turn there is known.
    along = (1253 + 1980 / 2) / 2048 * FONT_PX
    assert math.degrees(along / RADIUS) - 90 == pytest.approx(FFI_DEG, abs=0.05)
    turns = [math.degrees(glyph.angle_rad) for glyph in lettering.glyphs]
    assert turns[0] - turns[1] == pytest.approx(math.degrees((1253 + 1980) / 2 / 2048 * FONT_PX / RADIUS), abs=0.01)


def test_hebrew_runs_from_the_far_end() -> None:
    """The logically first letter has the largest way along the path; start points turn as the browser's do."""
    lettering = on_circle("שלום", "arc-top")
    assert [glyph.cluster for glyph in lettering.glyphs] == [3, 2, 1, 0]
    first, last = lettering.glyphs[-1], lettering.glyphs[0]
    assert first.x_mm > last.x_mm
    # The browser set it from the start of the path, so that the last letter's middle is half its advance along.
    assert math.degrees(last.advance_mm / 2 / RADIUS) - 90 == pytest.approx(HEBREW_LAST_DEG, abs=0.1)
    assert [math.degrees(glyph.angle_rad) for glyph in lettering.glyphs] == sorted(
        (math.degrees(glyph.angle_rad) for glyph in lettering.glyphs), reverse=True
    )


@pytest.mark.parametrize("sweep_deg", sorted(HANDBOOK))
def test_circle_segments(sweep_deg: int) -> None:
    """Arc, chord, rise and area of the circle that letters run along, by the handbook's table."""
    arc, chord, rise, area = HANDBOOK[sweep_deg]
    x, y, _ = CircleTrack(1.0, 1).frames(np.array([-arc / 2, 0.0, arc / 2]))
    assert x[2] - x[0] == pytest.approx(chord, abs=1e-5)
    assert y[1] - y[2] == pytest.approx(rise, abs=1e-5)
    top = shapely.Polygon(circle(0, 0, 1, 1e-7)).intersection(shapely.box(-1, float(y[2]), 1, 1))
    assert top.area == pytest.approx(area, abs=1e-5)


def test_a_chord_across_a_disc() -> None:
    """A 20 in chord of a 24 in disc: the segment is 5.36675042 in high and its arc 23.64265880 in long."""
    turn = 2 * math.asin(20 / 24)
    assert 12 * (1 - math.cos(turn / 2)) == pytest.approx(5.36675042, abs=1e-8)
    assert 12 * turn == pytest.approx(23.64265880, abs=1e-8)
    # The largest bar 20 wide, from the middle up, reaches sqrt(44) high in that disc.
    area = open_area(Blank("24 in", "round", 24.0 * 25.4, 24.0 * 25.4), 0.0)
    bar = np.array([[-10, 0], [10, 0], [10, math.sqrt(44)], [-10, math.sqrt(44)]])
    em_mm = largest_em(area, np.zeros(2), polygon_figure(bar), at_most_mm=1e6)
    assert em_mm == pytest.approx(25.4, rel=2e-6)
    assert 12 - math.sqrt(44) == pytest.approx(5.36675042, abs=1e-8)
