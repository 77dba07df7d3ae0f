"""Contrast of lettering with what is around it: the worst place named, surface and outline taken into account."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from studio.basics.colour import WHITE, Colour, contrast_ratio, parse_colour
from studio.checks.contrast import (
    LEAST_CONTRAST,
    Surroundings,
    contrast_findings,
    pressed_luminance,
    ring_width_mm,
    worst_contrast,
)
from studio.layout.placement import PlacedLettering, Placement
from studio.model.finding import Finding
from studio.model.sign import FaceChoice, LetteringOrder, Ring, Sign
from studio.model.surface import Surface
from studio.pipeline.plan import plan
from studio.storage.catalogue import read_catalogue
from tests.shared import assets, catalogue

SIZE_MM = 120.0
PX_PER_MM = 4.0
PAPER = Surface("paper", 0.1, WHITE)
OAK = Surface("oak", 0.1, Colour(0xDE, 0xB8, 0x87))


@cache
def placed() -> PlacedLettering:
    """Return three letters on a bare blank."""
    sign = Sign(
        catalogue().blank("rect:120mmx120mm"), PAPER, (LetteringOrder("HIH", layout="box", face=FaceChoice("Nunito")),)
    )
    placement = plan(sign, assets(), remedies=False).placement
    assert placement is not None
    return placement.letterings[0]


def around(pixels: np.ndarray | None = None) -> Surroundings:
    """Return surroundings of the blank's size, white where nothing else is given."""
    side = int(SIZE_MM * PX_PER_MM)
    if pixels is None:
        pixels = np.full((side, side, 3), 255, np.uint8)
    return Surroundings(pixels, PX_PER_MM, -SIZE_MM / 2, SIZE_MM / 2)


def painted(right_of_mm: float, colour: Colour, surface: Surface = PAPER) -> Surroundings:
    """Return bare surroundings with everything right of a line painted, as pressed on white."""
    ground = around()
    ground.pixels[:] = surface.base_colour.rgb
    ground.pixels[:, int((right_of_mm + SIZE_MM / 2) * PX_PER_MM) :] = colour.rgb
    return ground


def found(
    colour: str, surroundings: Surroundings | None = None, surface: Surface = PAPER, ring: Ring | None = None
) -> tuple[Finding, ...]:
    """Return the findings of the three letters in a colour."""
    lettering = replace(placed(), colour=parse_colour(colour), ring=ring)
    sign = Sign(read_catalogue().blank("rect:120mmx120mm"), surface, (LetteringOrder("HIH"),))
    return contrast_findings(sign, Placement((lettering,)), surroundings or around())


@pytest.mark.parametrize(("colour", "codes"), [("#949494", []), ("#959595", ["low-contrast"]), ("#000000", [])])
def test_three_to_one_is_the_limit(colour: str, codes: list[str]) -> None:
    """On white, the grey of 3.03 is let pass and the grey of 2.995 is not."""
    assert [one.code for one in found(colour)] == codes


def test_the_worst_letter_is_named_with_its_ratio_and_place() -> None:
    """With a dark patch under the last letter, that letter is named, at a place beside it, with the worked ratio."""
    last = placed().letters[-1]
    edge = last.contours[0][:, 0].min() - 1.5
    (finding,) = found("#333333", painted(edge, Colour(0x44, 0x44, 0x44)))
    expected = contrast_ratio(*(pressed_luminance(parse_colour(code), PAPER) for code in ("#333333", "#444444")))
    assert (finding.code, finding.severity, finding.limit) == ("low-contrast", "warn", LEAST_CONTRAST)
    assert finding.measured == pytest.approx(expected, abs=0.005)
    assert finding.where.lettering == 0 and finding.where.letter == "H"
    assert finding.where.x_mm is not None and finding.where.x_mm > edge
    points = np.concatenate(last.contours)
    away = np.hypot(points[:, 0] - finding.where.x_mm, points[:, 1] - (finding.where.y_mm or 0.0)).min()
    assert away <= 40.0 and "“H”" in finding.message


def test_the_surface_counts() -> None:
    """A grey that stands out on white does not on oak, where everything is darker but the flare of 0.05."""
    assert found("#949494") == ()
    bare = painted(SIZE_MM, WHITE, OAK)
    assert [one.code for one in found("#949494", bare, OAK)] == ["low-contrast"]


def test_pressed_light_is_print_times_surface() -> None:
    """White ink on oak has the oak's light; a colour has the product, part by part, in linear light."""
    assert pressed_luminance(WHITE, OAK) == pytest.approx(pressed_luminance(OAK.base_colour, PAPER))
    red = Colour(200, 0, 0)
    assert pressed_luminance(red, OAK) == pytest.approx(0.2126 * red.linear[0] * OAK.base_colour.linear[0])


@pytest.mark.parametrize(("width_mm", "is_low"), [(0.25, False), (3.0, True)])
def test_a_speck_decides_nothing_and_a_patch_does(width_mm: float, is_low: bool) -> None:
    """A dark line a quarter of a millimetre wide beside a letter is averaged away, a broad one is told."""
    ground = around()
    left = placed().letters[0].contours[0][:, 0].min() - 1.0
    start = int((left - width_mm / 2 + SIZE_MM / 2) * PX_PER_MM)
    row = slice(235, 236) if width_mm < 1 else slice(None)
    ground.pixels[row, start : start + max(int(width_mm * PX_PER_MM), 1)] = 60
    assert [one.code for one in found("#333333", ground)] == (["low-contrast"] if is_low else [])


@pytest.mark.parametrize(("colour", "is_white"), [("#ffffff", True), ("#f0f0f0", True), ("#dddddd", False)])
def test_white_ink_is_told(colour: str, is_white: bool) -> None:
    """Nearly white lettering is told to come out bare; a light grey is not."""
    codes = [one.code for one in found(colour, painted(-SIZE_MM / 2, Colour(0, 0, 0)))]
    assert codes == (["white-ink"] if is_white else [])


def test_an_outline_makes_letters_stand_out() -> None:
    """Light letters on a light ground pass with a dark outline round them, not with a light one."""
    assert [one.code for one in found("#c0c0c0")] == ["low-contrast"]
    assert found("#c0c0c0", ring=Ring(1.0, Colour(0x20, 0x20, 0x20))) == ()
    assert [one.code for one in found("#c0c0c0", ring=Ring(1.0, Colour(0xC8, 0xC8, 0xC8)))] == ["low-contrast"]


def test_the_better_of_two_edges_counts() -> None:
    """With an outline the ratio is that of ink to outline or of outline to ground, whichever is more."""
    lettering = replace(placed(), colour=parse_colour("#666666"), ring=Ring(1.0, parse_colour("#999999")))
    worst = worst_contrast(lettering, PAPER, around())
    light = {code: pressed_luminance(parse_colour(code), PAPER) for code in ("#666666", "#999999", "#ffffff")}
    pairs = (("#666666", "#999999"), ("#999999", "#ffffff"))
    assert worst is not None
    assert worst[0] == pytest.approx(max(contrast_ratio(light[one], light[other]) for one, other in pairs), abs=1e-6)


@pytest.mark.parametrize(("spread_mm", "width_mm"), [(0.1, 0.8), (0.27, 0.9), (0.35, 1.1), (0.5, 1.5)])
def test_an_outline_that_is_offered_holds_on_its_surface(spread_mm: float, width_mm: float) -> None:
    """The width offered is at least the finest stroke of the surface."""
    surface = Surface("wood", spread_mm, WHITE)
    assert ring_width_mm(surface) == pytest.approx(width_mm)
    assert ring_width_mm(surface) >= surface.finest_stroke_mm - 1e-9
