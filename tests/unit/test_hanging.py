"""Hanging: the hook's height, a hanger's place, and the rope of a blank with holes."""

from __future__ import annotations

import math

import pytest

from studio.model.blank import parse_blank
from studio.sheets.pressing.hanging import CAUTIONS, hanging_of, hook_height_mm, tape_words
from studio.sheets.pressing.hanging_page import hanging_steps
from studio.storage.catalogue import read_catalogue

INCH = 25.4


def test_hook_of_a_tall_picture() -> None:
    """A picture 20 in tall whose wire drops 2 in hangs on a hook at 65 in: 57 + 10 - 2 (gallery custom, no source)."""
    assert hook_height_mm(20 * INCH, 2 * INCH) == pytest.approx(65 * INCH)


def test_hanger_of_a_ten_inch_round() -> None:
    """The hanger's foot is 3 in below the top edge, and the hook at 57 + 5 - 3 = 59 in."""
    hanging = hanging_of(parse_blank("round:10in"))

    assert (hanging.by, hanging.drop_mm, hanging.hook_mm) == ("hanger", pytest.approx(76.2), pytest.approx(59 * INCH))


def test_hanger_of_a_small_sign_stays_above_its_middle() -> None:
    """On a sign 4 in tall the foot is 1.5 in down, three eighths of its height, so that it does not tip over."""
    assert hanging_of(parse_blank("rect:12inx4in")).drop_mm == pytest.approx(1.5 * INCH)


def test_rope_of_the_shipped_blank() -> None:
    """Two 8 mm holes 120 mm apart at 115 mm up: halves rise 103.9 mm at 60 degrees, each knot is at least 16 mm."""
    hanging = hanging_of(read_catalogue().blank("round-12in-rope"))
    rise = 60 * math.sqrt(3)

    assert hanging.by == "rope"
    assert [(knot.x_mm, knot.y_mm, knot.least_mm) for knot in hanging.knots] == [(-60, 115, 16), (60, 115, 16)]
    assert hanging.drop_mm == pytest.approx(152.4 - 115 - rise)
    assert hanging.hook_mm == pytest.approx(57 * INCH + 115 + rise)
    assert hanging.rope_mm == pytest.approx(2 * 120 + 2 * 150)


def test_one_hole_hangs_on_its_upper_edge() -> None:
    """A single hole at the top hangs by its upper edge: 110 mm up and 8 mm wide on 254 mm drops 13 mm."""
    blank = parse_blank("round:254mm")
    holed = type(blank)(blank.name, blank.shape, 254, 254, holes=(*_hole(0, 110, 8),))

    assert (hanging_of(holed).by, hanging_of(holed).drop_mm) == ("hole", pytest.approx(13.0))


def _hole(x: float, y: float, diameter: float) -> tuple[object, ...]:
    from studio.model.blank import Hole

    return (Hole(x, y, diameter),)


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (1447.8, "1448 mm (57 in)"),
        (76.2, "76 mm (3 in)"),
        (47.625, "48 mm (1 7/8 in)"),
        (6.35, "6 mm (1/4 in)"),
        (0, "0 mm (0 in)"),
    ],
)
def test_lengths_as_tapes_read_them(mm: float, words: str) -> None:
    """A length is told in whole mm and in inches to the nearest sixteenth."""
    assert tape_words(mm) == words


def test_nothing_heavy_over_a_bed() -> None:
    """Cautions warn of beds and children, ask for rated hooks, and defer to local codes and licensed practice."""
    text = " ".join(CAUTIONS)

    for words in ("nothing heavy over a bed", "children", "rated", "Local codes", "licensed"):
        assert words in text


def test_steps_say_the_heights() -> None:
    """The steps of a 10 in round name 3 in, 59 in and 57 in."""
    text = " ".join(hanging_steps(hanging_of(parse_blank("round:10in"))))

    assert "76 mm (3 in) below the top edge;" in text
    assert "1499 mm (59 in) above the floor" in text and "1448 mm (57 in)" in text
