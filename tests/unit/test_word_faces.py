"""Which face sets which letter: none without ink, and one for a word of one script."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph

from studio.basics.errors import FontError
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from studio.text.font import open_face
from tests.shared import assets, catalogue

YELLOWTAIL = Path(__file__).parents[2] / "fonts/Yellowtail/Yellowtail-Regular.ttf"


def planned(text: str, **values: Value) -> Plan:
    """Return a sign on bare wood, fitted and checked."""
    return plan(build_sign(text, {"artwork": "none", **values}, catalogue()), assets(), remedies=False)


def without_outlines(letters: str, upem: int | None = None) -> bytes:
    """Return a font whose glyphs for some letters (all for an empty text) are mapped but have no outline."""
    font = TTFont(YELLOWTAIL)
    mapped = font.getBestCmap()
    for name in [mapped[ord(letter)] for letter in letters] or list(font["glyf"].keys()):
        font["glyf"][name] = Glyph()
    if upem is not None:
        font["head"].unitsPerEm = upem
    held = io.BytesIO()
    font.save(held)
    return held.getvalue()


@pytest.fixture
def hollow(tmp_path: Path) -> str:
    """Return the path of a font that maps n, a and 7 to nothing."""
    file = tmp_path / "hollow.ttf"
    file.write_bytes(without_outlines("na7"))
    return str(file)


def test_a_letter_without_an_outline_is_missing(hollow: str) -> None:
    """A font that maps letters to nothing lacks them: the sign is refused and the letters are named."""
    made = planned("Anna 7", face=hollow, fallback="no")

    assert made.status == "refused"
    assert {one.where.letter for one in made.findings if one.code == "letter-missing"} == {"n", "a", "7"}


def test_a_letter_without_an_outline_falls_back(hollow: str) -> None:
    """With another face allowed, every letter of the name has ink, and that face is told."""
    made = planned("Anna 7", face=hollow)
    assert made.placement is not None
    letters = made.placement.letterings[0].letters

    assert "".join(letter.letter for letter in letters) == "Anna7"
    assert all(letter.contours for letter in letters)
    assert any(one.code == "fallback-face" for one in made.findings)


def test_a_font_broken_off_loses_no_letter_silently(tmp_path: Path) -> None:
    """Half a font file is refused, or every letter that it lost is named or set from another face."""
    whole = YELLOWTAIL.read_bytes()
    for share in (0.5, 0.7, 0.9):
        file = tmp_path / f"{share}.ttf"
        file.write_bytes(whole[: int(len(whole) * share)])
        try:
            made = planned("Hamburg Äffy", face=str(file))
        except FontError:
            continue
        told = {one.where.letter for one in made.findings if one.code == "letter-missing"}
        shown = () if made.placement is None else made.placement.letterings[0].letters
        assert told or "".join(letter.letter for letter in shown) == "HamburgÄffy"


def test_a_font_without_any_outline_is_refused() -> None:
    """A font none of whose letters has an outline is an error of the font, with a sentence."""
    with pytest.raises(FontError, match="none of its letters has an outline"):
        open_face(without_outlines(""), name="Hollow")


def test_capitals_of_a_senseless_height_are_refused() -> None:
    """A damaged header that makes capitals forty ems high is told, rather than set a tiny name as huge."""
    with pytest.raises(FontError, match="em high"):
        open_face(without_outlines("q", upem=16), name="Damaged")


@pytest.mark.parametrize("text", ["Δήμητρα Σμύρνη", "Σοφία"])
@pytest.mark.parametrize("face", ["Pacifico", "Nunito", "Lobster"])
def test_a_greek_name_is_set_in_one_face(text: str, face: str) -> None:
    """Greek capitals that a Latin face has as signs of mathematics come from the face of the other letters."""
    made = planned(text, blank="rect:200mmx60mm", face=face)
    assert made.placement is not None

    assert len({glyph.face for glyph in made.placement.letterings[0].glyphs}) == 1


def test_a_word_that_no_face_has_whole_is_a_warning() -> None:
    """Where the letters of one word have to come from several faces, that is a warning with the faces named."""
    made = planned("ĳƁĳ")
    (told,) = [one for one in made.findings if one.code == "mixed-faces"]

    assert told.severity == "warn"
    assert "faces" in told.message


def test_words_of_two_scripts_are_no_mixture() -> None:
    """Two words of two scripts in two faces are told as a note alone."""
    assert [one for one in planned("Anna Σοφία").findings if one.code == "mixed-faces"] == []


def test_the_report_tells_weight_and_scale_of_each_glyph() -> None:
    """A letter from another face carries that face's weight and its size against the em."""
    made = planned("Tess Ж", face="Yellowtail")
    assert made.placement is not None
    lent = [glyph for glyph in made.placement.letterings[0].glyphs if glyph.letter == "Ж"]
    own = [glyph for glyph in made.placement.letterings[0].glyphs if glyph.letter == "T"]

    assert lent[0].scale != 1.0
    assert own[0].scale == 1.0 and own[0].weight is None
