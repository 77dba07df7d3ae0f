"""Letters that were saved in one encoding and opened in another, such as a lone accented letter that became two signs.

Invariant: a repair is offered, never made; real names with accents, and accented letters beside quotation marks or
dashes, raise no alarm.

Source: the Windows-1252 table of the WHATWG Encoding Standard; the byte patterns of UTF-8 (RFC 3629).
"""

from __future__ import annotations

import html
import re
import unicodedata
from dataclasses import dataclass

from fontTools.unicodedata import script

from studio.proofreading.odd_letters import odd_place
from studio.proofreading.remark import Remark

CODE = "wrongly-decoded"

_BYTES = {byte: byte for byte in range(0x80, 0x100)} | {
    ord(bytes([byte]).decode("cp1252")): byte
    for byte in range(0x80, 0xA0)
    if byte not in (0x81, 0x8D, 0x8F, 0x90, 0x9D)
}
"""Each character of Windows-1252 and Latin-1 above ASCII, and the byte it stood for."""

_SEQUENCE = re.compile(
    "[\xc2-\xdf][\x80-\xbf]|\xe0[\xa0-\xbf][\x80-\xbf]|[\xe1-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}"
)
_EXPECTED = re.compile(
    "[\x80-\u01b4\u0218-\u021b\u0259\u02bb\u02bc\u02c6\u02dc\u0300-\u030c\u031b\u0323\u0327\u0328\u0386-\u03ce"
    "\u0400-\u045f\u0490\u0491\u05d0-\u05ea\u0621-\u064a\u0660-\u0669\u0671-\u06d3\u06f0-\u06f9\u0900-\u097f"
    "\u0e01-\u0e5b\u10d0-\u10ff\u1e00-\u1eff\u2010-\u2026\u2030-\u203a\u20ac\u2122\u2600-\u27bf\u3001-\u30ff"
    "\u4e00-\u9fff\uac00-\ud7a3\U0001f1e6-\U0001f1ff\U0001f300-\U0001faff]"
)
"""Letters that prove wrong decoding by themselves: of widely used scripts, typographic signs, emoji, garbled bytes."""

_MAY_FOLLOW = frozenset("’”“…–—™®°²³¹»\u00a0")
"""Signs that stand behind a real letter often enough to prove nothing."""
_MAY_JOIN = frozenset("’…–—\u00a0")
"""Those that may stand between two real letters."""
_CAPITALS = re.compile(r"[^\W\d_]{2}$")
_GENITIVE = re.compile(r"’s\b", re.IGNORECASE)
_ENTITY = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_MOST_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class _Garbled:
    """Characters `start` to `end` that are the bytes of one other letter."""

    start: int
    end: int
    letter: str


def decoding_remarks(text: str) -> tuple[Remark, ...]:
    """Return a warning for text that was decoded wrongly, with the repaired text as an offer, or nothing."""
    repaired, spans = _repaired(text)
    if spans:
        start, end = min(s for s, _ in spans), max(e for _, e in spans)
        found, better = _word_at(text, start), _word_at(repaired, start)
        message = f"'{found}' looks like '{better}' saved in one encoding and opened in another."
        if _ENTITY.match(text, start):
            message = f"'{found}' holds signs written as in the source of a web page; it reads '{better}'."
        return (Remark(CODE, "warn", message, start, end, repaired),)
    odd = odd_place(text)
    if odd is not None:
        message = (
            f"'{_word_at(text, odd)}' holds '{text[odd]}' where a letter should be: the text was opened in another "
            "encoding than the one it was saved in, or the letters are styled. Type it again."
        )
        return (Remark(CODE, "warn", message, odd, odd + 1),)
    lost = text.find("\ufffd")
    if lost >= 0:
        message = f"'{_word_at(text, lost)}' holds U+FFFD: a letter was lost before the text came here; type it again."
        return (Remark(CODE, "warn", message, lost, lost + 1),)
    return ()


def garbled_places(text: str) -> frozenset[int]:
    """Return the places of all characters that belong to garbled letters, invisible ones included."""
    return frozenset(place for found in _garbled(text) for place in range(found.start, found.end))


def _repaired(text: str) -> tuple[str, list[tuple[int, int]]]:
    """Undo wrong decoding, as often as it was done; the spans are those of the first undoing."""
    spans: list[tuple[int, int]] = []
    for _ in range(_MOST_ROUNDS):
        garbled = _garbled(text)
        entities = [match for match in _ENTITY.finditer(text) if html.unescape(match[0]) != match[0]]
        changes = [(g.start, g.end, g.letter) for g in garbled] + [
            (match.start(), match.end(), html.unescape(match[0])) for match in entities
        ]
        if not changes:
            break
        spans = spans or [(start, end) for start, end, _ in changes]
        for start, end, letter in sorted(changes, reverse=True):
            text = text[:start] + letter + text[end:]
    return text, spans


def _garbled(text: str) -> list[_Garbled]:
    """Return the garbled letters; none unless at least one of them cannot be what somebody typed."""
    if text.isascii():
        return []
    as_bytes = "".join(chr(_BYTES.get(ord(c), 0)) if ord(c) > 0x7F else c for c in text)
    found: list[_Garbled] = []
    for match in _SEQUENCE.finditer(as_bytes):
        try:
            letter = match[0].encode("latin-1").decode("utf-8")
        except UnicodeDecodeError:
            continue
        if unicodedata.category(letter) != "Cn":
            found.append(_Garbled(match.start(), match.end(), letter))
    return found if any(_proves(text, found, i) for i in range(len(found))) else []


def _proves(text: str, found: list[_Garbled], at: int) -> bool:
    """Tell whether one letter shows that the text is garbled: by itself, or with the next one of its script."""
    this = found[at]
    if _may_be_typed(text, this.start, this.end):
        return False
    if _EXPECTED.match(this.letter):
        return True
    beside = [other for other in found[max(at - 1, 0) : at + 2] if this.start == other.end or this.end == other.start]
    own = script(this.letter)
    return own not in ("Latn", "Zyyy", "Zinh") and any(script(other.letter) == own for other in beside)


def _may_be_typed(text: str, start: int, end: int) -> bool:
    """Tell whether an accented letter and the signs behind it may stand there as typed.

    So may a letter in a word of its own case with a quotation mark, dash, ellipsis or the like behind it; not so a
    capital behind a small letter, a letter with any other sign, or (Â and Ã, which most often are garbled) one with a
    sign in the middle of a word.
    """
    lead, trail = text[start], text[start + 1 : end]
    before, after = text[start - 1 : start] if start else "", text[end : end + 1]
    if (lead == "×" and before.isdigit()) or _GENITIVE.match(text, start + 1):
        return True
    if not _MAY_FOLLOW.issuperset(trail) or (lead.isupper() and before.islower()):
        return False
    if after.isalpha() and not _MAY_JOIN.issuperset(trail):
        return False
    if lead not in "ÂÃ" or trail == "’":
        return before.isalpha() or not after.isalpha()
    if trail == "\u00a0":
        return _CAPITALS.search(text, 0, start) is not None
    return trail not in "¹²³" and not after.isalpha()


def _word_at(text: str, place: int) -> str:
    """Return the word that a place lies in, without what cannot be shown."""
    start = max(text.rfind(" ", 0, place), text.rfind("\n", 0, place)) + 1
    ends = [end for end in (text.find(" ", place), text.find("\n", place)) if end >= 0]
    word = text[start : min(ends, default=len(text))]
    return "".join(character for character in word if character.isprintable())
