"""A text spelled letter by letter, so that a wrong letter is seen before the wood is printed.

Invariant: every character of the text stands in the spelling, in the order typed; what could be mistaken for another
sign is named.
"""

from __future__ import annotations

import re
import unicodedata

from fontTools.unicodedata import script, script_extension, script_name

from studio.text.graphemes import graphemes, is_flag_half

_SIGN_NAMES = {
    "'": "straight apostrophe",
    "\u2019": "apostrophe",
    "\u2018": "opening single quote",
    '"': "straight quote",
    "\u201c": "opening quote",
    "\u201d": "closing quote",
    "-": "hyphen",
    "\u2010": "hyphen",
    "\u2011": "non-breaking hyphen",
    "\u2013": "en dash",
    "\u2014": "em dash",
    ".": "full stop",
    ",": "comma",
    ":": "colon",
    ";": "semicolon",
    "\u00b7": "middle dot",
    "\u02bb": "okina",
    "\u02bc": "modifier apostrophe",
    "\u00a0": "non-breaking space",
    "\u3000": "wide space",
    "\u200c": "non-joiner",
    "\u200d": "joiner",
}
_NAME = re.compile(r"^(?:[A-Z -]+? )??(?P<case>SMALL |CAPITAL |)(?:LIGATURE |LETTER |SYLLABLE |VOWEL )+(?P<rest>.+)$")


def spelled(text: str) -> str:
    """Spell a text: ``M-a-r-l-o-w & T-e-s-s``, ``Z-o-ë (ë = e with diaeresis)``.

    Letters of a word are joined by hyphens; signs that are easily taken for another are named in square brackets, a
    new line is a stroke, and letters beyond A to Z are explained once each in round brackets at the end.
    """
    lines = [" ".join(filter(None, map(_spelled_word, line.split(" ")))) for line in text.split("\n")]
    notes = dict.fromkeys(note for word in re.split("[ \n]", text) for note in _notes(word))
    explained = f" ({'; '.join(notes)})" if notes else ""
    return " / ".join(lines) + explained


def _spelled_word(word: str) -> str:
    return "-".join(f"[{_SIGN_NAMES[letter]}]" if letter in _SIGN_NAMES else letter for letter in graphemes(word))


def _notes(word: str) -> list[str]:
    """Explain the letters of a word that a reader may not know or may take for another."""
    letters = graphemes(word)
    notes = [
        f"{letter} = {letter_name(letter)}" for letter in letters if not letter.isascii() and letter not in _SIGN_NAMES
    ]
    if any(letter.isalpha() for letter in letters):
        notes += [f"{letter} = digit {name}" for letter, name in (("0", "zero"), ("1", "one")) if letter in letters]
    return notes


def letter_name(letter: str) -> str:
    """Name one letter with its marks in plain words, such as ``capital e with acute`` or ``Hebrew shin``."""
    base, *marks = list(unicodedata.normalize("NFC", letter))
    if is_flag_half(base) and marks:
        return "flag " + "".join(unicodedata.name(half)[-1] for half in letter)
    name = _base_name(base)
    added = [_mark_name(mark) for mark in marks if mark not in "\ufe0e\ufe0f\u200d"]
    if not added:
        return name
    return f"{name}{' and ' if ' with ' in name else ' with '}{' and '.join(added)}"


def _base_name(character: str) -> str:
    """Name one character: its case, its alphabet unless Latin, and its own name."""
    full = unicodedata.name(character, "")
    if not full or full.startswith("CJK "):
        return f"U+{ord(character):04X}"
    match = _NAME.match(full.replace("LAMDA", "LAMBDA"))
    if not match:
        return full.lower()
    alphabet = script(character)
    parts = [] if alphabet in ("Latn", "Zyyy", "Zinh") else [script_name(alphabet)]
    parts += ["capital"] if match["case"] == "CAPITAL " else []
    return " ".join([*parts, match["rest"].lower()])


def _mark_name(mark: str) -> str:
    """Name a mark on a letter: its own name without the words that only say that it is a mark."""
    name = unicodedata.name(mark, f"U+{ord(mark):04X}")
    for code in script_extension(mark):
        name = name.removeprefix(f"{script_name(code).upper()} ")
    for word in ("COMBINING ", "POINT ", "ACCENT ", "VOWEL SIGN ", "SIGN ", "LETTER ", "ZERO WIDTH "):
        name = name.removeprefix(word)
    return name.removesuffix(" ACCENT").lower()
