"""Rules W1 to N2 of the bidirectional algorithm: weak and neutral characters of one isolating run take a direction.

Invariant: after `resolve` every class in the run is one of L, R, EN and AN.

Source: Unicode Standard Annex #9, revision 46 (Unicode 15.0), sections 3.3.4 and 3.3.5.
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


_NEUTRAL = frozenset({"B", "S", "WS", "ON"}) | ISOLATE_MARKS
_DIRECTION = {"L": "L", "R": "R", "EN": "R", "AN": "R"}
_WEAK = frozenset({"NSM", "AL", "EN", "ES", "ET", "CS", "AN"})
_DEEPEST_BRACKETS = 63


def resolve(characters: list[str], original: list[str], classes: list[str], level: int, edges: tuple[str, str]) -> None:
    """Resolve the classes of one isolating run in place.

    Args:
        characters: The run's characters, removed ones left out.
        original: Their own classes, before any override.
        classes: Their classes after overrides; changed in place to L, R, EN or AN.
        level: The run's embedding level.
        edges: The directions before and after the run, each ``L`` or ``R`` (sos and eos).
    """
    present = set(classes)
    if present & _WEAK:
        _resolve_weak(classes, edges[0])
    if present <= {"L", "R"}:
        return
    embedding = "R" if level % 2 else "L"
    pairs = _bracket_pairs(characters, classes)
    if pairs:
        _resolve_brackets(pairs, original, classes, embedding, edges[0])
    _resolve_neutral(classes, embedding, edges)


def _resolve_weak(classes: list[str], before: str) -> None:
    """Rules W1 to W7."""
    _join_marks_and_letters(classes, before)
    _join_separators(classes)
    _join_terminators(classes)
    strong = before
    for i, kind in enumerate(classes):
        if kind in ("L", "R"):
            strong = kind
        elif kind in ("ES", "ET", "CS"):
            classes[i] = "ON"
        elif kind == "EN" and strong == "L":
            classes[i] = "L"


def _join_marks_and_letters(classes: list[str], before: str) -> None:
    """Rules W1 to W3: marks follow their base, numbers after Arabic letters are Arabic, such letters are R."""
    strong = previous = before
    for i, kind in enumerate(classes):
        if kind == "NSM":
            kind = "ON" if previous in ISOLATE_MARKS else previous
        previous = kind
        if kind in ("L", "R", "AL"):
            strong = kind
        if kind == "EN" and strong == "AL":
            kind = "AN"
        classes[i] = "R" if kind == "AL" else kind


def _join_separators(classes: list[str]) -> None:
    """Rule W4: one separator between two numbers of the same kind belongs to them."""
    for i in range(1, len(classes) - 1):
        kind = classes[i]
        if kind in ("ES", "CS"):
            left = classes[i - 1]
            if left == classes[i + 1] and (left == "EN" or (left == "AN" and kind == "CS")):
                classes[i] = left


def _join_terminators(classes: list[str]) -> None:
    """Rule W5: terminators (currency, percent, degree) beside a European number belong to it."""
    i = 0
    while i < len(classes):
        if classes[i] != "ET":
            i += 1
            continue
        end = i
        while end < len(classes) and classes[end] == "ET":
            end += 1
        if (i > 0 and classes[i - 1] == "EN") or (end < len(classes) and classes[end] == "EN"):
            classes[i:end] = ["EN"] * (end - i)
        i = end


def _bracket_pairs(characters: list[str], classes: list[str]) -> list[tuple[int, int]]:
    """Rule BD16: the places of paired brackets, in the order of their openers."""
    pairs: list[tuple[int, int]] = []
    waiting: list[tuple[str, int]] = []
    for i, character in enumerate(characters):
        if classes[i] != "ON":
            continue
        if character in CLOSER_OF:
            if len(waiting) == _DEEPEST_BRACKETS:
                return []
            waiting.append((bracket_key(CLOSER_OF[character]), i))
        elif character in CLOSERS:
            key = bracket_key(character)
            for depth in range(len(waiting) - 1, -1, -1):
                if waiting[depth][0] == key:
                    pairs.append((waiting[depth][1], i))
                    del waiting[depth:]
                    break
    return sorted(pairs)


def _resolve_brackets(
    pairs: list[tuple[int, int]], original: list[str], classes: list[str], embedding: str, before: str
) -> None:
    """Rule N0: a pair takes the direction of what it encloses, or else of what stands before it."""
    for opener, closer in pairs:
        inside = {_DIRECTION[kind] for kind in classes[opener + 1 : closer] if kind in _DIRECTION}
        if not inside:
            continue
        direction = embedding
        if embedding not in inside:
            earlier = (_DIRECTION[kind] for kind in reversed(classes[:opener]) if kind in _DIRECTION)
            direction = next(earlier, before)
        for place in (opener, closer):
            classes[place] = direction
            after = place + 1
            while after < len(classes) and original[after] == "NSM":
                classes[after] = direction
                after += 1


def _resolve_neutral(classes: list[str], embedding: str, edges: tuple[str, str]) -> None:
    """Rules N1 and N2: neutrals between two equal directions take it, others the embedding direction."""
    before = edges[0]
    i = 0
    while i < len(classes):
        kind = classes[i]
        if kind not in _NEUTRAL:
            before = _DIRECTION[kind]
            i += 1
            continue
        end = i
        while end < len(classes) and classes[end] in _NEUTRAL:
            end += 1
        after = _DIRECTION[classes[end]] if end < len(classes) else edges[1]
        classes[i:end] = [before if before == after else embedding] * (end - i)
        i = end
