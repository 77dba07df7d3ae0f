"""The free region of a blank: clearances in closed form, holes on every edge, largest boxes, areas that are stated."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.geometry.shapes import Box, Points, circle
from studio.layout.distance_grid import CELLS_ACROSS, grid_over
from studio.layout.open_area import PICTURE_AIR_SHARE, TEXT_AIR_MM, directions, open_area, stated_box
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank, Hole

ROUND = Blank("round", "round", 210, 210)
CELL_MM = 210 / CELLS_ACROSS


def at(*points: tuple[float, float]) -> Points:
    """Return points as an array."""
    return np.array(points, dtype=np.float64)


def picture(covered: np.ndarray[tuple[int, int], np.dtype[np.bool_]], **laid: float) -> ArtworkSetting:
    """Return a setting of a picture 210 mm wide."""
    rows, columns = covered.shape
    return ArtworkSetting(Artwork("art", "art", columns, rows, 210.0, 210.0 * rows / columns), **laid)  # type: ignore[arg-type]


def alpha(covered: np.ndarray[tuple[int, int], np.dtype[np.bool_]]) -> np.ndarray[tuple[int, int], np.dtype[np.uint8]]:
    """Return full opacity where covered."""
    return (covered * 255).astype(np.uint8)


def test_clearance_in_a_disc() -> None:
    """Clearance is what is left to the safe zone's edge, negative beyond."""
    area = open_area(ROUND, 5)
    assert area.is_plain and area.is_convex
    assert area.clearance_mm(at((0, 0), (60, 80), (0, -103))) == pytest.approx([100, 0, -3])


def test_clearance_of_a_hole() -> None:
    """A hole of 8 mm keeps 4 mm of wood away and its clearance of 5 mm."""
    area = open_area(Blank("holed", "round", 210, 210, holes=(Hole(30, 40, 8, 5),)), 5)
    assert area.clearance_mm(at((30, 40), (30, 52), (-30, -40))) == pytest.approx([-9, 3, 50])


def test_an_edge_may_not_pass_through_a_hole_between_its_ends() -> None:
    """Ends far away do not save an edge; nor does ink that goes all round a hole."""
    area = open_area(Blank("holed", "round", 210, 210, holes=(Hole(0, 50, 8, 5),)), 5)
    for y, clear in ((41.1, False), (40.9, True)):
        bar = at((-50, 30), (50, 30), (50, y), (-50, y))
        assert area.clears_holes(bar, np.roll(np.arange(4), -1)) is clear
    around = circle(0, 50, 20)
    assert not area.clears_holes(around, np.roll(np.arange(len(around)), -1))
    ring = np.concatenate([around, circle(0, 50, 10)[::-1]])
    following = np.arange(1, len(ring) + 1)
    following[len(around) - 1], following[-1] = 0, len(around)
    assert area.clears_holes(ring, following)


@pytest.mark.parametrize("aspect", [0.25, 0.5, 1.0, 2.0, 4.0, 8.0])
def test_largest_box_in_a_disc(aspect: float) -> None:
    """In a disc of 100 mm a box of an aspect is 200 / hypot(1, aspect) high, within two cells."""
    box = open_area(ROUND, 5).largest_box(aspect)
    assert box is not None
    assert box[2] == pytest.approx(200 / math.hypot(1, aspect), abs=2 * CELL_MM * max(1, 1 / aspect))
    assert box[0] == pytest.approx(0, abs=CELL_MM * max(1, aspect))
    assert box[1] == pytest.approx(0, abs=CELL_MM * max(1, 1 / aspect))


def test_no_room_no_box() -> None:
    """Where not a cell is free there is no box."""
    covered = np.ones((100, 100), np.bool_)
    covered[50, 50] = False
    area = open_area(ROUND, 5, setting=picture(covered), alpha=alpha(covered))
    assert area.on_picture and area.picture is None
    covered[:, :8] = False
    area = open_area(ROUND, 100, setting=picture(covered), alpha=alpha(covered))
    assert area.largest_box(1.0) is None or area.largest_box(1.0)[2] <= 10  # type: ignore[index]


def test_a_picture_keeps_its_air() -> None:
    """Beside a picture that covers the upper half the room ends its air below the middle."""
    covered = np.zeros((420, 420), np.bool_)
    covered[:210] = True
    area = open_area(ROUND, 5, setting=picture(covered), alpha=alpha(covered))
    air_mm = max(PICTURE_AIR_SHARE * 210, 2 * CELL_MM)
    assert area.clearance_mm(at((0, -50), (0, 10))) == pytest.approx([50 - air_mm, -air_mm], abs=CELL_MM)
    assert not area.is_convex


@pytest.mark.parametrize(("turn_deg", "free"), [(0, (0, -50)), (90, (50, 0)), (180, (0, 50)), (-90, (-50, 0))])
def test_a_turned_picture_covers_where_it_is_turned_to(turn_deg: float, free: tuple[float, float]) -> None:
    """The upper half covered, turned counter-clockwise, leaves free what was below."""
    covered = np.zeros((400, 400), np.bool_)
    covered[:200] = True
    setting = picture(covered, turn_rad=math.radians(turn_deg))
    area = open_area(ROUND, 5, setting=setting, alpha=alpha(covered))
    assert area.clearance_mm(at(free))[0] > 40
    assert area.clearance_mm(at((-free[0], -free[1])))[0] < 0


def test_a_moved_picture_covers_where_it_is_moved_to() -> None:
    """A dot in the middle of the picture, moved to (40, 30), is 50 mm from the middle of the blank."""
    covered = np.zeros((420, 420), np.bool_)
    covered[209:211, 209:211] = True
    area = open_area(ROUND, 5, setting=picture(covered, x_mm=40, y_mm=30), alpha=alpha(covered))
    air_mm = max(PICTURE_AIR_SHARE * 210, 2 * CELL_MM)
    assert area.clearance_mm(at((0, 0)))[0] == pytest.approx(50 - air_mm, abs=2 * CELL_MM)
    assert area.clearance_mm(at((40, 30)))[0] < 0


@pytest.mark.parametrize(("percent", "covers"), [(4.0, True), (20.0, False)])
def test_faint_washes_count_from_the_threshold_on(percent: float, covers: bool) -> None:
    """A wash of 10 % opacity is picture at a threshold of 4 %, and bare wood at 20 %."""
    faint = np.zeros((420, 420), np.uint8)
    faint[:210] = 26
    setting = picture(faint > 0, threshold_percent=percent)
    area = open_area(ROUND, 5, setting=setting, alpha=faint)
    assert bool(area.clearance_mm(at((0, 50)))[0] < 0) is covers


def test_a_stated_area_wins() -> None:
    """The box an artwork's file states bounds the room, moved and scaled with the picture, until it is turned."""
    art = Artwork("art", "art", 400, 400, 200.0, 200.0, open_area=Box(-50, -20, 50, 30))
    area = open_area(ROUND, 5, setting=ArtworkSetting(art))
    assert area.box == Box(-50, -20, 50, 30)
    assert area.is_convex and not area.is_plain
    assert area.clearance_mm(at((0, 0), (45, 0), (0, -21))) == pytest.approx([20, 5, -1])
    moved = stated_box(ArtworkSetting(art, fit="width", width_mm=100, x_mm=5, y_mm=-1), ROUND, 3)
    assert moved == Box(-20, -11, 30, 14)
    turned = open_area(ROUND, 5, setting=ArtworkSetting(art, turn_rad=math.pi / 2))
    assert turned.box is None
    away = turned.clearance_mm(at((0, 0), (-20, 40), (0, 51), (21, 0)))
    assert (away[:2] > 0).all() and (away[2:] < 0).all()


def test_a_text_takes_its_room_and_air() -> None:
    """Beside a text of 20 x 10 mm other ink keeps 2 mm away; its counters count as taken."""
    ring = (circle(0, 0, 10), circle(0, 0, 8)[::-1])
    area = open_area(ROUND, 5).with_text(ring)
    clear = area.clearance_mm(at((0, 0), (11, 0), (20, 0)))
    assert clear[0] < 0 and clear[1] < 0
    assert clear[2] == pytest.approx(10 - TEXT_AIR_MM, abs=1.5 * CELL_MM)


def test_tightened_by_what_ink_grows() -> None:
    """Everything is drawn in by the same length."""
    art = Artwork("art", "art", 400, 400, 200.0, 200.0, open_area=Box(-50, -20, 50, 30))
    blank = Blank("holed", "round", 210, 210, holes=(Hole(0, 60, 8, 5),))
    area = open_area(blank, 5, setting=ArtworkSetting(art))
    points = at((0, 0), (45, 10), (0, 25), (30, -15))
    assert area.tightened(1.5).clearance_mm(points) == pytest.approx(area.clearance_mm(points) - 1.5)
    assert area.tightened(0) is area


def test_room_in_each_direction() -> None:
    """Nothing free lies further out than the reach in its direction; where nothing is in the way that is the rim."""
    covered = np.zeros((420, 420), np.bool_)
    covered[:210, :210] = True
    area = open_area(ROUND, 5, setting=picture(covered), alpha=alpha(covered))
    points = grid_over(ROUND).centres().reshape(-1, 2)
    free = points[area.clearance_mm(points) >= 0]
    reach = area.reach_mm
    assert (np.hypot(*free.T) <= reach[directions(*free.T)]).all()
    assert reach[directions(np.array([70.0]), np.array([-70.0]))] == pytest.approx(100, abs=2 * CELL_MM)
    assert reach[directions(np.array([-70.0]), np.array([70.0]))] < 20
