"""Letters of a text that are easily taken for others, each named with what it is and what it is not.

Source: which signs look alike is a choice of ours among the usual ones (from memory); names and code points are
Unicode's own.
"""

from __future__ import annotations

from typing import Final

from studio.proofreading.confusables import lookalike_remarks
from studio.proofreading.remark import code_point

_TAKEN_FOR: Final = {
    "I": ("capital i", "small L or digit one"),
    "l": ("small L", "capital i or digit one"),
    "1": ("digit one", "small L or capital i"),
    "|": ("a vertical bar", "small L or capital i"),
    "O": ("capital o", "digit zero"),
    "0": ("digit zero", "capital o"),
    "5": ("digit five", "capital S"),
    "8": ("digit eight", "capital B"),
    "2": ("digit two", "capital Z"),
    "-": ("a hyphen", "a dash"),
    "–": ("an en dash", "a hyphen"),
    "—": ("an em dash", "a hyphen"),
    "'": ("a straight apostrophe", "a curly one"),
    "’": ("a curly apostrophe", "a straight one"),
    "‘": ("an opening quote", "an apostrophe"),
    "ʻ": ("an okina", "an apostrophe"),
    '"': ("a straight quotation mark", "a curly one"),
    "“": ("an opening quotation mark", "a straight one"),
    "”": ("a closing quotation mark", "a straight one"),
    "\u00a0": ("a space that is not broken", "a plain space"),
}
_PAIRS: Final = {"rn": "r and n, not m", "cl": "c and small L, not d", "vv": "two v, not w"}


def confused_lines(text: str) -> tuple[str, ...]:
    """Return a line for each letter of a text that is easily taken for another, in the order of first use.

    Words that mix alphabets come first, since one of their letters is most likely wrong.
    """
    lines = [remark.message for remark in lookalike_remarks(text)]
    for letter in dict.fromkeys(text):
        if letter in _TAKEN_FOR:
            is_, is_not = _TAKEN_FOR[letter]
            shown = "" if letter.isspace() else f"“{letter}” "
            lines.append(f"{shown}({code_point(letter)}) is {is_}, not {is_not}.")
    for pair, meaning in _PAIRS.items():
        if pair in text.lower():
            lines.append(f"“{pair}” is {meaning}.")
    return tuple(lines)
