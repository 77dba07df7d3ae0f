"""One letter as a reader counts it."""

from __future__ import annotations

import pytest

from studio.text.graphemes import graphemes


@pytest.mark.parametrize(
    "clusters",
    [
        (),
        ("T", "e", "s", "s"),
        ("Z", "o", "e\u0308"),
        ("V", "i", "e\u0323\u0302", "t"),
        ("\u05e9\u05c1\u05b8", "\u05dc", "\u05d5\u05b9", "\u05dd"),
        ("\u092e\u0940", "\u0930\u093e"),
        ("\ud55c", "\u1112\u1161\u11ab"),
        ("\U0001f468\u200d\U0001f469\u200d\U0001f467", "\U0001f44d\U0001f3fd", "\u2764\ufe0f"),
        ("\U0001f1eb\U0001f1f7", "\U0001f1e9\U0001f1ea", "\U0001f1ea"),
        ("a", "\r\n", "b", "\n"),
        ("\u0e19\u0e49", "\u0e01\u0e33"),
    ],
)
def test_a_reader_counts_these_letters(clusters: tuple[str, ...]) -> None:
    """Marks, jamo, emoji sequences and flags stay in one piece; the pieces joined are the text."""
    assert graphemes("".join(clusters)) == clusters


def test_an_indic_conjunct_is_one_letter() -> None:
    """Consonants bound by a virama are one cluster, those held apart by a non-joiner two."""
    assert graphemes("\u0915\u094d\u0937\u093f") == ("\u0915\u094d\u0937\u093f",)
    assert graphemes("\u0915\u094d\u200c\u0937") == ("\u0915\u094d\u200c", "\u0937")


def test_a_virama_does_not_bind_across_other_letters() -> None:
    """A consonant after a vowel letter starts its own cluster."""
    assert graphemes("\u0905\u0915") == ("\u0905", "\u0915")
