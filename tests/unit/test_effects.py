"""Effects: an outline in a second colour, outlines moved out, letter case, features, and letters led along an arc."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from studio.geometry.shapes import Contours, signed_area
from studio.layout.placement import PlacedLettering
from studio.model.options import Value
from studio.model.sign import LetteringOrder
from studio.pipeline.make import make
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.render.pixels import mirror
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue

BLANKS = ("round-10in", "oval:200mmx120mm", "rect:200mmx120mm:10mm")


def planned(text: str, offset_mm: float = 0.0, **values: Value) -> Plan:
    """Return a bare sign fitted and checked, its outlines moved out when asked for."""
    from dataclasses import replace

    sign = build_sign(text, {"artwork": "none", "face": "Nunito", **values}, catalogue())
    orders: tuple[LetteringOrder, ...] = tuple(replace(order, offset_mm=offset_mm) for order in sign.letterings)
    return plan(replace(sign, letterings=orders), assets(), remedies=False)


def placed(text: str, offset_mm: float = 0.0, **values: Value) -> PlacedLettering:
    """Return the first lettering of a sign."""
    placement = planned(text, offset_mm, **values).placement
    assert placement is not None
    return placement.letterings[0]


def shape(contours: Contours) -> BaseGeometry:
    """Return contours, filled non-zero, as another geometry library's shape."""
    outers = unary_union([Polygon(part).buffer(0) for part in contours if signed_area(part) > 0])
    return outers.difference(unary_union([Polygon(part).buffer(0) for part in contours if signed_area(part) < 0]))


def letters_shape(lettering: PlacedLettering) -> BaseGeometry:
    """Return the union of a lettering's letters."""
    return unary_union([shape(letter.contours) for letter in lettering.letters])


@pytest.mark.parametrize(
    ("face", "layout"), [("Nunito", "box"), ("Pacifico", "arc-top"), ("Young Serif", "arc-bottom")]
)
def test_an_outline_is_the_letters_grown_by_its_width(face: str, layout: str) -> None:
    """The ring's ink is all that lies within its width of the letters, whole, the letters not cut out of it."""
    lettering = placed("Ida", face=face, layout=layout, outline="1.5mm:#aa0000", cap="20mm")
    expected = letters_shape(lettering).buffer(1.5, quad_segs=64)
    assert shape(lettering.ring_contours).symmetric_difference(expected).area < 0.01 * expected.length
    assert shape(lettering.ring_contours).contains(shape(lettering.contours).buffer(-0.01))


def test_an_outline_joins_letters_that_stand_close() -> None:
    """Rings that meet are one ring, as of united letters; narrow ones stay apart."""
    apart, joined = (placed("III", layout="box", cap="20mm", outline=f"{width}mm:#aa0000") for width in (0.5, 3))
    assert (len(apart.ring_contours), len(joined.ring_contours)) == (3, 1)


@pytest.mark.parametrize("blank", BLANKS)
@pytest.mark.parametrize("layout", ["box", "arc-top", "arc-bottom"])
@pytest.mark.parametrize(("offset_mm", "outline"), [(0.0, "2mm:#aa0000"), (0.8, "none"), (0.8, "2mm:#aa0000")])
def test_grown_ink_stays_in_the_safe_zone(blank: str, layout: str, offset_mm: float, outline: str) -> None:
    """At the largest size neither ring nor moved outlines leave the safe zone, and they come close to it."""
    made = planned("Marlow", offset_mm, blank=blank, layout=layout, outline=outline, composition="largest")
    assert made.placement is not None
    lettering = made.placement.letterings[0]
    ink = np.concatenate(lettering.ring_contours or lettering.contours)
    depth = made.sign.blank.rim.depth_mm(ink).min()
    assert made.sign.safe_margin_mm - 1e-3 <= depth < made.sign.safe_margin_mm + 1.0
    assert [one.code for one in made.findings if one.severity == "refuse"] == []


@pytest.mark.parametrize(("face", "layout"), [("Nunito", "box"), ("Pacifico", "arc-top"), ("Rubik", "arc-bottom")])
@pytest.mark.parametrize("offset_mm", [0.1, 0.7])
def test_an_offset_moves_every_outline_by_just_so_much(face: str, layout: str, offset_mm: float) -> None:
    """The ink is all that lies within the offset of the letters as drawn, which stay where they were."""
    drawn = placed("Bo & Ida", face=face, layout=layout, cap="15mm")
    grown = placed("Bo & Ida", offset_mm, face=face, layout=layout, cap="15mm")
    if layout == "box":
        assert [glyph.x_mm for glyph in grown.glyphs] == pytest.approx([glyph.x_mm for glyph in drawn.glyphs], abs=2.0)
    as_drawn = shape(grown.drawn) if grown.follow == "outline" else None
    expected = (as_drawn or _as_drawn(grown)).buffer(offset_mm, quad_segs=64)
    assert shape(grown.contours).symmetric_difference(expected).area < 0.01 * expected.length
    assert letters_shape(grown).symmetric_difference(expected).area < 0.012 * expected.length


def _as_drawn(lettering: PlacedLettering) -> BaseGeometry:
    """Return the turned letters as their face draws them."""
    whole = []
    for letter in lettering.letters:
        for contour in letter.outline.contours:
            x_mm, y_mm = letter.point_mm(contour[:, 0], contour[:, 1], lettering.em_mm)
            whole.append(np.stack([x_mm, y_mm], axis=-1))
    return shape(tuple(whole))


def test_the_second_colour_is_in_the_print_and_letters_are_whole() -> None:
    """Ring pixels have the ring's colour, letter pixels the lettering's, and no ground shows between the two."""
    values: dict[str, Value] = {"artwork": "none", "outline": "3mm:#aa0000", "color": "#003300", "dpi": "100"}
    sign = build_sign("Ida", {**values, "blank": "round:100mm", "face": "Nunito"}, catalogue())
    made = make(sign, assets(), remedies=False)
    assert made.print is not None and made.plan.placement is not None
    pixels = mirror(made.print.pixels())[..., :3].astype(int)
    lettering = made.plan.placement.letterings[0]
    ring, letters = shape(lettering.ring_contours), shape(lettering.contours)
    rows, columns = np.mgrid[0 : pixels.shape[0], 0 : pixels.shape[1]]
    x = (columns + 0.5 - pixels.shape[1] / 2) * 25.4 / 100
    y = (pixels.shape[0] / 2 - rows - 0.5) * 25.4 / 100
    from shapely import contains_xy

    inside, core, edge = (
        contains_xy(area, x, y) for area in (letters.buffer(-0.4), ring.buffer(-0.4), letters.buffer(0.4))
    )
    assert inside.sum() > 500 and (core & ~edge).sum() > 500
    assert (pixels[inside] == (0x00, 0x33, 0x00)).all()
    assert (pixels[core & ~edge] == (0xAA, 0x00, 0x00)).all()
    assert pixels[core].max() <= 0xAA, "bare ground shows through between letter and ring"


def test_small_capitals_are_other_glyphs() -> None:
    """Where the face has them small letters become small capitals, shorter than capitals; capitals stay."""
    typed = placed("Tess", face="Roboto Slab", layout="box", cap="20mm")
    small = placed("Tess", face="Roboto Slab", layout="box", cap="20mm", case="small-capitals")
    assert typed.glyphs[0].glyph_id == small.glyphs[0].glyph_id
    assert all(one.glyph_id != other.glyph_id for one, other in zip(typed.glyphs[1:], small.glyphs[1:], strict=True))
    heights = [np.ptp(np.concatenate(letter.contours)[:, 1]) for letter in small.letters]
    assert heights[2] < 0.9 * heights[0] and heights[2] == pytest.approx(heights[3], rel=1e-3)
    assert small.text == "Tess"


def test_a_face_without_small_capitals_sets_as_typed_and_says_so() -> None:
    """Nothing is faked: the glyphs are those typed, with a note."""
    typed, small = planned("Tess"), planned("Tess", case="small-capitals")
    assert typed.placement is not None and small.placement is not None
    ids = [
        [glyph.glyph_id for glyph in made.placement.letterings[0].glyphs] for made in (typed, small) if made.placement
    ]
    assert ids[0] == ids[1]
    assert "option-without-effect" in [one.code for one in small.findings]


@pytest.mark.parametrize(("typed", "capitals"), [("Tess", "TESS"), ("Gro\u00df", "GROSS"), ("Zo\u00eb", "ZO\u00cb")])
def test_capitals_are_set_as_if_typed(typed: str, capitals: str) -> None:
    """Capitals are those of Unicode, and stand where typed ones would."""
    first, second = placed(typed, case="capitals"), placed(capitals)
    assert first.text == capitals
    assert [glyph.glyph_id for glyph in first.glyphs] == [glyph.glyph_id for glyph in second.glyphs]
    assert first.em_mm == pytest.approx(second.em_mm)


@pytest.mark.parametrize(
    ("face", "text", "features"), [("Nunito", "Gary", "ss01"), ("Pacifico", "Bess", "salt"), ("Bungee", "ABBA", "ss01")]
)
def test_features_change_glyphs(face: str, text: str, features: str) -> None:
    """An alternate asked for by its tag is another glyph for at least one letter."""
    plain, changed = placed(text, face=face), placed(text, face=face, features=features)
    assert [glyph.glyph_id for glyph in plain.glyphs] != [glyph.glyph_id for glyph in changed.glyphs]


def test_a_feature_can_be_turned_off() -> None:
    """Without ligatures every letter is a glyph of its own."""
    plain, off = placed("office", face="Roboto Slab"), placed("office", face="Roboto Slab", features="liga=0")
    assert len(plain.glyphs) < len(off.glyphs) == 6


@pytest.mark.parametrize(("follow", "used"), [("letters", "letters"), ("outline", "outline"), ("auto", "outline")])
def test_joined_letters_are_led_along_a_tight_arc(follow: str, used: str) -> None:
    """Auto leads a connected script; led along, its letters are one piece, and the report says which was done."""
    lettering = placed("mineral", face="Pacifico", layout="arc-top", follow=follow, blank="round:100mm")
    assert lettering.follow == used
    if used == "outline":
        pieces = [part for part in lettering.contours if signed_area(part) > 0]
        assert len(pieces) == 2, "a joined word, and the dot of its i"


def test_an_unconnected_face_is_turned_letter_by_letter() -> None:
    """Auto does not bend letters that stand apart: each is its glyph, turned."""
    lettering = placed("Ida", layout="arc-top", blank="round:100mm")
    assert lettering.follow == "letters"
    assert shape(lettering.contours).symmetric_difference(_as_drawn(lettering)).area < 1e-6
