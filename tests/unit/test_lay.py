"""All texts of a sign laid: sizes asked for, shifts, second texts, and refusals that say how much room there is."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from studio.basics.colour import Colour
from studio.geometry.distance import gap_between
from studio.layout.arrange import SECOND_CAP_SHARE, SECOND_TO_FIRST, Wanted, lay
from studio.layout.open_area import OpenArea, open_area
from studio.layout.placement import NoFit, PlacedLettering, Placement
from studio.layout.shaped_text import ShapedText
from studio.model.blank import Blank, Hole
from studio.model.sign import Layout, LetteringOrder
from studio.text.font import Face, open_face

DEJAVU = Path(__file__).parents[1] / "outside" / "dejavu" / "DejaVuSans.ttf"
GAP_MM = 0.81
LAYOUTS: tuple[Layout, ...] = ("auto", "arc-top", "arc-bottom", "box")
EVERY_LAYOUT = pytest.mark.parametrize("layout", LAYOUTS)


@cache
def face() -> Face:
    """Open DejaVu Sans."""
    return open_face(DEJAVU.read_bytes(), name="DejaVu Sans")


@cache
def area() -> OpenArea:
    """Return a bare round of 10 in."""
    return open_area(Blank("round", "round", 254, 254), 10.16)


def laid(*orders: LetteringOrder, room: OpenArea | None = None) -> Placement | NoFit:
    """Lay texts in DejaVu Sans."""
    wanted = tuple(Wanted(order, ShapedText(order.text, face()), Colour(0, 0, 0)) for order in orders)
    return lay(wanted, room or area(), GAP_MM)


def one(order: LetteringOrder, room: OpenArea | None = None) -> PlacedLettering:
    """Lay one text that has room."""
    placement = laid(order, room=room)
    assert isinstance(placement, Placement)
    (lettering,) = placement.letterings
    return lettering


@EVERY_LAYOUT
def test_a_fixed_cap_height_is_kept(layout: Layout) -> None:
    """The cap height asked for comes out to a millionth."""
    assert one(LetteringOrder("Marlow", layout=layout, cap_mm=12)).cap_height_mm == pytest.approx(12, rel=2e-6)


@EVERY_LAYOUT
def test_a_largest_cap_height_bounds(layout: Layout) -> None:
    """With --max-cap no larger comes out, and no smaller where there is room."""
    lettering = one(LetteringOrder("Marlow", layout=layout, max_cap_mm=9))
    assert lettering.cap_height_mm == pytest.approx(9, rel=5e-3)
    assert lettering.cap_height_mm <= 9 * (1 + 1e-9)


@EVERY_LAYOUT
def test_a_shift_moves_everything(layout: Layout) -> None:
    """Every point, glyph and letter moves by the shift, the size stays."""
    still, moved = (
        one(LetteringOrder("Ida", layout=layout)),
        one(LetteringOrder("Ida", layout=layout, shift_x_mm=3, shift_y_mm=-2)),
    )
    assert moved.em_mm == still.em_mm
    for before, after in zip(still.contours, moved.contours, strict=True):
        assert after - before == pytest.approx(np.broadcast_to([3.0, -2.0], before.shape))
    for old, new in zip(still.glyphs, moved.glyphs, strict=True):
        assert (new.x_mm - old.x_mm, new.y_mm - old.y_mm) == pytest.approx((3, -2))


@EVERY_LAYOUT
def test_no_room_says_how_much_there_is(layout: Layout) -> None:
    """A refusal names the largest cap height that fits, and that one does fit."""
    refused = laid(LetteringOrder("Marlow & Tess of the Birch Cabin", layout=layout, min_cap_mm=60))
    assert isinstance(refused, NoFit)
    assert refused.needed_cap_mm == pytest.approx(60)
    assert 0 < refused.largest_cap_mm < 60
    assert refused.layout == layout and "safe zone" in refused.reason
    largest = LetteringOrder("Marlow & Tess of the Birch Cabin", layout=layout, cap_mm=refused.largest_cap_mm * 0.999)
    assert isinstance(laid(largest), Placement)
    over = LetteringOrder("Marlow & Tess of the Birch Cabin", layout=layout, cap_mm=refused.largest_cap_mm * 1.01)
    assert isinstance(laid(over), NoFit)


def test_no_room_at_all() -> None:
    """Holes all over leave no room; the reason names them."""
    holes = tuple(Hole(x, y, 10, 5) for x in range(-120, 121, 12) for y in range(-120, 121, 12))
    sieve = open_area(Blank("sieve", "round", 254, 254, holes=holes), 10)
    refused = laid(LetteringOrder("Ida", min_cap_mm=3), room=sieve)
    assert isinstance(refused, NoFit)
    assert "the holes" in refused.reason


def test_two_texts_do_not_touch_and_the_second_is_modest() -> None:
    """The name stays above, est. 2019 below: smaller, and well apart."""
    placement = laid(
        LetteringOrder("The Lakeside Cabin", layout="arc-top"), LetteringOrder("est. 2019", layout="arc-bottom")
    )
    assert isinstance(placement, Placement)
    name, year = placement.letterings
    assert (name.text, year.text) == ("The Lakeside Cabin", "est. 2019")
    assert year.cap_height_mm <= SECOND_CAP_SHARE * 254 * (1 + 1e-9)
    assert year.cap_height_mm <= SECOND_TO_FIRST * name.cap_height_mm * (1 + 1e-9)
    gap = gap_between(name.contours, year.contours)
    assert gap is not None and gap.width >= 1.5


def test_a_name_that_fills_the_blank_makes_way() -> None:
    """A large name in the middle keeps its distance from a second text below."""
    placement = laid(LetteringOrder("Bo", layout="box"), LetteringOrder("est. 2019", layout="arc-bottom"))
    assert isinstance(placement, Placement)
    name, year = placement.letterings
    gap = gap_between(name.contours, year.contours)
    assert gap is not None and gap.width >= 1.5


def test_the_report_of_an_arc() -> None:
    """Baseline radius, sweep and every glyph's place belong to one circle about the middle."""
    lettering = one(LetteringOrder("Marlow", layout="arc-top", spacing="plain"))
    radius = lettering.baseline_radius_mm
    assert radius is not None
    for glyph, letter in zip(lettering.glyphs, lettering.letters, strict=True):
        assert math.hypot(letter.x_mm, letter.y_mm) == pytest.approx(radius)
        assert math.atan2(letter.x_mm, letter.y_mm) == pytest.approx(-letter.angle_rad)
        back = glyph.advance_mm / 2
        assert glyph.x_mm == pytest.approx(letter.x_mm - back * math.cos(letter.angle_rad))
        assert glyph.y_mm == pytest.approx(letter.y_mm - back * math.sin(letter.angle_rad))
    assert lettering.farthest_mm == pytest.approx(254 / 2 - 10.16, rel=1e-5)


def test_line_breaks_in_the_text_are_kept() -> None:
    """A break that was typed is a line of its own; on an arc it is read as a space."""
    assert one(LetteringOrder("Ada\nBo", layout="auto")).lines == ("Ada", "Bo")
    assert one(LetteringOrder("Ada\nBo", layout="arc-top")).lines == ("Ada Bo",)


def test_clusters_count_the_whole_text() -> None:
    """Over several lines a glyph's cluster is the index of its character in the text."""
    lettering = one(LetteringOrder("Ada\nBo Li", layout="box"))
    assert [(glyph.letter, glyph.cluster) for glyph in lettering.glyphs] == [
        (letter, index) for index, letter in enumerate("Ada\nBo Li") if not letter.isspace()
    ]


def test_auto_takes_the_largest_layout() -> None:
    """What auto picks is, within a per cent, as large as the largest of the layouts tried one by one."""
    for text in ("Bo", "Marlow & Tess", "The Birch Cabin"):
        each = [one(LetteringOrder(text, layout=layout)).em_mm for layout in LAYOUTS[1:]]
        assert one(LetteringOrder(text)).em_mm >= max(each) * 0.99
        assert one(LetteringOrder(text)).runners_up
