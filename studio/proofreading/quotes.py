"""Typewriter quotation marks and apostrophes, and what a sign painter would draw instead.

Invariant: only offered, and only where the right sign is certain; a foot or inch mark behind a number stays.
"""

from __future__ import annotations

import unicodedata

from studio.proofreading.remark import Remark

CODE = "straight-quotes"

_APOSTROPHES = "'`\u00b4"
_STRAIGHT = frozenset(_APOSTROPHES + '"')
_BRACKETS = frozenset("([{")
_OPENING_BEFORE = frozenset("\u2013\u2014-/\u201c\u2018\"'")
_CLIPPED = ("n", "til", "tis", "twas", "em", "cause", "round", "s")
"""Words that begin with an apostrophe, as in rock 'n' roll; any number such as '90s does too."""
_HEBREW = frozenset(map(chr, range(0x05D0, 0x05EB)))
_GERESH, _GERSHAYIM = "\u05f3", "\u05f4"


def quote_remarks(text: str) -> tuple[Remark, ...]:
    """Return one note for all straight quotes and apostrophes of a text, its offer the text with drawn ones."""
    changes = _changes(text)
    if not changes:
        return ()
    offer = "".join(changes.get(i, character) for i, character in enumerate(text))
    first, last = min(changes), max(changes)
    signs = ", ".join(dict.fromkeys(f"{text[i]} by {sign}" for i, sign in changes.items()))
    message = f"Straight quotation marks or apostrophes; a sign looks better with curly ones: {signs}."
    return (Remark(CODE, "note", message, first, last + 1, offer),)


def _changes(text: str) -> dict[int, str]:
    """Return the sign to draw for the place of each straight one that has a certain reading."""
    changes: dict[int, str] = {}
    open_signs: list[str] = []
    for i, character in enumerate(text):
        if character not in _STRAIGHT:
            continue
        before, after = text[i - 1 : i] if i else "", text[i + 1 : i + 2]
        single = character in _APOSTROPHES
        kind = "'" if single else '"'
        opens = not before or before.isspace() or before in _BRACKETS
        if single and _is_word(before) and _is_word(after):
            changes[i] = _GERESH if before in _HEBREW else "\u2019"
        elif before in _HEBREW and after in _HEBREW:
            changes[i] = _GERSHAYIM
        elif kind in open_signs and not opens:
            open_signs.remove(kind)
            changes[i] = "\u2019" if single else "\u201d"
        elif opens or before in _OPENING_BEFORE:
            if single and not _closes_later(text, i):
                changes[i] = "\u2019"
            elif after and not after.isspace():
                open_signs.append(kind)
                changes[i] = "\u2018" if single else "\u201c"
        elif single and before.isalpha():
            changes[i] = _GERESH if before in _HEBREW else "\u2019"
    return changes


def _is_word(character: str) -> bool:
    return bool(character) and unicodedata.category(character)[0] in "LM"


def _closes_later(text: str, at: int) -> bool:
    """Tell whether an apostrophe at the start of a word opens a quotation: it does not in 'n' or '90s."""
    rest = text[at + 1 :]
    word = rest.split(" ")[0].strip("'`\u00b4.,!?").lower()
    if word in _CLIPPED or word[:1].isdigit():
        return False
    closers = (i for i, c in enumerate(rest) if c in _APOSTROPHES and i and not rest[i - 1].isspace())
    return any(not _is_word(rest[i + 1 : i + 2]) for i in closers)
