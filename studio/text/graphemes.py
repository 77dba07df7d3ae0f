"""What a reader calls one letter: text cut into extended grapheme clusters.

Invariant: the clusters joined together are the text.

Source: Unicode Standard Annex #29, by the tables of the library that knows them.
"""

from __future__ import annotations

from functools import cache
from typing import Any


def graphemes(text: str) -> tuple[str, ...]:
    """Cut a text into extended grapheme clusters, the letters as a reader counts them.

    A base with its marks, a Korean syllable, an Indic conjunct, a flag or an emoji sequence is one cluster.
    """
    if text.isascii() and "\r" not in text:
        return tuple(text)
    return tuple(_pattern(r"\X").findall(text))


def is_pictograph(character: str) -> bool:
    """Tell whether a character is a pictograph, to which joiners can bind another."""
    return not character.isascii() and _pattern(r"\p{Extended_Pictographic}").match(character) is not None


def is_prepended(character: str) -> bool:
    """Tell whether a character belongs to the letter after it, as an Arabic number sign does."""
    return not character.isascii() and _pattern(r"\p{Grapheme_Cluster_Break=Prepend}").match(character) is not None


def is_flag_half(character: str) -> bool:
    """Tell whether a character is one of the two that make a flag."""
    return "\U0001f1e6" <= character <= "\U0001f1ff"


@cache
def _pattern(text: str) -> Any:
    """Return a pattern ready to match; its library is loaded when the first text beyond ASCII comes."""
    import regex

    return regex.compile(text)
