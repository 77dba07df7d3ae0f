"""Which part a character plays in a grapheme cluster: base, mark, joiner, jamo, flag half and so on.

Most parts follow from the general category that Python knows; only the exceptions are listed here. Invariant: every
code point has exactly one part.

Source: GraphemeBreakProperty.txt and emoji-data.txt of Unicode 15.0; the consonants and linkers of Indic conjuncts
from rule GB9c of Unicode Standard Annex #29, revision 43 (Unicode 15.1).
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_right
from enum import Enum, auto
from functools import lru_cache


class Part(Enum):
    """The part of one character, named as in Unicode Standard Annex #29."""

    OTHER = auto()
    CR = auto()
    LF = auto()
    CONTROL = auto()
    EXTEND = auto()
    ZWJ = auto()
    SPACING_MARK = auto()
    PREPEND = auto()
    FLAG_HALF = auto()
    PICTOGRAPH = auto()
    L = auto()
    V = auto()
    T = auto()
    LV = auto()
    LVT = auto()


def _ranges(listed: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Read ``09BE 302E..302F`` as the first and the last code points, both rising."""
    pairs = [item.split("..") for item in listed.split()]
    return tuple(int(pair[0], 16) for pair in pairs), tuple(int(pair[-1], 16) for pair in pairs)


_LISTED = {
    Part.EXTEND: _ranges("""
        09BE 09D7 0B3E 0B57 0BBE 0BD7 0CC2 0CD5..0CD6 0D3E 0D57 0DCF 0DDF 1B35 200C 302E..302F FF9E..FF9F 1133E 11357
        114B0 114BD 115AF 11930 1D165 1D16E..1D172 1F3FB..1F3FF E0020..E007F"""),
    Part.SPACING_MARK: _ranges("0E33 0EB3"),
    Part.PREPEND: _ranges("""
        0600..0605 06DD 070F 0890..0891 08E2 0D4E 110BD 110CD 111C2..111C3 1193F 11941 11A3A 11A84..11A89 11D46
        11F02"""),
    Part.CONTROL: _ranges("2065 FFF0..FFF8 E0000 E0002..E001F E0080..E00FF E01F0..E0FFF"),
    Part.FLAG_HALF: _ranges("1F1E6..1F1FF"),
    Part.L: _ranges("1100..115F A960..A97C"),
    Part.V: _ranges("1160..11A7 D7B0..D7C6"),
    Part.T: _ranges("11A8..11FF D7CB..D7FB"),
    Part.OTHER: _ranges("""
        102B..102C 1038 1062..1064 1067..106D 1083 1087..108C 108F 109A..109C 1A61 1A63..1A64 AA7B AA7D
        11720..11721"""),
    Part.PICTOGRAPH: _ranges("""
        00A9 00AE 203C 2049 2122 2139 2194..2199 21A9..21AA 231A..231B 2328 2388 23CF 23E9..23F3 23F8..23FA 24C2
        25AA..25AB 25B6 25C0 25FB..25FE 2600..2605 2607..2612 2614..2685 2690..2705 2708..2712 2714 2716 271D 2721
        2728 2733..2734 2744 2747 274C 274E 2753..2755 2757 2763..2767 2795..2797 27A1 27B0 27BF 2934..2935
        2B05..2B07 2B1B..2B1C 2B50 2B55 3030 303D 3297 3299 1F000..1F0FF 1F10D..1F10F 1F12F 1F16C..1F171
        1F17E..1F17F 1F18E 1F191..1F19A 1F1AD..1F1E5 1F201..1F20F 1F21A 1F22F 1F232..1F23A 1F23C..1F23F 1F249..1F3FA
        1F400..1F53D 1F546..1F64F 1F680..1F6FF 1F774..1F77F 1F7D5..1F7FF 1F80C..1F80F 1F848..1F84F 1F85A..1F85F
        1F888..1F88F 1F8AE..1F8FF 1F90C..1F93A 1F93C..1F945 1F947..1FAFF 1FC00..1FFFD"""),
}
_BY_CATEGORY = {
    "Mn": Part.EXTEND,
    "Me": Part.EXTEND,
    "Mc": Part.SPACING_MARK,
    "Cc": Part.CONTROL,
    "Cf": Part.CONTROL,
    "Zl": Part.CONTROL,
    "Zp": Part.CONTROL,
}
_ALONE = {"\r": Part.CR, "\n": Part.LF, "\u200d": Part.ZWJ}
_HANGUL_FIRST, _HANGUL_LAST, _HANGUL_TAILS = 0xAC00, 0xD7A3, 28

LINKERS = frozenset("\u094d\u09cd\u0acd\u0b4d\u0c4d\u0d4d")
"""The viramas that bind two consonants of one script into a conjunct."""

_CONSONANTS = _ranges("""
    0915..0939 0958..095F 0978..097F 0995..09A8 09AA..09B0 09B2 09B6..09B9 09DC..09DD 09DF 09F0..09F1 0A95..0AA8
    0AAA..0AB0 0AB2..0AB3 0AB5..0AB9 0AF9 0B15..0B28 0B2A..0B30 0B32..0B33 0B35..0B39 0B5C..0B5D 0B5F 0B71
    0C15..0C28 0C2A..0C39 0C58..0C5A 0D15..0D3A""")


def _holds(ranges: tuple[tuple[int, ...], tuple[int, ...]], code: int) -> bool:
    firsts, lasts = ranges
    place = bisect_right(firsts, code) - 1
    return place >= 0 and code <= lasts[place]


@lru_cache(maxsize=4096)
def part_of(character: str) -> Part:
    """Return the part that one character plays in a grapheme cluster."""
    if character in _ALONE:
        return _ALONE[character]
    code = ord(character)
    if _HANGUL_FIRST <= code <= _HANGUL_LAST:
        return Part.LVT if (code - _HANGUL_FIRST) % _HANGUL_TAILS else Part.LV
    for part, ranges in _LISTED.items():
        if _holds(ranges, code):
            return part
    return _BY_CATEGORY.get(unicodedata.category(character), Part.OTHER)


def is_conjunct_consonant(character: str) -> bool:
    """Tell whether a consonant can be bound into a conjunct by a linker before it."""
    return _holds(_CONSONANTS, ord(character))
