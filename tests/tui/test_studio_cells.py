"""Pixels as characters: shapes, colours, marks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from rich.cells import cell_len

from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.terminal.cells import CELL_KINDS, GRID, CellKind, cells_of
from studio.tui.preview.painter import SmallArtwork
from studio.tui.preview.strips import Drawn, Mark, StripMaker, with_ground


def _board(
    kind: CellKind, rows: int = 3, columns: int = 5, colour: tuple[int, int, int] = (248, 240, 232)
) -> np.ndarray:
    across, down = GRID[kind]
    return np.full((rows * down, columns * across, 3), colour, np.uint8)


@pytest.mark.parametrize("kind", ["half", "quadrant", "sextant", "octant"])
def test_a_flat_board_is_one_colour(kind: CellKind) -> None:
    """A picture of one colour becomes cells that show that colour alone."""
    cells = cells_of(_board(kind), kind)
    assert cells.glyphs.shape == (3, 5)
    shown = np.where(cells.glyphs == ord(" "), cells.back, cells.front)
    assert set(shown.ravel().tolist()) == {0xF8F0E8}


@pytest.mark.parametrize(
    ("kind", "lit", "shape"),
    [
        ("half", [(0, 0)], "▀"),
        ("quadrant", [(0, 0)], "▘"),
        ("quadrant", [(0, 1), (1, 0)], "▞"),
        ("quadrant", [(1, 0), (1, 1)], "▄"),
        ("sextant", [(0, 0)], "\U0001fb00"),
        ("sextant", [(0, 0), (1, 0), (2, 0)], "▌"),
        ("sextant", [(0, 1), (1, 0), (1, 1), (2, 0), (2, 1)], "\U0001fb3b"),
        ("octant", [(1, 0)], "\U0001cd00"),
        ("octant", [(0, 0)], "\U0001cea8"),
        ("octant", [(3, 0), (3, 1)], "▂"),
        ("octant", [(0, 0), (1, 0)], "▘"),
        ("octant", [(0, 1), (1, 0), (1, 1), (2, 0), (2, 1), (3, 0), (3, 1)], "\U0001cde5"),
        ("braille", [(0, 0)], "\u2801"),
        ("braille", [(3, 1)], "\u2880"),
    ],
)
def test_shapes_follow_the_standard(kind: CellKind, lit: list[tuple[int, int]], shape: str) -> None:
    """Sub-pixels become the character that the Unicode charts name for them (dots stand for dark ones)."""
    dark_on_light = kind == "braille"
    board = _board(kind, 1, 1, (255, 255, 255) if dark_on_light else (0, 0, 0))
    for row, column in lit:
        board[row, column] = 0 if dark_on_light else 255
    assert chr(int(cells_of(board, kind).glyphs[0, 0])) == shape


@pytest.mark.parametrize("kind", CELL_KINDS)
def test_every_shape_is_one_cell_wide(kind: CellKind) -> None:
    """No pattern of sub-pixels becomes a character that would push its line apart."""
    across, down = GRID[kind]
    count = across * down
    patterns = (np.arange(1 << count)[:, None] >> np.arange(count)) & 1
    pixels = np.repeat((patterns * 255).astype(np.uint8)[..., None], 3, axis=2)
    board = pixels.reshape(1 << count, down, across, 3).transpose(1, 0, 2, 3).reshape(down, (1 << count) * across, 3)
    shapes = {chr(code) for code in cells_of(board, kind).glyphs[0].tolist()}
    assert {cell_len(shape) for shape in shapes} == {1}
    if kind != "half":
        assert len(shapes) >= (1 << count) - 1  # a cell all light counts as flat


@given(hnp.arrays(np.uint8, (6, 8, 3), elements=st.integers(0, 255)))
def test_half_blocks_keep_every_pixel(pixels: np.ndarray) -> None:
    """Half blocks show every pixel's colour, but for the last three bits."""
    cells = cells_of(pixels, "half")
    shown = np.empty((6, 8), np.uint32)
    shown[0::2], shown[1::2] = cells.front, cells.back
    wide = (pixels & 0xF8).astype(np.uint32)
    assert np.array_equal(shown, wide[..., 0] << 16 | wide[..., 1] << 8 | wide[..., 2])


def test_lines_have_styles_and_widths() -> None:
    """Every segment of a line has a style, and every line is as wide as the picture, marks included."""
    board = _board("half", 2, 10)
    board[1, 3:6] = 0
    marks = (Mark(0, 8, "12►"), Mark(1, -1, "3►"))
    strips = StripMaker().strips_of(Drawn(cells_of(board, "half"), marks))
    assert [strip.cell_length for strip in strips] == [10, 10]
    assert all(segment.style is not None for strip in strips for segment in strip)
    assert strips[0].text.endswith("12") and strips[1].text.startswith("►")


def test_unchanged_lines_are_the_same_objects() -> None:
    """A line that is as it was in the picture before is handed out again, so that it is not drawn anew."""
    maker, board = StripMaker(), _board("half", 3, 6)
    before = maker.strips_of(Drawn(cells_of(board, "half")))
    board[2] = 0
    after = maker.strips_of(Drawn(cells_of(board, "half")))
    assert after[0] is before[0] and after[2] is before[2]
    assert after[1] is not before[1]


def test_the_ground_keeps_its_exact_colour() -> None:
    """Cells of the ground's colour are drawn in exactly that, and not in the coarser one of the picture."""
    ground = (0x17, 0x15, 0x12)
    cells = with_ground(cells_of(_board("half", 1, 4, ground), "half"), 0x171512)
    strips = StripMaker().strips_of(Drawn(cells))
    style = next(iter(strips[0])).style
    assert style is not None and style.bgcolor is not None and style.bgcolor.triplet == ground


@pytest.mark.parametrize("kind", CELL_KINDS)
def test_a_small_artwork_keeps_its_proportions(kind: CellKind, shop_assets: FileAssets, catalogue: Catalogue) -> None:
    """A square picture fills twice as many columns as rows, in the middle, whatever the cells."""
    ground = (1, 2, 3)
    artwork = catalogue.artwork("pine-ring")
    pixels = SmallArtwork(shop_assets).pixels(artwork, 40, 10, kind, ground)
    across, down = GRID[kind]
    assert pixels.shape == (10 * down, 40 * across, 3)
    is_ground = (pixels == ground).all(axis=2)
    assert is_ground[:, : 10 * across].all() and is_ground[:, 30 * across :].all()
    assert not is_ground[:, 10 * across : 30 * across].any()
