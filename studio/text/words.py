"""What kinds of words a sign holds: short words that lean on the next, titles, family words, years; read from data."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from studio.basics.errors import SettingsError

Kind: TypeAlias = Literal[
    "articles",
    "prepositions",
    "conjunctions",
    "titles",
    "particles",
    "postpositions",
    "suffixes",
    "families",
    "greetings",
    "homes",
    "dedications",
    "numbered",
    "numbers",
    "years",
    "months",
    "modifiers",
    "roads",
    "houses",
    "verbs",
]
KINDS: Final[tuple[str, ...]] = get_args(Kind)
ANY_LANGUAGE: Final = "any"
LEANING: Final[frozenset[Kind]] = frozenset({"articles", "prepositions", "conjunctions", "titles"})
"""Kinds that lean on the next word: a line of its own sets them small."""
_EDGES: Final = '.,;:!?"“”„«»()[]'


@dataclass(frozen=True, slots=True)
class WordLists:
    """Short words and their kinds, by language.

    Attributes:
        entries: Of each word, folded, the languages and kinds it stands under.
    """

    entries: Mapping[str, tuple[tuple[str, Kind], ...]]

    def kinds_in(self, words: Iterable[str]) -> tuple[frozenset[Kind], ...]:
        """Return the kinds of each word of a phrase.

        Where languages disagree over a word, those count in which most words of the phrase are known.
        """
        found = [self.entries.get(folded(word), ()) for word in words]
        votes = Counter(language for entry in found for language in {language for language, _ in entry})
        votes[ANY_LANGUAGE] = max(votes.values(), default=0)
        kinds = []
        for entry in found:
            most = max((votes[language] for language, _ in entry), default=0)
            kinds.append(frozenset(kind for language, kind in entry if votes[language] == most))
        return tuple(kinds)


NO_WORDS: Final = WordLists({})
"""No lists at all: every word counts as a name's."""


def folded(word: str) -> str:
    """Return a word as lists spell it: composed, in small letters, without the marks round it."""
    return unicodedata.normalize("NFC", word).casefold().strip(_EDGES)


def read_word_lists(table: Mapping[str, object]) -> WordLists:
    """Return the lists that a table of languages holds.

    Raises:
        SettingsError: A kind is unknown, or a list is none.
    """
    entries: dict[str, list[tuple[str, Kind]]] = {}
    for language, kinds in table.items():
        if not isinstance(kinds, Mapping):
            raise SettingsError(f"words: {language} is no table of kinds.", advice=f"Its kinds: {', '.join(KINDS)}.")
        for kind, words in kinds.items():
            if kind not in KINDS or not isinstance(words, list):
                raise SettingsError(
                    f"words: {language} has {kind!r}, which is no list of a known kind.",
                    advice=f"The kinds: {', '.join(KINDS)}.",
                )
            for word in words:
                entries.setdefault(folded(str(word)), []).append((language, kind))
    return WordLists({word: tuple(found) for word, found in entries.items()})
