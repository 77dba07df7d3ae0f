"""Outlines round the letters: told where they are finer than the surface holds, and only there."""

from __future__ import annotations

import pytest

from studio.pipeline.plan import plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def told(outline: str, surface: str = "painted") -> list[str]:
    """Return the remedies told for a sign's outline."""
    sign = build_sign("Ida", {"artwork": "none", "outline": outline, "surface": surface}, catalogue())
    found = plan(sign, assets(), remedies=True).findings
    return [finding.remedy for finding in found if finding.code == "thin-outline"]


@pytest.mark.parametrize(("width", "count"), [("0.80mm", 1), ("0.82mm", 0)])
def test_an_outline_is_told_under_the_limit_and_not_above(width: str, count: int) -> None:
    """White paint holds 0.81 mm: an outline of 0.80 mm is warned of, one of 0.82 mm is not."""
    assert len(told(f"{width}:#aa2200")) == count


def test_the_outline_offered_holds() -> None:
    """What the remedy asks for is not warned of."""
    (remedy,) = told("0.5mm:#aa2200", "bare")
    assert remedy == "An outline of 1.1mm:#aa2200 holds."
    assert not told("1.1mm:#aa2200", "bare")


def test_an_outline_in_the_letters_colour_is_no_outline_of_its_own() -> None:
    """Without a colour the outline thickens the letters, which are measured as one."""
    assert not told("0.2mm")
