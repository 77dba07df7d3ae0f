"""Marks in the waste: never in blank plus bleed, never off the canvas, words that read after the flip."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from studio.geometry.shapes import Contours, bounds, circle
from studio.model.blank import Blank
from studio.render.canvas import lay_canvas
from studio.render.coverage import coverage
from studio.render.printer_marks import CLEARANCE_MM, Waste, fixed_marks, order_line

BLANKS = (
    Blank("round", "round", 254.0, 254.0),
    Blank("small", "round", 30.0, 30.0),
    Blank("oval", "oval", 300.0, 160.0),
    Blank("plank", "rect", 300.0, 90.0),
    Blank("soft", "rect", 120.0, 200.0, 20.0),
)


def bars(text: str) -> Contours:
    """Set a line as one bar a character, the first twice as high as the others."""
    return tuple(
        np.array([(0.6 * at, 0.0), (0.6 * at + 0.4, 0.0), (0.6 * at + 0.4, height), (0.6 * at, height)])
        for at, height in enumerate([0.8] + [0.4] * (len(text) - 1))
    )


def waste_of(blank: Blank, waste_mm: float = 6.0, dpi: float = 300.0) -> Waste:
    """Return a blank's waste with 3 mm of bleed."""
    return Waste(lay_canvas(blank, bleed_mm=3.0, waste_mm=waste_mm, dpi=dpi), blank)


def drawn(waste: Waste) -> list[np.ndarray]:
    """Return every contour of a waste's marks."""
    marks = fixed_marks(waste, bars)
    return [*marks.shapes, *marks.words, *order_line(waste, marks.taken, "0012 Tess", bars)]


@pytest.mark.parametrize("blank", BLANKS, ids=lambda blank: blank.name)
@pytest.mark.parametrize(("waste_mm", "dpi"), [(6.0, 300.0), (0.0, 300.0), (2.0, 72.0), (25.0, 36.0), (6.0, 36.0)])
def test_no_mark_is_pressed_into_the_wood(blank: Blank, waste_mm: float, dpi: float) -> None:
    """No pixel of any mark belongs to blank plus bleed, at any waste and density."""
    waste = waste_of(blank, waste_mm, dpi)
    window = waste.canvas.window
    wood = coverage((blank.rim.contour(waste.canvas.bleed_mm),), window)
    for contour in drawn(waste):
        assert not ((coverage((contour,), window) > 0) & (wood == 255)).any()
        assert (blank.rim.depth_mm(contour) <= -(waste.canvas.bleed_mm + CLEARANCE_MM) + 1e-9).all()


@pytest.mark.parametrize("blank", BLANKS, ids=lambda blank: blank.name)
@pytest.mark.parametrize("waste_mm", [0.0, 6.0, 25.0])
def test_no_mark_leaves_the_canvas(blank: Blank, waste_mm: float) -> None:
    """Every mark lies wholly on the canvas."""
    waste = waste_of(blank, waste_mm)
    for contour in drawn(waste):
        assert np.abs(contour[:, 0]).max() <= waste.canvas.width_mm / 2 + 1e-6
        assert np.abs(contour[:, 1]).max() <= waste.canvas.height_mm / 2 + 1e-6


@pytest.mark.parametrize("blank", BLANKS, ids=lambda blank: blank.name)
def test_marks_do_not_touch_each_other(blank: Blank) -> None:
    """Ticks, arrow, reminder and order stand clear of one another and of the trim corners."""
    waste = waste_of(blank)
    marks = fixed_marks(waste, bars)
    words = order_line(waste, marks.taken, "0012 Tess", bars)
    boxes = [*marks.taken, *([bounds(words)] if words else [])][8:]
    corners = marks.taken[:8]
    for one, other in itertools.chain(itertools.combinations(boxes, 2), itertools.product(boxes, corners)):
        apart_x = one.right_mm < other.left_mm or other.right_mm < one.left_mm
        apart_y = one.top_mm < other.bottom_mm or other.top_mm < one.bottom_mm
        assert apart_x or apart_y


def test_the_default_sign_has_all_its_marks() -> None:
    """Eight corner arms, four ticks, one arrow, the reminder and the order stand round a ten inch round."""
    waste = waste_of(BLANKS[0])
    marks = fixed_marks(waste, bars)
    assert len(marks.shapes) == 8 + 4 + 1
    assert len(marks.words) == len("already mirrored, print at 100 %")
    assert len(order_line(waste, marks.taken, "0012", bars)) == 4


def test_trim_corners_are_centred_on_the_blank() -> None:
    """The lines of the corner arms are as far left as right and as far up as down, so diagonals cross at the centre."""
    arms = fixed_marks(waste_of(BLANKS[3])).taken[:8]
    uprights = sorted(arm.centre_mm[0] for arm in arms if arm.height_mm > arm.width_mm)
    levels = sorted(arm.centre_mm[1] for arm in arms if arm.width_mm > arm.height_mm)
    assert uprights == pytest.approx([-v for v in reversed(uprights)], abs=1e-9)
    assert levels == pytest.approx([-v for v in reversed(levels)], abs=1e-9)
    assert max(uprights) == waste_of(BLANKS[3]).trim.right_mm


def test_ticks_stand_at_the_hours() -> None:
    """The four ticks lie on the axes through the centre."""
    ticks = fixed_marks(waste_of(BLANKS[2])).taken[8:12]
    assert sorted(round(min(abs(tick.centre_mm[0]), abs(tick.centre_mm[1])), 9) for tick in ticks) == [0, 0, 0, 0]


def test_without_waste_a_round_keeps_its_corners() -> None:
    """With no waste a round keeps corner arms, arrow and reminder in its corners and loses its ticks."""
    waste = waste_of(BLANKS[0], waste_mm=0.0)
    marks = fixed_marks(waste, bars)
    assert len(marks.shapes) == 8 + 1
    assert marks.words


def test_without_waste_a_square_cornered_board_has_no_marks() -> None:
    """With no waste a rectangle has room for nothing."""
    waste = waste_of(BLANKS[3], waste_mm=0.0)
    marks = fixed_marks(waste, bars)
    assert (marks.shapes, marks.words) == ((), ())
    assert order_line(waste, marks.taken, "0012", bars) == ()


def test_words_are_set_mirrored() -> None:
    """The first letter of the order, twice as high here, stands at the right end, so that the flip puts it first."""
    waste = waste_of(BLANKS[0])
    words = order_line(waste, (), "0012", bars)
    first = max(words, key=lambda contour: float(np.ptp(contour[:, 1])))
    assert first[:, 0].max() == max(contour[:, 0].max() for contour in words)


def test_mirrored_words_keep_their_holes() -> None:
    """A ring set as a word is still a ring: the mirror turns no contour inside out."""
    waste = waste_of(BLANKS[0])

    def ring(text: str) -> Contours:
        return (circle(0.5, 0.5, 0.5, 1e-3), circle(0.5, 0.5, 0.25, 1e-3)[::-1])

    words = order_line(waste, (), "o", ring)
    middle = bounds(words).centre_mm
    window = waste.canvas.window
    cover = coverage(words, window)
    row = int((window.top_mm - middle[1]) * window.px_per_mm)
    column = int((middle[0] - window.left_mm) * window.px_per_mm)
    assert cover[row, column] == 0
    assert cover.max() == 255


def test_an_order_without_a_name_has_no_line() -> None:
    """An empty order, and a face that sets nothing, leave the waste bare."""
    waste = waste_of(BLANKS[0])
    assert order_line(waste, (), " ", bars) == ()
    assert order_line(waste, (), "0012", lambda text: ()) == ()


def test_a_long_name_is_cut_short() -> None:
    """An order of a hundred characters is set with 48."""
    assert len(order_line(waste_of(BLANKS[0]), (), "n" * 100, bars)) == 48
