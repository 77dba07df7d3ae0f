"""What a reader calls one letter: text cut into extended grapheme clusters.

Invariant: the clusters joined together are the text.

Source: Unicode Standard Annex #29, rules GB1 to GB999 with GB9c (Unicode 15.1).
"""

from __future__ import annotations

from studio.text.grapheme_classes import LINKERS, Part, is_conjunct_consonant, part_of

_LINE_PARTS = frozenset({Part.CR, Part.LF, Part.CONTROL})
_CLINGING = frozenset({Part.EXTEND, Part.ZWJ, Part.SPACING_MARK})
_SYLLABLE = {
    Part.L: frozenset({Part.L, Part.V, Part.LV, Part.LVT}),
    Part.LV: frozenset({Part.V, Part.T}),
    Part.V: frozenset({Part.V, Part.T}),
    Part.LVT: frozenset({Part.T}),
    Part.T: frozenset({Part.T}),
}
_NON_JOINER = "\u200c"


def graphemes(text: str) -> tuple[str, ...]:
    """Cut a text into extended grapheme clusters, the letters as a reader counts them.

    A base with its marks, a Korean syllable, an Indic conjunct, a flag or an emoji sequence is one cluster.
    """
    if text.isascii() and "\r" not in text:
        return tuple(text)
    clusters: list[str] = []
    start = 0
    for i in range(1, len(text)):
        if not _joined(text, start, i):
            clusters.append(text[start:i])
            start = i
    if start < len(text):
        clusters.append(text[start:])
    return tuple(clusters)


def _joined(text: str, start: int, place: int) -> bool:
    """Tell whether the character at a place belongs to the cluster that begins at the start."""
    before, after = part_of(text[place - 1]), part_of(text[place])
    if before in _LINE_PARTS or after in _LINE_PARTS:
        return before is Part.CR and after is Part.LF
    if after in _CLINGING or before is Part.PREPEND:
        return True
    if after in _SYLLABLE.get(before, ()):
        return True
    if before is Part.ZWJ and after is Part.PICTOGRAPH:
        return _ends_in_pictograph(text[start : place - 1])
    if before is Part.FLAG_HALF and after is Part.FLAG_HALF:
        return _flag_halves(text[start:place]) % 2 == 1
    return is_conjunct_consonant(text[place]) and _binds_consonant(text[start:place])


def _ends_in_pictograph(cluster: str) -> bool:
    """Rule GB11: the joiner stands behind a pictograph and marks on it."""
    bare = next((c for c in reversed(cluster) if part_of(c) is not Part.EXTEND), "")
    return bool(bare) and part_of(bare) is Part.PICTOGRAPH


def _flag_halves(cluster: str) -> int:
    """Rules GB12 and GB13: how many regional indicators in a row end the cluster."""
    count = 0
    while count < len(cluster) and part_of(cluster[-1 - count]) is Part.FLAG_HALF:
        count += 1
    return count


def _binds_consonant(cluster: str) -> bool:
    """Rule GB9c: a consonant, then marks with at least one linker among them, end the cluster."""
    linked = False
    for character in reversed(cluster):
        if character in LINKERS:
            linked = True
        elif part_of(character) not in (Part.EXTEND, Part.ZWJ) or character == _NON_JOINER:
            return linked and is_conjunct_consonant(character)
    return False
