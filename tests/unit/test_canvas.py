"""The canvas: exact pixel counts, the limit, and the papers it fits."""

from __future__ import annotations

import pytest

from studio.basics.errors import SettingsError
from studio.model.blank import Blank
from studio.model.paper import parse_paper
from studio.render.canvas import lay_canvas
from studio.render.paper import fits
from studio.storage.catalogue import Catalogue, read_catalogue

ROUND = Blank("round-10in", "round", 254.0, 254.0)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """What ships with the program."""
    return read_catalogue()


def test_ten_inches_with_bleed_and_waste() -> None:
    """254 mm and 9 mm on either side at 300 dpi are 3213 pixels (272 / 25.4 x 300 = 3212.6)."""
    canvas = lay_canvas(ROUND, bleed_mm=3, waste_mm=6, dpi=300)
    assert (canvas.width_px, canvas.height_px) == (3213, 3213)
    assert (canvas.width_mm, canvas.height_mm) == (272, 272)


def test_the_blank_alone_at_whole_inches_is_exact() -> None:
    """Without bleed and waste 12 x 6 in at 300 dpi are 3600 x 1800 pixels."""
    canvas = lay_canvas(Blank("r", "rect", 304.8, 152.4), bleed_mm=0, waste_mm=0, dpi=300)
    assert (canvas.width_px, canvas.height_px) == (3600, 1800)


def test_the_origin_is_the_middle_of_the_canvas() -> None:
    """The window reaches as far to the left as to the right and as far up as down."""
    canvas = lay_canvas(Blank("o", "oval", 301.0, 199.0), bleed_mm=3, waste_mm=6, dpi=300)
    window = canvas.window
    assert window.left_mm == -canvas.width_px / 2 / window.px_per_mm
    assert window.top_mm == canvas.height_px / 2 / window.px_per_mm


def test_too_many_pixels_are_refused_with_a_density_that_works() -> None:
    """A 2 m round at 600 dpi is refused; the density named in the advice is accepted, one more is not."""
    huge = Blank("huge", "round", 2000.0, 2000.0)
    with pytest.raises(SettingsError, match="400 million") as caught:
        lay_canvas(huge, bleed_mm=3, waste_mm=6, dpi=600)
    named = int(caught.value.advice.split("Use ")[1].split()[0])
    assert lay_canvas(huge, bleed_mm=3, waste_mm=6, dpi=named).dpi == named
    with pytest.raises(SettingsError):
        lay_canvas(huge, bleed_mm=3, waste_mm=6, dpi=named + 1)


def test_papers_come_smallest_first_and_either_way_round(catalogue: Catalogue) -> None:
    """A default ten inch print fits tabloid and A3, not A4; turning it changes nothing."""
    papers = catalogue.papers
    assert fits(272, 272, papers) == ("tabloid", "A3", "13x19in", "C", "A2", "D", "A1", "A0")
    assert fits(200, 290, papers) == fits(290, 200, papers)
    assert fits(200, 290, papers)[0] == "A4"


def test_a_print_of_the_sheet_fits_and_a_larger_one_does_not(catalogue: Catalogue) -> None:
    """Every sheet fits itself exactly, and not when one side grows by a tenth of a millimetre; a roll is no sheet."""
    for paper in catalogue.papers:
        assert paper.name in fits(paper.width_mm, paper.height_mm, catalogue.papers)
        assert paper.name not in fits(paper.width_mm, paper.height_mm + 0.1, catalogue.papers)
    assert fits(900, 1300, catalogue.papers) == ()
    assert fits(100, 100, (parse_paper("roll:24in"),)) == ()


def test_a_shops_own_paper_is_one_that_prints_fit_on(catalogue: Catalogue) -> None:
    """What a print fits on comes from the same list as the papers that sheets are laid on, a shop's own among them."""
    own = parse_paper("11inx11in", "square")
    assert fits(272, 272, (*catalogue.papers, own))[0] == "square"
