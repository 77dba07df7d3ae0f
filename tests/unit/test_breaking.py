"""Where a phrase breaks: all breaks of short ones, the best by dynamic programming of long ones."""

from __future__ import annotations

import math
from itertools import combinations

import pytest

from studio.layout.line_breaks import ALL_BREAKS_UP_TO, MOST_LINES, Lines, breaks, forced_lines, words_of

LEADING = 1.0


def width(text: str, start: int, end: int) -> float:
    """Return a width that differs by letter: narrow l and i, wide m."""
    return sum({"l": 0.3, "i": 0.3, "m": 0.9}.get(letter, 0.6) for letter in text[start:end])


def lines(text: str) -> list[tuple[str, ...]]:
    """Return all breaks worth fitting, as texts."""
    found = breaks(text, lambda start, end: width(text, start, end), LEADING)
    return [tuple(text[start:end] for start, end in spans) for spans in found]


def test_three_words_break_in_four_ways() -> None:
    """Unbroken first, then every way."""
    assert lines("a b c") == [("a b c",), ("a", "b c"), ("a b", "c"), ("a", "b", "c")]


@pytest.mark.parametrize("count", range(1, ALL_BREAKS_UP_TO + 1))
def test_every_break_once(count: int) -> None:
    """So many words have 2 to the power of one less breaks, each once, none losing a word."""
    text = " ".join(f"w{index}" for index in range(count))
    found = lines(text)
    assert len(set(found)) == len(found) == 2 ** (count - 1)
    assert all(" ".join(parts) == text for parts in found)


@pytest.mark.parametrize("mark", ["\n", "\r\n", "\r", "\u2028", "\u2029", "\x85"])
def test_forced_breaks_stand_alone(mark: str) -> None:
    """A line break in the text is the only break that is tried."""
    assert lines(f"The Marlow{mark}est. 2019 ") == [("The Marlow", "est. 2019")]


def test_empty_lines_are_left_out() -> None:
    """Blank lines and spaces at the edges show nothing and take no room."""
    text = " \n  Ada  \n\n Bo\t\n"
    assert [text[start:end] for start, end in forced_lines(text)] == ["Ada", "Bo"]


@pytest.mark.parametrize("space", ["\u00a0", "\u2007", "\u202f"])
def test_no_break_spaces_hold(space: str) -> None:
    """No line ends at a no-break space."""
    assert lines(f"No.{space}7 Birch") == [(f"No.{space}7 Birch",), (f"No.{space}7", "Birch")]


@pytest.mark.parametrize("space", ["  ", "\t", "\u2003", "\u3000", " \u2009 "])
def test_other_spaces_break(space: str) -> None:
    """Runs of spaces of any width are one place to break, and belong to no line."""
    text = f"Ada{space}Bo"
    assert [text[start:end] for start, end in words_of(text, (0, len(text)))] == ["Ada", "Bo"]
    assert lines(text) == [(text,), ("Ada", "Bo")]


def chord_cost(text: str, spans: Lines) -> float:
    """Return the worst line against its chord, in the smallest disc that holds lines of the mean width."""
    words = words_of(text, (0, len(text)))
    count = len(spans)
    mean = sum(width(text, *word) for word in words) / count
    radius = math.hypot(mean / 2, count * LEADING / 2)
    costs = []
    for index, (start, end) in enumerate(spans):
        edge = (abs(index - (count - 1) / 2) + 0.5) * LEADING
        chord = 2 * math.sqrt(max(radius**2 - edge**2, (radius / 20) ** 2))
        costs.append(width(text, start, end) / chord)
    return max(costs)


@pytest.mark.parametrize(
    "text",
    [
        "The Smith Family welcomes you to the lake house established nineteen eighty four",
        "a bb mmm i l mmmmmm oo illi mm o",
        "one small llama immediately limits my mill in Milan until I am ill",
    ],
)
def test_long_phrases_break_as_well_as_all_ways_would(text: str) -> None:
    """Beyond eight words each number of lines has one break, and no other of that many lines costs less."""
    words = words_of(text, (0, len(text)))
    assert len(words) > ALL_BREAKS_UP_TO
    found = list(breaks(text, lambda start, end: width(text, start, end), LEADING))
    assert [len(spans) for spans in found] == list(range(1, MOST_LINES + 1))
    for spans in found[1:5]:
        least = min(
            chord_cost(
                text,
                tuple((words[a][0], words[b - 1][1]) for a, b in zip((0, *cuts), (*cuts, len(words)), strict=True)),
            )
            for cuts in combinations(range(1, len(words)), len(spans) - 1)
        )
        assert chord_cost(text, spans) == pytest.approx(least)
