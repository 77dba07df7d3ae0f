"""Laws of sheets over random blanks, papers and pieces."""

from __future__ import annotations

import itertools
import random

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, unary_union
from shapely.affinity import translate
from shapely.geometry import box

from studio.geometry.shapes import Box, Rim
from studio.model.paper import Paper
from studio.model.printer import Printer
from studio.production.captions import caption_line
from studio.sheets.gang import GangSign, ganged
from studio.sheets.page import Line, PackedPicture, Page, PlacedPrint, Shape
from studio.sheets.seam_cost import CostMap, cost_map
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import sheets_of
from studio.sheets.tiling import Job, tiling_of

_DPI = 60
_MM = st.integers


def _rims() -> st.SearchStrategy[Rim]:
    sizes = st.tuples(_MM(80, 420), _MM(80, 420))
    return st.one_of(
        _MM(80, 420).map(lambda size: Rim("round", size, size)),
        sizes.map(lambda size: Rim("oval", *size)),
        sizes.map(lambda size: Rim("rect", *size, 10.0)),
        sizes.map(lambda size: Rim("rect", *size)),
    )


def _no_costs() -> CostMap:
    return cost_map([], reach_mm=0.8)


def _picture(rim: Rim, bleed_mm: float) -> PackedPicture:
    wide, high = (round((side + 2 * (bleed_mm + 6)) / 25.4 * _DPI) for side in (rim.width_mm, rim.height_mm))
    return PackedPicture(wide, high, _DPI, bytes, f"{rim} {bleed_mm}")


@given(_rims(), st.sampled_from([0.0, 3.0, 5.0]), st.sampled_from([(203.2, 263.5), (197.3, 254.0), (130.0, 180.0)]))
@settings(max_examples=25)
def test_sheets_cover_the_sign_and_overlap_at_seams(rim: Rim, bleed_mm: float, size: tuple[float, float]) -> None:
    """Pieces kept make up all of blank plus bleed, once each; both sides print 5 mm past every seam."""
    tiling = tiling_of(Job(rim, bleed_mm, *size), _no_costs())
    outline = Polygon(rim.contour(bleed_mm, 0.001))
    kept = [box(tile.kept.left_mm, tile.kept.bottom_mm, tile.kept.right_mm, tile.kept.top_mm) for tile in tiling.tiles]

    assert outline.difference(unary_union(kept).buffer(0.01)).area < 0.05
    assert sum(outline.intersection(piece).area for piece in kept) <= outline.area + 0.05
    for tile in tiling.tiles:
        wide, high = (size[1], size[0]) if tile.is_turned else size
        assert tile.printed.width_mm <= wide + 1e-3 and tile.printed.height_mm <= high + 1e-3
    for seam in tiling.seams:
        for place in np.linspace(seam.start_mm + 0.5, seam.end_mm - 0.5, 7):
            for past in (-4.99, 0.0, 4.99):
                x, y = (seam.at_mm + past, place) if seam.is_upright else (place, seam.at_mm + past)
                holding = [tile for tile in tiling.tiles if _holds(tile.printed, x, y)]
                assert len(holding) >= 2 or not outline.buffer(-0.1).covers(_point(x, y))


def _holds(area: Box, x: float, y: float) -> bool:
    return area.left_mm <= x <= area.right_mm and area.bottom_mm <= y <= area.top_mm


def _point(x: float, y: float) -> Polygon:
    return box(x - 1e-6, y - 1e-6, x + 1e-6, y + 1e-6)


@given(_rims(), st.sampled_from(["letter", "a4"]))
@settings(max_examples=10)
def test_nothing_is_drawn_inside_the_sign_and_all_on_what_is_printed(rim: Rim, name: str) -> None:
    """Marks and words of every sheet keep half a mm off blank plus bleed, and inside the printer's margins."""
    paper = Paper(name, 215.9, 279.4) if name == "letter" else Paper(name, 210.0, 297.0)
    picture = _picture(rim, 3.0)
    ink = Box(-rim.width_mm / 2, -rim.height_mm / 2, rim.width_mm / 2, rim.height_mm / 2)
    trim = (rim.width_mm / 2 + 8, rim.height_mm / 2 + 8)
    sign = SignOnPaper("Marlow & Tess", "PW-1", rim, 3.0, trim, picture, ink, _no_costs)
    sheets = sheets_of(sign, Wish(paper), caption_line)
    field = Printer().field(paper)

    for page in sheets.pages:
        placed = next(item for item in page.items if isinstance(item, PlacedPrint))
        for points in _drawn(page):
            away = points - np.array(_centre(page, placed))
            if placed.quarter_turns % 2:
                away = np.column_stack((away[:, 1], -away[:, 0]))
            assert (rim.depth_mm(away) <= -3.5 + 1e-6).all()
            assert points[:, 0].min() >= field.left_mm - 0.2 and points[:, 0].max() <= field.right_mm + 0.2
            assert points[:, 1].min() >= field.bottom_mm - 0.2 and points[:, 1].max() <= field.top_mm + 0.2


def _drawn(page: Page) -> list[np.ndarray]:
    found = []
    for item in page.items:
        if isinstance(item, Shape):
            found += [np.asarray(contour) for contour in item.contours]
        elif isinstance(item, Line) and item.ink.width_mm > 0:
            ink = item.ink
            found.append(np.array([(x, y) for x in (ink.left_mm, ink.right_mm) for y in (ink.bottom_mm, ink.top_mm)]))
    return found


def _centre(page: Page, placed: PlacedPrint) -> tuple[float, float]:
    across, down = placed.picture.width_px, placed.picture.height_px
    if placed.quarter_turns % 2:
        across, down = down, across
    px_mm = 25.4 / placed.picture.dpi
    return (placed.left_px + across / 2) * px_mm, page.height_mm - (placed.top_px + down / 2) * px_mm


def _small_rims() -> st.SearchStrategy[Rim]:
    sizes = st.tuples(_MM(30, 110), _MM(30, 110))
    return st.one_of(
        st.sampled_from([50.0, 63.5, 76.2]).map(lambda size: Rim("round", size, size)),
        sizes.map(lambda size: Rim("oval", *size)),
        sizes.map(lambda size: Rim("rect", *size, 5.0)),
    )


_PIECES = st.lists(
    st.tuples(_small_rims(), st.sampled_from(["Marlow", "Nora", "Tess"]), _MM(1, 3)), min_size=1, max_size=9
)


def _signs(pieces: list[tuple[Rim, str, int]]) -> list[GangSign]:
    return [GangSign(name, "", rim, 3.0, _picture(rim, 3.0), count) for rim, name, count in pieces]


@given(_PIECES, st.sampled_from([0.0, 3.175, 4.0, 10.0]))
@settings(max_examples=12)
def test_ganged_pieces_keep_their_gap_and_lie_on_the_sheet(pieces: list[tuple[Rim, str, int]], gap_mm: float) -> None:
    """Every two pieces of a sheet are the gap apart by their true distance, all lie on it, and none is lost."""
    signs = _signs(pieces)
    places = ganged(signs, 203.2, 250.0, gap_mm)
    outlines = []
    for place in places:
        contour = signs[place.sign].rim.contour(3.0, 0.0005)
        outline = Polygon(contour[:, ::-1] if place.is_turned else contour)
        outlines.append((place.sheet, translate(outline, place.x_mm, place.y_mm)))

    assert sorted(place.sign for place in places) == [i for i, sign in enumerate(signs) for _ in range(sign.count)]
    for (one, first), (other, second) in itertools.combinations(outlines, 2):
        assert one != other or first.distance(second) >= gap_mm - 2e-3
    assert all(box(-0.01, -0.01, 203.21, 250.01).covers(outline) for _, outline in outlines)
    numbers = [(place.sheet, place.number) for place in places]
    assert len(set(numbers)) == len(numbers)


@given(_PIECES, st.randoms(use_true_random=False))
@settings(max_examples=10)
def test_the_order_of_the_list_changes_nothing(pieces: list[tuple[Rim, str, int]], chance: random.Random) -> None:
    """The same signs in another order lie on the same sheets in the same places."""
    signs = _signs(pieces)
    shuffled = list(signs)
    chance.shuffle(shuffled)

    def told(listed: list[GangSign]) -> list[tuple[object, ...]]:
        return [
            (place.sheet, place.number, place.x_mm, place.y_mm, listed[place.sign].name, listed[place.sign].rim)
            for place in ganged(listed, 203.2, 250.0)
        ]

    assert told(shuffled) == told(signs)
