"""The nearest of a terminal's few colours."""

from __future__ import annotations

import numpy as np
import pytest

from studio.terminal.palette import nearest, oklab


@pytest.mark.parametrize(
    ("code", "lab"),
    [
        ((255, 255, 255), (1.0, 0.0, 0.0)),
        ((255, 0, 0), (0.62796, 0.22486, 0.12585)),
        ((0, 255, 0), (0.86644, -0.23389, 0.17950)),
        ((0, 0, 255), (0.45201, -0.03246, -0.31153)),
    ],
)
def test_oklab_gives_the_published_values(code: tuple[int, int, int], lab: tuple[float, float, float]) -> None:
    """White and the sRGB primaries come out as CSS Color Module Level 4 (W3C) has them (from memory)."""
    assert oklab(np.array(code, np.uint8)) == pytest.approx(lab, abs=2e-4)


@pytest.mark.parametrize("depth", ["256", "16"])
def test_wood_stays_wood(depth: str) -> None:
    """Tones of birch, maple, pine and bark never become a grey, whose three parts are alike."""
    woods = np.array([0xE8D5B0, 0xD9BC8C, 0xC69C6D, 0x8A5A2B, 0x3B5D3A], np.uint32)
    greys = {"256": {*range(232, 256), 16, 59, 102, 145, 188, 231}, "16": {0, 7, 8, 15}}[depth]

    assert greys.isdisjoint(nearest(woods, depth).tolist())  # type: ignore[arg-type]


def test_a_colour_of_the_palette_is_itself() -> None:
    """Each colour of the 6 x 6 x 6 cube is its own nearest, with the index of xterm's numbering (from memory)."""
    levels = (0, 95, 135, 175, 215, 255)
    codes = np.array([r << 16 | g << 8 | b for r in levels for g in levels for b in levels], np.uint32)

    assert nearest(codes, "256").tolist() == list(range(16, 232))
