"""The lines of a sign's limits, drawn over a picture: safe zone dashed, open area dotted, holes and rim whole.

Invariant: lines are drawn where they lie on the wood, from the same distances that fitting keeps to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.layout.open_area import OpenArea
from studio.terminal.cells import CellKind
from studio.tui.preview.view import Frame

SAFE_ZONE: Final = (0x1F, 0x7A, 0x8C)
OPEN_AREA: Final = (0xC8, 0x5A, 0x17)
HOLE: Final = (0xB0, 0x20, 0x20)


@dataclass(frozen=True, slots=True, eq=False)
class LimitLines:
    """Masks over a picture's sub-pixels, each of shape (rows, columns)."""

    safe_zone: NDArray[np.bool_]
    open_area: NDArray[np.bool_]
    holes: NDArray[np.bool_]


def limit_lines(area: OpenArea, frame: Frame, kind: CellKind) -> LimitLines:
    """Return the lines of an open area in a frame."""
    points = sub_pixel_points(frame, kind)
    depth = area.blank.rim.depth_mm(points) - area.margin_mm
    free = area.clearance_mm(points)
    holes = np.zeros(depth.shape, np.bool_)
    for hole in area.blank.holes:
        away = np.hypot(points[..., 0] - hole.x_mm, points[..., 1] - hole.y_mm)
        holes |= _edge(away < hole.diameter_mm / 2)
    rows, columns = np.indices(depth.shape)
    safe_zone = _edge(depth >= 0)
    safe_zone &= (rows + columns) % 4 < 2
    open_area = _edge(free >= 0) & ~_edge(depth >= 0)
    open_area &= (rows + columns) % 2 == 0
    return LimitLines(safe_zone, open_area, holes)


def draw_limits(pixels: NDArray[np.uint8], lines: LimitLines, *, is_mirrored: bool) -> None:
    """Draw lines into a picture of shape (rows, columns, 3)."""
    for mask, colour in ((lines.open_area, OPEN_AREA), (lines.safe_zone, SAFE_ZONE), (lines.holes, HOLE)):
        pixels[mask[:, ::-1] if is_mirrored else mask] = colour


def sub_pixel_points(frame: Frame, kind: CellKind) -> NDArray[np.float64]:
    """Return the middles of a frame's sub-pixels on the wood, shape (rows, columns, 2)."""
    window, stretch = frame.window(kind)
    across = window.left_mm + (np.arange(window.width_px) + 0.5) / window.px_per_mm
    down = window.top_mm - (np.arange(window.height_px) + 0.5) * stretch / window.px_per_mm
    return np.stack(np.broadcast_arrays(across[None, :], down[:, None]), axis=-1)


def _edge(inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the cells inside that have a neighbour outside."""
    kept = inside.copy()
    kept[1:] &= inside[:-1]
    kept[:-1] &= inside[1:]
    kept[:, 1:] &= inside[:, :-1]
    kept[:, :-1] &= inside[:, 1:]
    return inside & ~kept
