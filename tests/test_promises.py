"""Numbers that README and DEVELOPERS promise, each as a literal against what is measured, not against its constant."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from studio.basics.colour import WHITE
from studio.checks.contrast import Surroundings, ring_width_mm, worst_contrast
from studio.geometry.shapes import Points, circle
from studio.layout.open_area import open_area
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank
from studio.model.options import Value
from studio.model.sign import FaceChoice
from studio.model.surface import Surface
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.production.file_names import slug
from studio.render.canvas import canvas_of
from studio.render.printer_marks import Waste, fixed_marks
from studio.storage.atomic_write import stale_parts
from studio.storage.sign_builder import build_sign
from studio.stroke.measure import measure
from studio.stroke.results import MeasureTable
from studio.text.connected import is_connected
from studio.text.font import open_face
from tests.shared import assets, catalogue

ROUND = Blank("round", "round", 210, 210)
CELL_MM = 210 / 512


def planned(text: str, **values: Value) -> Plan:
    """Return a sign on bare wood, fitted and checked."""
    return plan(build_sign(text, {"artwork": "none", **values}, catalogue()), assets(), remedies=False)


def at(*points: tuple[float, float]) -> Points:
    """Return points as an array."""
    return np.array(points, np.float64)


@pytest.mark.parametrize(("across_mm", "margin_mm"), [(254.0, 10.16), (100.0, 5.0), (500.0, 20.0)])
def test_the_margin_is_four_percent_and_five_millimetres_at_least(across_mm: float, margin_mm: float) -> None:
    """Of 254 mm 10.16 mm stay clear at either edge, of 100 mm 5 mm, of 500 mm 20 mm."""
    made = planned("I", blank=f"rect:{across_mm:g}mmx{2 * across_mm:g}mm", layout="box", cap=f"{across_mm / 20:g}mm")
    assert made.placement is not None and made.area is not None
    edge = at((across_mm / 2 - margin_mm, 0), (across_mm / 2 - margin_mm + 0.01, 0))
    clear_mm = made.area.clearance_mm(edge)

    assert clear_mm == pytest.approx([0.0, -0.01], abs=1e-9)


def test_two_texts_keep_two_millimetres_apart() -> None:
    """Ten millimetres from a placed text there are eight left for another."""
    area = open_area(ROUND, 5).with_text((circle(0, 0, 10),))

    assert float(area.clearance_mm(at((20, 0)))[0]) == pytest.approx(8.0, abs=1.5 * CELL_MM)


def test_lettering_keeps_two_cells_and_eight_thousandths_from_a_picture() -> None:
    """On a 1000 mm blank lettering stays 8 mm from a picture, on a 210 mm one two cells of the map."""
    art = Artwork("art", "art", 200, 200, 20.0, 20.0)
    alpha = np.full((200, 200), 255, np.uint8)
    large = open_area(Blank("large", "round", 1000, 1000), 40, setting=ArtworkSetting(art), alpha=alpha)
    small = open_area(ROUND, 8.4, setting=ArtworkSetting(art), alpha=alpha)

    assert float(large.clearance_mm(at((60, 0)))[0]) == pytest.approx(50 - 8.0, abs=1.6 * 1000 / 512)
    assert float(small.clearance_mm(at((30, 0)))[0]) == pytest.approx(20 - 2 * CELL_MM, abs=1.2 * CELL_MM)


@pytest.mark.parametrize(("bare_share", "is_on_picture"), [(0.05, False), (0.015, True)])
def test_a_picture_over_97_percent_is_lettered_over(bare_share: float, is_on_picture: bool) -> None:
    """A picture that leaves 5 percent bare is an obstacle, one that leaves 1.5 percent is what lettering stands on."""
    alpha = np.full((400, 400), 255, np.uint8)
    rows = round(400 * bare_share)
    alpha[200 - rows // 2 : 200 - rows // 2 + rows] = 0
    setting = ArtworkSetting(Artwork("art", "art", 400, 400, 200.0, 200.0))
    area = open_area(Blank("square", "rect", 200, 200), 5, setting=setting, alpha=alpha)

    assert area.on_picture is is_on_picture


def test_a_second_text_is_six_tenths_of_the_name_at_most() -> None:
    """Beside a name of 15 mm a short second text is 9 mm, though there is room for more."""
    made = planned(
        "Marlow", blank="rect:300mmx200mm", also=("arc-bottom=Ida",), layout="box", cap="15mm", composition="largest"
    )
    assert made.placement is not None

    assert made.placement.letterings[1].cap_height_mm == pytest.approx(9.0, abs=0.1)


@pytest.mark.parametrize(("length", "is_told"), [(0.2, True), (0.12, False)])
def test_a_tip_is_told_from_fifteen_hundredths_of_a_capital(length: float, is_told: bool) -> None:
    """A taper a fifth of a capital long is a tip, one of twelve hundredths a corner."""
    body = np.array([(0.0, 0.0), (3.0, 0.0), (3.0, 3.0), (1.54, 3.0), (1.5, 3.0 + length), (1.46, 3.0), (0.0, 3.0)])
    tips = [tip for tip in measure((body,), cap_height=1.0).tips if tip.y > 3.0]

    assert bool(tips) is is_told


@pytest.mark.parametrize(("share", "joins"), [(0.66, False), (0.74, True)])
def test_a_face_joins_from_seven_pairs_in_ten(share: float, joins: bool) -> None:
    """Letters count as joined where seven in ten neighbours touch."""
    source = catalogue().face("Nunito").entry
    face = open_face(source.file.read_bytes(), name="Nunito")
    face.take_measures(MeasureTable({}, share))

    assert is_connected(face) is joins


def test_marks_are_drawn_a_quarter_of_a_millimetre_wide() -> None:
    """Trim corners and ticks are 0.25 mm across at 300 dpi, and keep half a millimetre from blank plus bleed."""
    sign = build_sign("Tess", {"artwork": "none"}, catalogue())
    shapes = fixed_marks(Waste(canvas_of(sign), sign.blank)).shapes
    straight = [shape for shape in shapes if len(shape) == 4]
    widths = [min(np.ptp(shape[:, 0]), np.ptp(shape[:, 1])) for shape in straight]
    nearest_mm = min(float(np.hypot(*shape.T).min()) for shape in shapes) - sign.blank.width_mm / 2

    assert widths == pytest.approx([0.25] * len(widths))
    assert nearest_mm >= sign.bleed_mm + 0.5


def test_a_stranger_s_part_file_is_kept_for_a_day(tmp_path: Path) -> None:
    """What another machine left half written is kept after 23 hours and cleared away after 25."""
    for hours in (23, 25):
        part = tmp_path / f".sapwood-elsewhere{hours}-1-1.part"
        part.write_bytes(b"")
        then = time.time() - hours * 3600
        os.utime(part, (then, then))
    parts = stale_parts(tmp_path)

    assert [part.name for part in parts] == [".sapwood-elsewhere25-1-1.part"]


def test_a_file_name_holds_48_letters() -> None:
    """A long name is cut at 48 letters in the name of its file."""
    assert slug("a" * 100, empty="x") == "a" * 48


def test_a_stroke_must_be_three_spreads_wide() -> None:
    """On a surface that spreads by 0.27 mm a stroke and a gap of 0.81 mm hold, and an outline of 0.9 mm does."""
    surface = Surface("painted", 0.27, WHITE)

    assert surface.finest_stroke_mm == pytest.approx(0.81)
    assert surface.finest_gap_mm == pytest.approx(0.81)
    assert ring_width_mm(surface) == pytest.approx(0.9)


def test_letters_on_an_arc_turn_by_22_and_a_half_degrees_at_most() -> None:
    """Between neighbours of any arc the turn is at most 22.5 degrees."""
    made = planned("Ida", blank="round:100mm", layout="arc-top")
    assert made.placement is not None
    turns = np.degrees([glyph.angle_rad for glyph in made.placement.letterings[0].glyphs])

    assert np.abs(np.diff(turns)).max() <= 22.5 + 1e-6


def test_a_joined_face_bends_on_arcs_of_20_ems_and_less() -> None:
    """Joined letters are led along an arc tighter than 20 ems; on a wider one they are turned one by one."""
    tight = planned("Anna", blank="round:100mm", layout="arc-top")
    assert tight.placement is not None
    lettering = tight.placement.letterings[0]
    assert lettering.baseline_radius_mm is not None

    assert lettering.baseline_radius_mm / lettering.em_mm < 20.0 and lettering.follow == "outline"
    middle = planned("Anna", blank="round:500mm", layout="arc-top", cap="10mm").placement
    assert middle is not None and middle.letterings[0].baseline_radius_mm is not None
    assert 15.0 < middle.letterings[0].baseline_radius_mm / middle.letterings[0].em_mm < 20.0
    assert middle.letterings[0].follow == "outline"
    wide = planned("Anna", blank="round:1000mm", layout="arc-top", cap="9mm").placement
    assert wide is not None and wide.letterings[0].baseline_radius_mm is not None
    assert wide.letterings[0].baseline_radius_mm / wide.letterings[0].em_mm > 20.0
    assert wide.letterings[0].follow == "letters"


def test_lines_stand_22_hundredths_of_a_capital_apart() -> None:
    """Where letters of two lines meet, 0.22 capitals of clear height are left between their ink."""
    made = planned("gyp\\nHHH", layout="box", face="Nunito", cap="20mm")
    assert made.placement is not None
    letters = made.placement.letterings[0].letters
    above = min(float(contour[:, 1].min()) for letter in letters if letter.line == 0 for contour in letter.contours)
    below = max(float(contour[:, 1].max()) for letter in letters if letter.line == 1 for contour in letter.contours)

    assert (above - below) / 20.0 == pytest.approx(0.22, abs=0.005)


def test_a_weight_in_between_is_offered_by_what_is_measured() -> None:
    """The weight of a face is bounded by its own axis: 1000 asked of Nunito is 1000, of Oswald 700."""
    weights = {name: assets().face(FaceChoice(name, 1000.0)).weight for name in ("Nunito", "Oswald")}

    assert weights == {"Nunito": 1000.0, "Oswald": 700.0}
    assert replace(FaceChoice("Nunito"), weight=300.0).weight == 300.0


@pytest.mark.parametrize(("from_mm", "is_seen"), [(0.6, True), (1.6, False)])
def test_letters_stand_out_from_what_lies_a_millimetre_off(from_mm: float, is_seen: bool) -> None:
    """A dark band 0.6 to 1.4 mm off the ink lowers the contrast of dark letters, one 1.6 to 2.4 mm off does not."""
    made = planned("I", layout="box", cap="20mm", face="Nunito")
    assert made.placement is not None
    lettering = made.placement.letterings[0]
    ink = shapely.union_all([shapely.Polygon(contour) for contour in lettering.contours])
    box, per_mm = lettering.ink_box, 10.0
    left_mm, top_mm = box.left_mm - 5, box.top_mm + 5
    columns = np.arange(round((box.right_mm - box.left_mm + 10) * per_mm))
    rows = np.arange(round((box.top_mm - box.bottom_mm + 10) * per_mm))
    x, y = np.meshgrid(left_mm + (columns + 0.5) / per_mm, top_mm - (rows + 0.5) / per_mm)
    away = shapely.distance(ink, shapely.points(x, y))
    band = (away > from_mm) & (away < from_mm + 0.8)
    pixels = np.where(band[..., None], np.uint8(40), np.uint8(255)).repeat(3, axis=2)
    worst = worst_contrast(lettering, Surface("white", 0.27, WHITE), Surroundings(pixels, per_mm, left_mm, top_mm))
    assert worst is not None

    assert (worst[0] < 3.0) is is_seen
