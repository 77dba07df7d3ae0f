"""Levels and visual order of short texts, worked out by hand from the rules."""

from __future__ import annotations

import pytest

from studio.text.bidi import DEEPEST_LEVEL, embedding_levels, paragraph_level, visual_order
from studio.text.bidi_rules import CLOSER_OF, bidi_class

ALEF, BET, GIMEL = "\u05d0\u05d1\u05d2"
ARABIC_BEH = "\u0628"
RLE, PDF, RLI, LRI, FSI, PDI = "\u202b\u202c\u2067\u2066\u2068\u2069"


def test_latin_text_runs_left_to_right() -> None:
    """A text without right-to-left characters has level 0 throughout."""
    assert embedding_levels("Marlow & Tess, 1987") == (0,) * 19


def test_the_empty_text_has_no_levels() -> None:
    """Nothing gives nothing, and an order of nothing."""
    assert embedding_levels("") == ()
    assert visual_order(()) == ()


@pytest.mark.parametrize(
    ("text", "level"),
    [("Tess", 0), (ALEF, 1), (ARABIC_BEH, 1), ("12 " + ALEF, 1), ("& 12", 0), (f"{RLI}{ALEF}{PDI} a", 0), ("", 0)],
)
def test_the_first_strong_letter_outside_isolates_decides_the_paragraph(text: str, level: int) -> None:
    """Digits, signs and isolated letters do not set a paragraph's direction."""
    assert paragraph_level(text) == level


def test_a_stated_base_wins_over_the_letters() -> None:
    """A base of rtl or ltr sets the paragraph level whatever the text holds."""
    assert paragraph_level("Tess", "rtl") == 1
    assert paragraph_level(ALEF, "ltr") == 0


def test_digits_in_a_hebrew_name_keep_their_own_direction() -> None:
    """A year beside Hebrew letters stands to their left, its digits in reading order."""
    levels = embedding_levels(f"{ALEF}{BET} 19")
    assert levels == (1, 1, 1, 2, 2)
    assert visual_order(levels) == (3, 4, 2, 1, 0)


def test_brackets_in_a_hebrew_name_belong_to_it() -> None:
    """Brackets round Hebrew in a Hebrew line run with it, also with Latin before them."""
    assert embedding_levels(f"{ALEF} a({BET})", base="rtl") == (1, 1, 2, 1, 1, 1)


def test_brackets_round_latin_stay_with_the_paragraph() -> None:
    """Brackets round Latin in a Hebrew line keep the line's direction when Hebrew stands before them."""
    assert embedding_levels(f"{ALEF} (ab) {BET}") == (1, 1, 1, 2, 2, 1, 1, 1)


def test_an_ampersand_between_two_hebrew_names_runs_with_them() -> None:
    """Signs between equal directions take that direction."""
    assert embedding_levels(f"{ALEF} & {BET}", base="ltr") == (1, 1, 1, 1, 1)


def test_trailing_spaces_have_the_paragraph_level() -> None:
    """Spaces at the end of a line do not move to the far side of a right-to-left word."""
    assert embedding_levels(f"a {ALEF}  ") == (0, 0, 1, 0, 0)


def test_each_line_finds_its_own_direction() -> None:
    """A newline ends a paragraph; the next one is judged by its own letters."""
    assert embedding_levels(f"ab\n{ALEF}1\nc") == (0, 0, 0, 1, 2, 1, 0)


def test_removed_characters_have_the_level_before_them() -> None:
    """Embedding codes take no place of their own: they follow the character before, or the paragraph."""
    assert embedding_levels(f"{RLE}a{RLE}b{PDF}{PDF}c") == (0, 2, 2, 4, 4, 4, 0)


def test_an_isolate_hides_its_inside_from_its_outside() -> None:
    """Hebrew in an isolate leaves the number after it with the Latin outside."""
    assert embedding_levels(f"a {RLI}{ALEF}{PDI} 1") == (0, 0, 0, 1, 0, 0, 0)
    assert embedding_levels(f"a {ALEF} 1") == (0, 0, 1, 1, 2)


def test_a_first_strong_isolate_takes_its_direction_from_its_inside() -> None:
    """An FSI looks for a strong letter up to its own PDI and no further."""
    assert embedding_levels(f"a{FSI}{ALEF}{PDI}")[2] == 1
    assert embedding_levels(f"a{FSI}1{PDI}{ALEF}")[2] == 2


def test_nesting_stops_at_the_deepest_level() -> None:
    """Isolates nested beyond the limit stay at it instead of failing."""
    levels = embedding_levels(f"{LRI}{RLI}" * 100 + ALEF + "a", base="ltr")
    assert max(levels) == DEEPEST_LEVEL + 1
    assert levels[-2] == DEEPEST_LEVEL


def test_nested_runs_turn_inside_each_other() -> None:
    """Each level turns the runs above it round once more."""
    assert visual_order((0, 1, 1, 2, 2, 1, 0)) == (0, 5, 3, 4, 2, 1, 6)


def test_characters_newer_than_the_tables_follow_their_block() -> None:
    """An unassigned code point in a Hebrew, Arabic or currency block has that block's class, others are L."""
    assert [bidi_class(chr(code)) for code in (0x05FF, 0x1EEFE, 0x20CF, 0x1FFFE, 0x0378)] == [
        "R", "AL", "ET", "BN", "L",
    ]  # fmt: skip


def test_every_bracket_closes_with_one_closer() -> None:
    """The bracket table is one to one, so that no closer serves two openers."""
    assert len(set(CLOSER_OF.values())) == len(CLOSER_OF) == 64
    assert [CLOSER_OF[opener] for opener in "([{\u3008\u298d"] == [")", "]", "}", "\u3009", "\u2990"]
