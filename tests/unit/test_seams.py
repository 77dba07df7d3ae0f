"""What a seam costs, where it may go, and what else is told of sheets."""

from __future__ import annotations

import numpy as np
import pytest

from studio.basics.errors import SettingsError
from studio.geometry.shapes import Box, Rim, circle
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.paper import Paper, parse_paper
from studio.model.printer import Margins, Printer, parse_margins
from studio.production.captions import caption_line
from studio.production.sign_sheets import kept_boxes
from studio.sheets.page import PackedPicture
from studio.sheets.seam_cost import Cost, cost_map
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import ink_box, sheets_of
from studio.sheets.tiling import Job, WantedSeams, parse_seams, tiling_of
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import open_shop

_SQUARE = np.array([(10.0, -5.0), (30.0, -5.0), (30.0, 5.0), (10.0, 5.0)])
_ROUND = Rim("round", 254.0, 254.0)


def test_lettering_is_crossed_by_its_exact_length() -> None:
    """A seam through a 20 x 10 mm block costs 20 mm across and 10 mm upright; the finest stroke counts as touching."""
    costs = cost_map([(_SQUARE,)], reach_mm=0.8)

    assert costs.cost(0.0, -100, 100, upright=False).lettering_mm == pytest.approx(20.0)
    assert costs.cost(20.0, -100, 100, upright=True).lettering_mm == pytest.approx(10.0)
    assert costs.cost(5.7, -100, 100, upright=False).lettering_mm == pytest.approx(20.0)
    assert costs.cost(5.9, -100, 100, upright=False).lettering_mm == 0.0
    assert costs.cost(0.0, -100, 15, upright=False).lettering_mm == pytest.approx(5.0)


def test_a_ring_is_crossed_twice() -> None:
    """Through a ring of 10 and 8 mm radius the seam crosses 2 mm of ink on either side, filled non-zero."""
    ring = (circle(0, 0, 10), circle(0, 0, 8)[::-1])

    assert cost_map([ring], reach_mm=0.0).cost(0.0, -50, 50, upright=False).lettering_mm == pytest.approx(4.0, abs=0.02)


def test_costs_are_added_field_by_field() -> None:
    """Two costs together are the sums of all their figures."""
    assert Cost(1, 2, 3, 4).plus(Cost(10, 20, 30, 40)) == Cost(11, 22, 33, 44)


def test_a_picture_costs_by_its_edges_and_darkness() -> None:
    """White costs nothing; a dark band costs 0.05 a mm along it, and an edge that crosses the seam costs more."""
    pixels = np.full((300, 300, 3), 255, np.uint8)
    pixels[100:200] = 0
    costs = cost_map([], reach_mm=0.8, pixels=pixels, dpi=75.0)
    side_mm = 300 / 75 * 25.4

    assert costs.cost(40.0, -60, 60, upright=False).picture == 0.0
    assert costs.cost(0.0, -60, 60, upright=False).picture == pytest.approx(0.05 * side_mm, rel=0.01)
    assert costs.cost(0.0, -60, 60, upright=True).picture == pytest.approx(2 + 0.05 * side_mm / 3, rel=0.02)


def test_the_seam_spares_what_the_artwork_keeps() -> None:
    """Of lines that cross no letters the one outside a `keep` box is taken, though the picture costs less inside."""
    kept = Box(-120.0, -60.0, 120.0, 60.0)
    tiling = tiling_of(Job(_ROUND, 3.0, 203.2, 263.5), cost_map([], reach_mm=0.8, kept=(kept,)))

    assert [seam.cost.kept_mm for seam in tiling.seams] == [0.0]
    assert abs(tiling.seams[0].at_mm) >= 60.0


def test_kept_boxes_are_laid_and_mirrored_with_the_artwork() -> None:
    """A box of the artwork is scaled, moved, and mirrored as the print is."""
    art = Artwork("art", "art.png", 1000, 1000, 100.0, 100.0, keep=(Box(10.0, 20.0, 30.0, 40.0),))
    shop = open_shop(environment={})
    sign = build_sign("Nora", {"artwork": "none"}, shop.catalogue)
    from dataclasses import replace

    laid = replace(sign, artwork=ArtworkSetting(art, fit="width", width_mm=200.0, x_mm=5.0))

    assert kept_boxes(laid) == (Box(-65.0, 40.0, -25.0, 80.0),)


def test_shipped_artwork_keeps_boxes_inside_itself() -> None:
    """Every `keep` box that ships lies inside its artwork."""
    held = 0
    for art in open_shop(environment={}).catalogue.artworks:
        for box in art.keep:
            assert art.width_mm is not None and art.height_mm is not None
            assert -art.width_mm / 2 <= box.left_mm < box.right_mm <= art.width_mm / 2
            assert -art.height_mm / 2 <= box.bottom_mm < box.top_mm <= art.height_mm / 2
            held += 1
    assert held >= 9


def test_the_ink_box_is_what_is_not_white_on_the_sign() -> None:
    """Marks in the waste do not count; ink does, to the pixel."""
    pixels = np.full((400, 400, 3), 255, np.uint8)
    pixels[:5] = 0
    pixels[150:170, 190:260] = 7
    box = ink_box(pixels, Rim("round", 80.0, 80.0), 3.0, 100.0)

    assert box.left_mm == pytest.approx(-10 * 0.254)
    assert box.right_mm == pytest.approx(60 * 0.254)
    assert box.top_mm == pytest.approx(50 * 0.254)
    assert box.bottom_mm == pytest.approx(30 * 0.254)


def test_a_smaller_bleed_that_saves_a_sheet_is_told() -> None:
    """On letter with 12.7 mm above and below a 10 in round takes 3 sheets, and it is said that no bleed takes 2."""
    picture = PackedPicture(1071, 1071, 100.0, bytes, "x")
    ink = Box(-130.0, -130.0, 130.0, 130.0)
    sign = SignOnPaper("Nora", "", _ROUND, 3.0, (135.0, 135.0), picture, ink, lambda: cost_map([], reach_mm=0.8))
    printer = Printer(margins=Margins(6.35, 12.7, 6.35, 12.7))
    sheets = sheets_of(sign, Wish(Paper("letter", 215.9, 279.4), printer), caption_line)

    assert len(sheets.pages) == 3
    assert any("it takes 2 sheets, not 3" in remark for remark in sheets.remarks)


def test_an_unmeasured_printer_gets_one_orientation_where_that_does() -> None:
    """While a cover of the fewest sheets lays all alike, that is taken; a measured printer may mix."""
    tiling = tiling_of(Job(_ROUND, 3.0, 203.2, 263.5), cost_map([], reach_mm=0.8))

    assert not tiling.is_mixed


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("36mm", WantedSeams(False, (36.0,))),
        ("y=-1in", WantedSeams(False, (-25.4,))),
        ("x=20mm", WantedSeams(True, (20.0,))),
        ("40mm,-40mm", WantedSeams(False, (-40.0, 40.0))),
    ],
)
def test_seams_are_read_as_typed(text: str, wanted: WantedSeams) -> None:
    """A length is a level seam's height; `x=` is upright; several stand with commas."""
    assert parse_seams(text) == wanted


@pytest.mark.parametrize("text", ["", "z=3mm", "36", "4mm,8mm"])
def test_seams_that_cannot_be_are_refused(text: str) -> None:
    """No place, no such direction, no unit, or too close together."""
    with pytest.raises(SettingsError):
        parse_seams(text)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("8.5inx11in", (215.9, 279.4)),
        ("13x19in", (330.2, 482.6)),
        ("297mmx210mm", (210.0, 297.0)),
        ("9 in x 12 in", (228.6, 304.8)),
    ],
)
def test_papers_are_their_exact_size_upright(text: str, size: tuple[float, float]) -> None:
    """A size may have one unit or two, and is taken upright."""
    paper = parse_paper(text)

    assert (paper.width_mm, paper.height_mm) == pytest.approx(size)


def test_a_corrected_page_stays_inside_the_margins() -> None:
    """What is drawn inside a measured printer's field is inside the margins once corrected, 1.5 mm off them."""
    printer = Printer("p", parse_margins("5mm"), scale_across=0.99, scale_feed=1.01, skew=0.004)
    paper = Paper("letter", 215.9, 279.4)
    field = printer.field(paper)
    a, b, c, d = printer.correction
    for x in (field.left_mm, field.right_mm):
        for y in (field.bottom_mm, field.top_mm):
            u, v = x - 107.95, y - 139.7
            sent = (107.95 + a * u + c * v, 139.7 + b * u + d * v)
            assert 6.5 - 1e-6 <= sent[0] <= 209.4 + 1e-6
            assert 6.5 - 1e-6 <= sent[1] <= 272.9 + 1e-6
