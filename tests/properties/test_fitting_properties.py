"""Laws of fitting that hold for any name, blank and layout."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from studio.basics.colour import Colour
from studio.layout.arrange import Wanted, lay
from studio.layout.fit import Limits
from studio.layout.open_area import open_area
from studio.layout.placement import NoFit, PlacedLettering, Placement
from studio.layout.search import fit_text
from studio.layout.shaped_text import ShapedText
from studio.model.blank import Blank, Hole
from studio.model.sign import LARGEST_TURN_RAD, Layout, LetteringOrder, Spacing
from studio.text.font import Face, open_face

FONTS = Path(__file__).parents[2] / "fonts"
GAP_MM = 0.81
FEW = settings(max_examples=30, deadline=None)
NAMES = st.lists(st.text("aeglmnortyAHLMSTW&.'1", min_size=1, max_size=7), min_size=1, max_size=4).map(" ".join)
LAYOUT = st.sampled_from(("auto", "arc-top", "arc-bottom", "box"))
ARC = st.sampled_from(("arc-top", "arc-bottom"))
FACE = st.sampled_from(("Nunito", "Pacifico", "AlfaSlabOne"))
SPACING = st.sampled_from(("even", "plain"))
SIZES = st.integers(60, 500).map(float)


@st.composite
def blanks(draw: st.DrawFn, *, holes: bool = True) -> Blank:
    """Draw a blank of any shape, with or without a hole."""
    shape = draw(st.sampled_from(("round", "oval", "rect")))
    width = draw(SIZES)
    height = width if shape == "round" else draw(st.floats(0.45, 1.6)) * width
    drilled: tuple[Hole, ...] = ()
    if holes and draw(st.booleans()):
        x, y = draw(st.floats(-0.4, 0.4)) * width, draw(st.floats(-0.4, 0.4)) * height
        drilled = (Hole(x, y, 6, 4),)
    corner = min(width, height) * 0.1 if shape == "rect" else 0.0
    return Blank("drawn", shape, width, height, corner, drilled)  # type: ignore[arg-type]


@cache
def face(name: str) -> Face:
    """Open a shipped face."""
    return open_face(next((FONTS / name).glob("*.ttf")).read_bytes(), name=name)


def wanted(order: LetteringOrder, name: str) -> Wanted:
    """Return a text ready to be laid."""
    return Wanted(order, ShapedText(order.text, face(name)), Colour(0, 0, 0))


def laid(order: LetteringOrder, name: str, blank: Blank, margin_mm: float = 8.0) -> PlacedLettering | NoFit:
    """Lay one text."""
    found = lay((wanted(order, name),), open_area(blank, margin_mm), GAP_MM)
    return found.letterings[0] if isinstance(found, Placement) else found


@FEW
@given(NAMES, FACE, blanks(), LAYOUT, SPACING)
def test_no_ink_leaves_the_room(text: str, name: str, blank: Blank, layout: Layout, spacing: Spacing) -> None:
    """Every outline point is in the safe zone and off every hole, to a micrometre."""
    lettering = laid(LetteringOrder(text, layout=layout, min_cap_mm=1, spacing=spacing), name, blank)
    assume(isinstance(lettering, PlacedLettering))
    assert isinstance(lettering, PlacedLettering)
    points = np.concatenate(lettering.contours)
    assert blank.rim.depth_mm(points).min() >= 8 - 1e-3
    for hole in blank.holes:
        away = np.hypot(points[:, 0] - hole.x_mm, points[:, 1] - hole.y_mm)
        assert away.min() >= hole.diameter_mm / 2 + hole.clearance_mm - 1e-3


@FEW
@given(NAMES, FACE, blanks(holes=False), ARC, SPACING, st.integers(40, 330))
def test_an_arc_keeps_sweep_and_turn(
    text: str, name: str, blank: Blank, layout: Layout, spacing: Spacing, sweep_deg: int
) -> None:
    """No arc takes more of the circle than asked for, and no letter turns from its neighbour by over 22.5 degrees."""
    order = LetteringOrder(
        text, layout=layout, min_cap_mm=1, spacing=spacing, sweep_rad=math.radians(sweep_deg), follow="letters"
    )
    lettering = laid(order, name, blank)
    assume(isinstance(lettering, PlacedLettering))
    assert isinstance(lettering, PlacedLettering)
    assert lettering.sweep_deg <= sweep_deg + 1e-6
    turns = np.array([letter.angle_rad for letter in lettering.letters])
    if " " not in text:
        assert np.abs(np.diff(turns)).max(initial=0.0) <= LARGEST_TURN_RAD + 1e-9


@FEW
@given(NAMES, FACE, blanks(holes=False), st.sampled_from(("arc-top", "arc-bottom", "box")), SPACING)
def test_one_per_cent_larger_breaks_a_limit(
    text: str, name: str, blank: Blank, layout: Layout, spacing: Spacing
) -> None:
    """With its cap height fixed at 1 % more the text finds no room."""
    order = LetteringOrder(text, layout=layout, min_cap_mm=1, spacing=spacing)
    lettering = laid(order, name, blank)
    assume(isinstance(lettering, PlacedLettering))
    assert isinstance(lettering, PlacedLettering)
    em_mm = lettering.em_mm * 1.01
    limits = Limits(em_mm, em_mm * (1 - 1e-6), order.sweep_rad, GAP_MM)
    assert fit_text(order, wanted(order, name).setting, open_area(blank, 8.0), limits) is None


@FEW
@given(NAMES, FACE, SIZES, LAYOUT, st.floats(1.0, 2.0))
def test_a_larger_zone_never_gives_smaller_letters(
    text: str, name: str, size_mm: float, layout: Layout, growth: float
) -> None:
    """On a bare round the plain size is in proportion to the safe zone."""
    order = LetteringOrder(text, layout=layout, min_cap_mm=0.5, spacing="plain")
    small = laid(order, name, Blank("small", "round", size_mm + 16, size_mm + 16))
    large = laid(order, name, Blank("large", "round", size_mm * growth + 16, size_mm * growth + 16))
    assume(isinstance(small, PlacedLettering))
    assert isinstance(small, PlacedLettering) and isinstance(large, PlacedLettering)
    assert large.em_mm == pytest.approx(small.em_mm * growth, rel=2e-5)


@FEW
@given(st.text("AHIMOTUVWXY", min_size=1, max_size=4), SIZES, ARC, SPACING)
def test_a_word_that_reads_the_same_backwards_is_set_symmetrically(
    half: str, size_mm: float, layout: Layout, spacing: Spacing
) -> None:
    """Letters and their twins from the other end stand as mirror images, half a per cent of kerning aside."""
    text = half + half[::-1]
    order = LetteringOrder(text, layout=layout, min_cap_mm=0.5, spacing=spacing, features=(("kern", 0),))
    setting = ShapedText(text, face("AlfaSlabOne"), (("kern", 0),))
    found = lay(
        (Wanted(order, setting, Colour(0, 0, 0)),), open_area(Blank("b", "round", size_mm, size_mm), 8.0), GAP_MM
    )
    assume(isinstance(found, Placement))
    assert isinstance(found, Placement)
    lettering = found.letterings[0]
    for left, right in zip(lettering.letters, reversed(lettering.letters), strict=True):
        assert left.x_mm == pytest.approx(-right.x_mm, abs=0.02 * lettering.em_mm)
        assert left.y_mm == pytest.approx(right.y_mm, abs=0.02 * lettering.em_mm)
        assert left.angle_rad == pytest.approx(-right.angle_rad, abs=0.02)


@FEW
@given(NAMES, FACE, blanks(), LAYOUT, st.floats(2, 30))
def test_a_cap_height_asked_for_comes_out_or_is_refused(
    text: str, name: str, blank: Blank, layout: Layout, cap_mm: float
) -> None:
    """A fixed size is kept exactly; a refusal says that less fits."""
    lettering = laid(LetteringOrder(text, layout=layout, cap_mm=cap_mm), name, blank)
    if isinstance(lettering, NoFit):
        assert lettering.needed_cap_mm == pytest.approx(cap_mm, rel=1e-5)
        assert lettering.largest_cap_mm <= cap_mm * 1.03
    else:
        assert lettering.cap_height_mm == pytest.approx(cap_mm, rel=2e-6)


@FEW
@given(NAMES, FACE, blanks(), LAYOUT)
def test_the_same_again(text: str, name: str, blank: Blank, layout: Layout) -> None:
    """The same text on the same blank is laid the same, whatever was laid in between."""
    order = LetteringOrder(text, layout=layout, min_cap_mm=1)
    first = laid(order, name, blank)
    laid(replace(order, text="Quinn & Bo"), name, Blank("other", "oval", 300, 200))
    second = laid(order, name, blank)
    assert isinstance(first, PlacedLettering) == isinstance(second, PlacedLettering)
    if isinstance(first, PlacedLettering) and isinstance(second, PlacedLettering):
        for before, after in zip(first.contours, second.contours, strict=True):
            assert np.array_equal(before, after)
