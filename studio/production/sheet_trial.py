"""A sign tried on papers before anything is written: how many sheets, where the seams run, what they cost."""

from __future__ import annotations

from dataclasses import dataclass, replace

from studio.errors import SettingsError
from studio.model.sign import Sign
from studio.pipeline.cache import thumbnail_for
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets
from studio.production.sign_sheets import on_paper
from studio.render.ascii_art import CELL_COLUMNS, CELL_ROWS
from studio.render.pixel_grid import PixelWindow
from studio.sheets.seam_cost import Cost, CostMap
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import job_of, way_on_one_sheet
from studio.sheets.tiling import Tiling, WantedSeams, tiling_of

_LEVEL, _UPRIGHT = "═", "║"


@dataclass(frozen=True, slots=True)
class Layout:
    """How a sign lies on a paper.

    Attributes:
        tiling: How it is parted; `None` on one sheet.
    """

    sheets: int
    tiling: Tiling | None = None

    @property
    def costs(self) -> tuple[Cost, ...]:
        """What each seam costs, in the order of the tiling."""
        return () if self.tiling is None else tuple(seam.cost for seam in self.tiling.seams)


class SheetTrial:
    """A sign drawn once, and tried on any paper."""

    def __init__(self, sign: Sign, assets: Assets) -> None:
        """Fit, check and draw the sign; `product.print` is `None` when it is refused.

        Raises:
            StudioError: A face or the picture cannot be used, or the background is transparent.
        """
        self._assets = assets
        planned = plan(sign, assets, remedies=False)
        self.product: Product = make_planned(planned, assets, thumbnail=False)
        self._sign: SignOnPaper | None = on_paper(self.product) if self.product.print is not None else None
        self._costs: CostMap | None = None

    @property
    def is_refused(self) -> bool:
        """Whether the sign cannot be printed at all."""
        return self._sign is None

    def layout(self, wish: Wish) -> Layout:
        """Return how the sign lies on a paper.

        Raises:
            SettingsError: The paper is too small, or the seams wanted do not do.
        """
        assert self._sign is not None
        if wish.seams is None and way_on_one_sheet(self._sign.ink, wish.printer.field(wish.paper)) is not None:
            return Layout(1)
        tiling = tiling_of(job_of(self._sign, wish), self._cost_map(), wish.seams)
        return Layout(len(tiling.tiles), tiling)

    def moved(self, wish: Wish, layout: Layout, seam: int, by_mm: float) -> tuple[Wish, Layout]:
        """Return a wish with one of the seams moved, as the sign is read, and how the sign lies then.

        Raises:
            SettingsError: The seam cannot go there.
        """
        assert layout.tiling is not None
        seams = layout.tiling.seams
        upright = seams[seam].is_upright
        if any(other.is_upright != upright for other in seams):
            raise SettingsError(
                "These seams run both ways, and are left where they cost least.", advice="Larger paper needs fewer."
            )
        sign = -1.0 if upright else 1.0  # the print is mirrored
        places = [sign * other.at_mm + (by_mm if number == seam else 0.0) for number, other in enumerate(seams)]
        wanted = replace(wish, seams=WantedSeams(upright, tuple(sorted(round(place, 3) for place in places))))
        return wanted, self.layout(wanted)

    def drawing(self, layout: Layout, columns: int, rows: int) -> tuple[str, ...]:
        """Return the sign as it is read in plain characters, with its seams and the numbers of its sheets.

        Args:
            layout: How it lies.
            columns: The most columns.
            rows: The most rows.
        """
        sign = self.product.plan.sign
        wide = min(columns, int(2 * rows * sign.blank.width_mm / sign.blank.height_mm))
        base = thumbnail_for(sign, self._assets, max(8, wide))
        lines = base.draw(self.product.plan.placement).splitlines()
        across = base.grid.window.width_px // CELL_COLUMNS
        cells = [list(line.ljust(across)) for line in lines]
        for seam in layout.tiling.seams if layout.tiling is not None else ():
            start, end = (seam.at_mm, seam.at_mm) if seam.is_upright else (seam.start_mm, seam.end_mm)
            low, high = (seam.start_mm, seam.end_mm) if seam.is_upright else (seam.at_mm, seam.at_mm)
            first, last = self._cell(base.grid.window, -end, high), self._cell(base.grid.window, -start, low)
            _line(cells, first, last, _UPRIGHT if seam.is_upright else _LEVEL, seam.letter)
        for tile in layout.tiling.tiles if layout.tiling is not None else ():
            x, y = tile.kept.centre_mm
            row, column = self._cell(base.grid.window, -x, y)
            for place, character in enumerate(f" {tile.number} "):
                _put(cells, row, column - 1 + place, character)
        return tuple("".join(line).rstrip() for line in cells)

    def _cost_map(self) -> CostMap:
        assert self._sign is not None
        if self._costs is None:
            self._costs = self._sign.costs()
        return self._costs

    @staticmethod
    def _cell(window: PixelWindow, x_mm: float, y_mm: float) -> tuple[int, int]:
        row = int((window.top_mm - y_mm) * window.px_per_mm / CELL_ROWS)
        return row, int((x_mm - window.left_mm) * window.px_per_mm / CELL_COLUMNS)


def _line(cells: list[list[str]], first: tuple[int, int], last: tuple[int, int], sign: str, letter: str) -> None:
    """Draw a line of characters between two cells, a letter at both ends; what lies outside is left out."""
    for row in range(first[0], last[0] + 1):
        for column in range(first[1], last[1] + 1):
            is_end = (row, column) in (first, last)
            _put(cells, row, column, letter if is_end else sign)
    for row, column in (first, last):
        inside = (min(max(row, 0), len(cells) - 1), min(max(column, 0), len(cells[0]) - 1))
        _put(cells, *inside, letter)


def _put(cells: list[list[str]], row: int, column: int, character: str) -> None:
    if 0 <= row < len(cells) and 0 <= column < len(cells[row]):
        cells[row][column] = character
