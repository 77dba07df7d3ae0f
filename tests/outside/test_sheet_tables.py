"""How many sheets, and how many to a sheet, against tables, proven bounds and arithmetic that no one here wrote."""

from __future__ import annotations

import itertools
import math

import pytest
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry import box as shapely_box

from studio.geometry.shapes import Rim
from studio.model.paper import parse_paper
from studio.model.printer import Margins, Printer
from studio.sheets.bottom_left import Footprint, lay
from studio.sheets.rows import best_rows
from studio.sheets.tiling import Job, fewest_for

_IN = 25.4
_LETTER, _A4, _TABLOID = "8.5inx11in", "210mmx297mm", "11inx17in"
_PAPERS = (
    (_LETTER, Margins(3.2, 3.2, 3.2, 3.2)),
    (_LETTER, Margins(6.35, 12.7, 6.35, 3.2)),
    (_LETTER, Margins(6.35, 12.7, 6.35, 12.7)),
    (_A4, Margins(3, 3, 3, 3)),
    (_A4, Margins(6.35, 12.7, 6.35, 12.7)),
    (_TABLOID, Margins(3.2, 3.2, 3.2, 3.2)),
)
_BLANKS = {
    "round 8 in": Rim("round", 8 * _IN, 8 * _IN),
    "round 10 in": Rim("round", 10 * _IN, 10 * _IN),
    "round 12 in": Rim("round", 12 * _IN, 12 * _IN),
    "round 18 in": Rim("round", 18 * _IN, 18 * _IN),
    "oval 12x8 in": Rim("oval", 12 * _IN, 8 * _IN),
    "rectangle 12x6 in": Rim("rect", 12 * _IN, 6 * _IN),
    "rectangle 16x5 in": Rim("rect", 16 * _IN, 5 * _IN),
}


@pytest.mark.parametrize(
    ("blank", "sheets"),
    [
        ("round 8 in", (1, 2, 2, 2, 2, 1)),
        ("round 10 in", (2, 2, 3, 2, 2, 1)),
        ("round 12 in", (3, 3, 4, 3, 3, 2)),
        ("round 18 in", (5, 6, 6, 5, 6, 3)),
        ("oval 12x8 in", (2, 2, 2, 2, 2, 1)),
        ("rectangle 12x6 in", (2, 2, 2, 2, 2, 1)),
        ("rectangle 16x5 in", (2, 2, 2, 2, 2, 1)),
    ],
)
def test_the_fewest_sheets_for_blanks_and_papers(blank: str, sheets: tuple[int, ...]) -> None:
    """Bleed 3 mm, overlap 10 mm: the table of fewest sheets, no worse than a grid. Source: worked by hand."""
    found = []
    for paper, margins in _PAPERS:
        field = Printer(margins=margins).field(parse_paper(paper))
        found.append(fewest_for(Job(_BLANKS[blank], 3.0, field.width_mm, field.height_mm)))

    assert tuple(found) == sheets


def test_a_ten_inch_round_without_bleed_saves_a_sheet_at_wide_margins() -> None:
    """With 12.7 mm above and below, a 10 in round takes 3 letter sheets with 3 mm bleed and 2 with none."""
    field = Printer(margins=Margins(6.35, 12.7, 6.35, 12.7)).field(parse_paper(_LETTER))

    assert fewest_for(Job(_BLANKS["round 10 in"], 0.0, field.width_mm, field.height_mm)) == 2


@pytest.mark.parametrize(
    ("gap_in", "counts"),
    [
        (0.0, {5: 2, 4: 4, 3.5: 6, 3: 8, 2.5: 12, 2: 20, 1.5: 39}),
        (0.125, {5: 2, 4: 4, 3.5: 5, 3: 8, 2.5: 12, 2: 18, 1.5: 32}),
    ],
)
def test_equal_rounds_on_eight_by_ten_and_a_half_inches(gap_in: float, counts: dict[float, int]) -> None:
    """So many rounds go on 8 x 10.5 in; three inch rounds 1/8 in apart are 8 with nothing to spare.

    Source: rows 3-2-3 at D = 3.125 in, since 2.5^2 + 1.875^2 = 3.125^2; never over Groemer's and Oler's bound,
    n <= (2/sqrt 3) a b / D^2 + (a + b) / D + 1.
    """
    for diameter, count in counts.items():
        a, b, distance = 8 - diameter, 10.5 - diameter, diameter + gap_in
        placed = best_rows(a, b, distance, 1000)

        assert len(placed) == count
        assert len(placed) <= 2 / math.sqrt(3) * a * b / distance**2 + (a + b) / distance + 1 + 1e-9
        assert all(-1e-9 <= x <= a + 1e-9 and -1e-9 <= y <= b + 1e-9 for x, y in placed)
        assert min(map(lambda pair: math.dist(*pair), itertools.combinations(placed, 2))) >= distance - 1e-9


@pytest.mark.parametrize(
    ("size", "counts"),
    [
        ((203.2, 263.5), {2: 13, 2.5: 9, 3: 6, 3.5: 5, 4: 3}),
        ((204.0, 291.0), {2: 14, 2.5: 9, 3: 6, 3.5: 5, 4: 5}),
    ],
    ids=["letter", "a4"],
)
def test_blanks_on_letter_and_a4(size: tuple[float, float], counts: dict[float, int]) -> None:
    """Rounds with 3 mm bleed and 5 mm gap: at least as many to a sheet as rows give by hand (4 in on A4: at most 5)."""
    for diameter, count in counts.items():
        wide = diameter * _IN + 6
        placed = len(best_rows(size[0] - wide, size[1] - wide, wide + 5, 1000))
        assert placed == count if (size[0], diameter) != (204.0, 4) else 4 <= placed <= count


_PIECES = (
    [Footprint(Rim("round", 2.5 * _IN, 2.5 * _IN), 0.0)] * 10
    + [Footprint(Rim("round", 3 * _IN, 3 * _IN), 0.0)] * 8
    + [Footprint(Rim("round", 4 * _IN, 4 * _IN), 0.0)] * 6
    + [Footprint(Rim("oval", 4 * _IN, 2.5 * _IN), 0.0)] * 8
    + [Footprint(Rim("rect", 4 * _IN, 2 * _IN), 0.0)] * 4
    + [Footprint(Rim("rect", 3 * _IN, 1.5 * _IN), 0.0)] * 4
)


def test_forty_mixed_pieces_on_a_roll_and_on_sheets() -> None:
    """Forty pieces, gap 3 mm: under 1358.9 mm of an 8 in roll and 6 sheets of 8 x 10.5 in, true gaps kept by shapely.

    Source of the lengths: plain bottom-left placing of the same pieces, 1325.9 to 1358.9 mm; area alone 933 mm.
    """
    roll = lay(_PIECES, 8 * _IN, 5000.0, 3.0, is_roll=True)
    sheets = lay(_PIECES, 8 * _IN, 10.5 * _IN, 3.0)

    shapes = {}
    for spots, high in ((roll, 5000.0), (sheets, 10.5 * _IN)):
        for spot in spots:
            rim = _PIECES[spot.piece].rim
            contour = rim.contour(0.0, 0.0005)
            outline = Polygon(contour[:, ::-1] if spot.is_turned else contour)
            shapes[high, spot.sheet, spot.piece] = translate(outline, spot.x_mm, spot.y_mm)
    for (one_key, one), (other_key, other) in itertools.combinations(shapes.items(), 2):
        if one_key[:2] == other_key[:2]:
            assert one.distance(other) >= 3.0 - 1e-3
    for (high, _, _), shape in shapes.items():
        assert shapely_box(-1e-3, -1e-3, 8 * _IN + 1e-3, high + 1e-3).covers(shape)
    assert {spot.piece for spot in roll} == {spot.piece for spot in sheets} == set(range(40))
    assert max(shape.bounds[3] for (high, _, _), shape in shapes.items() if high == 5000.0) < 1358.9
    assert max(spot.sheet for spot in sheets) + 1 == 6


def test_the_scale_of_a_measured_printer_goes_there_and_back() -> None:
    """What is sent through the correction comes out of the printer as it was wanted.

    Source: a printer that prints X = sx (x + k y), Y = sy y; sx .9965, sy 1.0042, k .0015.
    """
    printer = Printer("inkjet", scale_across=0.9965, scale_feed=1.0042, skew=0.0015)
    a, b, c, d = printer.correction
    for x, y in ((90.0, 120.0), (-90.0, 120.0), (90.0, -120.0), (0.0, 0.0)):
        sent = (a * x + c * y, b * x + d * y)
        printed = (0.9965 * (sent[0] + 0.0015 * sent[1]), 1.0042 * sent[1])

        assert printed == pytest.approx((x, y), abs=1e-9)
