"""Letter heights and reading distances against the 2010 ADA Standards, 703.5; sign-rule facts of a known face."""

from __future__ import annotations

from pathlib import Path

import pytest

from studio.checks.reading_distance import ada_min_height_in, reading_distance_mm
from studio.text.font import open_face

DEJAVU = Path(__file__).parent / "dejavu" / "DejaVuSans.ttf"


@pytest.mark.parametrize(
    ("baseline_in", "distance_in", "height_in"),
    [
        (60, 120, 1.125),
        (80, 240, 2.625),
        (130, 372, 4.25),
        (60, 71.9, 0.625),
        (40, 72, 0.625),
        (70, 84, 0.75),
        (70.1, 84, 2.0),
        (120, 180, 2.0),
        (120.1, 180, 3.0),
        (121, 252, 3.0),
    ],
)
def test_heights_of_table_703_5_5(baseline_in: float, distance_in: float, height_in: float) -> None:
    """Worked heights. Source: 2010 ADA Standards for Accessible Design, table 703.5.5 (read on up.codes)."""
    assert ada_min_height_in(baseline_in, distance_in) == pytest.approx(height_in, abs=1e-12)


def test_the_table_does_not_speak_of_low_baselines() -> None:
    """Under 40 in the table has no row. Source: as above."""
    with pytest.raises(ValueError, match="40 in"):
        ada_min_height_in(39.9, 60)


@pytest.mark.parametrize("distance_in", [72.0, 96.0, 120.0, 240.0, 600.0])
def test_distance_is_the_inverse_of_the_height(distance_in: float) -> None:
    """Letters of the least height for a distance at eye level read from that distance. Source: as above."""
    height_mm = ada_min_height_in(60, distance_in) * 25.4
    assert reading_distance_mm(height_mm) == pytest.approx(distance_in * 25.4)


def test_under_the_least_height_nothing_is_promised() -> None:
    """5/8 in is the least height of the table; a hair less has no distance. Source: as above."""
    assert reading_distance_mm(0.625 * 25.4) == pytest.approx(72 * 25.4)
    assert reading_distance_mm(0.624 * 25.4) == 0.0


def test_the_stroke_of_a_plain_capital() -> None:
    """The I of DejaVu Sans is 202 of 1493 units, 13.5 %: within the 10 to 30 % of 703.5.7 (read second-hand)."""
    face = open_face(DEJAVU.read_bytes(), name="DejaVu Sans")
    (contour,) = face.glyph(face.font.get_nominal_glyph(ord("I"))).contours
    width, height = (contour.max(axis=0) - contour.min(axis=0)) * face.upem
    assert (width, height) == pytest.approx((202, 1493))
    assert 0.10 <= width / height <= 0.30
    assert width / height == pytest.approx(0.135, abs=5e-4)
