"""Shapes whose thinnest stroke and narrowest gap can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.geometry.distance import gap_between
from studio.stroke.measure import measure, width_at
from studio.stroke.results import Narrowest, ThicknessMeasure

Contour = NDArray[np.float64]


def shape(*points: tuple[float, float]) -> Contour:
    """A contour of the points given."""
    return np.array(points, dtype=np.float64)


def bar(x: float, y: float, width: float, height: float) -> Contour:
    """A rectangle by its lower left corner and size."""
    return shape((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def circle(x: float, y: float, radius: float, *, hole: bool = False, steps: int = 360) -> Contour:
    """A circle, clockwise when it is a hole."""
    angles = np.arange(steps) * (2.0 * np.pi / steps)
    points = np.column_stack((x + radius * np.cos(angles), y + radius * np.sin(angles)))
    return points[::-1] if hole else points


def turned(contours: tuple[Contour, ...], degrees: float) -> tuple[Contour, ...]:
    """The contours turned about the origin."""
    angle = np.radians(degrees)
    turn = np.array(((np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))))
    return tuple(contour @ turn for contour in contours)


def stroke_of(*contours: Contour, cap_height: float = 1.0) -> Narrowest:
    """The thinnest stroke, which there must be."""
    found = measure(contours, cap_height=cap_height).stroke
    assert found is not None
    return found


def gap_of(*contours: Contour, cap_height: float = 1.0) -> Narrowest:
    """The narrowest gap, which there must be."""
    found = measure(contours, cap_height=cap_height).gap
    assert found is not None
    return found


def letter_h(stem: float, crossbar: float) -> Contour:
    """An H one unit high and 0.8 wide."""
    low, high = 0.5 - crossbar / 2.0, 0.5 + crossbar / 2.0
    left, right = stem, 0.8 - stem
    return shape(
        (0.0, 0.0), (left, 0.0), (left, low), (right, low), (right, 0.0), (0.8, 0.0),
        (0.8, 1.0), (right, 1.0), (right, high), (left, high), (left, 1.0), (0.0, 1.0),
    )  # fmt: skip


@pytest.mark.parametrize("degrees", [0.0, 17.0, 45.0, 90.0])
@pytest.mark.parametrize("thickness", [0.02, 0.05, 0.12, 0.3])
def test_a_bar_is_as_thick_as_it_is(thickness: float, degrees: float) -> None:
    """A straight bar's stroke is its width, however it is turned."""
    found = stroke_of(*turned((bar(0.0, 0.0, thickness, 1.0),), degrees))
    assert found.width == pytest.approx(thickness, rel=2e-3)
    assert found.kind == "speck"


@pytest.mark.parametrize("thickness", [0.03, 0.1, 0.2])
def test_a_ring_is_as_thick_as_its_radii_differ(thickness: float) -> None:
    """A ring's stroke is the difference of its radii, and its gap the inner diameter."""
    measured = measure((circle(0.3, 0.5, 0.5), circle(0.3, 0.5, 0.5 - thickness, hole=True)), cap_height=1.0)
    assert measured.stroke is not None
    assert measured.gap is not None
    assert measured.stroke.width == pytest.approx(thickness, rel=0.01)
    assert measured.stroke.kind == "bridge"
    assert measured.gap.width == pytest.approx(1.0 - 2.0 * thickness, rel=0.01)
    assert measured.gap.kind == "counter"


def test_a_ring_thinner_on_one_side_is_measured_there() -> None:
    """An eccentric ring's stroke is where the circles come nearest."""
    found = stroke_of(circle(0.0, 0.0, 0.5), circle(0.06, 0.0, 0.4, hole=True))
    assert found.width == pytest.approx(0.04, rel=0.05)
    assert found.x == pytest.approx(0.48, abs=0.03)
    assert found.y == pytest.approx(0.0, abs=0.06)


def test_a_thin_crossbar_is_the_thinnest_stroke_of_an_h() -> None:
    """The crossbar of an H is a bridge of its own thickness, and lies between the stems."""
    found = stroke_of(letter_h(0.2, 0.05))
    assert found.width == pytest.approx(0.05, rel=1e-3)
    assert found.kind == "bridge"
    assert found.y == pytest.approx(0.5, abs=0.01)
    assert 0.2 <= found.x <= 0.6
    assert found.length == pytest.approx(0.4, abs=0.08)


def test_thin_stems_beat_a_thick_crossbar() -> None:
    """With stems thinner than the crossbar the stems are the thinnest stroke."""
    found = stroke_of(letter_h(0.06, 0.2))
    assert found.width == pytest.approx(0.06, rel=1e-3)
    assert min(abs(found.x - 0.03), abs(found.x - 0.77)) < 0.01


def test_a_dumb_bell_breaks_at_its_handle() -> None:
    """A long handle between two weights is lost at its own thickness."""
    found = stroke_of(
        shape(
            (0.0, 0.0), (0.4, 0.0), (0.4, 0.17), (0.8, 0.17), (0.8, 0.0), (1.2, 0.0),
            (1.2, 0.4), (0.8, 0.4), (0.8, 0.23), (0.4, 0.23), (0.4, 0.4), (0.0, 0.4),
        )
    )  # fmt: skip
    assert found.width == pytest.approx(0.06, rel=1e-3)
    assert found.kind == "bridge"


def test_a_short_waist_holds_longer_than_its_width() -> None:
    """Two discs that overlap are one piece to any disc that fits them both: the notch between them is no stroke."""
    apart, radius = 0.3, 0.2
    turn = np.arccos(apart / 2.0 / radius)
    left = np.linspace(turn, 2.0 * np.pi - turn, 200)
    right = np.linspace(turn - np.pi, np.pi - turn, 200)
    outline = np.concatenate(
        (
            np.column_stack((radius * np.cos(left), radius * np.sin(left))),
            np.column_stack((apart + radius * np.cos(right), radius * np.sin(right)))[1:-1],
        )
    )
    waist = 2.0 * radius * np.sin(turn)
    assert waist < 0.7 * 2.0 * radius
    assert stroke_of(outline).width > 1.3 * waist


def test_a_spike_is_a_tip_and_no_stroke() -> None:
    """A spike on a block is a tip; the block's own thickness stays the stroke."""
    measured = measure(
        (shape((0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.2, 0.3), (0.15, 1.0), (0.1, 0.3), (0.0, 0.3)),), cap_height=1.0
    )
    assert measured.stroke is not None
    assert measured.stroke.width > 0.2
    assert [tip.kind for tip in measured.tips] == ["tip"]
    tip = measured.tips[0]
    # A taper of 0.1 over 0.7 is 0.02 thick 0.15 from its point.
    assert tip.width == pytest.approx(0.1 / 0.7 * tip.length, rel=0.1)
    assert tip.length >= 0.15
    assert tip.x == pytest.approx(0.15, abs=0.01)
    assert tip.y > 0.7


def test_a_serif_hairline_is_a_stroke() -> None:
    """The thin arms of a T count although nothing hangs on them: they keep their width to the end."""
    found = stroke_of(
        shape((0.35, 0.0), (0.55, 0.0), (0.55, 0.96), (0.9, 0.96), (0.9, 1.0), (0.0, 1.0), (0.0, 0.96), (0.35, 0.96))
    )
    assert found.width == pytest.approx(0.04, rel=1e-3)
    assert found.kind == "hairline"
    assert found.y == pytest.approx(0.98, abs=0.005)


def test_a_stub_shorter_than_its_width_is_no_stroke() -> None:
    """A nub shorter than it is wide only rounds a corner."""
    stem = shape((0.0, 0.0), (0.3, 0.0), (0.3, 0.4), (0.35, 0.4), (0.35, 0.5), (0.3, 0.5), (0.3, 1.0), (0.0, 1.0))
    assert stroke_of(stem).width == pytest.approx(0.3, rel=0.01)


def test_a_dot_is_lost_whole() -> None:
    """A dot smaller than every stroke is the thinnest part, of kind speck, and its place is its middle."""
    found = stroke_of(bar(0.0, 0.0, 0.2, 0.7), circle(0.1, 0.9, 0.06))
    assert found.width == pytest.approx(0.12, rel=0.01)
    assert found.kind == "speck"
    assert (found.x, found.y) == pytest.approx((0.1, 0.9), abs=0.005)


def test_a_dot_and_its_stem_have_a_gap_between() -> None:
    """The space between two parts of a letter is a gap of kind between."""
    found = gap_of(bar(0.0, 0.0, 0.2, 0.7), bar(0.0, 0.77, 0.2, 0.2))
    assert found.width == pytest.approx(0.07, rel=1e-3)
    assert found.y == pytest.approx(0.735, abs=0.005)


def test_the_slit_of_a_comb_is_a_gap() -> None:
    """Between the teeth of a comb the narrowest slit is the gap, and the thinnest tooth the stroke."""
    comb = shape(
        (0.0, 0.0), (0.15, 0.0), (0.15, 0.7), (0.2, 0.7), (0.2, 0.0), (0.28, 0.0),
        (0.28, 0.7), (0.4, 0.7), (0.4, 0.0), (0.55, 0.0), (0.55, 1.0), (0.0, 1.0),
    )  # fmt: skip
    measured = measure((comb,), cap_height=1.0)
    assert measured.gap is not None
    assert measured.stroke is not None
    assert measured.gap.width == pytest.approx(0.05, rel=1e-3)
    assert measured.gap.kind == "slit"
    assert measured.gap.x == pytest.approx(0.175, abs=0.005)
    assert measured.stroke.width == pytest.approx(0.08, rel=1e-3)
    assert measured.stroke.kind == "hairline"


def test_an_aperture_is_a_gap() -> None:
    """A box with a narrow mouth fills in at its mouth."""
    box = shape(
        (0.0, 0.0), (1.0, 0.0), (1.0, 0.4), (0.8, 0.4), (0.8, 0.2), (0.2, 0.2),
        (0.2, 0.8), (0.8, 0.8), (0.8, 0.48), (1.0, 0.48), (1.0, 1.0), (0.0, 1.0),
    )  # fmt: skip
    found = gap_of(box)
    assert found.width == pytest.approx(0.08, rel=0.02)
    assert found.kind == "slit"
    assert 0.8 <= found.x <= 1.0


def test_an_open_corner_is_a_wedge_and_no_gap() -> None:
    """A V opens outwards: it has a wedge at its foot and no gap."""
    letter = shape((0.0, 1.0), (0.3, 0.0), (0.5, 0.0), (0.8, 1.0), (0.6, 1.0), (0.4, 0.3), (0.2, 1.0))
    measured = measure((letter,), cap_height=1.0)
    assert measured.gap is None
    assert [wedge.kind for wedge in measured.wedges] == ["wedge"]
    assert measured.wedges[0].x == pytest.approx(0.4, abs=0.02)
    assert measured.wedges[0].y < 0.75


def test_a_narrow_counter_is_a_gap_of_its_width() -> None:
    """A long counter fills in at its width, a round one at its diameter."""
    found = gap_of(bar(0.0, 0.0, 0.6, 1.0), bar(0.25, 0.2, 0.1, 0.6)[::-1])
    assert found.width == pytest.approx(0.1, rel=0.01)
    assert found.kind == "counter"


def test_strokes_far_thinner_than_the_samples_are_found() -> None:
    """A hairline of a hundredth of the cap height is measured like any other."""
    found = stroke_of(letter_h(0.2, 0.01))
    assert found.width == pytest.approx(0.01, rel=1e-3)


def test_nothing_measures_nothing() -> None:
    """No outline, or only dust, has neither stroke nor gap."""
    nothing = ThicknessMeasure(None, (), None, ())
    assert measure((), cap_height=1.0) == nothing
    assert measure((bar(0.0, 0.0, 0.001, 0.001),), cap_height=1.0) == nothing


def test_a_cap_height_must_be_positive() -> None:
    """Without a cap height there is no telling a part from roughness."""
    with pytest.raises(ValueError, match="positive"):
        measure((bar(0.0, 0.0, 0.1, 1.0),), cap_height=0.0)


def test_outlines_drawn_the_other_way_round_measure_the_same() -> None:
    """A face that draws its outers clockwise is measured like any other."""
    contours = (circle(0.0, 0.0, 0.5), circle(0.0, 0.0, 0.4, hole=True))
    there = measure(contours, cap_height=1.0)
    back = measure(tuple(contour[::-1] for contour in contours), cap_height=1.0)
    assert there.stroke is not None
    assert back.stroke is not None
    assert back.stroke.width == pytest.approx(there.stroke.width, rel=0.01)


def test_the_gap_between_two_bars_is_their_distance() -> None:
    """Facing sides are as far apart as they are, and the place lies half way."""
    found = gap_between((bar(0.0, 0.0, 0.1, 1.0),), (bar(0.17, 0.2, 0.1, 0.3),))
    assert found is not None
    assert found.width == pytest.approx(0.07, abs=1e-12)
    assert found.x == pytest.approx(0.135, abs=1e-12)
    assert 0.2 <= found.y <= 0.5


def test_the_gap_between_corners_is_diagonal() -> None:
    """Two boxes corner to corner are the corners' distance apart: 3, 4, 5."""
    found = gap_between((bar(0.0, 0.0, 1.0, 1.0),), (bar(1.3, 1.4, 1.0, 1.0),))
    assert found is not None
    assert found.width == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize("other", [bar(0.5, 0.5, 1.0, 1.0), bar(0.4, 0.4, 0.2, 0.2), bar(-1.0, 0.4, 3.0, 0.2)])
def test_outlines_that_cross_or_hold_each_other_are_nothing_apart(other: Contour) -> None:
    """Overlapping, inner and crossing outlines have no gap between them."""
    found = gap_between((bar(0.0, 0.0, 1.0, 1.0),), (other,))
    assert found is not None
    assert found.width == 0.0


def test_a_letter_in_a_hole_is_apart() -> None:
    """A dot inside a ring's hole is not inside the ring."""
    found = gap_between((circle(0.0, 0.0, 1.0), circle(0.0, 0.0, 0.8, hole=True)), (circle(0.1, 0.0, 0.3),))
    assert found is not None
    assert found.width == pytest.approx(0.4, rel=1e-3)


def test_there_is_no_gap_to_nothing() -> None:
    """A space has no outline and so no gap to its neighbour."""
    assert gap_between((), (bar(0.0, 0.0, 1.0, 1.0),)) is None


@pytest.mark.parametrize(
    ("x", "y", "width"),
    [(0.02, 0.7, 0.1), (0.09, 0.2, 0.1), (0.5, 0.52, 0.06), (0.3, 0.9, 0.6)],
)
def test_the_width_at_a_place(x: float, y: float, width: float) -> None:
    """In a stem it is the stem's, in the crossbar the crossbar's, and between the stems of an H their distance."""
    assert width_at((letter_h(0.1, 0.06),), x, y) == pytest.approx(width, rel=1e-6)


def test_there_is_no_width_in_the_open() -> None:
    """Outside everything no disc is stopped, and without an outline neither."""
    assert width_at((letter_h(0.1, 0.06),), 1.0, 0.5) == float("inf")
    assert width_at((), 0.0, 0.0) == float("inf")
