"""Which face sets each letter of a line: one face for a word of one script wherever there is one that has it all.

Invariant: a face is never asked for a letter that it lacks, or that it was seen to set without ink.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from typing import Final, TypeAlias

from fontTools.unicodedata import script

from studio.basics.kept import KeptValue, KeptValues
from studio.text.font import Face
from studio.text.graphemes import graphemes
from studio.text.itemise import SHARED, TextRun

StandIn: TypeAlias = Callable[[str], Face | None]
"""Gives a face that has every character of a text, or nothing."""

_BLANKS: Final = frozenset("\u2800\u115f\u1160\u3164\uffa0")
"""Characters of a kind that shows, which show as nothing: an empty braille cell and Hangul fillers."""
_INKLESS: Final = KeptValue[Face, set[str]]()
"""Letters that a face has, and sets without ink."""
STAND_INS: Final = KeptValues[Face, str, Face | None]()
"""Where a letter that a face lacks comes from; `None` where no face has it."""


def is_ignorable(character: str) -> bool:
    """Whether a character shows nothing of its own: format controls, joiners, variation selectors."""
    return unicodedata.category(character) in ("Cf", "Cc") or "\ufe00" <= character <= "\ufe0f"


def shows(character: str) -> bool:
    """Whether a character is one that leaves ink: a letter, a digit, a sign."""
    return unicodedata.category(character)[0] in "LNPS" and character not in _BLANKS


def covers(face: Face, letters: str) -> bool:
    """Whether a face has every grapheme of some letters, with ink, decomposed where only that is there."""
    inkless = _INKLESS.of(face, set)
    return all(letter not in inkless and _has_characters(face, letter) for letter in graphemes(letters))


def note_inkless(face: Face, letter: str) -> None:
    """Remember that a face sets a letter without ink, so that it counts as lacking it from now on."""
    _INKLESS.of(face, set).add(letter)


def _has_characters(face: Face, letter: str) -> bool:
    needed = [character for character in letter if not is_ignorable(character)]
    if all(face.covers(character) for character in needed):
        return True
    parts = unicodedata.normalize("NFD", "".join(needed))
    return all(face.covers(character) for character in parts)


def placed_graphemes(text: str) -> list[tuple[int, str]]:
    """The graphemes of a text, each with its index in characters."""
    placed, at = [], 0
    for letter in graphemes(text):
        placed.append((at, letter))
        at += len(letter)
    return placed


def faces_of_run(text: str, run: TextRun, face: Face, stand_in: StandIn | None) -> list[tuple[int, int, Face | None]]:
    """Split a run where the face changes.

    The face asked for is taken wherever it has a word's letters; else one stand-in for all such words of the run, or
    one for each; and where no face has a whole word, letter by letter.

    Returns:
        Start, end and face of each piece; `None` for letters that no face has.
    """
    letters = placed_graphemes(text[run.start : run.end])
    chosen: list[Face | None] = [face if covers(face, letter) else None for _, letter in letters]
    if None in chosen and stand_in is not None:
        _lend_words(letters, chosen, run.script, face, stand_in)
    pieces: list[tuple[int, int, Face | None]] = []
    for (at, letter), lent in zip(letters, chosen, strict=True):
        start, end = run.start + at, run.start + at + len(letter)
        if lent is None and letter.isspace():
            lent = pieces[-1][2] if pieces and pieces[-1][2] is not None else face
        elif lent is None and stand_in is not None:
            lent = stand_in(letter)
        if pieces and pieces[-1][2] is lent:
            pieces[-1] = (pieces[-1][0], end, lent)
        else:
            pieces.append((start, end, lent))
    return pieces


def _lend_words(
    letters: Sequence[tuple[int, str]], chosen: list[Face | None], code: str, face: Face, stand_in: StandIn
) -> None:
    """Give every word that the face lacks a letter of one stand-in that has all of its letters, if there is one."""
    lacking = [
        word
        for word in _words(letters)
        if any(chosen[index] is None and _is_of(letters[index][1], code) for index in word)
    ]
    for words in (lacking, *([word] for word in lacking)):
        own = sorted({letters[index][1] for word in words for index in word if _is_of(letters[index][1], code)})
        if not own or any(chosen[index] not in (None, face) for word in words for index in word):
            continue
        other = stand_in("".join(own))
        if other is None:
            continue
        for index in (index for word in words for index in word):
            if covers(other, letters[index][1]):
                chosen[index] = other
        if words is lacking:
            return


def _words(letters: Sequence[tuple[int, str]]) -> list[list[int]]:
    """Return the words of a run as indices of graphemes."""
    words: list[list[int]] = [[]]
    for index, (_, letter) in enumerate(letters):
        if letter.isspace():
            words.append([])
        else:
            words[-1].append(index)
    return [word for word in words if word]


def _is_of(letter: str, code: str) -> bool:
    """Whether a grapheme is a letter of a script."""
    own = str(script(letter[0]))
    return own == code and own not in SHARED
