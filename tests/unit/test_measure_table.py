"""Tables of glyph measures: they read back as written, and say what measuring anew says."""

from __future__ import annotations

import json

import pytest

from studio.model.sign import FaceChoice
from studio.storage.assets import measures_file
from studio.stroke.measure import measure
from studio.stroke.results import MeasureTable, read_table, write_table
from studio.text.connected import joined_share
from studio.text.font import Face, open_face
from tests.shared import assets, catalogue

SHIPPED = [entry for entry in catalogue().faces if entry.is_shipped]


def _face(name: str) -> Face:
    return assets().face(FaceChoice(name))


@pytest.mark.parametrize("name", [entry.name for entry in SHIPPED])
def test_a_table_says_what_measuring_says(name: str) -> None:
    """Five glyphs of every shipped face, measured anew, come out as its table has them."""
    face = _face(name)
    chosen = sorted(face.measures.glyphs)[:: max(1, len(face.measures.glyphs) // 5)][:5]
    assert len(chosen) == 5

    for glyph_id in chosen:
        fresh = measure(face.glyph(glyph_id).contours, cap_height=face.cap_height_em)
        known = face.measures.glyphs[glyph_id]
        for one, other in ((fresh.stroke, known.stroke), (fresh.gap, known.gap)):
            assert (one is None) == (other is None)
            if one is not None and other is not None:
                assert (one.kind, pytest.approx(one.width, abs=2e-5)) == (other.kind, other.width)


@pytest.mark.parametrize("name", [entry.name for entry in SHIPPED])
def test_a_table_knows_whether_letters_join(name: str) -> None:
    """The share of joined letters in a table is the one found from the outlines."""
    face = _face(name)
    assert face.measures.joined_share == pytest.approx(joined_share(face), abs=1e-4)


def test_a_table_reads_back_as_written() -> None:
    """Writing a table and reading it gives the same measures, to the decimals it keeps."""
    face = _face("Lobster")
    data = write_table(face.measures, face.sha256, face.weight)

    assert read_table(data, face.sha256, face.weight) == face.measures


def test_a_table_of_another_font_is_passed_over() -> None:
    """A table of another file or another weight gives no measures, and neither does a broken one."""
    face = _face("Nunito")
    data = write_table(face.measures, face.sha256, face.weight)

    assert read_table(data, "0" * 64, face.weight) == MeasureTable()
    assert read_table(data, face.sha256, 300.0) == MeasureTable()
    assert read_table(data[: len(data) // 2], face.sha256, face.weight) == MeasureTable()
    assert read_table(json.dumps([1, 2]).encode(), face.sha256, face.weight) == MeasureTable()


def test_glyphs_carry_their_measure() -> None:
    """A face opened with its table has glyphs that know their measure; opened without it they do not."""
    entry = next(entry for entry in SHIPPED if entry.name == "Pacifico")
    data, table = entry.file.read_bytes(), measures_file(entry).read_bytes()
    known = open_face(data, name="Pacifico", measures=table)
    plain = open_face(data, name="Pacifico")
    glyph_id = known.font.get_nominal_glyph(ord("H"))

    assert known.glyph(glyph_id).measured is not None
    assert plain.glyph(glyph_id).measured is None
