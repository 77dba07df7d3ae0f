"""The proof against laws of mixing that hold for any dye on any ground (common practice, no source)."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from studio.basics.colour import Colour, linear_from_code
from studio.model.surface import Surface
from studio.render.proof import pressed_and_cut

CODES = st.integers(0, 255)
COLOURS = st.builds(Colour, CODES, CODES, CODES)


def pressed(colours: list[tuple[int, int, int]], ground: Colour) -> np.ndarray:
    """Press one row of print colours onto a surface, shape (n, 3)."""
    row = np.array([colours], np.uint8)
    share = np.full((1, len(colours)), 255, np.uint8)
    return pressed_and_cut(row, share, Surface("ground", 0.2, ground))[0, :, :3]


@given(COLOURS)
def test_on_a_white_ground_the_proof_is_the_print(colour: Colour) -> None:
    """A ground that reflects everything changes no code."""
    assert pressed([colour.rgb], Colour(255, 255, 255))[0].tolist() == list(colour.rgb)


@given(COLOURS)
def test_without_dye_the_ground_is_seen(ground: Colour) -> None:
    """White in the print leaves the bare surface as it is."""
    assert pressed([(255, 255, 255)], ground)[0].tolist() == list(ground.rgb)


@given(COLOURS, COLOURS, CODES, st.integers(0, 2))
def test_more_dye_never_lightens(ground: Colour, colour: Colour, less: int, part: int) -> None:
    """Lowering one part of the print lowers no part of the proof, and no proof is lighter than its ground."""
    more = list(colour.rgb)
    more[part] = min(more[part], less)
    before, after = pressed([colour.rgb, (more[0], more[1], more[2])], ground).astype(int)
    assert (after <= before).all()
    assert (before <= np.array(ground.rgb)).all()


@given(COLOURS, COLOURS)
def test_reflections_multiply_in_linear_light(ground: Colour, colour: Colour) -> None:
    """Each part reflects what print and ground reflect, multiplied, to half a code (double pass through a dye)."""
    seen = pressed([colour.rgb], ground)[0]
    for code, ink, wood in zip(seen, colour.linear, ground.linear, strict=True):
        low, high = (linear_from_code(max(code + step, 0)) for step in (-0.51, 0.51))
        assert low - 1e-9 <= ink * wood <= high + 1e-9
