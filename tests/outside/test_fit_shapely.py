"""Fitted lettering against shapely: containment on every shape of blank, and largest boxes against brute force.

Source: shapely (GEOS) buffers, containment and areas; it shares no code with the fitting.
"""

from __future__ import annotations

import functools
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from studio.basics.colour import Colour
from studio.layout.arrange import Wanted, lay
from studio.layout.open_area import PICTURE_AIR_SHARE, OpenArea, open_area
from studio.layout.placement import PlacedLettering, Placement
from studio.layout.shaped_text import ShapedText
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank, Hole
from studio.model.sign import Layout, LetteringOrder
from studio.text.font import Face, open_face

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
MARGIN_MM = 9.0
HOLES = (Hole(-45, 40, 8, 5), Hole(45, 40, 8, 5))
BLANKS = {
    "round": Blank("round", "round", 200, 200),
    "not quite round": Blank("round", "round", 200, 197),
    "oval": Blank("oval", "oval", 300, 180),
    "rect": Blank("rect", "rect", 300, 150, 12),
    "sharp rect": Blank("rect", "rect", 260, 160),
    "round, holes": Blank("round", "round", 200, 200, holes=HOLES),
    "oval, holes": Blank("oval", "oval", 300, 180, holes=HOLES),
    "rect, holes": Blank("rect", "rect", 300, 150, 12, holes=HOLES),
}
FACES = {"plain": "Nunito", "joined": "Pacifico", "heavy": "AlfaSlabOne"}
LAYOUTS: tuple[Layout, ...] = ("auto", "arc-top", "arc-bottom", "box")


@cache
def face(name: str) -> Face:
    """Open a shipped face."""
    return open_face(next((ROOT / "fonts" / name).glob("*.ttf")).read_bytes(), name=name)


def outline(blank: Blank) -> BaseGeometry:
    """Return a blank's outline by shapely's own means."""
    if blank.shape != "rect":
        disc = shapely.Point(0, 0).buffer(1, quad_segs=2048)
        return affinity.scale(disc, blank.width_mm / 2, blank.height_mm / 2, origin=(0, 0))
    radius = blank.corner_radius_mm
    inner = shapely.box(
        radius - blank.width_mm / 2,
        radius - blank.height_mm / 2,
        blank.width_mm / 2 - radius,
        blank.height_mm / 2 - radius,
    )
    return inner.buffer(radius, quad_segs=256) if radius else inner


@cache
def room(name: str) -> BaseGeometry:
    """Return the safe zone less the holes' clearances, by shapely."""
    blank = BLANKS[name]
    zone = outline(blank).buffer(-MARGIN_MM, quad_segs=256)
    for hole in blank.holes:
        reach = hole.diameter_mm / 2 + hole.clearance_mm
        zone = zone.difference(shapely.Point(hole.x_mm, hole.y_mm).buffer(reach, quad_segs=64))
    return zone


def ink_of(lettering: PlacedLettering) -> BaseGeometry:
    """Return the ink, counters left out, since a hole may lie in one; each letter's contours are united already."""
    letters = []
    for letter in lettering.letters:
        areas = [shapely.Polygon(contour).buffer(0) for contour in letter.contours]
        letters.append(functools.reduce(shapely.symmetric_difference, areas, shapely.Polygon()))
    return shapely.union_all(letters)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("kind", FACES)
@pytest.mark.parametrize("name", BLANKS)
def test_all_ink_is_within_the_room(name: str, kind: str, layout: Layout) -> None:
    """On every shape, with and without holes, no ink leaves what shapely calls the room by over two micrometres."""
    area = open_area(BLANKS[name], MARGIN_MM)
    for text in ("Ida", "Jörg & Quill", "The Birch Cabin"):
        order = LetteringOrder(text, layout=layout, min_cap_mm=1)
        laid = lay((Wanted(order, ShapedText(text, face(FACES[kind])), Colour(0, 0, 0)),), area, 0.81)
        assert isinstance(laid, Placement)
        beyond = ink_of(laid.letterings[0]).difference(room(name).buffer(0.002))
        assert beyond.area < 1e-6, (text, laid.letterings[0].ink_box, beyond.bounds)


def free_region(shape: str) -> tuple[OpenArea, BaseGeometry]:
    """Return an open area and the same region by shapely: a disc of 100 mm less what is drawn on it."""
    size = 1000
    y, x = np.mgrid[0:size, 0:size]
    across, up = (x + 0.5) / size * 210 - 105, 105 - (y + 0.5) / size * 210
    disc = shapely.Point(0, 0).buffer(100, quad_segs=512)
    air_mm = max(PICTURE_AIR_SHARE * 210, 2 * 210 / 512)
    covered: NDArray[np.bool_]
    art: BaseGeometry
    if shape == "disc":
        covered, art = np.zeros((size, size), np.bool_), shapely.Point()
    elif shape == "half disc":
        covered, art = up > 0, shapely.box(-105, 0, 105, 105)
    elif shape == "ring":
        covered = np.hypot(across, up) > 70
        art = shapely.Point(0, 0).buffer(150, quad_segs=512).difference(shapely.Point(0, 0).buffer(70, quad_segs=512))
    else:
        covered = (np.hypot(across + 50, up - 30) < 45) | ((across > 40) & (up < -20))
        art = shapely.Point(-50, 30).buffer(45, quad_segs=512).union(shapely.box(40, -105, 105, -20))
    setting = ArtworkSetting(Artwork("art", "art", size, size, 210.0, 210.0)) if covered.any() else None
    area = open_area(Blank("disc", "round", 210, 210), 5.0, setting=setting, alpha=(covered * 255).astype(np.uint8))
    return area, disc.difference(art.buffer(air_mm, quad_segs=256)) if covered.any() else disc


def brute_height(region: BaseGeometry, aspect: float) -> float:
    """Return the height of the largest box of an aspect, by trying places on ever finer grids with shapely."""
    best, centre, reach, step = 0.0, (0.0, 0.0), 100.0, 8.0
    prepared = region
    shapely.prepare(prepared)
    while step > 0.05:
        offsets = np.arange(-reach, reach + step / 2, step)
        x, y = (centre[0] + offsets)[:, None] + 0 * offsets, (centre[1] + offsets)[None] + 0 * offsets[:, None]
        places = np.stack([x.ravel(), y.ravel()], axis=-1)
        for grow in (1.2, 1.05, 1.01, 1.003):
            while True:
                height = max(best, 1.0) * grow
                half = np.array([height * aspect / 2, height / 2])
                boxes = shapely.box(*(places - half).T, *(places + half).T)
                inside = shapely.contains_properly(prepared, boxes)
                if not inside.any():
                    break
                best, centre = height, tuple(places[int(np.argmax(inside))].tolist())
        reach, step = step * 3, step / 2
    return best


@pytest.mark.parametrize("aspect", [1.0, 2.5, 6.0])
@pytest.mark.parametrize("shape", ["disc", "half disc", "ring", "disc less art"])
def test_largest_box_against_brute_force(shape: str, aspect: float) -> None:
    """The largest free box is within a per cent and two grid cells of the best that a search with shapely finds."""
    area, region = free_region(shape)
    box = area.largest_box(aspect)
    assert box is not None
    x, y, height = box
    best = brute_height(region, aspect)
    cell_mm = 210 / 512
    assert height == pytest.approx(best, rel=0.01, abs=2 * cell_mm)
    # A box as large as reported, less a cell on every side, stands free where it is said to.
    half = np.array([height * aspect / 2 - cell_mm * max(1, aspect), height / 2 - cell_mm])
    assert region.contains(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1]))


@pytest.mark.parametrize("text", ["I", "Hill", "HHHHHHHH"])
@pytest.mark.parametrize("shape", ["disc", "half disc", "ring", "disc less art"])
def test_largest_line_against_brute_force(shape: str, text: str) -> None:
    """A line of capitals is at least as large as the largest free box of its ink's aspect, and free by shapely."""
    area, region = free_region(shape)
    order = LetteringOrder(text, layout="box", min_cap_mm=1)
    laid = lay((Wanted(order, ShapedText(text, face("Nunito")), Colour(0, 0, 0)),), area, 0.81)
    assert isinstance(laid, Placement)
    lettering = laid.letterings[0]
    height = lettering.ink_box.height_mm
    best = brute_height(region, lettering.ink_box.width_mm / height)
    assert height >= best * 0.985
    cell_mm = 210 / 512
    assert ink_of(lettering).difference(region.buffer(cell_mm)).area < 1e-6


@pytest.mark.parametrize("text", ["I", "Hill", "Marlow & Tess"])
@pytest.mark.parametrize("shape", ["half disc", "ring", "disc less art"])
def test_one_per_cent_larger_never_fits_where_it_stands(shape: str, text: str) -> None:
    """Grown by 1.5 % about its middle, the line leaves the region by shapely, or its place is off by under a cell."""
    area, region = free_region(shape)
    order = LetteringOrder(text, layout="box", min_cap_mm=1)
    laid = lay((Wanted(order, ShapedText(text, face("Nunito")), Colour(0, 0, 0)),), area, 0.81)
    assert isinstance(laid, Placement)
    lettering = laid.letterings[0]
    larger = affinity.scale(ink_of(lettering), 1.015, 1.015, origin=lettering.ink_box.centre_mm)
    assert larger.difference(region.buffer(-0.5)).area > 0
    again = LetteringOrder(text, layout="box", cap_mm=lettering.cap_height_mm * 1.02)
    wanted = Wanted(again, ShapedText(text, face("Nunito")), Colour(0, 0, 0))
    assert not isinstance(lay((wanted,), area, 0.81), Placement)
