"""Coverage of pixels by outlines, on shapes whose areas are known."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.geometry.shapes import circle
from studio.render import coverage as room
from studio.render.coverage import coverage, freetype_version
from studio.render.pixel_grid import PixelBox, PixelWindow, centred_window, inked_box


def box_outline(left: float, bottom: float, right: float, top: float) -> np.ndarray:
    """Return a counter-clockwise rectangle."""
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top)])


def test_whole_and_half_pixels() -> None:
    """A rectangle over one and a half columns covers them by 255 and 127, the row above it not at all."""
    cover = coverage((box_outline(0, 0, 1.5, 2),), PixelWindow(1, 0, 3, 3, 3))
    assert cover.tolist() == [[0, 0, 0], [255, 127, 0], [255, 127, 0]]


def test_rows_run_down_and_columns_right() -> None:
    """Ink above and to the right of the origin lands in the upper right quarter."""
    cover = coverage((box_outline(1, 1, 2, 2),), centred_window(4, 4, 1))
    assert np.argwhere(cover == 255).tolist() == [[0, 3]]


def test_holes_stay_open_and_overlaps_count_once() -> None:
    """A clockwise contour cuts a hole; two outlines over one pixel cover it once."""
    hole = box_outline(1, 1, 2, 2)[::-1]
    cover = coverage((box_outline(0, 0, 3, 3), hole), PixelWindow(1, 0, 3, 3, 3))
    assert cover[1, 1] == 0
    assert (cover == 255).sum() == 8
    twice = coverage((box_outline(0, 0, 3, 3), box_outline(1, 0, 3, 3)), PixelWindow(1, 0, 3, 3, 3))
    assert (twice == 255).all()


def test_what_reaches_out_of_the_window_is_cut() -> None:
    """A circle far larger than the window fills it; one beside it leaves it empty."""
    window = centred_window(20, 10, 2)
    assert (coverage((circle(0, 0, 1e4),), window) == 255).all()
    assert not coverage((circle(40, 0, 5),), window).any()
    assert inked_box((circle(40, 0, 5),), window).is_empty


def test_nothing_covers_nothing() -> None:
    """No contour, and contours without area, leave the window empty."""
    window = centred_window(8, 8, 1)
    for nothing in ((), (np.zeros((0, 2)),), (np.zeros((2, 2)),), (np.ones((5, 2)),)):
        assert not coverage(nothing, window).any()


def test_inked_box_holds_all_ink_and_no_empty_edge() -> None:
    """The inked box is the least block of pixels that holds the ink."""
    window = centred_window(100, 80, 3.7)
    contours = (circle(2.3, -1.2, 4.4), circle(-3, 2, 1))
    box = inked_box(contours, window)
    rows, columns = np.nonzero(coverage(contours, window))
    assert (rows.min(), rows.max()) == (box.top_px, box.top_px + box.height_px - 1)
    assert (columns.min(), columns.max()) == (box.left_px, box.left_px + box.width_px - 1)


def test_a_cut_window_sees_the_same_pixels() -> None:
    """Rasterising only the inked block gives exactly the pixels of the whole window."""
    window = centred_window(300, 300, 300 / 25.4)
    contours = (circle(3, 2, 5), circle(3, 2, 3)[::-1])
    box = inked_box(contours, window)
    assert np.array_equal(coverage(contours, window)[box.rows, box.columns], coverage(contours, window.cut(box)))


def test_more_points_than_the_rasteriser_counts() -> None:
    """A ring of 150,000 points has the area of a ring."""
    turn = np.linspace(0, 2 * math.pi, 100_000, endpoint=False)
    ring = np.column_stack((40 * np.cos(turn), 40 * np.sin(turn)))
    cover = coverage((ring, ring[::-2] / 2), centred_window(1000, 1000, 300 / 25.4))
    assert cover.sum() / 255 / (300 / 25.4) ** 2 == pytest.approx(math.pi * 1200, rel=1e-4)


def test_windows_wider_than_the_rasteriser_counts() -> None:
    """A window of 40,000 columns is filled in parts without a seam."""
    cover = coverage((box_outline(-2e4, -1, 2e4, 1),), centred_window(40_000, 4, 1))
    assert (cover[1:3] == 255).all()
    assert not cover[[0, 3]].any()


def test_parts_join_without_a_seam(monkeypatch: pytest.MonkeyPatch) -> None:
    """Filling in many small parts gives the pixels of filling in one, to a level of rounding."""
    contours = (circle(0, 0, 20, 1e-4), circle(4, 3, 9, 1e-4)[::-1])
    window = centred_window(500, 500, 300 / 25.4)
    whole = coverage(contours, window).astype(int)
    monkeypatch.setattr(room, "_PART_PX", 37)
    monkeypatch.setattr(room, "_MOST_POINTS", 300)
    assert np.abs(coverage(contours, window) - whole).max() <= 2


def test_boxes_meet_and_join() -> None:
    """Boxes that touch at an edge share no pixel; joined they hold both."""
    one, other = PixelBox(0, 0, 4, 4), PixelBox(0, 4, 2, 2)
    assert not one.meets(other)
    assert one.meets(PixelBox(3, 3, 2, 2))
    assert one.joined(other) == PixelBox(0, 0, 4, 6)


def test_the_rasteriser_states_its_version() -> None:
    """The version is three numbers."""
    assert len([int(part) for part in freetype_version().split(".")]) == 3
