"""Every name of the list set on a sign by the whole planner: set right or refused with the reason, never a box.

Source: names.csv was compiled from general knowledge of how the languages are written; whether a text can be set is
stated there from the faces' character maps (see test_names.py).
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from studio.model.artwork import ArtworkSetting
from studio.model.sign import Layout, LetteringOrder, Sign
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.text.itemise import composed
from tests.shared import assets, catalogue

HERE = Path(__file__).parent
SHARE = 8
"""The list is cut into this many parts, so that a failure names its part."""

with (HERE / "names.csv").open(encoding="utf-8", newline="") as lines:
    NAMES = [(row["text"], row["expect"]) for row in csv.DictReader(lines)]


def planned(text: str, layout: Layout, artwork: ArtworkSetting | None) -> Plan:
    """Plan a sign of one name, tiny letters allowed, so that the script alone decides."""
    order = LetteringOrder(text, layout=layout, min_cap_mm=1.0)
    sign = Sign(catalogue().blank("round-10in"), catalogue().surface("painted"), (order,), artwork=artwork)
    return plan(sign, assets(), remedies=False)


def faults_of(text: str, expect: str, found: Plan) -> list[str]:
    """Return what is wrong with the answer."""
    codes = {finding.code for finding in found.findings if finding.severity == "refuse"}
    if expect == "refused":
        named = [finding for finding in found.findings if finding.code == "letter-missing"]
        right = found.placement is None and codes == {"letter-missing"} and all(finding.remedy for finding in named)
        return [] if right else [f"{text}: set or refused for another reason: {sorted(codes)}"]
    if found.placement is None or codes:
        return [f"{text}: refused: {[finding.message for finding in found.findings][:1]}"]
    (lettering,) = found.placement.letterings
    faults = [f"{text}: a missing-glyph box" for glyph in lettering.glyphs if glyph.glyph_id == 0]
    shown = {index for glyph in lettering.glyphs for index in range(glyph.cluster, glyph.cluster + len(glyph.letter))}
    left_out = [letter for index, letter in enumerate(composed(text)) if index not in shown and letter.isalnum()]
    return [*faults, *([f"{text}: left out: {left_out}"] if left_out else [])]


@pytest.mark.parametrize("part", range(SHARE))
@pytest.mark.parametrize("layout", ["box", "arc-top"])
def test_every_name_of_the_list(part: int, layout: Layout, capsys: pytest.CaptureFixture[str]) -> None:
    """No crash, no box, no letter lost; refused are exactly the names that no shipped face can set."""
    mine = NAMES[part::SHARE]
    plans = [(text, expect, planned(text, layout, None)) for text, expect in mine]
    counts = Counter("refused" if found.placement is None else "set" for _, _, found in plans)
    with capsys.disabled():
        print(f"\nnames, part {part}, {layout}: {dict(counts)}", end="")
    assert [fault for text, expect, found in plans for fault in faults_of(text, expect, found)] == []


def test_names_beside_the_default_artwork() -> None:
    """One in ten names, layout left to us, in the ring of pines: set where a face has the letters."""
    ring = ArtworkSetting(catalogue().artwork("pine-ring"))
    faults = [fault for text, expect in NAMES[::10] for fault in faults_of(text, expect, planned(text, "auto", ring))]
    assert faults == []


def test_right_to_left_names_run_to_the_left() -> None:
    """In a Hebrew or Arabic name the first letter stands rightmost, on a line and along the top of an arc."""
    for text in ("שלום", "ليلى"):
        for layout in ("box", "arc-top"):
            placement = planned(text, layout, None).placement  # type: ignore[arg-type]
            assert placement is not None
            glyphs = placement.letterings[0].glyphs
            first = min(glyphs, key=lambda glyph: glyph.cluster)
            assert first.x_mm == max(glyph.x_mm for glyph in glyphs if glyph.advance_mm > 0)
