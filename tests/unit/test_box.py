"""Lines set one under another: leading, centring on ink, and the largest block in plain and in crowded rooms."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from studio.geometry.shapes import Box
from studio.layout.block import CLOSEST_LEADING_CAPS, GIVEN_UP, LINE_GAP_CAPS, Block, block_of, fit_blocks
from studio.layout.fit import Limits
from studio.layout.open_area import OpenArea, open_area
from studio.layout.scaling import KEPT_BACK, fits
from studio.layout.shaped_text import ShapedText
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank, Hole
from studio.text.font import Face, open_face

DEJAVU = Path(__file__).parents[1] / "outside" / "dejavu" / "DejaVuSans.ttf"
WIDE_OPEN = Limits(1e6, 1.0, 2.8, 0.8)
ROUND = Blank("round", "round", 210, 210)


@cache
def face() -> Face:
    """Open DejaVu Sans."""
    return open_face(DEJAVU.read_bytes(), name="DejaVu Sans")


def block(*lines: str) -> Block:
    """Return lines set under one another."""
    inks = []
    for text in lines:
        ink = ShapedText(text, face()).single_line()
        assert ink is not None
        inks.append(ink)
    return block_of(tuple(inks))


def test_a_block_stands_about_the_middle_of_its_ink() -> None:
    """Centred on ink, not on advance, line by line and as a whole."""
    made = block("Tess", "jMarlow", "Ida.")
    hull = made.figure.hull
    assert hull.min(axis=0) + hull.max(axis=0) == pytest.approx([0, 0], abs=1e-12)
    assert np.ptp(hull, axis=0) == pytest.approx([made.width_em, made.height_em])
    middles = [
        (line.straight_hull[:, 0].min() + line.straight_hull[:, 0].max()) / 2 + x
        for line, (x, _) in zip(made.lines, made.origins, strict=True)
    ]
    assert middles == pytest.approx([middles[0]] * 3)


@pytest.mark.parametrize("lines", [("Jig", "Ada"), ("nnn", "aaa", "ooo"), ("gypsy", "HILL"), ("gy   ", "   HI")])
def test_leading_keeps_lines_apart(lines: tuple[str, ...]) -> None:
    """Where ink stands over ink a clear height is kept; baselines never come closer than the least leading."""
    made, cap = block(*lines), face().cap_height_em
    for (upper, lower), (over, under) in zip(pairwise(made.lines), pairwise(made.origins), strict=True):
        assert over[1] - under[1] >= CLOSEST_LEADING_CAPS * cap - 1e-9
        above, below = upper.straight_samples + over, lower.straight_samples + under
        apart = above[:, None] - below[None]
        near = np.abs(apart[..., 0]) < 0.04
        assert not near.any() or apart[..., 1][near].min() >= LINE_GAP_CAPS * cap - 1e-9


def test_lines_close_up_where_no_letters_meet() -> None:
    """A descender over a gap costs no height."""
    meeting, passing = block("gggg", "HHHH"), block("g", "a")
    drop = [made.origins[0, 1] - made.origins[1, 1] for made in (meeting, passing)]
    assert drop[0] > drop[1]


def test_one_line_in_a_disc_touches_it() -> None:
    """In a bare disc the block's farthest point stands on the safe zone's edge."""
    made = block("Marlow & Tess")
    ((fit,), _) = fit_blocks((made,), open_area(ROUND, 5), WIDE_OPEN)
    assert fit.em_mm * np.hypot(*made.figure.hull.T).max() == pytest.approx(100 * KEPT_BACK)
    assert fit.balance == 0


def test_the_larger_break_comes_first() -> None:
    """Of the breaks of a long phrase in a disc the two lines win over the one."""
    fits_, _ = fit_blocks((block("The Lake House"), block("The Lake", "House")), open_area(ROUND, 5), WIDE_OPEN)
    assert [len(fit.lines) for fit in fits_] == [2, 1]
    assert fits_[0].em_mm > fits_[1].em_mm


def test_a_stated_area_is_filled() -> None:
    """In a stated box off the middle a line touches both of the sides that bind, but for what is given up."""
    art = Artwork("art", "art", 400, 400, 200.0, 200.0, open_area=Box(-60, -50, 60, -20))
    area = open_area(ROUND, 5, setting=ArtworkSetting(art))
    made = block("Marlow")
    ((fit,), _) = fit_blocks((made,), area, WIDE_OPEN)
    exact = min(120 / made.width_em, 30 / made.height_em)
    assert exact * GIVEN_UP * 0.99 <= fit.em_mm <= exact
    y = float(fit.lines[0].frames[1][0])
    assert y > -50 and y < -20


def crowded() -> OpenArea:
    """Return a disc with holes and a picture along its left."""
    alpha = np.zeros((400, 400), np.uint8)
    alpha[:, :90] = 255
    blank = Blank("crowded", "round", 210, 210, holes=(Hole(20, 60, 8, 5), Hole(40, -55, 8, 5)))
    return open_area(blank, 5, setting=ArtworkSetting(Artwork("art", "art", 400, 400, 210.0, 210.0)), alpha=alpha)


@pytest.mark.parametrize("lines", [("Ida",), ("Marlow & Tess",), ("The", "Birch", "Cabin")])
def test_in_a_crowded_room_the_block_is_free_and_cannot_grow_where_it_stands(lines: tuple[str, ...]) -> None:
    """The answer keeps every limit, and 2 % larger at its place does not."""
    area, made = crowded(), block(*lines)
    ((fit,), _) = fit_blocks((made,), area, WIDE_OPEN)
    x = float(fit.lines[0].frames[0][0] - fit.em_mm * (made.origins[0, 0] + made.lines[0].mids_em[0]))
    y = float(fit.lines[0].frames[1][0] - fit.em_mm * made.origins[0, 1])
    centre = np.array([x, y])
    assert fits(area, centre, made.figure, fit.em_mm)
    assert not fits(area, centre, made.figure, fit.em_mm * 1.02)


def test_a_size_that_does_not_fit_gives_nothing() -> None:
    """A block whose least size is too large is left out."""
    made = block("Marlow & Tess")
    assert fit_blocks((made,), open_area(ROUND, 5), Limits(1e6, 200.0, 2.8, 0.8)) == ((), ())
    assert fit_blocks((made,), crowded(), Limits(1e6, 200.0, 2.8, 0.8)) == ((), ())
