"""A planned sign as lines for the terminal: whole or under the loupe, as read or as printed, with marks.

Invariant: pictures come from the same placement and the same raster rooms as the files that are made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from textual.strip import Strip

from studio.basics.units import MM_PER_INCH, round_half_up
from studio.layout.open_area import OpenArea
from studio.layout.placement import Placement
from studio.model.artwork import Artwork
from studio.model.finding import Finding
from studio.model.sign import DPI, SMALLEST_DPI, Sign
from studio.pipeline.cache import area_for, print_base_for, proof_base_for
from studio.pipeline.types import Assets, Plan
from studio.render.artwork import lay_artwork
from studio.render.background import cut_share, draw_ground
from studio.render.pixel_grid import PixelWindow
from studio.render.pixels import over_white
from studio.render.profiled import through_profile
from studio.render.proof import ProofBase, pressed_and_cut
from studio.render.wood_proof import in_wood
from studio.terminal.cells import GRID, CellKind, Cells, cells_of
from studio.tui.preview.limit_lines import LimitLines, draw_limits, limit_lines
from studio.tui.preview.strips import MARK_GROUND, Drawn, Mark, StripMaker, few_colours, with_ground
from studio.tui.preview.view import (
    Box,
    Frame,
    Loupe,
    View,
    box_frame,
    density_px,
    loupe_frame,
    proof_density_px,
    whole_frame,
)

_SAMPLES: Final = 4
"""Pixels looked at for each that is shown, along each side; more are not seen."""


class SmallArtwork:
    """Makes one small picture after another; the last is kept, since it is asked for with every key."""

    def __init__(self, assets: Assets) -> None:
        self._assets = assets
        self._kept: tuple[object, NDArray[np.uint8]] | None = None

    def pixels(
        self, artwork: Artwork, columns: int, rows: int, kind: CellKind, ground: tuple[int, int, int]
    ) -> NDArray[np.uint8]:
        """Return an artwork in so many cells, on a ground, shape (rows x down, columns x across, 3).

        Raises:
            PictureError: It cannot be read.
        """
        key = (artwork, columns, rows, kind, ground)
        if self._kept is None or self._kept[0] != key:
            self._kept = (key, _drawn(self._assets.pixels(artwork), columns, rows, kind, ground))
        return self._kept[1]


def _drawn(
    pixels: NDArray[np.uint8], columns: int, rows: int, kind: CellKind, ground: tuple[int, int, int]
) -> NDArray[np.uint8]:
    across, down = GRID[kind]
    height_px, width_px = pixels.shape[:2]
    scale = min(columns / width_px, 2 * rows / height_px)
    wide, high = (
        max(1, round_half_up(width_px * scale * across)),
        max(1, round_half_up(height_px * scale * down / 2)),
    )
    step = max(1, min(width_px // (_SAMPLES * wide), height_px // (_SAMPLES * high)))
    image = Image.fromarray(np.ascontiguousarray(pixels[::step, ::step]))
    small = np.asarray(image.resize((wide, high), Image.Resampling.BOX))
    canvas = np.empty((rows * down, columns * across, 3), np.uint8)
    canvas[:] = ground
    top, left = (canvas.shape[0] - high) // 2, (canvas.shape[1] - wide) // 2
    canvas[top : top + high, left : left + wide] = over_white(small)
    return canvas


_WORTH_IT: Final = 1.2
"""How much larger a text must come out for it to be shown by itself."""
_AIR_BESIDE: Final = 0.012
_AIR_ABOVE: Final = 0.2
"""Room round a text that is shown by itself, as a share of its size; the numbers of findings stand in it."""
_LEAST_INSET_ROWS: Final = 3
_MOST_INSET_ROWS: Final = 9
_PRINT_PX: Final = 480
_LOUPE_SHARPNESS: Final = 2


@dataclass(frozen=True, slots=True, eq=False)
class Painted:
    """A finished picture.

    Attributes:
        frame: Where the wood stands in it.
        strips: Its lines, each as wide as the view.
        drawn: What the lines were made of, to be kept.
    """

    frame: Frame
    strips: list[Strip]
    drawn: Drawn


class Painter:
    """Paints signs from one set of assets; keeps what the next picture is likely to need again. For one thread."""

    def __init__(self, assets: Assets) -> None:
        self._assets = assets
        self._strips = StripMaker()
        self._small = SmallArtwork(assets)
        self._small_strips = StripMaker()
        self._bare: tuple[ProofBase, tuple[int, int, int], NDArray[np.uint8]] | None = None
        self._loupe_base: tuple[object, ProofBase] | None = None
        self._lines: tuple[OpenArea, Frame, LimitLines] | None = None

    def paint(self, sign: Sign, planned: Plan | None, view: View) -> Painted:
        """Return the picture of a sign; of the bare board when nothing is planned or nothing stands.

        Args:
            sign: The sign.
            planned: The sign fitted; `None` for a board without a name.
            view: The space and the manner.
        """
        frame, canvas = self._canvas(sign, planned, view)
        marks = _marks(planned.findings if planned is not None else (), frame, view)
        cells = few_colours(
            with_ground(cells_of(canvas, view.kind), _code(view.ground)), view.depth, _code(view.ground)
        )
        drawn = Drawn(cells, marks)
        return Painted(frame, self._strips.strips_of(drawn), drawn)

    def paint_true(self, sign: Sign, planned: Plan | None, view: View) -> NDArray[np.uint8]:
        """Return the same picture in pixels, ten across and twenty down for each cell of the view."""
        frame, canvas = self._canvas(sign, planned, replace(view, kind="true"))
        image = Image.fromarray(canvas)
        draw = ImageDraw.Draw(image)
        across, down = GRID["true"]
        for mark in _marks(planned.findings if planned is not None else (), frame, view):
            left, top, text = mark.column * across, mark.row * down, mark.text.rstrip("►")
            draw.rectangle((left, top, left + across * len(text) - 1, top + down - 1), fill=MARK_GROUND)
            draw.text((left + 2, top + 4), text, fill="black")
        return np.array(image)

    def _canvas(self, sign: Sign, planned: Plan | None, view: View) -> tuple[Frame, NDArray[np.uint8]]:
        """Return a sign's picture of the whole view, shape (rows x down, columns x across, 3), and its frame."""
        placement = planned.placement if planned is not None else None
        findings = planned.findings if planned is not None else ()
        if view.is_pressed is not None:
            sign = sign.as_pressed if view.is_pressed else replace(sign, wood=None)
        if view.loupe is not None:
            frame, pixels = self._close(sign, placement, findings, view, view.loupe)
        elif view.is_printed:
            frame, pixels = self._printed(sign, placement, view)
        elif view.lettering is not None and placement is not None and (close := self._lettering(sign, placement, view)):
            return close
        else:
            frame, pixels = self._read(sign, placement, view)
        across, down = GRID[view.kind]
        image = Image.fromarray(pixels).resize((frame.columns * across, frame.rows * down), Image.Resampling.BOX)
        picture = np.array(image)
        if view.limits_shown:
            draw_limits(picture, self._lines_of(sign, frame, view), is_mirrored=frame.is_mirrored)
        canvas = np.empty((view.rows * down, view.columns * across, 3), np.uint8)
        canvas[:] = _ground_of(view)
        top, left = frame.top * down, frame.left * across
        canvas[top : top + picture.shape[0], left : left + picture.shape[1]] = picture
        return frame, canvas

    def paint_artwork(self, sign: Sign, size: tuple[int, int], view: View) -> list[Strip]:
        """Return a sign's artwork by itself in so many columns and rows; no lines where there is none."""
        if sign.artwork is None:
            return []
        pixels = self._small.pixels(sign.artwork.artwork, *size, view.kind, _ground_of(view))
        cells = few_colours(
            with_ground(cells_of(pixels, view.kind), _code(view.ground)), view.depth, _code(view.ground)
        )
        return self._small_strips.strips_of(Drawn(cells))

    def _read(self, sign: Sign, placement: Placement | None, view: View) -> tuple[Frame, NDArray[np.uint8]]:
        frame = whole_frame(view, sign.blank.width_mm, sign.blank.height_mm)
        base = proof_base_for(sign, self._assets, proof_density_px(frame, view.kind))
        return frame, self._laid(base, placement, view)

    def _lettering(self, sign: Sign, placement: Placement, view: View) -> tuple[Frame, NDArray[np.uint8]] | None:
        """Return the text that is being typed, large, over the whole sign small, as a picture of the whole view.

        `None` where it stands as large in the picture of the whole sign.
        """
        assert view.lettering is not None
        box = lettering_box(placement, view.lettering)
        if box is None:
            return None
        whole = whole_frame(view, sign.blank.width_mm, sign.blank.height_mm)
        close = box_frame(view, view.rows, box, sign.blank.width_mm)
        if close.mm_per_column > whole.mm_per_column / _WORTH_IT:
            return None
        spare = view.rows - close.rows
        inset = min(spare, _MOST_INSET_ROWS)
        if inset < _LEAST_INSET_ROWS:
            inset = 0
        close = replace(close, top=(spare - inset) // 2 if inset else spare // 2)
        across, down = GRID[view.kind]
        wanted = _SAMPLES / 2 * across * max(sign.blank.width_mm, sign.blank.height_mm) / close.mm_per_column
        base = proof_base_for(sign, self._assets, density_px(wanted))
        pixels = self._laid(base, placement, view)
        canvas = np.empty((view.rows * down, view.columns * across, 3), np.uint8)
        canvas[:] = _ground_of(view)
        shown = _cut(pixels, base.window, close, (close.rows * down, close.columns * across)).copy()
        if view.limits_shown:
            draw_limits(shown, self._lines_of(sign, close, view), is_mirrored=False)
        _put(canvas, shown, close.top * down, 0)
        if inset:
            small = whole_frame(replace(view, rows=inset), sign.blank.width_mm, sign.blank.height_mm)
            size = (small.columns * across, small.rows * down)
            image = Image.fromarray(pixels).resize(size, Image.Resampling.BOX)
            _put(canvas, np.asarray(image), (view.rows - inset) * down, (view.columns - small.columns) // 2 * across)
        return close, canvas

    def _printed(self, sign: Sign, placement: Placement | None, view: View) -> tuple[Frame, NDArray[np.uint8]]:
        around_mm = 2 * (sign.bleed_mm + sign.waste_mm)
        width_mm, height_mm = sign.blank.width_mm + around_mm, sign.blank.height_mm + around_mm
        frame = whole_frame(view, width_mm, height_mm)
        dpi = min(DPI, max(SMALLEST_DPI, int(_PRINT_PX / max(width_mm, height_mm) * MM_PER_INCH)))
        base = print_base_for(replace(sign, dpi=dpi, background="white"), self._assets)
        return frame, base.print_of(placement or Placement(()), order=sign.order).pixels()

    def _close(
        self, sign: Sign, placement: Placement | None, findings: Sequence[Finding], view: View, loupe: Loupe
    ) -> tuple[Frame, NDArray[np.uint8]]:
        frame = loupe_frame(view, loupe, loupe.centre_mm or place_to_look(placement, findings))
        window, _ = frame.window("half")
        sharp = PixelWindow(
            window.px_per_mm * _LOUPE_SHARPNESS,
            window.left_mm,
            window.top_mm,
            window.width_px * _LOUPE_SHARPNESS,
            window.height_px * _LOUPE_SHARPNESS,
        )
        key = (sign.blank, sign.artwork, sign.bleed_mm, sign.surface, sign.wood, sign.profile, sharp)
        if self._loupe_base is None or self._loupe_base[0] != key:
            self._loupe_base = (key, self._base_of(sign, sharp))
        return frame, self._laid(self._loupe_base[1], placement, view)

    def _laid(self, base: ProofBase, placement: Placement | None, view: View) -> NDArray[np.uint8]:
        """Return a proof on the view's ground, shape (rows, columns, 3); the bare board is kept for the next name."""
        ground = _ground_of(view)
        if self._bare is None or self._bare[0] is not base or self._bare[1] != ground:
            self._bare = (base, ground, _on_ground(base.pressed, ground))
        pixels = self._bare[2].copy()
        for patch in base.patches_of(placement):
            rows, columns = patch.pixels.shape[:2]
            part = pixels[patch.top_px : patch.top_px + rows, patch.left_px : patch.left_px + columns]
            part[:] = _on_ground(patch.pixels, ground)
        return pixels

    def _base_of(self, sign: Sign, window: PixelWindow) -> ProofBase:
        """Return a part of a sign's proof at any density."""
        laid = None
        if sign.artwork is not None:
            covered = (sign.blank.width_mm + 2 * sign.bleed_mm, sign.blank.height_mm + 2 * sign.bleed_mm)
            pixels = self._assets.pixels(sign.artwork.artwork)
            laid = lay_artwork(sign.artwork, pixels, covered_width_mm=covered[0], covered_height_mm=covered[1])
        ground = draw_ground(laid, sign.blank, bleed_mm=sign.bleed_mm, window=window, background="white")
        share = cut_share(sign.blank, 0.0, window)
        if sign.profile is not None:
            ground = through_profile(ground, sign.profile, "seen")
        pressed = pressed_and_cut(ground, share, sign.surface)
        base = ProofBase(sign.blank, window, sign.surface, ground, share, pressed, profile=sign.profile)
        return base if sign.wood is None else in_wood(base, sign.wood)

    def _lines_of(self, sign: Sign, frame: Frame, view: View) -> LimitLines:
        area = area_for(sign, self._assets)
        if self._lines is None or self._lines[0] is not area or self._lines[1] != frame:
            self._lines = (area, frame, limit_lines(area, frame, view.kind))
        lines = self._lines[2]
        across, down = GRID[view.kind]
        if lines.holes.shape != (frame.rows * down, frame.columns * across):
            self._lines = (area, frame, limit_lines(area, frame, view.kind))
        return self._lines[2]


def lettering_box(placement: Placement, number: int) -> Box | None:
    """Return left, bottom, right and top of one text in mm, with some air; `None` where it is not set."""
    if number >= len(placement.letterings):
        return None
    contours = placement.letterings[number].ring_contours or placement.letterings[number].contours
    if not contours:
        return None
    points = np.concatenate(contours)
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    beside, above = _AIR_BESIDE * (right - left), _AIR_ABOVE * (top - bottom)
    return float(left - beside), float(bottom - above), float(right + beside), float(top + above)


def _cut(pixels: NDArray[np.uint8], window: PixelWindow, frame: Frame, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """Return the part of a proof that a frame shows, in so many rows and columns; beyond the proof its edge goes on."""
    left = (frame.left_mm - window.left_mm) * window.px_per_mm
    top = (window.top_mm - frame.top_mm) * window.px_per_mm
    width = frame.columns * frame.mm_per_column * window.px_per_mm
    height = 2 * frame.rows * frame.mm_per_column * window.px_per_mm
    before = (max(0, math.ceil(-top)), max(0, math.ceil(-left)))
    after = (
        max(0, math.ceil(top + height - pixels.shape[0])),
        max(0, math.ceil(left + width - pixels.shape[1])),
    )
    if any((*before, *after)):
        pixels = np.pad(pixels, ((before[0], after[0]), (before[1], after[1]), (0, 0)), mode="edge")
    box = (left + before[1], top + before[0], left + before[1] + width, top + before[0] + height)
    return np.asarray(Image.fromarray(pixels).resize((shape[1], shape[0]), Image.Resampling.LANCZOS, box=box))


def _put(canvas: NDArray[np.uint8], part: NDArray[np.uint8], top: int, left: int) -> None:
    canvas[top : top + part.shape[0], left : left + part.shape[1]] = part


def _in_cells(pixels: NDArray[np.uint8], view: View) -> Cells:
    """Return pixels as the cells and in the colours that the terminal has."""
    ground = _code(view.ground)
    return few_colours(with_ground(cells_of(pixels, view.kind), ground), view.depth, ground)


def _code(colour: tuple[int, int, int]) -> int:
    return colour[0] << 16 | colour[1] << 8 | colour[2]


def place_to_look(placement: Placement | None, findings: Sequence[Finding]) -> tuple[float, float]:
    """Return where a close look begins: the first weak place, else the first letter, else the middle."""
    places = weak_places(findings)
    if places:
        return places[0]
    if placement is not None:
        for lettering in placement.letterings:
            if lettering.letters:
                points = np.concatenate(lettering.letters[0].contours)
                middle = (points.min(axis=0) + points.max(axis=0)) / 2
                return float(middle[0]), float(middle[1])
    return (0.0, 0.0)


def weak_places(findings: Sequence[Finding]) -> tuple[tuple[float, float], ...]:
    """Return the points of the findings that have one, in the order of the findings."""
    return tuple(
        (finding.where.x_mm, finding.where.y_mm)
        for finding in findings
        if finding.where.x_mm is not None and finding.where.y_mm is not None
    )


def _marks(findings: Sequence[Finding], frame: Frame, view: View) -> tuple[Mark, ...]:
    """Return the numbers of findings at their places; close up they stand beside the place and do not hide it."""
    points_at, is_close = view.loupe is not None, view.lettering is not None and frame.columns == view.columns
    marks = []
    for number, finding in enumerate(findings, 1):
        if finding.where.x_mm is None or finding.where.y_mm is None or (finding.severity == "note" and not points_at):
            continue
        cell = frame.cell_of(finding.where.x_mm, finding.where.y_mm)
        if cell is not None:
            text = f"{number}►" if points_at else str(number)
            if is_close and not points_at:
                is_above = cell[1] - frame.top < frame.rows / 2
                marks.append(Mark(frame.top if is_above else frame.top + frame.rows - 1, cell[0], text))
                continue
            marks.append(Mark(cell[1], cell[0] - (len(text) if points_at else 0), text))
    return tuple(marks)


def _ground_of(view: View) -> tuple[int, int, int]:
    """Return the colour round the wood: white where dots stand for what is dark."""
    return (255, 255, 255) if view.kind == "braille" else view.ground


def _on_ground(pixels: NDArray[np.uint8], ground: tuple[int, int, int]) -> NDArray[np.uint8]:
    """Return pixels with alpha laid on a colour, shape (rows, columns, 3)."""
    share = pixels[..., 3:].astype(np.uint16)
    laid = pixels[..., :3] * share + np.array(ground, np.uint16) * (255 - share) + 127
    opaque: NDArray[np.uint8] = (laid // 255).astype(np.uint8)
    return opaque
