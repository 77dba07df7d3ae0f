"""Which code page a list without a mark was saved in, judged by the letters that come out.

A code page is plausible when every word it gives could be a name: letters of one script, capitals where capitals go,
no signs grown into words. It is sure when all plausible ones give the very same letters; else somebody has to say.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

CODE_PAGES: Final = {
    "cp1252": "Windows-1252",
    "mac_roman": "Mac Roman",
    "cp850": "DOS 850",
    "cp437": "DOS 437",
    "cp1250": "Windows-1250",
    "iso8859_2": "Latin-2",
    "cp852": "DOS 852",
    "mac_latin2": "Mac Central European",
    "cp1254": "Windows-1254",
    "cp857": "DOS 857",
    "mac_turkish": "Mac Turkish",
    "cp1257": "Windows-1257",
    "cp775": "DOS 775",
    "iso8859_4": "Latin-4",
    "iso8859_15": "Latin-9",
    "iso8859_10": "Latin-6",
    "iso8859_14": "Latin-8",
    "iso8859_16": "Latin-10",
    "cp865": "DOS 865",
    "cp861": "DOS 861",
    "cp860": "DOS 860",
    "mac_iceland": "Mac Icelandic",
    "cp1251": "Windows-1251",
    "koi8_r": "KOI8-R",
    "koi8_u": "KOI8-U",
    "cp866": "DOS 866",
    "cp855": "DOS 855",
    "iso8859_5": "ISO 8859-5",
    "mac_cyrillic": "Mac Cyrillic",
    "cp1253": "Windows-1253",
    "iso8859_7": "ISO 8859-7",
    "cp737": "DOS 737",
    "cp869": "DOS 869",
    "mac_greek": "Mac Greek",
    "cp1255": "Windows-1255",
    "cp862": "DOS 862",
    "cp1256": "Windows-1256",
    "iso8859_6": "ISO 8859-6",
    "cp874": "Windows-874",
    "cp1258": "Windows-1258",
    "cp932": "Shift JIS",
    "euc_jp": "EUC-JP",
    "gb18030": "GB 18030",
    "big5": "Big5",
    "cp949": "Korean 949",
}
"""Python's name -> what people call it, the likeliest first."""

_MOST_WORDS: Final = 3000
_ENOUGH: Final = 3
"""Different words with accents that it takes to be sure of any but the commonest code page."""
_FAILS: Final = 0.5
"""Share of words that make no sense from which the commonest code page counts as ruled out."""
_RAW_WORD: Final = re.compile(rb"[^\x00-\x20,;\"]*[\x80-\xff][^\x00-\x20,;\"]*")
_INSIDE: Final = frozenset("'’-‐.·")
_BEFORE: Final = frozenset("'\"(“„«‘‚¿¡‹–—…")
_AFTER: Final = frozenset("'\")”»’›.,!?:;–—…®™°ºª")
_SIGNS: Final = frozenset("€£$°½¼¾§©®™–—…•·×²³¹«»“”„‘’¿¡")
"""What may stand by itself, or with figures."""
_WEST: Final = frozenset("àáâãäåæçèéêëìíîïðñòóôõöøùúûüýþßœšžÿªº")
_FAMILIES: Final = (
    _WEST,
    frozenset("ąćęłńóśźżáčďéěíňřšťúůýžäôľĺŕőűöüßđăâîșțşţçëå"),
    frozenset("çğıöşüâîûéèäñß"),
    frozenset("āčēģīķļņšūžõėįųąęäöüōŗåéß"),
    frozenset("àâăđêôơưáạảãấầẩẫậắằẳẵặéèẻẽẹếềểễệíìỉĩịóòỏõọốồổỗộớờởỡợúùủũụứừửữựýỳỷỹỵ"),
)
_SCRIPTS: Final = {
    "LATIN": "latin",
    "CYRILLIC": "cyrillic",
    "GREEK": "greek",
    "HEBREW": "hebrew",
    "ARABIC": "arabic",
    "THAI": "thai",
    "CJK": "east",
    "HIRAGANA": "east",
    "KATAKANA": "east",
    "KATAKANA-HIRAGANA": "east",
    "HANGUL": "east",
    "IDEOGRAPHIC": "east",
}


@dataclass(frozen=True, slots=True)
class Judged:
    """What came of judging.

    Attributes:
        codec: The likeliest code page by Python's name.
        is_sure: Whether all plausible ones give the same letters.
        readings: The plausible ones that differ, each with what it makes of the first words; the likeliest first.
    """

    codec: str
    is_sure: bool
    readings: tuple[tuple[str, tuple[str, ...]], ...]


def judged(data: bytes) -> Judged:
    """Return which code page bytes are in that are no Unicode."""
    raw = list(dict.fromkeys(match[0] for match in _RAW_WORD.finditer(data)))[:_MOST_WORDS]
    plausible: dict[tuple[str, ...], str] = {}
    least: tuple[float, str, tuple[str, ...]] | None = None
    western_fails = False
    for codec in CODE_PAGES:
        words = _decoded(raw, codec)
        if words is None:
            western_fails = western_fails or codec == "cp1252"
            continue
        bad = sum(not _could_be_names(word) for word in words) / max(len(words), 1)
        if codec == "cp1252":
            western_fails = bad >= _FAILS
        if not bad and not _of_one_family(words):
            bad = 0.01
        if not bad:
            plausible.setdefault(words, codec)
        elif least is None or bad < least[0]:
            least = (bad, codec, words)
    if not plausible:
        shown = () if least is None else ((least[1], _shown(least[2])),)
        return Judged("cp1252" if least is None else least[1], False, shown)
    readings = tuple((codec, _shown(words)) for words, codec in plausible.items())
    is_sure = len(readings) == 1 and (readings[0][0] == "cp1252" or (western_fails and len(raw) >= _ENOUGH))
    return Judged(readings[0][0], is_sure, readings)


def _shown(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(word.strip("'\"|")[:30] for word in words)[:3]


def _decoded(raw: list[bytes], codec: str) -> tuple[str, ...] | None:
    """Return the words in a code page; `None` where it has no letter for one of their bytes."""
    try:
        return tuple(word.decode(codec) for word in raw)
    except (UnicodeDecodeError, LookupError):
        return None


def _could_be_names(text: str) -> bool:
    return all(could_be_a_word(word) for word in re.split(r"[\s|/\\<>=#@&+*_\[\]{}]+", text) if not word.isascii())


def could_be_a_word(word: str) -> bool:
    """Return whether letters could be a word of one script as people write it."""
    while word and (word[0] in _BEFORE or word[0].isdigit()):
        word = word[1:]
    while word and (word[-1] in _AFTER or word[-1].isdigit()):
        word = word[:-1]
    if not any(letter.isalpha() for letter in word):
        return all(letter in _SIGNS or letter.isascii() for letter in word)
    scripts = set()
    before = ""
    accented = 0
    for at, letter in enumerate(word):
        if letter in _INSIDE:
            if at in (0, len(word) - 1):
                return False
            before = ""
            continue
        if letter.isdigit() and letter.isascii():
            before = ""
            continue
        category = unicodedata.category(letter)
        if category[0] not in "LM":
            return False
        script = _script_of(letter)
        if script is None:
            return False
        scripts.add(script)
        if script == "latin" and not letter.isascii():
            accented += 1
            if category == "Lu" and before.islower() and word[:at] not in ("Mc", "Mac", "De", "Di", "La", "Le", "O"):
                return False
        elif script != "latin" and category == "Lu" and before.islower():
            return False
        before = letter
    plain = sum(letter.isascii() and letter.isalpha() for letter in word)
    return len(scripts) <= 1 and not (accented >= 3 and not plain)


def _script_of(letter: str) -> str | None:
    """Return a letter's script by its name; `None` for scripts that no code page is for, and for odd letters."""
    if letter in "ƒſ":
        return None
    name = unicodedata.name(letter, "")
    if name.startswith("HALFWIDTH"):
        return None
    if name.startswith("COMBINING"):
        return "latin"
    return _SCRIPTS.get(name.split(" ")[0])


def _of_one_family(words: Iterable[str]) -> bool:
    """Return whether the accented Latin letters are all of languages that are written side by side."""
    letters = {letter for word in words for letter in word.lower() if not letter.isascii() and letter.isalpha()}
    latin = {letter for letter in letters if unicodedata.name(letter, "").startswith("LATIN")}
    return not latin or any(latin <= family for family in _FAMILIES)
