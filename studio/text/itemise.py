"""Text cut into the pieces that a shaper takes: one direction and one script each.

Invariant: the runs stand in logical order and cover every character once; neighbours differ in level or script.

Sources: Unicode Standard Annex #24 for characters shared by several scripts; the joining scripts from
ArabicShaping.txt (Unicode 15.0); the scripts with a head line from the discussion of letter-spacing in HarfBuzz
(issue 64) and CSS Text 3, section 8.2.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fontTools.unicodedata import script, script_extension

from studio.text.bidi_rules import CLOSER_OF, CLOSERS

JOINING_SCRIPTS = frozenset(
    {"Adlm", "Arab", "Chrs", "Mand", "Mani", "Mong", "Nkoo", "Ougr", "Phag", "Phlp", "Rohg", "Sogd", "Syrc"}
)
"""ISO 15924 codes of scripts whose letters change shape to join their neighbours."""

NO_TRACKING_SCRIPTS = JOINING_SCRIPTS | {
    "Beng", "Deva", "Dogr", "Guru", "Modi", "Nand", "Ogam", "Shrd", "Sylo", "Takr", "Tirh",
}  # fmt: skip
"""Scripts whose letters must not be set apart: those that join, and those that hang from one line."""

SHARED = frozenset({"Zyyy", "Zinh"})
"""What characters of no one script carry: common and inherited."""

_LIKELIEST = ("Latn", "Arab", "Deva", "Hira", "Kana")


@dataclass(frozen=True, slots=True)
class TextRun:
    """Characters `start` to `end` (exclusive) of a text, all of one embedding level and one script."""

    start: int
    end: int
    level: int
    script: str
    """ISO 15924 code, such as ``Latn``."""


def composed(text: str) -> str:
    """Return the text with every mark joined to its letter where one code point stands for both (form NFC)."""
    return unicodedata.normalize("NFC", text)


def script_runs(text: str, levels: Sequence[int]) -> tuple[TextRun, ...]:
    """Cut a text where its level or its script changes.

    Characters shared by scripts (spaces, digits, signs) join what stands before them at the same level, or else
    after; marks stay with their letter, and a closing bracket goes with its opening one. A text without any letter
    counts as Latin.

    Args:
        text: The text in logical order.
        levels: One embedding level per character.
    """
    if len(levels) != len(text):
        raise ValueError(f"{len(levels)} levels for {len(text)} characters")
    spans = _spans(levels)
    scripts: list[str | None] = [None] * len(text)
    for start, end in spans:
        _mark_scripts(text, start, end, scripts)
    _lend_to_letterless(text, spans, scripts)
    runs: list[TextRun] = []
    for i, (level, code) in enumerate(zip(levels, scripts, strict=True)):
        if runs and (runs[-1].level, runs[-1].script) == (level, code):
            runs[-1] = TextRun(runs[-1].start, i + 1, level, runs[-1].script)
        else:
            runs.append(TextRun(i, i + 1, level, code or _LIKELIEST[0]))
    return tuple(runs)


def _spans(values: Sequence[int]) -> list[tuple[int, int]]:
    """Return start and end of every stretch of equal values."""
    edges = [i for i in range(1, len(values)) if values[i] != values[i - 1]]
    return list(pairwise([0, *edges, len(values)])) if values else []


def _mark_scripts(text: str, start: int, end: int, scripts: list[str | None]) -> None:
    """Write the script of each character of one level; None throughout when no letter stands there."""
    current: str | None = None
    open_brackets: list[tuple[str, int]] = []
    for i in range(start, end):
        character = text[i]
        own = script(character)
        if own not in SHARED:
            current = own
        elif own == "Zyyy" and current is not None and not _suits(character, current):
            following = _first_letter_script(text[i + 1 : end])
            current = following if following and _suits(character, following) else current
        scripts[i] = current
        if character in CLOSER_OF:
            open_brackets.append((CLOSER_OF[character], i))
        elif character in CLOSERS:
            opener = _matching_opener(open_brackets, character)
            if opener is not None:
                scripts[i] = current = scripts[opener] or current
    leading = next((i for i in range(start, end) if scripts[i]), start)
    scripts[start:leading] = [scripts[leading]] * (leading - start)


def _matching_opener(open_brackets: list[tuple[str, int]], closer: str) -> int | None:
    """Take the opener of a closing bracket off the pile, with what was left open inside; None without one."""
    for depth in range(len(open_brackets) - 1, -1, -1):
        if open_brackets[depth][0] == closer:
            place = open_brackets[depth][1]
            del open_brackets[depth:]
            return place
    return None


def _suits(character: str, code: str) -> bool:
    """Tell whether a shared character is used with a script; one without a list is used with all."""
    listed = set(script_extension(character)) - SHARED
    return not listed or code in listed


def _first_letter_script(text: str) -> str | None:
    return next((code for code in map(script, text) if code not in SHARED), None)


def _lend_to_letterless(text: str, spans: list[tuple[int, int]], scripts: list[str | None]) -> None:
    """Give a level without letters, such as a number in an Arabic line, the script of what is before or after."""
    for start, end in spans:
        if scripts[start] is None:
            before = scripts[start - 1] if start else None
            lent = before or next((code for code in scripts[end:] if code), None) or _likeliest(text)
            scripts[start:end] = [lent] * (end - start)


def _likeliest(text: str) -> str:
    """Return the script for a text without a letter of its own: one its marks and signs belong to, or Latin."""
    listed = [set(script_extension(character)) - SHARED for character in text]
    narrow = [codes for codes in listed if codes]
    shared = set.intersection(*narrow) if narrow else set()
    return next((code for code in _LIKELIEST if code in shared), _LIKELIEST[0])
