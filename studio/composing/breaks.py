"""The breaks of a phrase that are worth composing, each with its price."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from studio.composing.phrase import Phrase, Span, break_price
from studio.composing.prices import CONJUNCTION_ALONE, DEAREST_BREAK
from studio.layout.line_breaks import ALL_BREAKS_UP_TO, MOST_LINES

_UNEVEN: Final = 0.3
"""Price of a line as long again as the mean, where a long phrase is broken evenly."""


class Break(NamedTuple):
    """A way to break a phrase: its lines as spans of words, and the price of their ends."""

    lines: tuple[Span, ...]
    price: float


def breaks(phrase: Phrase, width_of: Callable[[int], float]) -> tuple[Break, ...]:
    """Return the breaks worth composing, cheapest first among those of as many lines.

    Args:
        phrase: The phrase; where it forces its lines there is one break alone, at no price.
        width_of: Width of each word, any unit.
    """
    if phrase.is_forced:
        return (Break(phrase.forced, 0.0),)
    if len(phrase.words) <= ALL_BREAKS_UP_TO:
        return tuple(_every(phrase))
    return tuple(_even(phrase, width_of))


def _every(phrase: Phrase) -> list[Break]:
    found: list[Break] = []
    count = len(phrase.words)

    def go(lines: tuple[Span, ...], start: int, price: float) -> None:
        found.append(Break((*lines, (start, count)), price))
        if len(lines) + 1 == MOST_LINES:
            return
        for end in range(start + 1, count):
            dearer = price + _price(phrase, start, end)
            if dearer <= DEAREST_BREAK:
                go((*lines, (start, end)), end, dearer)

    go((), 0, 0.0)
    return sorted(found, key=lambda entry: (len(entry.lines), entry.price))


def _price(phrase: Phrase, start: int, end: int) -> float:
    price = break_price(phrase, start, end)
    if end - start == 1 and "conjunctions" in phrase.words[start].kinds:
        price += CONJUNCTION_ALONE
    return price


def _even(phrase: Phrase, width_of: Callable[[int], float]) -> list[Break]:
    """Return for each number of lines the break with the best sum of prices and unevenness."""
    words = phrase.words
    widths = [width_of(index) for index in range(len(words))]
    ends = [0.0]
    for width in widths:
        ends.append(ends[-1] + width)
    found = [Break(((0, len(words)),), 0.0)]
    for count in range(2, MOST_LINES + 1):
        mean = ends[-1] / count
        best: list[dict[int, tuple[float, float, tuple[Span, ...]]]] = [{0: (0.0, 0.0, ())}]
        for line in range(count):
            reached: dict[int, tuple[float, float, tuple[Span, ...]]] = {}
            for start, (cost, price, lines) in best[line].items():
                for end in range(start + 1, len(words) - (count - line - 1) + 1):
                    own = 0.0 if end == len(words) else _price(phrase, start, end)
                    uneven = ((ends[end] - ends[start]) / mean - 1) ** 2 * _UNEVEN
                    total = cost + own + uneven
                    if end not in reached or total < reached[end][0]:
                        reached[end] = (total, price + own, (*lines, (start, end)))
            best.append(reached)
        if len(words) in best[count]:
            _, price, lines = best[count][len(words)]
            found.append(Break(lines, price))
    return found
