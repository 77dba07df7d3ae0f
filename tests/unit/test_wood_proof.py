"""The proof in the wood: its laws on light, dye, spread and grain, and what it costs nobody who does not ask for it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.basics.colour import Colour
from studio.layout.placement import Placement
from studio.model.dye import Mixing
from studio.model.sign import ProofWood, Sign
from studio.model.surface import Surface
from studio.model.woods import WOODS
from studio.pipeline.cache import print_base_for, proof_base_for, thumbnail_for
from studio.pipeline.plan import plan
from studio.render.ink import covered_boxes, inks_of
from studio.render.proof import ProofBase
from studio.render.wood.densities import TONE_SHARES, Dye, amounts_of_colour, seen_codes, stepped
from studio.render.wood.figure import Board, Sight, figure
from studio.render.wood.spreading import spread_dye
from studio.render.wood_proof import WoodProofBase, _amounts_of, _pressed, bare_light_of, in_wood
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue

PX = 480
WOODEN = ("maple", "birch", "basswood", "pine")


@cache
def planned(artwork: str = "loon-lake", surface: str = "bare", color: str = "") -> tuple[Sign, Placement]:
    """Return a sign of two names and its lettering."""
    values = {"artwork": artwork, "surface": surface} | ({"color": color} if color else {})
    made = plan(build_sign("Marlow & Tess", values, catalogue()), assets(), remedies=False)
    assert made.placement is not None
    return made.sign, made.placement


def plain_base(sign: Sign) -> ProofBase:
    """Return a sign's plain proof without lettering."""
    return proof_base_for(replace(sign, wood=None), assets(), PX)


def with_surface(base: ProofBase, surface: Surface) -> ProofBase:
    """Return a proof's base as if it lay on another surface."""
    return ProofBase(base.blank, base.window, surface, base.ground, base.share, base.pressed)


def bare_wood(base: ProofBase, wood: ProofWood) -> NDArray[np.uint8]:
    """Return the same board with nothing printed on it."""
    white = np.full_like(base.ground, 255)
    return in_wood(ProofBase(base.blank, base.window, base.surface, white, base.share, base.pressed), wood).pressed


@pytest.mark.parametrize("wood", WOODEN)
@pytest.mark.parametrize("degrees", [0, 90, 20])
def test_nothing_is_lighter_than_its_bare_wood(wood: str, degrees: float) -> None:
    """No channel of any pixel, artwork and lettering pressed, is lighter than that pixel of the bare board."""
    sign, placement = planned()
    look = ProofWood(wood, math.radians(degrees))
    base = plain_base(sign)

    seen = in_wood(base, look).pixels_of(placement)

    assert (seen <= bare_wood(base, look)).all()
    assert (seen[..., :3] < bare_wood(base, look)[..., :3]).any()


def test_white_letters_are_bare_wood_and_not_ink() -> None:
    """White letters laid on artwork take dye away; they show the board, no lighter than it is."""
    sign, placement = planned(color="#ffffff")
    look = ProofWood("maple")
    base = plain_base(sign)

    seen = in_wood(base, look).pixels_of(placement)

    assert (seen <= bare_wood(base, look)).all()


@pytest.mark.parametrize("mixing", ["dye", "cover"])
def test_without_spread_and_grain_it_is_the_plain_proof(mixing: Mixing) -> None:
    """A spread too small to see, a plain ground and a solid as dark as black give the plain proof to one code."""
    sign, placement = planned()
    surface = replace(sign.surface, mixing=mixing, spread_mm=1e-6, along_mm=None, across_mm=None, solid_density=4.0)
    base = with_surface(plain_base(sign), surface)

    plain = base.pixels_of(placement).astype(int)
    seen = in_wood(base, ProofWood("none")).pixels_of(placement).astype(int)

    assert np.abs(seen - plain).max() <= 1


def test_a_solid_keeps_what_was_measured() -> None:
    """Black on a surface of density 1.1 keeps 10^-1.1 of the bare light, however black the print is."""
    dye = Dye(1.1)
    black = seen_codes(np.array([8192], np.int16), None, 1.0, dye)[0]
    bare = seen_codes(np.array([0], np.int16), None, 1.0, dye)[0]

    assert bare == 255
    assert Colour(int(black), 0, 0).linear[0] == pytest.approx(10**-1.1, abs=0.002)


@pytest.mark.parametrize("degrees", [0, 90, 33])
def test_the_letterings_dye_is_kept(degrees: float) -> None:
    """The dye that lettering adds is the same before and after it has spread, to 0.1 %."""
    sign, placement = planned(artwork="none")
    base = plain_base(sign)
    sharp_surface = replace(sign.surface, spread_mm=1e-6)
    wide_surface = replace(sign.surface, along_mm=0.9, across_mm=0.5, spread_mm=0.9)

    def dye_of(surface: Surface) -> float:
        wooden = in_wood(with_surface(base, surface), ProofWood("none", math.radians(degrees)))
        return float(_amounts(wooden, placement).sum())

    # edges mixed in light hold a little less dye than edges mixed in dye, so the sharp one is mixed in dye as well
    narrow = dye_of(replace(sharp_surface, spread_mm=0.3 / base.window.px_per_mm))

    assert dye_of(wide_surface) == pytest.approx(narrow, rel=1e-3)


def _amounts(wooden: WoodProofBase, placement: Placement) -> NDArray[np.float64]:
    """Return the dye of a finished proof without grain, read back from the green that is seen."""
    total = wooden.amounts.astype(np.float64)
    assert wooden.spread is not None
    around_px = wooden.spread.reach_px
    for box, covers in covered_boxes(inks_of(placement), wooden.window, around_px=around_px):
        total[:, box.rows, box.columns] = wooden._spread(box, covers)
    return total


def test_the_mean_colour_is_the_surfaces_own() -> None:
    """The board's figure is lighter here and darker there; its mean is the surface's own colour, to 1 % of light."""
    surface = replace(planned()[0].surface, wood="")
    base = plain_base(planned()[0])
    for wood in WOODEN:
        seen = bare_wood(with_surface(base, surface), ProofWood(wood))
        inside = seen[base.share == 255]
        for channel in range(3):
            light = np.array([Colour(int(code), 0, 0).linear[0] for code in range(256)])[inside[:, channel]]
            assert light.mean() == pytest.approx(surface.base_colour.linear[channel], rel=0.03), (wood, channel)


def test_another_wood_changes_a_known_colour_by_what_the_woods_differ() -> None:
    """A surface seen on birch is as it is on birch, paler on basswood; one that hides its wood stays as it is."""
    bare = planned()[0].surface
    assert bare.wood == "birch"
    assert bare_light_of(bare, ProofWood("birch")) == bare.base_colour.linear
    paler = bare_light_of(bare, ProofWood("basswood"))
    assert all(light > own for light, own in zip(paler, bare.base_colour.linear, strict=True))
    assert bare_light_of(replace(bare, wood="none"), ProofWood("basswood")) == bare.base_colour.linear


def test_a_surface_that_hides_the_wood_shows_its_own_ground() -> None:
    """On painted wood a maple asked for shows no grain: the proof is that of the plain ground, and a note says so."""
    sign, placement = planned(surface="painted")
    base = plain_base(sign)

    seen, plain = in_wood(base, ProofWood("maple")), in_wood(base, ProofWood("none"))
    told = plan(replace(sign, wood=ProofWood("maple")), assets(), remedies=False).findings

    assert seen.tones is None
    assert (seen.pixels_of(placement) == plain.pixels_of(placement)).all()
    assert any(finding.code == "option-without-effect" and "hides the wood" in finding.message for finding in told)


def test_a_sign_on_a_kept_ground_is_that_sign_made_whole() -> None:
    """Lettering spread by itself and added is, to one code, artwork and lettering spread together."""
    sign, placement = planned()
    look = ProofWood("birch", math.radians(10))
    base = plain_base(sign)
    wooden = in_wood(base, look)
    assert wooden.spread is not None
    amounts = _amounts_of(base.ground, wooden.dye)
    for box, covers in covered_boxes(inks_of(placement), base.window):
        for cover, colour in covers:
            for plane, amount in zip(amounts, amounts_of_colour(colour, wooden.dye), strict=True):
                part = plane[box.rows, box.columns]
                part += (cover / np.float32(255)) * (np.float32(amount) - part)
    whole = _pressed(
        stepped(spread_dye(amounts, wooden.spread)), wooden.tones, base.share, wooden.bare_light, wooden.dye
    )

    assert np.abs(wooden.pixels_of(placement).astype(int) - whole).max() <= 1


def test_grain_follows_its_direction() -> None:
    """Grain along is alike along rows and changes across them; across, the other way round; oblique, in between."""
    base = plain_base(planned()[0])

    def changes(degrees: float) -> tuple[float, float]:
        tones = in_wood(base, ProofWood("birch", math.radians(degrees))).tones
        assert tones is not None
        green = tones[1].astype(float)
        return float(np.abs(np.diff(green, axis=1)).mean()), float(np.abs(np.diff(green, axis=0)).mean())

    along_rows, down = changes(0)
    assert down > 3 * along_rows
    along_rows, down = changes(90)
    assert along_rows > 3 * down
    along_rows, down = changes(45)
    assert 0.6 < along_rows / down < 1.7


def test_the_same_board_is_the_same_at_any_size() -> None:
    """A board drawn large and averaged down is the board drawn small, but for what pixels cannot show."""
    board = Board(254.0, 254.0)
    for wood in WOODS.values():
        large = figure(wood, board, Sight(800 / 254, -127, 127, 800, 800))
        small = figure(wood, board, Sight(200 / 254, -127, 127, 200, 200))
        averaged = large.reshape(200, 4, 200, 4).mean(axis=(1, 3))

        assert float(np.corrcoef(averaged.ravel(), small.ravel())[0, 1]) > 0.9, wood.name


def test_a_part_of_a_board_is_a_part_of_the_whole_board() -> None:
    """A window on a board shows what the whole board shows there, along the grain and at a turn."""
    for degrees in (0, 90, 20):
        board = Board(200.0, 120.0, math.radians(degrees))
        whole = figure(WOODS["pine"], board, Sight(2.0, -100, 60, 400, 240))
        part = figure(WOODS["pine"], board, Sight(2.0, -50, 30, 160, 100))

        there = whole[60:160, 100:260]
        if degrees == 20:  # a turn samples between pixels, and the two windows do so at other places
            assert np.corrcoef(part.ravel(), there.ravel())[0, 1] > 0.99
        else:
            assert np.abs(part - there).max() < 1e-5


def test_prints_and_thumbnails_do_not_know_of_the_wood() -> None:
    """A sign with a wood prints the very bytes of the sign without, and its plain-text picture is the same."""
    sign, placement = planned()
    wooden = replace(sign, wood=ProofWood("pine"), dpi=60)
    plain = replace(sign, dpi=60)

    assert print_base_for(wooden, assets()) is print_base_for(plain, assets())
    assert thumbnail_for(wooden, assets()).draw(placement) == thumbnail_for(plain, assets()).draw(placement)
    assert plan(wooden, assets(), remedies=False).findings == plan(plain, assets(), remedies=False).findings


def test_late_wood_is_warmer() -> None:
    """A darker place of the figure loses most blue and least red."""
    assert TONE_SHARES[0] < TONE_SHARES[1] < TONE_SHARES[2]
