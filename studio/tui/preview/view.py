"""How a sign is looked at: what is asked of the engine for a picture, and where a point of the wood stands in it.

Invariant: a cell of the terminal is taken as twice as high as wide, whatever its sub-pixels.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, TypeAlias

from studio.basics.units import round_half_up
from studio.render.pixel_grid import PixelWindow
from studio.terminal.cells import GRID, CellKind
from studio.terminal.palette import Depth
from studio.tui.editor.draft import SignDraft

LOUPE_STEPS: Final = (1.0, 2.0, 4.0, 8.0)
"""Dots for one mm, a dot being as wide as a cell."""
LEGEND: Final = "- - safe zone, ··· open area, ○ hole"
"""What the lines over a picture mean."""
_DENSITIES_PX: Final = (300, 480, 600)
"""Sizes that proofs are drawn at before they become cells; few, so that they are found ready. The first is that which
colours are compared at as well."""
_STEP: Final = 1.06
Box: TypeAlias = tuple[float, float, float, float]
_SHARPNESS: Final = 2.0
"""Least number of proof pixels to a sub-pixel."""


@dataclass(frozen=True, slots=True)
class Loupe:
    """A close look: which of `LOUPE_STEPS`, and the point of the wood in the middle (`None`: where it matters)."""

    step: int = 1
    centre_mm: tuple[float, float] | None = None

    @property
    def dots_per_mm(self) -> float:
        """The enlargement."""
        return LOUPE_STEPS[self.step]


@dataclass(frozen=True, slots=True)
class View:
    """The space for a picture and how it is drawn there.

    Attributes:
        columns: Cells across.
        rows: Cells down.
        kind: Which cells.
        is_printed: Mirrored with its marks, as it goes to the printer.
        limits_shown: Whether safe zone, holes and open area are drawn.
        ground: The colour round the wood.
        lettering: The text that is being typed (from 0), which is then shown as large as there is room, with the
            whole sign small beside it; `None` for the whole sign alone.
        depth: How many colours the terminal has.
        is_pressed: Whether the sign is shown as pressed, dye spread and grain under it; `None` as its options say.
    """

    columns: int
    rows: int
    kind: CellKind = "half"
    is_printed: bool = False
    loupe: Loupe | None = None
    limits_shown: bool = False
    ground: tuple[int, int, int] = (0, 0, 0)
    lettering: int | None = None
    depth: Depth = "truecolor"
    is_pressed: bool | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is no room for any picture."""
        return self.columns < 4 or self.rows < 2


@dataclass(frozen=True, slots=True)
class Ask:
    """A picture asked for; a higher number is newer.

    Attributes:
        number: Its number.
        state: The sign.
        view: The space for its picture.
        small: Columns and rows for the artwork by itself; `None` where there is no place for it.
    """

    number: int
    state: SignDraft
    view: View
    small: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle of cells in a view and the wood under it.

    Attributes:
        left: The first column that the picture takes.
        top: The first row.
        columns: Cells that it takes across.
        rows: Cells down.
        left_mm: The wood's x at the left edge, before any mirror.
        top_mm: The wood's y at the upper edge.
        mm_per_column: Width of a cell.
        is_mirrored: Whether x runs to the left.
    """

    left: int
    top: int
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    mm_per_column: float
    is_mirrored: bool = False

    def cell_of(self, x_mm: float, y_mm: float) -> tuple[int, int] | None:
        """Return the column and row of a point of the wood; `None` when it is not in the picture."""
        across = (x_mm - self.left_mm) / self.mm_per_column
        column = math.floor(self.columns - across if self.is_mirrored else across)
        row = math.floor((self.top_mm - y_mm) / (2 * self.mm_per_column))
        if not (0 <= column < self.columns and 0 <= row < self.rows):
            return None
        return self.left + column, self.top + row

    def window(self, kind: CellKind) -> tuple[PixelWindow, float]:
        """Return sub-pixels as a window of columns, and how much higher than wide a sub-pixel is."""
        across, down = GRID[kind]
        px_per_mm = across / self.mm_per_column
        return (
            PixelWindow(px_per_mm, self.left_mm, self.top_mm, self.columns * across, self.rows * down),
            2 * across / down,
        )


def whole_frame(view: View, width_mm: float, height_mm: float) -> Frame:
    """Return the frame that shows a rectangle of wood, centred on the origin, as large as the view allows."""
    mm_per_column = max(width_mm / view.columns, height_mm / (2 * view.rows))
    columns = min(view.columns, max(1, round_half_up(width_mm / mm_per_column)))
    rows = min(view.rows, max(1, round_half_up(height_mm / (2 * mm_per_column))))
    return Frame(
        left=(view.columns - columns) // 2,
        top=(view.rows - rows) // 2,
        columns=columns,
        rows=rows,
        left_mm=-columns * mm_per_column / 2,
        top_mm=rows * mm_per_column,
        mm_per_column=mm_per_column,
        is_mirrored=view.is_printed,
    )


def box_frame(view: View, rows: int, box_mm: Box, width_mm: float) -> Frame:
    """Return the frame that shows a box of wood as large as so many rows of the view allow.

    The scale goes by steps, so that the picture does not breathe with every letter; a box about the middle stays there.

    Args:
        view: The space.
        rows: How many of its rows may be taken.
        box_mm: Left, bottom, right and top of what is to be seen.
        width_mm: The wood's own width, which is never shown smaller than it would be whole.
    """
    left, bottom, right, top = box_mm
    wanted = max((right - left) / view.columns, (top - bottom) / (2 * rows))
    whole = width_mm / view.columns
    mm_per_column = whole * _STEP ** -max(0, math.floor(math.log(whole / wanted, _STEP))) if wanted < whole else wanted
    taken = min(rows, max(1, math.ceil((top - bottom) / (2 * mm_per_column))))
    middle = (left + right) / 2
    slack = view.columns * mm_per_column / 2 - (right - left) / 2
    centre = 0.0 if abs(middle) <= slack else middle
    return Frame(
        left=0,
        top=0,
        columns=view.columns,
        rows=taken,
        left_mm=centre - view.columns * mm_per_column / 2,
        top_mm=(bottom + top) / 2 + taken * mm_per_column,
        mm_per_column=mm_per_column,
    )


def loupe_frame(view: View, loupe: Loupe, centre_mm: tuple[float, float]) -> Frame:
    """Return the frame that shows the wood round a point, enlarged."""
    mm_per_column = 1 / loupe.dots_per_mm
    return Frame(
        left=0,
        top=0,
        columns=view.columns,
        rows=view.rows,
        left_mm=centre_mm[0] - view.columns * mm_per_column / 2,
        top_mm=centre_mm[1] + view.rows * mm_per_column,
        mm_per_column=mm_per_column,
    )


def proof_density_px(frame: Frame, kind: CellKind) -> int:
    """Return the longer side, in pixels, of the proof to draw for a frame."""
    across, down = GRID[kind]
    return density_px(_SHARPNESS * max(frame.columns * across, frame.rows * down))


def density_px(wanted: float) -> int:
    """Return the size in pixels, of those that are kept, that comes nearest above what is wanted."""
    return next((px for px in _DENSITIES_PX if px >= wanted), _DENSITIES_PX[-1])
