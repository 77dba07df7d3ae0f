"""A text read as words: what each is for on a sign, what the maker said of it, and what a line end after it costs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from studio.composing import prices
from studio.layout.line_breaks import forced_lines, words_of
from studio.text.words import LEANING, Kind, WordLists, folded

Span = tuple[int, int]
"""First word and the one after the last."""

_HYPHENS: Final = "-\u2010\u2011"
_NO_BREAK_SPACES: Final = re.compile(r"[\u00a0\u2007\u202f\s]+")
_DATE: Final = re.compile(r"\d{1,2}[./-]\d{1,2}[./-](\d{2}|\d{4})|\d{4}-\d{2}-\d{2}|\d{4}[-–]\d{4}")
_STOPS: Final = (",", ";", ":", "\u2013", "\u2014", "|", "\u00b7", "\u2022", "\u060c", "\u0964")
_POSSESSIVE: Final = ("'s", "\u2019s", "s'", "s\u2019")
_LEAST_HALF: Final = 3
"""Letters that stand before and after a hyphen where a name is broken, at least."""
_ASIDE: Final[frozenset[Kind]] = frozenset({"particles", "families", "greetings", "years", "numbers"})
_YEARS: Final = range(1500, 2200)


@dataclass(frozen=True, slots=True)
class PhraseWord:
    """One word of a text.

    Attributes:
        start: Index of its first character in the text.
        kinds: What it may be for.
        after_hyphen: Whether it is the rest of a hyphened name rather than a word after a space.
    """

    start: int
    end: int
    text: str
    kinds: frozenset[Kind]
    after_hyphen: bool = False

    @property
    def leans(self) -> bool:
        """Whether it leans on the next word."""
        return bool(self.kinds & LEANING)

    @property
    def has_figure(self) -> bool:
        """Whether it holds a figure, as `7` and `221B` do."""
        return any(letter.isdigit() for letter in self.text)

    @property
    def is_year(self) -> bool:
        """Whether it is the number of a year, or a date in figures."""
        digits = self.text.strip(".,;'\u2019")
        if _DATE.fullmatch(digits):
            return True
        return len(digits) == 4 and digits.isdecimal() and int(digits) in _YEARS


@dataclass(frozen=True)
class Phrase:
    """The words of a text, in the order they are read.

    Attributes:
        forced: Lines that the text itself forces, as spans of words; one span when it forces none.
        large: Words that the maker wants large; empty where nothing was said.
        small: Words that the maker wants small.
    """

    words: tuple[PhraseWord, ...]
    forced: tuple[Span, ...]
    large: frozenset[int] = frozenset()
    small: frozenset[int] = frozenset()

    @property
    def is_forced(self) -> bool:
        """Whether the text breaks its own lines."""
        return len(self.forced) > 1

    @cached_property
    def name_words(self) -> frozenset[int]:
        """The words that carry the name: neither leaning, nor of a family, a greeting or a year, nor made small."""
        aside = LEANING | _ASIDE
        last = len(self.words) - 1
        return frozenset(
            index
            for index, word in enumerate(self.words)
            if index not in self.small
            and (not word.kinds & aside or (index == last and not word.kinds & {"families", "greetings"}))
        )

    def is_small(self, index: int) -> bool:
        """Whether a word is one that a line of its own sets small: it leans, and does not end the phrase."""
        word = self.words[index]
        if index in self.small:
            return True
        if index == len(self.words) - 1 or not word.leans or _is_particle(self, index):
            return False
        if word.kinds <= {"titles"} and not self._is_titled(index):
            return False
        bare = folded(word.text)
        return len(bare) != 1 or not bare.isalpha() or bool(word.kinds & {"conjunctions", "articles", "prepositions"})

    def _is_titled(self, index: int) -> bool:
        """Whether a name comes after a title, or after titles joined with one another: not in `Oma und Opa`."""
        return any(not word.kinds & {"titles", "conjunctions"} for word in self.words[index + 1 :])

    def all_small(self, span: Span) -> bool:
        """Whether every word of a line is a small one."""
        return all(self.is_small(index) for index in range(*span))

    def text_of(self, span: Span) -> Span:
        """Return the characters that a line of words takes in the text."""
        return (self.words[span[0]].start, self.words[span[1] - 1].end)


def _dated(kinds: Sequence[frozenset[Kind]], texts: Sequence[str]) -> tuple[frozenset[Kind], ...]:
    """Return the kinds with months told from names: what stands beside a figure and before a year is a date."""
    dated = list(kinds)
    for index, kind in enumerate(kinds):
        if "months" not in kind:
            continue
        rest = texts[index + 1 : index + 3]
        follows = bool(rest) and rest[0].strip(".,").isdigit()
        dated[index] = frozenset({"years"}) if follows else kind - {"months"}
        if follows and index and texts[index - 1].strip(".").isdigit():
            dated[index - 1] = frozenset({"years"})
    return tuple(dated)


def _dedication(words: Sequence[PhraseWord]) -> frozenset[int]:
    """Return the words that say that a sign is in memory of the name after them; none in other phrases."""
    for index, (word, after) in enumerate(pairwise(words)):
        if "dedications" in word.kinds and "prepositions" in after.kinds and index + 2 < len(words):
            return frozenset(range(index + 1))
    return frozenset()


def read_phrase(text: str, lists: WordLists, *, large: str = "", small: str = "") -> Phrase:
    """Return the words of a text.

    Args:
        text: The text, composed; its line ends and no-break spaces hold.
        lists: The kinds of words.
        large: Words that the maker wants large, separated by commas; `none` and `auto` are told apart by the caller.
        small: Words that the maker wants small, separated by commas.
    """
    pieces: list[tuple[int, int, bool]] = []
    forced: list[Span] = []
    for span in forced_lines(text):
        first = len(pieces)
        for start, end in words_of(text, span):
            pieces.extend(_halves(text, start, end))
        if len(pieces) > first:
            forced.append((first, len(pieces)))
    kinds = lists.kinds_in([text[start:end] for start, end, _ in pieces])
    kinds = _dated(kinds, [text[start:end] for start, end, _ in pieces])
    words = tuple(
        PhraseWord(start, end, text[start:end], kind or _joined_kinds(text[start:end], lists), half)
        for (start, end, half), kind in zip(pieces, kinds, strict=True)
    )
    return Phrase(words, tuple(forced), _marked(words, large), _marked(words, small) | _dedication(words))


def unmatched(text: str, said: str) -> tuple[str, ...]:
    """Return what a maker wants large or small that is not in a text."""
    words = read_phrase(text, WordLists({})).words
    return tuple(part for part in _parts(said) if not _places(words, part))


def _halves(text: str, start: int, end: int) -> list[tuple[int, int, bool]]:
    """Return a word cut after each hyphen with enough letters on both sides."""
    cuts = [
        at + 1
        for at in range(start + _LEAST_HALF, end - _LEAST_HALF)
        if text[at] in _HYPHENS[:2] and text[at - _LEAST_HALF : at].isalpha() and text[at + 1 : at + 4].isalpha()
    ]
    edges = [start, *cuts, end]
    return [(edges[part], edges[part + 1], part > 0) for part in range(len(edges) - 1)]


def _joined_kinds(text: str, lists: WordLists) -> frozenset[Kind]:
    """Return what words joined by no-break spaces are together: small words when all of them are."""
    parts = [part for part in _NO_BREAK_SPACES.split(text) if part]
    if len(parts) < 2:
        return frozenset()
    kinds = lists.kinds_in(parts)
    together: set[Kind] = set()
    for kind in kinds:
        if not kind & LEANING:
            return frozenset()
        together |= kind & LEANING
    return frozenset(together)


def _parts(said: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in said.split(",") if part.strip())


def _places(words: Sequence[PhraseWord], part: str) -> list[int]:
    wanted = [folded(piece) for piece in part.split()]
    known = [folded(word.text) for word in words]
    count = len(wanted)
    return [
        index
        for start in range(len(known) - count + 1)
        if known[start : start + count] == wanted
        for index in range(start, start + count)
    ]


def _marked(words: Sequence[PhraseWord], said: str) -> frozenset[int]:
    return frozenset(index for part in _parts(said) for index in _places(words, part))


def break_price(phrase: Phrase, start: int, end: int) -> float:
    """Return what it costs to end a line of words `start` to `end` there; `end` words must not be the last.

    The line's own words matter: one that holds only small words may end on any of them.
    """
    words = phrase.words
    last, following = words[end - 1], words[end]
    if following.after_hyphen:
        return prices.WITHIN_HYPHEN
    if "suffixes" in following.kinds and end == len(words) - 1:
        return prices.BEFORE_SUFFIX
    if "years" in last.kinds and (following.has_figure or "years" in following.kinds):
        return prices.WITHIN_YEAR
    if "postpositions" in following.kinds and "prepositions" not in following.kinds:
        return prices.BEFORE_POSTPOSITION
    if following.has_figure and last.kinds & {"numbers", "numbered"}:
        return prices.BEFORE_NUMBER
    if end - start > 1 and start and words[start].has_figure and words[start - 1].kinds & {"numbers", "numbered"}:
        return prices.AFTER_MODIFIER  # the number belongs to the line above: Lot 7, Birch Lane
    if last.text.endswith(_STOPS):
        return prices.AFTER_STOP
    if _is_particle(phrase, end - 1):
        return prices.AFTER_PARTICLE
    if phrase.is_small(end - 1) and end - 1 not in phrase.small:
        if _may_stand_alone(phrase, start, end):
            return prices.BEFORE_FAMILY if "families" in following.kinds else 0.0
        return prices.AFTER_LEANING
    if "numbers" in last.kinds:
        return prices.AFTER_LEANING
    return _plain_price(phrase, start, end)


def _is_particle(phrase: Phrase, index: int) -> bool:
    """Whether a word is part of a family name: von, and der after it."""
    kinds = phrase.words[index].kinds
    return "particles" in kinds or (index > 0 and "articles" in kinds and "particles" in phrase.words[index - 1].kinds)


def _may_stand_alone(phrase: Phrase, start: int, end: int) -> bool:
    """Whether a line may end on a small word: it holds nothing else, or is a greeting before a name."""
    if phrase.all_small((start, end)):
        return True
    opening = phrase.words[start].kinds & {"greetings", "homes"}
    if phrase.words[start].text[:1].isupper() and phrase.words[end].text[:1].islower():
        return False  # what comes is no name: to our cabin, a casa nostra
    rest = all(phrase.is_small(index) or phrase.words[index].kinds & {"greetings"} for index in range(start + 1, end))
    on_article = bool((phrase.words[end - 1].kinds | phrase.words[end].kinds) & {"articles"})
    return bool(opening) and rest and not on_article


def _plain_price(phrase: Phrase, start: int, end: int) -> float:
    """Return the price of a line end between words neither of which leans across it."""
    last, following = phrase.words[end - 1], phrase.words[end]
    is_last = end == len(phrase.words) - 1
    if following.kinds & {"conjunctions", "prepositions", "particles"} and not is_last:
        return prices.BEFORE_LEANING
    if "families" in following.kinds or "families" in last.kinds or "years" in following.kinds:
        return 0.0
    if following.is_year and is_last:
        return 0.0
    if last.text.casefold().endswith(_POSSESSIVE):
        return prices.AFTER_POSSESSIVE
    if last.kinds & {"modifiers", "verbs"}:
        return prices.AFTER_MODIFIER
    if is_last and "roads" in following.kinds:
        return prices.BEFORE_ROAD
    if "verbs" in following.kinds and end - start > 1:
        return prices.BEFORE_VERB
    if is_last and "houses" in following.kinds:
        return prices.BEFORE_HOUSE
    return prices.BETWEEN_WORDS
