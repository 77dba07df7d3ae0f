"""Letters of one alphabet in a word of another, and styled letters, that look like what was meant and are not it.

Invariant: only a word that mixes alphabets, or holds letters that are another letter in disguise, is remarked on;
names in any one alphabet, and Japanese in its three scripts, never are.

Source: the letter pairs are a choice of ours from those that Unicode Technical Standard #39 calls confusable, kept to
pairs that most faces draw alike.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from fontTools.unicodedata import script, script_name

from studio.proofreading.remark import Remark, code_point

CODE = "mixed-scripts"

_LIKE_LATIN = {
    "Cyrl": dict(zip("АВЕЅІЈКМНОРСТУХҮԌԚԜӀаеѕіјкорсухԁԛԝһӏ", "ABESIJKMHOPCTYXYGQWIaesijkopcyxdqwhl", strict=True)),
    "Grek": dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧϹϳαγικνορυχϲ", "ABEZHIKMNOPTYXCjayikvopuxc", strict=True)),
    "Armn": dict(zip("ՏՍՕԼհոսցօզյ", "SUOLhnugoqj", strict=True)),
}
"""Letters of other alphabets that look like a Latin one."""

_RARE = frozenset("ЅҮԌԚԜӀѕԁԛԝһӏϹϳϲ")
_FROM_LATIN = {
    code: {latin: letter for letter, latin in letters.items() if letter not in _RARE}
    for code, letters in _LIKE_LATIN.items()
}
"""The way back, without letters that few of an alphabet's languages have."""
_ALPHABETS = frozenset({"Latn", *_LIKE_LATIN})
_WIDE_IN_PLACE = frozenset({"Hani", "Hira", "Kana", "Hang", "Bopo"})
"""Scripts among which full-width Latin letters are at home."""
_MOST_NAMED = 3


def lookalike_remarks(text: str) -> tuple[Remark, ...]:
    """Return a warning for each word with letters of more than one alphabet, or with styled letters.

    Each offer is the whole text with that word in one alphabet; there is none when a letter of the word has no
    look-alike.
    """
    remarks: list[Remark] = []
    wide_in_place = not _WIDE_IN_PLACE.isdisjoint(map(script, text))
    for start, end in _words(text):
        plain = {} if text[start:end].isascii() else _plain_letters(text, start, end, wide_in_place)
        if plain:
            remarks.append(_styled_remark(text, start, end, plain))
            continue
        alphabets = {script(character) for character in text[start:end]} & _ALPHABETS
        if len(alphabets) > 1:
            remarks.append(_mixed_remark(text, start, end, alphabets))
    return tuple(remarks)


def _words(text: str) -> Iterator[tuple[int, int]]:
    """Yield start and end of every stretch of letters with their marks, styled digits among them."""
    start: int | None = None
    for i, character in enumerate(text):
        kind = unicodedata.category(character)
        inside = kind[0] in "LM" or (kind == "Nd" and not character.isascii())
        if inside and start is None:
            start = i
        elif not inside and start is not None:
            yield start, i
            start = None
    if start is not None:
        yield start, len(text)


def _plain_letters(text: str, start: int, end: int, wide_in_place: bool) -> dict[int, str]:
    """Return the places of styled letters (mathematical or full-width), each with the plain one it stands for."""
    tags = ("<font>",) if wide_in_place else ("<font>", "<wide>")
    plain: dict[int, str] = {}
    for i in range(start, end):
        if unicodedata.decomposition(text[i]).startswith(tags):
            meant = unicodedata.normalize("NFKC", text[i])
            if len(meant) == 1 and meant.isascii() and meant.isalnum():
                plain[i] = meant
    return plain


def _styled_remark(text: str, start: int, end: int, plain: dict[int, str]) -> Remark:
    word = "".join(plain.get(i, text[i]) for i in range(start, end))
    named = _named([(text[i], meant) for i, meant in plain.items()])
    message = (
        f"'{text[start:end]}' is not written in plain letters: {named}. No face has them; the face gives the style."
    )
    return Remark(CODE, "warn", message, start, end, text[:start] + word + text[end:])


def _mixed_remark(text: str, start: int, end: int, alphabets: set[str]) -> Remark:
    word = text[start:end]
    main = _main_alphabet(word, alphabets)
    swapped: list[tuple[str, str]] = []
    strange: list[str] = []
    corrected: list[str] = []
    for character in word:
        other = script(character) in _ALPHABETS and script(character) != main
        counterpart = _in_alphabet(character, main) if other else None
        if counterpart:
            swapped.append((character, counterpart))
        elif other:
            strange.append(character)
        corrected.append(counterpart or character)
    names = sorted((alphabets - {main}), key=lambda code: next(i for i, c in enumerate(word) if script(c) == code))
    message = f"'{word}' mixes {' and '.join(script_name(code) for code in [main, *names])} letters"
    if swapped:
        message += f": {_named(swapped)}"
    if strange:
        message += f"; {' and '.join(code_point(c) for c in dict.fromkeys(strange))} has no {script_name(main)} twin"
    offer = None if strange else text[:start] + "".join(corrected) + text[end:]
    return Remark(CODE, "warn", f"{message}.", start, end, offer)


def _main_alphabet(word: str, alphabets: set[str]) -> str:
    """Return the alphabet that the word is most likely meant in: fewest letters without a twin there, most its own."""

    def merit(code: str) -> tuple[int, int, int]:
        own = [i for i, character in enumerate(word) if script(character) == code]
        others = [c for c in word if script(c) in alphabets and script(c) != code]
        without_twin = sum(_in_alphabet(character, code) is None for character in others)
        return without_twin, -len(own), own[0]

    return min(alphabets, key=merit)


def _in_alphabet(character: str, code: str) -> str | None:
    """Return the letter of an alphabet that looks like a letter of another one, its marks kept; None without one."""
    base, *marks = list(unicodedata.normalize("NFD", character))
    own = script(base)
    latin = base if own == "Latn" else _LIKE_LATIN.get(own, {}).get(base)
    twin = latin if code == "Latn" or latin is None else _FROM_LATIN[code].get(latin)
    return unicodedata.normalize("NFC", "".join([twin, *marks])) if twin else None


def _named(letters: list[tuple[str, str]]) -> str:
    """Name each strange letter once with the letter it looks like."""
    several = dict.fromkeys(letters)
    named = [f"{code_point(letter)} looks like '{meant}'" for letter, meant in list(several)[:_MOST_NAMED]]
    left_over = len(several) - _MOST_NAMED
    return ", ".join(named) + (f" and {left_over} more" if left_over > 0 else "")
