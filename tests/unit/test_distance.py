"""The note on how far a sign reads."""

from __future__ import annotations

import pytest

from studio.model.finding import Finding
from studio.pipeline.plan import plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def notes(text: str, **values: str) -> list[Finding]:
    """Return the notes on distance of a bare sign."""
    sign = build_sign(text, {"artwork": "none", **values}, catalogue())
    return [one for one in plan(sign, assets(), remedies=False).findings if one.code == "reads-from"]


def test_every_text_has_its_note() -> None:
    """One note for each lettering, in metres, as advice, and no more than a note."""
    name, year = notes("Tess", cap="40mm", also="arc-bottom=est. 2019")
    assert (name.severity, name.unit, name.where.lettering, year.where.lettering) == ("note", "m", 0, 1)
    assert name.measured == pytest.approx((72 * 25.4 + (40 / 25.4 - 0.625) * 8 * 304.8) / 1000, abs=0.005)
    assert "not a claim of compliance" in name.message
    assert name.measured > (year.measured or 0)


def test_small_letters_are_for_reading_close_by() -> None:
    """Under the table's least height no distance is promised, and the least height is named."""
    (note,) = notes("Tess", cap="10mm")
    assert note.measured == 0.0
    assert "close by" in note.message and "15.9 mm" in note.message


def test_a_text_of_two_lines_is_one_line_of_the_note() -> None:
    """A line break in the text does not break the message."""
    (note,) = notes("Ada\\nBo")
    assert "“Ada / Bo”" in note.message and "\n" not in note.message
