"""Letters that are easily taken for others, named on the approval."""

from __future__ import annotations

import pytest

from studio.proofreading.easily_confused import confused_lines


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Bear", []),
        ("Ill", ["“I” (U+0049 LATIN CAPITAL LETTER I) is capital i, not small L or digit one.",
                 "“l” (U+006C LATIN SMALL LETTER L) is small L, not capital i or digit one."]),
        ("No 0", ["“0” (U+0030 DIGIT ZERO) is digit zero, not capital o."]),
        ("Fern’s", ["“’” (U+2019 RIGHT SINGLE QUOTATION MARK) is a curly apostrophe, not a straight one.",
                    "“rn” is r and n, not m."]),
        ("A\u00a0B", ["(U+00A0 NO-BREAK SPACE) is a space that is not broken, not a plain space."]),
    ],
)  # fmt: skip
def test_named_once_each_in_order(text: str, lines: list[str]) -> None:
    """Each doubtful letter is named once, with its code point, what it is and what it is not."""
    assert list(confused_lines(text)) == lines


def test_a_letter_of_another_alphabet_comes_first() -> None:
    """A word that mixes alphabets is the first thing said."""
    first, *rest = confused_lines("Мarlow")

    assert first.startswith("'Мarlow' mixes Latin and Cyrillic letters")
    assert rest == ["“l” (U+006C LATIN SMALL LETTER L) is small L, not capital i or digit one."]
