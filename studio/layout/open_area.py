"""Where lettering may go: the safe zone, less holes, less what the artwork and other texts cover.

`clearance_mm` is the one question everything asks: a point may carry ink when its clearance is 0 or more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValues, Memory
from studio.geometry.shapes import Box, Contours, Points, Rim
from studio.layout.distance_grid import (
    DistanceGrid,
    dense_cover,
    distance_to,
    grid_over,
    largest_squares,
    picture_cover,
    text_cover,
)
from studio.layout.work import BESIDE_TEXT_MS, WORK
from studio.model.artwork import ArtworkSetting
from studio.model.blank import Blank

TEXT_AIR_MM: Final = 2.0
"""Least distance between two texts."""
PICTURE_AIR_CELLS: Final = 2.0
PICTURE_AIR_SHARE: Final = 0.008
"""Least distance to the picture, as a share of the smaller size; never under `PICTURE_AIR_CELLS`, the grid's error."""
COVERED_SHARE: Final = 0.97
"""A picture that covers more than this of the safe zone leaves no open area: lettering goes on top of it."""
_LEAST_BOX_CELLS: Final = 2
_ASPECT_STEP: Final = 1.08
REACH_DIRECTIONS: Final = 360
_ZONE_DIRECTIONS: Final = 4097
_ZONE_HALVINGS: Final = 24
_ZONES_KEPT: Final = 32
_ROUNDING_MM: Final = 1e-3
"""How far points kept in single precision may be off."""
_UPRIGHT_RAD: Final = 1e-9
_BLIND_CELLS: Final = 40
"""Nearer to the middle than this a cell is wider than a direction, so that room there is taken for granted."""


@dataclass(frozen=True, eq=False)
class OpenArea:
    """The free region of one blank.

    Attributes:
        margin_mm: How far the safe zone lies inside the rim.
        box: The area that the artwork's own file states; it wins over what the picture covers.
        picture: Distance to the artwork, less the air kept from it; `None` where the picture is no obstacle.
        texts: Distance to texts already placed, less the air kept from them.
        on_picture: The picture leaves no room, so that lettering goes on top of it.
        approximate: Clearance of every cell, all limits together; `None` when the safe zone is all there is.
        dense: Distance to where the artwork fills the wood to the eye, faint washes left out; `None` without any.
        memory: What was worked out for this area, kept with it.
    """

    blank: Blank
    margin_mm: float
    box: Box | None = None
    picture: DistanceGrid | None = None
    texts: DistanceGrid | None = None
    on_picture: bool = False
    approximate: DistanceGrid | None = None
    dense: DistanceGrid | None = None
    memory: Memory = field(default_factory=dict, init=False, repr=False)

    @property
    def is_plain(self) -> bool:
        """Whether the safe zone alone bounds the room."""
        return self.approximate is None

    @property
    def is_convex(self) -> bool:
        """Whether safe zone and stated area alone bound the room, so that sizes have a closed form."""
        return not self.blank.holes and self.picture is None and self.texts is None

    def clearance_mm(self, points: Points) -> NDArray[np.float64]:
        """Return how far each point is from the nearest limit, negative beyond it. Shapes (..., 2) to (...)."""
        clearance = self.convex_clearance_mm(points)
        for hole in self.blank.holes:
            away = np.hypot(points[..., 0] - hole.x_mm, points[..., 1] - hole.y_mm)
            clearance = np.minimum(clearance, away - hole.diameter_mm / 2 - hole.clearance_mm)
        for covered in (self.picture, self.texts):
            if covered is not None:
                clearance = np.minimum(clearance, covered.nearest(points))
        return clearance

    def convex_clearance_mm(self, points: Points) -> NDArray[np.float64]:
        """Return the clearance from the edges of the safe zone and of the stated area alone."""
        clearance = self.blank.rim.depth_mm(points) - self.margin_mm
        if self.box is not None:
            low = np.minimum(points[..., 0] - self.box.left_mm, points[..., 1] - self.box.bottom_mm)
            high = np.minimum(self.box.right_mm - points[..., 0], self.box.top_mm - points[..., 1])
            clearance = np.minimum(clearance, np.minimum(low, high))
        return clearance

    def convex_room_mm(self, points: Points) -> NDArray[np.float64]:
        """Return room whose sign is that of `convex_clearance_mm` to about a micrometre, quicker on ovals.

        On an oval it is measured along the ray from the middle rather than to the nearest place of the rim.
        """
        if self.blank.rim.shape == "rect" or self.blank.rim.is_circle:
            return self.convex_clearance_mm(points)
        turns, reaches = _zone_by_direction(self.blank.rim, self.margin_mm)
        turn = np.arctan2(points[..., 1], points[..., 0])
        room = np.interp(turn, turns, reaches) - np.hypot(points[..., 0], points[..., 1])
        if self.box is None:
            return np.asarray(room, np.float64)
        return np.asarray(np.minimum(room, self.convex_clearance_mm(points)), np.float64)

    def clears_holes(self, points: Points, following: NDArray[np.intp]) -> bool:
        """Whether the edges of outlines keep every hole's clearance, and go round none.

        Args:
            points: Where each edge starts, shape (n, 2).
            following: Index of the point where it ends.
        """
        for hole in self.blank.holes:
            x, y = points[:, 0] - hole.x_mm, points[:, 1] - hole.y_mm
            reach = hole.diameter_mm / 2 + hole.clearance_mm
            nearest = float((x * x + y * y).min())
            if nearest < reach * reach:
                return False
            along_x, along_y = x[following] - x, y[following] - y
            length2 = np.maximum(along_x * along_x + along_y * along_y, 1e-18)
            if math.sqrt(nearest) < reach + math.sqrt(float(length2.max())) / 2:
                share = np.clip(-(x * along_x + y * along_y) / length2, 0, 1)
                off_x, off_y = x + share * along_x, y + share * along_y
                if float((off_x * off_x + off_y * off_y).min()) < reach * reach:
                    return False
            if _goes_round(x, y, following):
                return False
        return True

    def is_off_holes(self, points: Points) -> bool:
        """Whether points, shape (n, 2), keep every hole's clearance: to be asked first, of a few points of outlines."""
        for hole in self.blank.holes:
            x, y = points[:, 0] - hole.x_mm, points[:, 1] - hole.y_mm
            reach = hole.diameter_mm / 2 + hole.clearance_mm - _ROUNDING_MM
            if float((x * x + y * y).min()) < reach * reach:
                return False
        return True

    def with_text(self, contours: Contours) -> OpenArea:
        """Return the area that is left once a text stands."""
        WORK.done_ms += BESIDE_TEXT_MS
        grid = grid_over(self.blank)
        away = distance_to(text_cover(contours, grid), grid)
        away = DistanceGrid(grid, away.values - np.float32(TEXT_AIR_MM))
        if self.texts is not None:
            away = DistanceGrid(grid, np.minimum(away.values, self.texts.values))
        known = self.approximate or self._zone_map
        assert known is not None
        return replace(self, texts=away, approximate=DistanceGrid(grid, np.minimum(known.values, away.values)))

    def tightened(self, extra_mm: float) -> OpenArea:
        """Return the area drawn in by `extra_mm` on every side, for ink that grows by that once it is fitted."""
        if extra_mm <= 0:
            return self
        holes = tuple(replace(hole, clearance_mm=hole.clearance_mm + extra_mm) for hole in self.blank.holes)
        box = self.box
        if box is not None:
            box = Box(box.left_mm + extra_mm, box.bottom_mm + extra_mm, box.right_mm - extra_mm, box.top_mm - extra_mm)
        picture, texts, approximate, dense = (
            None if map_ is None else DistanceGrid(map_.grid, map_.values - np.float32(extra_mm))
            for map_ in (self.picture, self.texts, self.approximate, self.dense)
        )
        return replace(
            self,
            blank=replace(self.blank, holes=holes),
            margin_mm=self.margin_mm + extra_mm,
            box=box,
            picture=picture,
            texts=texts,
            approximate=approximate,
            dense=dense,
        )

    @cached_property
    def _zone_map(self) -> DistanceGrid | None:
        return _mapped(self, force=True).approximate

    def roughly_largest_box(self, aspect: float) -> tuple[float, float, float] | None:
        """Return the largest box of about an aspect (within 4 %), each worked out once for this area."""
        step = round(math.log(aspect) / math.log(_ASPECT_STEP))
        return _BOXES.get(self, step, lambda: self.largest_box(_ASPECT_STEP**step))

    @cached_property
    def reach_mm(self) -> NDArray[np.float64]:
        """How far out from the middle there may be room in each direction, shape (REACH_DIRECTIONS,).

        Direction 0 is to the left, and they run counter-clockwise. No ink of any size can stand further out.
        """
        return _reach_mm(self)

    def largest_box(self, aspect: float) -> tuple[float, float, float] | None:
        """Return the largest upright box of an aspect (width / height) in the free region.

        The region is resampled so that the box becomes a square; the chessboard distance to the nearest limit is then
        half its side. Right to about one cell.

        Returns:
            Centre x, centre y and height in mm; `None` when hardly a cell is free.
        """
        mapped = self.approximate if self.approximate is not None else _mapped(self, force=True).approximate
        assert mapped is not None
        grid = mapped.grid
        free = mapped.values >= 0
        across = max(3, int(grid.columns / aspect + 0.5)) if aspect >= 1 else grid.columns
        down = max(3, int(grid.rows * aspect + 0.5)) if aspect < 1 else grid.rows
        columns = ((np.arange(across) + 0.5) * grid.columns / across).astype(np.intp)
        rows = ((np.arange(down) + 0.5) * grid.rows / down).astype(np.intp)
        most, places = largest_squares(free[np.ix_(rows, columns)])
        if most < _LEAST_BOX_CELLS:
            return None
        places = places + 1
        middle = np.array([(down + 1) / 2, (across + 1) / 2])
        row, column = places[np.argmin(np.abs(places - middle).sum(axis=1))]
        x_mm = grid.left_mm + (column - 0.5) * grid.columns * grid.pitch_mm / across
        y_mm = grid.bottom_mm + (row - 0.5) * grid.rows * grid.pitch_mm / down
        return (float(x_mm), float(y_mm), (2 * most - 1) * grid.rows * grid.pitch_mm / down)


_BOXES: Final = KeptValues[OpenArea, int, tuple[float, float, float] | None]()
"""The largest box of each step of the ladder of aspects."""


@lru_cache(maxsize=_ZONES_KEPT)
def _zone_by_direction(rim: Rim, margin_mm: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how far out an oval's safe zone reaches in rising directions from -pi to pi."""
    turns = np.linspace(-np.pi, np.pi, _ZONE_DIRECTIONS)
    ways = np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    low, high = np.zeros(len(turns)), np.full(len(turns), max(rim.width_mm, rim.height_mm) / 2)
    for _ in range(_ZONE_HALVINGS):
        middle = (low + high) / 2
        inside = rim.depth_mm(ways * middle[:, None]) >= margin_mm
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return turns, low


def _reach_mm(area: OpenArea) -> NDArray[np.float64]:
    assert area.approximate is not None
    grid = area.approximate.grid
    cells = grid.centres()[area.approximate.values >= -grid.pitch_mm]
    reach = np.full(REACH_DIRECTIONS, _BLIND_CELLS * grid.pitch_mm)
    np.maximum.at(reach, directions(cells[:, 0], cells[:, 1]), np.hypot(cells[:, 0], cells[:, 1]) + grid.pitch_mm)
    beside = [np.roll(reach, shift) for shift in (-2, -1, 0, 1, 2)]
    return np.asarray(np.max(beside, axis=0), np.float64)


def directions(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return in which direction of `OpenArea.reach_mm` points lie from the middle."""
    turn = (np.arctan2(y, x) / (2 * np.pi) + 0.5) * REACH_DIRECTIONS
    return np.minimum(turn.astype(np.intp), REACH_DIRECTIONS - 1)


def _goes_round(x: NDArray[np.float64], y: NDArray[np.float64], following: NDArray[np.intp]) -> bool:
    """Whether the origin lies in the ink that edges bound."""
    end_y = y[following]
    crossing = np.flatnonzero((y <= 0) != (end_y <= 0))
    x, y, end_x, end_y = x[crossing], y[crossing], x[following[crossing]], end_y[crossing]
    right = x - y * (end_x - x) / (end_y - y) > 0
    return int(np.where(end_y > y, 1, -1)[right].sum()) != 0


def open_area(
    blank: Blank,
    margin_mm: float,
    *,
    setting: ArtworkSetting | None = None,
    alpha: NDArray[np.uint8] | None = None,
    bleed_mm: float = 0.0,
) -> OpenArea:
    """Return the free region of a blank before any text stands.

    Args:
        blank: The blank.
        margin_mm: The safe zone's distance from the rim.
        setting: The artwork on it, if any.
        alpha: Its opacity, rows running down; not needed when it states its own area.
        bleed_mm: How far the artwork runs past the rim.
    """
    area = OpenArea(blank, margin_mm)
    if setting is not None:
        stated = stated_box(setting, blank, bleed_mm)
        if alpha is not None:
            dense = dense_cover(alpha, setting, blank, bleed_mm)
            if dense.any() and not dense.all():
                area = replace(area, dense=distance_to(dense, grid_over(blank)))
        if stated is not None and _is_upright(setting):
            area = replace(area, box=stated)
        elif stated is not None:
            grid = grid_over(blank)
            beside = _beside_turned(stated, setting, grid.centres())
            away_mm = distance_to(beside, grid).values - np.float32(PICTURE_AIR_CELLS * grid.pitch_mm)
            area = replace(area, picture=DistanceGrid(grid, away_mm))
        elif alpha is not None:
            covered = picture_cover(alpha, setting, blank, bleed_mm)
            grid = grid_over(blank)
            zone = blank.rim.depth_mm(grid.centres()) >= margin_mm
            if covered[zone].mean() > COVERED_SHARE:
                area = replace(area, on_picture=True)
            elif covered.any():
                away = distance_to(covered, grid)
                air_mm = max(PICTURE_AIR_CELLS * grid.pitch_mm, PICTURE_AIR_SHARE * blank.smaller_mm)
                area = replace(area, picture=DistanceGrid(grid, away.values - np.float32(air_mm)))
    return _mapped(area)


def states_its_area(setting: ArtworkSetting) -> bool:
    """Whether an artwork's own file says where lettering may go."""
    return setting.artwork.open_area is not None and setting.artwork.width_mm is not None


def stated_box(setting: ArtworkSetting, blank: Blank, bleed_mm: float) -> Box | None:
    """Return the artwork's stated area as it would lie on the blank unturned; `None` without one."""
    stated, own_mm = setting.artwork.open_area, setting.artwork.width_mm
    if stated is None or own_mm is None:
        return None
    width_mm, _ = setting.printed_size_mm(blank.width_mm + 2 * bleed_mm, blank.height_mm + 2 * bleed_mm)
    scale = width_mm / own_mm
    return Box(
        stated.left_mm * scale + setting.x_mm,
        stated.bottom_mm * scale + setting.y_mm,
        stated.right_mm * scale + setting.x_mm,
        stated.top_mm * scale + setting.y_mm,
    )


def _is_upright(setting: ArtworkSetting) -> bool:
    return abs(math.remainder(setting.turn_rad, 2 * math.pi)) < _UPRIGHT_RAD


def _beside_turned(box: Box, setting: ArtworkSetting, places: Points) -> NDArray[np.bool_]:
    """Return which places, shape (..., 2), lie beside a box that is turned with its artwork about its middle."""
    x, y = places[..., 0] - setting.x_mm, places[..., 1] - setting.y_mm
    cos, sin = math.cos(setting.turn_rad), math.sin(setting.turn_rad)
    along, up = x * cos + y * sin + setting.x_mm, y * cos - x * sin + setting.y_mm
    return np.asarray(
        (along < box.left_mm) | (along > box.right_mm) | (up < box.bottom_mm) | (up > box.top_mm), np.bool_
    )


def _mapped(area: OpenArea, *, force: bool = False) -> OpenArea:
    """Return the area with the clearance of every cell worked out, where something but the rim bounds it."""
    bounded = area.blank.holes or area.box is not None or area.picture is not None or area.texts is not None
    if not bounded and not force:
        return area
    grid = grid_over(area.blank)
    return replace(area, approximate=DistanceGrid(grid, area.clearance_mm(grid.centres()).astype(np.float32)))
