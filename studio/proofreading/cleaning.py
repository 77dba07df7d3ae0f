"""Spaces and invisible characters that came along with a name, left out with a note each.

Invariant: what is left shows exactly what the text showed, but for the width of its spaces.
"""

from __future__ import annotations

import unicodedata
from itertools import accumulate

from fontTools.unicodedata import script

from studio.proofreading.mojibake import garbled_places
from studio.proofreading.remark import Remark, code_point, place
from studio.text.bidi import embedding_levels, visual_order
from studio.text.graphemes import is_pictograph, is_prepended
from studio.text.itemise import JOINING_SCRIPTS

CODE = "spaces-trimmed"

_LINE_ENDS = frozenset("\n\v\f\x85\u2028\u2029")
_HARD_SPACES = frozenset("\u00a0\u2007\u202f")
_LOST = "\ufffd"
_BLANKS = frozenset("\u2800\u3164\uffa0")
"""Characters of other kinds that show as nothing: an empty braille cell and two Hangul fillers."""
_DIRECTION_MARKS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_OVERRIDES = frozenset("\u202d\u202e")
"""Marks that force a direction on letters, whatever they are."""
_TAGS = "".join(map(chr, range(0xE0020, 0xE0080)))
"""Invisible letters that follow a flag to say whose it is."""
_JOINER, _NON_JOINER, _GRAPHEME_JOINER = "\u200d", "\u200c", "\u034f"
_JOINER_SCRIPTS = JOINING_SCRIPTS | {
    "Beng", "Deva", "Gujr", "Guru", "Khmr", "Knda", "Mlym", "Mymr", "Orya", "Sinh", "Taml", "Telu", "Tibt",
}  # fmt: skip
"""Scripts in which a joiner or a non-joiner changes the shape of the letters beside it."""
_PLAIN_ALPHABETS = frozenset({"Latn", "Cyrl", "Grek", "Hebr", "Arab", "Armn", "Geor"})
"""Scripts whose letters have no variants that a variation selector could choose."""


def cleaned(text: str) -> tuple[str, tuple[Remark, ...]]:
    """Trim a text and leave out what does not show, with a note for each thing left out.

    Line breaks of every kind become newlines, which are kept, as are non-breaking spaces inside a line, the joiners
    that Arabic, Indian scripts and emoji need, direction marks that change the order of a line, and all characters
    of a garbled letter (they are needed to repair it). A tab counts as a space.

    Returns:
        The text to set, and the notes; their places are those of the text given, each line break counted as one.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    lost = [i for i, character in enumerate(text) if "\ud800" <= character <= "\udfff"]
    notes = [_lost_note(text, i) for i in lost]
    text = "".join(_LOST if "\ud800" <= character <= "\udfff" else character for character in text)
    protected = garbled_places(text)
    text = "".join("\n" if c in _LINE_ENDS and i not in protected else c for i, c in enumerate(text))
    letters = list(enumerate(text))
    while invisible := _without_meaning(letters, protected):
        notes += [
            Remark(CODE, "note", f"{code_point(text[i])} {place(text, i)} was left out: it does not show.", i, i + 1)
            for i in invisible
        ]
        letters = [(i, character) for i, character in letters if i not in invisible]
    notes += _turned_notes("".join(character for _, character in letters))
    kept, space_notes = _trimmed(text, letters, protected)
    return "".join(kept), tuple(sorted([*notes, *space_notes], key=lambda note: note.start))


def _lost_note(text: str, at: int) -> Remark:
    """Tell of a byte that could not be read as a character; with the letter it is on most Windows computers."""
    byte = ord(text[at]) - 0xDC00
    known = bytes([byte]).decode("cp1252", "ignore") if 0x80 <= byte <= 0xFF else ""
    as_windows = f" (0x{byte:02X}, '{known}' in Windows-1252)" if known else ""
    message = f"A byte that is not a character{as_windows} {place(text, at)} was read as U+FFFD."
    return Remark(CODE, "note", message, at, at + 1)


def _turned_notes(text: str) -> list[Remark]:
    """Warn of override marks that turn letters round which would run the other way by themselves."""
    overrides = [i for i, character in enumerate(text) if character in _OVERRIDES]
    if not overrides:
        return []
    bare = "".join(character for character in text if character not in _DIRECTION_MARKS)
    levels = embedding_levels(text)
    seen = "".join(text[i] for i in visual_order(levels) if text[i] not in _DIRECTION_MARKS and text[i] != "\n")
    at = overrides[0]
    message = f"{code_point(text[at])} {place(text, at)} reverses the letters after it: it is set as “{seen}”."
    return [Remark("turned-letters", "warn", message, at, at + 1, bare)]


def _without_meaning(letters: list[tuple[int, str]], protected: frozenset[int]) -> frozenset[int]:
    """Return the places of characters that neither show nor change how others show.

    Direction marks are judged when all else is gone.
    """
    text = "".join(character for _, character in letters)
    needless = frozenset(
        i
        for at, (i, character) in enumerate(letters)
        if i not in protected and character not in _DIRECTION_MARKS and _is_needless(text, at, character)
    )
    if needless or _DIRECTION_MARKS.isdisjoint(text) or _order_changes(text):
        return needless
    return frozenset(i for i, character in letters if character in _DIRECTION_MARKS)


def _order_changes(text: str) -> bool:
    """Tell whether the direction marks of a text change the order in which any line of it is seen."""
    for line in text.split("\n"):
        if _DIRECTION_MARKS.isdisjoint(line):
            continue
        bare = "".join(character for character in line if character not in _DIRECTION_MARKS)
        if _as_seen(line) != _as_seen(bare):
            return True
    return False


def _as_seen(line: str) -> list[tuple[int, int]]:
    """Return the characters of a line in the order seen, each by its count and direction (none for a space).

    Direction marks, and spaces at the ends, are left out.
    """
    line = "".join(" " if _is_space(character) else character for character in line)
    counts = list(accumulate(character not in _DIRECTION_MARKS for character in line))
    showing = [i for i, character in enumerate(line) if character != " " and character not in _DIRECTION_MARKS]
    if not showing:
        return []
    levels = embedding_levels(line)
    return [
        (counts[i] - counts[showing[0]], -1 if line[i] == " " else levels[i] % 2)
        for i in visual_order(levels)
        if showing[0] <= i <= showing[-1] and line[i] not in _DIRECTION_MARKS
    ]


def _is_needless(text: str, at: int, character: str) -> bool:
    before = text[at - 1] if at else " "
    after = text[at + 1] if at + 1 < len(text) else " "
    if character in (_JOINER, _NON_JOINER):
        return not _joins(text, at, character)
    if character == _GRAPHEME_JOINER:
        return not (unicodedata.combining(before) and unicodedata.combining(after))
    category = unicodedata.category(character)
    if is_prepended(character):
        return False
    if "\ufe00" <= character <= "\ufe0f" or "\U000e0100" <= character <= "\U000e01ef":
        return before == "\n" or _is_space(before) or _script(before) in _PLAIN_ALPHABETS
    if character in _TAGS:
        return not is_pictograph(text[:at].rstrip(_TAGS)[-1:] or " ")
    if "\u180b" <= character <= "\u180f":
        return _script(before) != "Mong"
    invisible = category == "Cf" or (category == "Cc" and character not in "\n\t")
    return invisible or (category == "Cn" and ord(character) & 0xFFFE == 0xFFFE)


def _joins(text: str, at: int, character: str) -> bool:
    """Tell whether a joiner or non-joiner stands in an emoji sequence or beside letters that it shapes."""
    base = text[:at].rstrip("\ufe0f\U0001f3fb\U0001f3fc\U0001f3fd\U0001f3fe\U0001f3ff")[-1:]
    after = text[at + 1 : at + 2]
    if character == _JOINER and base and after and is_pictograph(base) and is_pictograph(after):
        return True
    beside = [neighbour for neighbour in (text[:at][-1:], after) if neighbour]
    shaped = [_script_of_mark(text, at, neighbour) in _JOINER_SCRIPTS for neighbour in beside]
    return any(shaped) if character == _JOINER else len(shaped) == 2 and all(shaped)


def _script_of_mark(text: str, at: int, character: str) -> str:
    """Return a character's script, a mark's being that of the letter it stands on."""
    if not unicodedata.category(character).startswith("M"):
        return _script(character)
    letters = (_script(c) for c in reversed(text[:at]) if not unicodedata.category(c).startswith("M"))
    return next(letters, "Zyyy")


def _script(character: str) -> str:
    return str(script(character))


def _is_space(character: str) -> bool:
    return character == "\t" or character in _BLANKS or unicodedata.category(character) == "Zs"


def _trimmed(text: str, letters: list[tuple[int, str]], protected: frozenset[int]) -> tuple[list[str], list[Remark]]:
    """Trim every line, make runs of soft spaces one, and leave out empty lines at either end."""
    kept: list[str] = []
    notes: list[Remark] = []
    i = 0
    while i < len(letters):
        end = i
        while end < len(letters) and letters[end][0] not in protected and _is_space(letters[end][1]):
            end += 1
        if end == i:
            kept.append(letters[i][1])
            i += 1
            continue
        spaces = "".join(character for _, character in letters[i:end])
        at_start = not kept or kept[-1] == "\n"
        at_end = end == len(letters) or letters[end][1] == "\n"
        becomes = "" if at_start or at_end else _one_space(spaces)
        if becomes != spaces:
            kind = "the start" if at_start else "the end" if at_end else ""
            notes.append(_space_note(text, letters[i][0], letters[end - 1][0] + 1, spaces, becomes, kind))
        kept.extend(becomes)
        i = end
    return _without_empty_ends(text, kept, notes)


def _one_space(spaces: str) -> str:
    """Return what stands for a run of spaces: itself when hard or single, else one plain space."""
    if any(space in _HARD_SPACES for space in spaces):
        return "".join(space for space in spaces if space in _HARD_SPACES)
    return spaces if len(spaces) == 1 and spaces not in _BLANKS and spaces != "\t" else " "


def _space_note(text: str, start: int, end: int, spaces: str, becomes: str, kind: str) -> Remark:
    several, were = ("A space", "was") if len(spaces) == 1 else (f"{len(spaces)} spaces", "were")
    if kind:
        message = f"{several} at {kind}{' of a line' if chr(10) in text else ''} {were} left out."
    elif becomes == " ":
        message = f"{several} {place(text, start)} {were} made one plain space."
    else:
        message = f"{several} {place(text, start)} {were} made {len(becomes)} non-breaking."
    return Remark(CODE, "note", message, start, end)


def _without_empty_ends(text: str, kept: list[str], notes: list[Remark]) -> tuple[list[str], list[Remark]]:
    first = next((i for i, character in enumerate(kept) if character != "\n"), len(kept))
    last = next((i for i in range(len(kept), 0, -1) if kept[i - 1] != "\n"), first)
    if first:
        notes.append(Remark(CODE, "note", "An empty line at the start was left out.", 0, 1))
    if last < len(kept):
        notes.append(Remark(CODE, "note", "An empty line at the end was left out.", len(text) - 1, len(text)))
    return kept[first:last], notes
