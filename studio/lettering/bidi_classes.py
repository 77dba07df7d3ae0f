"""What the bidirectional algorithm needs to know about a character: its class, and the bracket it pairs with.

Invariant: every code point has exactly one class; those the running Python does not know get the class their block
is reserved for, so a name in a newer alphabet still runs in the right direction.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

REMOVED = frozenset({"RLE", "LRE", "RLO", "LRO", "PDF", "BN"})
"""Classes that rule X9 takes out before the levels are resolved."""

ISOLATE_STARTS = frozenset({"LRI", "RLI", "FSI"})
ISOLATE_MARKS = ISOLATE_STARTS | {"PDI"}

_RESERVED = (
    ("ET", 0x20A0, 0x20CF),
    ("R", 0x0590, 0x05FF),
    ("AL", 0x0600, 0x07BF),
    ("R", 0x07C0, 0x085F),
    ("AL", 0x0860, 0x08FF),
    ("R", 0xFB1D, 0xFB4F),
    ("BN", 0xFDD0, 0xFDEF),
    ("AL", 0xFB50, 0xFDFF),
    ("AL", 0xFE70, 0xFEFF),
    ("AL", 0x10D00, 0x10D3F),
    ("AL", 0x10EC0, 0x10EFF),
    ("AL", 0x10F30, 0x10F6F),
    ("R", 0x10800, 0x10FFF),
    ("AL", 0x1EC70, 0x1ECBF),
    ("AL", 0x1ED00, 0x1ED4F),
    ("AL", 0x1EE00, 0x1EEFF),
    ("R", 0x1E800, 0x1EFFF),
)
"""Blocks reserved for a class, the first that fits wins. Source: DerivedBidiClass.txt, Unicode 15.0."""

_OPENERS = (
    0x0028, 0x005B, 0x007B, 0x0F3A, 0x0F3C, 0x169B, 0x2045, 0x207D, 0x208D, 0x2308, 0x230A, 0x2329, 0x2768,
    0x276A, 0x276C, 0x276E, 0x2770, 0x2772, 0x2774, 0x27C5, 0x27E6, 0x27E8, 0x27EA, 0x27EC, 0x27EE, 0x2983,
    0x2985, 0x2987, 0x2989, 0x298B, 0x298D, 0x298F, 0x2991, 0x2993, 0x2995, 0x2997, 0x29D8, 0x29DA, 0x29FC,
    0x2E22, 0x2E24, 0x2E26, 0x2E28, 0x2E55, 0x2E57, 0x2E59, 0x2E5B, 0x3008, 0x300A, 0x300C, 0x300E, 0x3010,
    0x3014, 0x3016, 0x3018, 0x301A, 0xFE59, 0xFE5B, 0xFE5D, 0xFF08, 0xFF3B, 0xFF5B, 0xFF5F, 0xFF62,
)  # fmt: skip
"""The opening brackets. Source: BidiBrackets.txt, Unicode 15.0."""

_FAR_CLOSERS = {0x5B: 0x5D, 0x7B: 0x7D, 0x298D: 0x2990, 0x298F: 0x298E, 0xFF3B: 0xFF3D, 0xFF5B: 0xFF5D}
"""Closers of those openers whose closer is not the next code point."""

_SAME_BRACKET = {0x2329: 0x3008, 0x232A: 0x3009}
"""Brackets that are canonically the same as another one (rule BD16)."""

CLOSER_OF = {chr(code): chr(_FAR_CLOSERS.get(code, code + 1)) for code in _OPENERS}
"""Opening bracket to its closing bracket."""

CLOSERS = frozenset(CLOSER_OF.values())


@lru_cache(maxsize=4096)
def bidi_class(character: str) -> str:
    """Return the bidirectional class of one character, such as ``L``, ``AL`` or ``NSM``."""
    known = unicodedata.bidirectional(character)
    if known:
        return known
    code = ord(character)
    if code & 0xFFFE == 0xFFFE or 0xE0000 <= code <= 0xE0FFF:
        return "BN"
    return next((name for name, first, last in _RESERVED if first <= code <= last), "L")


def bracket_key(character: str) -> str:
    """Return the bracket itself, or the one it is canonically equivalent to."""
    code = ord(character)
    return chr(_SAME_BRACKET.get(code, code))
