"""How large each line of a break stands against the name: one scale, by what its words are for."""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from studio.composing.phrase import Phrase, Span
from studio.composing.prices import SECOND_LINE, SMALL_WORDS, YEAR

Emphasis: TypeAlias = Literal["auto", "none", "said"]
CONJUNCTION: Final = 0.64
"""Size of a line that holds `&` alone, which a name stands above and below."""


def levels(phrase: Phrase, lines: tuple[Span, ...], emphasis: Emphasis = "auto") -> tuple[float, ...]:
    """Return the size of each line against the name's, 1 for the name.

    Args:
        phrase: The phrase.
        lines: Its lines.
        emphasis: `none` sets every line alike; `said` makes the words marked large in the phrase the name.
    """
    if emphasis == "none" or len(lines) == 1:
        return (1.0,) * len(lines)
    if emphasis == "said" and phrase.large:
        sizes = tuple(
            1.0 if any(index in phrase.large for index in range(*line)) else min(_by_role(phrase, lines, number), 0.64)
            for number, line in enumerate(lines)
        )
    else:
        sizes = tuple(_by_role(phrase, lines, number) for number in range(len(lines)))
    return sizes if max(sizes) == 1.0 else (1.0,) * len(lines)


def is_bold(phrase: Phrase, line: Span, size: float) -> bool:
    """Whether a line holds nothing but small words and is set at full size all the same."""
    return size > 0.9 and phrase.all_small(line)


def _by_role(phrase: Phrase, lines: tuple[Span, ...], number: int) -> float:
    line = lines[number]
    words = phrase.words[line[0] : line[1]]
    first = words[0]
    has_name = bool(phrase.name_words - set(range(*line))) or (
        number > 0 and all(_is_greeting(phrase, other) for other in lines[:number])
    )
    if all(index in phrase.small for index in range(*line)):
        return SMALL_WORDS
    if phrase.all_small(line):
        return CONJUNCTION if len(words) == 1 and "conjunctions" in first.kinds else SMALL_WORDS
    if not has_name:
        return 1.0
    if "years" in first.kinds and all(word.has_figure or word.kinds & {"years"} for word in words[1:]):
        return YEAR
    if len(words) == 1 and first.is_year:
        return 1.0 if line[0] and "prepositions" in phrase.words[line[0] - 1].kinds else YEAR
    if number + 1 < len(lines):
        ahead = phrase.words[lines[number + 1][0]]
        if len(words) == 1 and ahead.has_figure and first.kinds & {"numbers", "numbered"}:
            return SMALL_WORDS
        if _opens(phrase, line) and not (_is_greeting(phrase, line) and ahead.kinds & {"prepositions"}):
            return SMALL_WORDS
    if (
        not any("verbs" in word.kinds for word in phrase.words)
        and any("families" in word.kinds for word in words)
        and all("families" in word.kinds or word.leans for word in words)
    ):
        return SECOND_LINE
    return SECOND_LINE if _trails(phrase, lines, number) else 1.0


def _opens(phrase: Phrase, line: Span) -> bool:
    """Whether a line says welcome to, or home of, what comes after it."""
    words = phrase.words[line[0] : line[1]]
    if not words[0].kinds & {"greetings", "homes"}:
        return False
    rest = all(word.leans or "greetings" in word.kinds for word in words[1:])
    return rest and (bool(words[0].kinds & {"greetings"}) or "prepositions" in words[-1].kinds)


def _is_greeting(phrase: Phrase, line: Span) -> bool:
    return all("greetings" in word.kinds for word in phrase.words[line[0] : line[1]])


def _trails(phrase: Phrase, lines: tuple[Span, ...], number: int) -> bool:
    """Whether a line belongs to where or whose something is, said after the name: on the lake, of Long Point Road."""
    begins = next(
        (
            index
            for index in range(1, len(lines))
            if phrase.words[lines[index][0]].kinds & {"prepositions"}
            and "particles" not in phrase.words[lines[index][0]].kinds
        ),
        None,
    )
    if begins is None or number < begins:
        return False
    start = lines[begins][0]
    head = len([index for index in phrase.name_words if index < start])
    tail = len([index for index in phrase.name_words if index >= start])
    greeted = all(_is_greeting(phrase, line) for line in lines[:begins])
    if greeted:
        last = phrase.words[-1]
        return not last.text[:1].isupper() or bool(last.kinds & {"houses", "numbered", "homes"})
    return head >= 2 or (head == 1 and tail > 2)
