"""Signs and capitals that stand in a word where only a letter can, as a text has that was opened in a wrong code page.

Invariant: names of western Europe with accents, apostrophes and dashes raise no alarm.

Source: which bytes differ between the code pages: Python's codecs; what stands in names: from memory.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_NO_LETTERS: Final = frozenset(
    "‚„ˆ‰‹›†‡•˜¡¢£¤¥¦§¨©ª«¬±²³´¶·¸¹º»¼½¾¿×÷∞≠≤≥∂∑∏π∫√≈∆◊Ωµ∙░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀■ƒıˇ˘˙˚˛˝⌐"
)
_INSIDE: Final = _NO_LETTERS - frozenset("·ıª‡")
"""Signs that stand between two small letters in no name; the middle dot does in Catalan, the dotless i in Turkish."""
_BEHIND: Final = frozenset("‚„‹¡¿¨´¸¬¦¤ƒˆ†‡‰‘“ˇ˘˛˝")
_BEFORE: Final = frozenset("£¥¢§¬¦¨¸¹²³¶ƒ†‡ˆ‰º™")
_DASHES: Final = frozenset("–—…")
_SHORT_PART: Final = 2
"""Letters of a part that is hardly a name by itself."""
_PREFIXES: Final = frozenset(
    {"Mc", "Mac", "De", "Di", "Da", "Du", "La", "Le", "Lo", "Van", "Von", "O", "D", "Fitz", "Al", "El", "n", "h", "t"}
)
"""What stands before a capital in a name; the small ones do in Irish: Tír na nÓg."""
_WORD: Final = re.compile(r"[^\s/&+,;:()]+")
_CYRILLIC_PAIR: Final = re.compile(r"[РС][°±µ¶†‡€‰‹•™›¤¦§©«¬®»](?=[^\W\d_])")
"""The bytes of one Cyrillic letter of UTF-8, opened as Windows-1251: a capital Р or С with a sign behind it."""
_LATIN_1: Final = re.compile("[\u00c0-\u00ff]{3,}")


def odd_place(text: str) -> int | None:
    """Return the place of the first sign that cannot stand in its word; `None` where all may be meant."""
    if text.isascii():
        return None
    for match in _WORD.finditer(text):
        word = match[0]
        if word.isascii():
            continue
        if word == "Â" and len(text) > 1:
            return match.start()  # what is left of a space that does not break
        place = _odd_in(word, text[: match.start()])
        if place is not None:
            return match.start() + place
    return None


def _odd_in(word: str, ahead: str) -> int | None:
    """Return the place in a word, given the text ahead of it."""
    for place, sign in enumerate(word):
        if sign.isascii():
            continue
        if _is_odd(ahead, word, place):
            return place
        if _is_stray_capital(word, place):
            return place
    if pair := _CYRILLIC_PAIR.search(word):
        return pair.start()
    found = _LATIN_1.fullmatch(word.strip("'\".-–’"))
    if found and not word.isupper() and _looks_foreign(found[0]):
        return word.index(found[0])
    return None


def _is_odd(ahead: str, word: str, place: int) -> bool:
    """Return whether a sign is none that stands there, by the text ahead of its word and what is next to it."""
    sign, before, after = word[place], word[place - 1 : place], word[place + 1 : place + 2]
    if _is_greek(sign) and (_is_greek(before) or _is_greek(after)):
        return False
    if before.isalpha() and after.isalpha():
        return sign in _INSIDE or sign in "”“" or (sign in _DASHES and _splits_a_word(word, place))
    if before.isalpha() and (not after or after in "'\".!?"):
        return sign in _BEHIND and not _closes(sign, ahead + word[:place])
    return after.isalpha() and not before and sign in _BEFORE


def _splits_a_word(word: str, place: int) -> bool:
    """Return whether a dash stands for a letter: between small letters of one name, not between two names."""
    first, second = (re.split(r"[^\w]", part) for part in (word[:place], word[place + 1 :]))
    left, right = first[-1], second[0]
    if not (left[-1:].islower() and right[:1].islower()):
        return False
    return left[:1].isupper() or min(len(left), len(right)) <= _SHORT_PART


def _closes(sign: str, ahead: str) -> bool:
    """Return whether a mark closes a quotation that was opened ahead of it."""
    opening = {"‘": "‚", "“": "„"}.get(sign)
    return opening is not None and opening in ahead


def _is_greek(sign: str) -> bool:
    return "\u0370" <= sign <= "\u03ff"


def _is_stray_capital(word: str, place: int) -> bool:
    """Return whether an accented capital stands within a word of small letters, other than behind a prefix of names."""
    sign, before, after = word[place], word[place - 1 : place], word[place + 1 : place + 2]
    is_stray = before.islower() or (before.isupper() and after.islower())
    if not (sign.isupper() and is_stray and unicodedata.name(sign, "").startswith("LATIN")):
        return False
    lead = re.split(r"['’.-]", word[:place])[-1]
    return lead not in _PREFIXES


def _looks_foreign(letters: str) -> bool:
    """Return whether accented letters alone make no word of a western language: no two vowels would stand so."""
    return len(letters) >= 4 or len({unicodedata.normalize("NFD", letter)[0].lower() for letter in letters}) > 1
