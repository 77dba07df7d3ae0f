"""Texts spelled letter by letter where a person reads them: in the report, and in what is said of unusual letters."""

from __future__ import annotations

import pytest

from studio.cli.summary import spelling_lines
from studio.pipeline.plan import plan
from studio.pipeline.sign_report import report_of
from studio.pipeline.types import Plan
from studio.storage.catalogue import read_catalogue
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


@pytest.mark.parametrize("min_cap", ["5mm", "400mm"])
def test_the_report_spells_every_text(min_cap: str) -> None:
    """Each lettering has its spelling, made or refused, and so has the sign as a whole."""
    values = {"artwork": "none", "min_cap": min_cap, "also": "arc-bottom=est. 1987"}
    report = report_of(plan(build_sign("Zo\u00eb", values, catalogue()), assets(), remedies=False))
    assert report["spelled"] == "Z-o-\u00eb (\u00eb = e with diaeresis)"
    assert [one["spelled"] for one in report["lettering"]] == [report["spelled"], "e-s-t-[full stop] 1-9-8-7"]


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Marlow & Tess", ()),
        ("Zo\u00eb", ("Spelled: Z-o-\u00eb (\u00eb = e with diaeresis)",)),
        ("O'Hara", ("Spelled: O-[straight apostrophe]-H-a-r-a",)),
        ("B0", ("Spelled: B-0 (0 = digit zero)",)),
    ],
)
def test_unusual_letters_are_spelled_out(text: str, lines: tuple[str, ...]) -> None:
    """Plain names need no spelling; letters that may be taken for others get one."""
    sign = build_sign(text, {"artwork": "none"}, read_catalogue())
    assert spelling_lines(Plan(sign, None, (), "ok")) == lines
