"""Our grapheme clusters against the test of the Unicode Character Database, all of it, and against uniseg.

Source: GraphemeBreakTest.txt, Unicode 15.0.0, as packed in Debian's unicode-data 15.0.0-1; licence beside the file.
"""

from __future__ import annotations

import lzma
import re
from pathlib import Path

from hypothesis import assume, given
from hypothesis import strategies as st
from uniseg.graphemecluster import grapheme_clusters

from studio.text.graphemes import graphemes

CASES = Path(__file__).parent / "unicode" / "GraphemeBreakTest.txt.xz"
CASES_IN_FILE = 602
BREAK, NO_BREAK = "\u00f7", "\u00d7"
NO_PICTOGRAPH_NOW = "2701"
"""Upper blade scissors, a pictograph in Unicode 15.0, is none in the newer tables that the clusters are cut by."""

LIVELY = (
    "aZ1 &\r\n\u0301\u0308\u200c\u200d\ufe0f\U0001f3fb\u00a9\u2708\u2764\U0001f468\U0001f469\U0001f467"
    "\U0001f1eb\U0001f1f7\U0001f1e9\u1100\u1161\u11a8\uac00\uac01\u0915\u0924\u094d\u093c\u093f\u0937\u0995\u09cd"
    "\u0600\u0627\u064e\u05d0\u05b7\u0e01\u0e33\u0ba8\u0bbf\u0bcd\u102b\ufffe\u00ad\U000e0067\U000e007f"
)


def test_every_published_case_has_our_clusters() -> None:
    """All 602 published cases but one are cut where the published file cuts them; that one by newer tables."""
    checked = 0
    wrong: list[str] = []
    with lzma.open(CASES, "rt", encoding="utf-8") as lines:
        for line in lines:
            case = line.split("#")[0].strip().strip(BREAK)
            if not case:
                continue
            checked += 1
            pieces = [piece.replace(NO_BREAK, " ").split() for piece in case.split(BREAK)]
            expected = tuple("".join(chr(int(code, 16)) for code in piece) for piece in pieces)
            if graphemes("".join(expected)) != expected:
                wrong.append(line)
    print(f"grapheme cases: {checked - len(wrong)} of {checked} passed")
    assert [NO_PICTOGRAPH_NOW in line for line in wrong] == [True]
    assert checked == CASES_IN_FILE


ORPHAN = re.compile("(?<![\u0915\u0924\u0937\u0995\u093c])[\u094d\u09cd]|(?<![\u0915\u0924\u0937])\u093c")
"""A virama or a nukta without a consonant of its script before it; no writing has that, and libraries differ on it."""


@given(text=st.text(alphabet=LIVELY, max_size=12))
def test_clusters_are_another_implementations(text: str) -> None:
    """Random sequences of lively characters, without orphaned marks, are cut as uniseg cuts them."""
    assume(not ORPHAN.search(text))
    assert graphemes(text) == tuple(grapheme_clusters(text))
