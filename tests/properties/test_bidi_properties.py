"""Levels and order on random text: against another implementation, and against what must always hold."""

from __future__ import annotations

from typing import Literal

from bidi import get_display
from hypothesis import given
from hypothesis import strategies as st

from studio.text.bidi import embedding_levels, paragraph_level, visual_order
from studio.text.bidi_rules import CLOSER_OF

MIXED = st.text(
    alphabet="abZ \u05d0\u05d1\u05d5\u0628\u0645\u06cc129\u0661\u06f2&+-.,:/#%()[]{}\u0301\u05b7\u064e"
    "\u2066\u2067\u2068\u2069",
    max_size=24,
)
WITH_CODES = st.text(alphabet="a\u05d0\u06281 (\u202a\u202b\u202c\u202d\u202e\u2067\u2069\u00ad\n)", max_size=30)
BASES: st.SearchStrategy[Literal["ltr", "rtl"]] = st.sampled_from(("ltr", "rtl"))
OPENER_OF = {closer: opener for opener, closer in CLOSER_OF.items()}


def _unmirrored(text: str) -> str:
    """Write every bracket as its opener: whether a bracket is mirrored in the display string is another matter."""
    return "".join(OPENER_OF.get(character, character) for character in text)


@given(text=MIXED, base=BASES)
def test_the_visual_order_is_another_implementations(text: str, base: Literal["ltr", "rtl"]) -> None:
    """Random mixed text is displayed in the order that python-bidi (unicode-bidi) displays it."""
    order = visual_order(embedding_levels(text, base=base))
    expected = get_display(text, base_dir="R" if base == "rtl" else "L")
    assert _unmirrored("".join(text[i] for i in order)) == _unmirrored(expected)


@given(text=WITH_CODES, base=st.sampled_from(("auto", "ltr", "rtl")))
def test_levels_and_order_are_complete(text: str, base: Literal["auto", "ltr", "rtl"]) -> None:
    """Every character has one level of at least 0, and every place stands once in the order."""
    levels = embedding_levels(text, base=base)
    assert len(levels) == len(text)
    assert all(level >= 0 for level in levels)
    assert sorted(visual_order(levels)) == list(range(len(text)))


@given(text=MIXED)
def test_auto_is_the_base_it_finds(text: str) -> None:
    """Leaving the base open gives the levels of the base that the first strong letter names."""
    found: Literal["ltr", "rtl"] = "rtl" if paragraph_level(text) else "ltr"
    assert embedding_levels(text) == embedding_levels(text, base=found)


@given(first=MIXED, second=MIXED)
def test_lines_do_not_touch_each_other(first: str, second: str) -> None:
    """The levels of two lines are the levels of each alone."""
    levels = embedding_levels(f"{first}\n{second}")
    assert levels == embedding_levels(f"{first}\n") + embedding_levels(second)
