"""Our levels and visual order against the conformance test of the Unicode Character Database, all of it.

Source: BidiCharacterTest.txt, Unicode 15.0.0, as packed in Debian's unicode-data 15.0.0-1; licence beside the file.
"""

from __future__ import annotations

import lzma
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from studio.text.bidi import embedding_levels, paragraph_level, visual_order

CASES = Path(__file__).parent / "unicode" / "BidiCharacterTest.txt.xz"
CASES_IN_FILE = 91_707
BASES: tuple[Literal["ltr", "rtl", "auto"], ...] = ("ltr", "rtl", "auto")


def _cases() -> Iterator[tuple[int, list[str]]]:
    with lzma.open(CASES, "rt", encoding="utf-8") as lines:
        for number, line in enumerate(lines, start=1):
            if line.strip() and not line.startswith("#"):
                yield number, line.strip().split(";")


def _disagreement(fields: list[str]) -> str:
    """Say where our answer to one case differs from the published one; empty when it does not."""
    text = "".join(chr(int(code, 16)) for code in fields[0].split())
    base = BASES[int(fields[1])]
    if paragraph_level(text, base) != int(fields[2]):
        return f"paragraph level {paragraph_level(text, base)}, published {fields[2]}"
    levels = embedding_levels(text, base=base)
    published = fields[3].split()
    if any(want not in ("x", str(have)) for want, have in zip(published, levels, strict=True)):
        return f"levels {levels}, published {fields[3]}"
    order = [i for i in visual_order(levels) if published[i] != "x"]
    if order != [int(place) for place in fields[4].split()]:
        return f"order {order}, published {fields[4]}"
    return ""


def test_every_published_case_has_our_levels_and_order() -> None:
    """All 91,707 published cases give the published paragraph level, levels and visual order."""
    checked = 0
    wrong: list[str] = []
    for number, fields in _cases():
        checked += 1
        difference = _disagreement(fields)
        if difference:
            wrong.append(f"line {number}: {fields[0]}: {difference}")
    print(f"bidirectional cases: {checked - len(wrong)} of {checked} passed")
    assert wrong[:10] == []
    assert checked == CASES_IN_FILE
