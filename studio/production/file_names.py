"""Names for a sign's files: by row and text, good on every file system, and never two alike.

Letters of any script stay; everything else becomes a dash. A name has no separator, dot or space in it, so it can
neither leave its folder nor be refused by one.
"""

from __future__ import annotations

import sys
import unicodedata
from typing import Final

LONGEST_LETTERS: Final = 48
BYTES_PER_LETTER: Final = 1.75
"""Room for other scripts than Latin. A whole name stays below the 143 bytes that some encrypting disks allow (255
elsewhere)."""
ORDER_LETTERS: Final = 20
_RESERVED: Final = frozenset(
    ["con", "prn", "aux", "nul", "clock", "conin", "conout"]
    + [f"{port}{n}" for port in ("com", "lpt") for n in range(10)]
)
"""Device names of Windows, which no file may have there whatever its ending (from memory)."""


def row_stem(row: int, text: str, order: str = "", *, digits: int = 4) -> str:
    """Return the name, without ending, of the files of one row: `0012-p-77-marlow-tess`.

    The number alone tells rows apart, on disks that fold letter case or accents too.

    Args:
        row: The row's place in its list, from 1.
        text: The sign's text.
        order: The order's number or name; may be empty.
        digits: The number is filled up to so many, so that the names of a list sort.
    """
    words = [slug(order, longest=ORDER_LETTERS, empty=""), slug(text, empty="sign")]
    return "-".join([f"{row:0{digits}d}", *filter(None, words)])


def single_stem(text: str) -> str:
    """Return the name, without ending, of the files of a sign made by itself: `marlow-tess`."""
    name = slug(text, empty="sign")
    return f"sign-{name}" if name in _RESERVED else name


def slug(text: str, *, longest: int = LONGEST_LETTERS, empty: str) -> str:
    """Return a text as small letters, digits and single dashes, at most `longest` and cut at a whole letter.

    Args:
        text: Anything.
        longest: Most characters; a limit in UTF-8 bytes goes with it.
        empty: What stands for a text without any letter or digit.
    """
    plain = unicodedata.normalize("NFKC", text[: 20 * longest]).casefold()
    plain = unicodedata.normalize("NFC", plain)
    plain = "".join(_encodable(letter) for letter in plain)
    kept = "".join(letter if _is_kept(letter) else "-" for letter in plain)
    words = "-".join(word for word in (_without_stray_marks(word) for word in kept.split("-")) if word)
    return _cut(words, longest, int(longest * BYTES_PER_LETTER)).strip("-") or empty


def _encodable(letter: str) -> str:
    """Return a letter as names on the disk can hold it: without its accents, or a dash, where they are ASCII."""
    for held in (letter, *unicodedata.normalize("NFKD", letter)[:1]):
        try:
            held.encode(sys.getfilesystemencoding())
        except UnicodeEncodeError:
            continue
        return str(held)
    return "-"


def _is_kept(letter: str) -> bool:
    return unicodedata.category(letter)[0] in "LNM"


def _without_stray_marks(word: str) -> str:
    """Return the word without accents that stand on nothing."""
    while word and unicodedata.category(word[0])[0] == "M":
        word = word[1:]
    return word


def _cut(words: str, longest: int, longest_bytes: int) -> str:
    """Return the start of `words` within both limits, never parting a letter from its accents."""
    end, size = 0, 0
    for place, letter in enumerate(words):
        size += len(letter.encode())
        if place >= longest or size > longest_bytes:
            break
        end = place + 1
    while 0 < end < len(words) and unicodedata.category(words[end])[0] == "M":
        end -= 1
    return words[:end]
