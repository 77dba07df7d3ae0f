"""Where a phrase may be broken into lines, and which breaks are worth fitting.

Up to eight words every break is tried. Beyond, for each number of lines the break whose longest line, measured against
the room's own chord at its height, is shortest (dynamic programming).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from typing import Final

ALL_BREAKS_UP_TO: Final = 8
"""Words up to which all breaks are enumerated: 2 ** 7 = 128 of them."""
MOST_LINES: Final = 8
_BREAKING_SPACE: Final = re.compile(r"[ \t\u2000-\u2006\u2008-\u200a\u205f\u3000]+")
"""Spaces a line may break at; no-break spaces (U+00A0, U+2007, U+202F) hold."""
_LINE_BREAK: Final = re.compile(r"\r\n|[\n\r\u2028\u2029\v\f\x85]")

Lines = tuple[tuple[int, int], ...]
"""Each line as the span of its characters in the text."""


def forced_lines(text: str) -> Lines:
    """Return the lines that line breaks in the text force, blank ones left out, edges trimmed of spaces."""
    spans, start = [], 0
    for match in [*_LINE_BREAK.finditer(text), None]:
        end = match.start() if match else len(text)
        spans.append(_trimmed(text, start, end))
        start = match.end() if match else end
    return tuple(span for span in spans if span[0] < span[1])


def words_of(text: str, span: tuple[int, int]) -> Lines:
    """Return the spans of the words between breaking spaces."""
    words, start = [], span[0]
    for match in _BREAKING_SPACE.finditer(text, *span):
        if match.start() > start:
            words.append((start, match.start()))
        start = match.end()
    if start < span[1]:
        words.append((start, span[1]))
    return tuple(words)


def breaks(text: str, width_of: Callable[[int, int], float], leading: float) -> Iterator[Lines]:
    """Yield the breaks worth fitting, the unbroken phrase first.

    Args:
        text: The phrase; its own line breaks are kept in every answer.
        width_of: Width of the line from one character to another, in em.
        leading: Distance of two baselines, in em.
    """
    parts = [words_of(text, span) for span in forced_lines(text)]
    if len(parts) != 1:
        yield tuple((words[0][0], words[-1][1]) for words in parts if words)
        return
    words = parts[0]
    if len(words) <= ALL_BREAKS_UP_TO:
        yield from _every_break(words)
        return
    yield _lines(words, ())
    for count in range(2, min(MOST_LINES, len(words)) + 1):
        yield _balanced(words, count, width_of, leading)


def _every_break(words: Lines) -> Iterator[Lines]:
    for count in range(min(len(words), MOST_LINES)):
        for cuts in combinations(range(1, len(words)), count):
            yield _lines(words, cuts)


def _lines(words: Lines, cuts: tuple[int, ...]) -> Lines:
    edges = (0, *cuts, len(words))
    return tuple((words[start][0], words[end - 1][1]) for start, end in pairwise(edges))


def _balanced(words: Lines, count: int, width_of: Callable[[int, int], float], leading: float) -> Lines:
    """Return the break into `count` lines whose worst line, against its chord, is best.

    The chords are those of the smallest disc that holds lines of the mean width at this leading.
    """
    total = sum(width_of(*word) for word in words)
    radius = math.hypot(total / count / 2, count * leading / 2)
    chords = []
    for line in range(count):
        height = abs(line - (count - 1) / 2) * leading + leading / 2
        chords.append(2 * math.sqrt(max(radius**2 - height**2, (0.05 * radius) ** 2)))
    best: list[dict[int, tuple[float, int]]] = [{0: (0.0, 0)}]
    for line in range(count):
        reached: dict[int, tuple[float, int]] = {}
        for start, (worst, _) in best[line].items():
            for end in range(start + 1, len(words) - (count - line - 1) + 1):
                cost = max(worst, width_of(words[start][0], words[end - 1][1]) / chords[line])
                if end not in reached or cost < reached[end][0]:
                    reached[end] = (cost, start)
        best.append(reached)
    cuts, at = [], len(words)
    for line in range(count, 1, -1):
        at = best[line][at][1]
        cuts.append(at)
    return _lines(words, tuple(reversed(cuts)))


def _trimmed(text: str, start: int, end: int) -> tuple[int, int]:
    while start < end and _BREAKING_SPACE.match(text, start):
        start += 1
    while end > start and _BREAKING_SPACE.match(text, end - 1):
        end -= 1
    return (start, end)
