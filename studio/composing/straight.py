"""Texts composed in straight lines: every break weighed, the most promising built, placed and priced."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from studio.composing import prices
from studio.composing.block import ComposedBlock, SetLine
from studio.composing.breaks import Break, breaks
from studio.composing.estimate import DraftLine, estimates_em
from studio.composing.levels import Emphasis, is_bold, levels
from studio.composing.phrase import Phrase, Span
from studio.composing.placing import SizeLimits, Standing, stand
from studio.composing.room import FreeRoom
from studio.composing.surface_fit import printable
from studio.layout.shaped_text import ShapedText
from studio.layout.work import STRAIGHT_MS, WORK

BUILT: Final = 4
"""How many of the most promising ways are built."""
WORTH_BUILDING: Final = 0.30
"""How far behind the best estimate a way may be to be built."""
_OVERTAKES: Final = 0.10
"""How much better a way may come out than was estimated."""
_MOST_WEIGHED: Final = 40
_REBUILDS: Final = 3
_EXTRA_WIDTH: Final = 1.15
"""A second text wider than the name by more than this is broken itself."""
_EXTRA_LINES: Final = 3


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """A text of the sign with its words.

    Attributes:
        owner: Its place among the sign's texts.
        is_above: Whether it opens the sign rather than ends it, where it is a second text.
    """

    owner: int
    setting: ShapedText
    phrase: Phrase
    emphasis: Emphasis = "auto"
    is_above: bool = False

    @property
    def cap_em(self) -> float:
        """The cap height of its face."""
        return self.setting.face.cap_height_em

    def width_em(self, span: Span) -> float:
        """Return about the advance of a line of words, from those of its words."""
        words = self.phrase.words
        width = 0.0
        for index in range(*span):
            word = words[index]
            width += self.setting.width_em(word.start, word.end)
            if index > span[0] and not word.after_hyphen:
                width += self.space_em
        return width

    @property
    def space_em(self) -> float:
        """The advance of a space."""
        return self.setting.shaped(" ").advance_em

    def lines(self, spans: tuple[Span, ...]) -> tuple[str, ...]:
        """Return the characters of lines."""
        return tuple(self.setting.text[slice(*self.phrase.text_of(span))] for span in spans)


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A way to set a text, before it is built."""

    lines: tuple[DraftLine, ...]
    prices: tuple[tuple[str, float], ...]

    @property
    def price(self) -> float:
        """The sum of its prices."""
        return sum(price for _, price in self.prices)


@dataclass(frozen=True, slots=True, eq=False)
class Set:
    """A way to set a text, built and placed."""

    block: ComposedBlock
    standing: Standing
    prices: tuple[tuple[str, float], ...]

    @property
    def cap_mm(self) -> float:
        """The cap height of the name."""
        return self.standing.em_mm * self.block.cap_em

    @property
    def score(self) -> float:
        """ln(cap height) less the prices."""
        return math.log(self.cap_mm) - sum(price for _, price in self.prices)


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """What came of weighing all ways: those built, best first, and those estimated, best first, with their caps."""

    built: tuple[Set, ...]
    estimated: tuple[tuple[Draft, float], ...]


def set_straight(text: Text, extras: tuple[Text, ...], room: FreeRoom, limits: SizeLimits) -> Weighed:
    """Return the ways to set a text in straight lines, with further texts as lines of its block.

    Args:
        text: The text that carries the name.
        extras: Second texts that stand in the same block.
        room: Where it may stand.
        limits: What bounds its size.
    """
    WORK.done_ms += STRAIGHT_MS
    drafts = _drafts(text, extras, room)
    estimated = [
        (draft, float(em_mm), math.log(em_mm * text.cap_em) - draft.price)
        for draft, em_mm in zip(
            drafts, estimates_em([draft.lines for draft in drafts], room, limits, text.cap_em), strict=True
        )
        if em_mm > 0
    ]
    if not estimated:
        least_em = limits.least_cap_mm / text.cap_em
        estimated = [(draft, least_em, -draft.price) for draft in drafts]
    estimated.sort(key=lambda entry: -entry[2])
    built: list[Set] = []
    best = -math.inf
    for draft, em_mm, rough in estimated[:BUILT]:
        if rough < estimated[0][2] - WORTH_BUILDING or rough + _OVERTAKES < best:
            break
        made = _built(draft, text, extras, room, limits, em_mm)
        if made is not None:
            built.append(made)
            best = max(best, made.score)
    if not built:
        for draft, em_mm, _ in estimated[BUILT:]:
            made = _built(draft, text, extras, room, limits, em_mm)
            if made is not None:
                built.append(made)
                break
    built.sort(key=lambda made: -made.score)
    return Weighed(tuple(built), tuple((draft, em_mm * text.cap_em) for draft, em_mm, _ in estimated))


def _drafts(text: Text, extras: tuple[Text, ...], room: FreeRoom) -> list[Draft]:
    phrase = text.phrase
    widths = {index: text.width_em((index, index + 1)) for index in range(len(phrase.words))}
    left, bottom, right, top = room.spans_mm
    aspect = (right - left) / max(top - bottom, 1e-6)
    each_line = prices.EACH_LINE + prices.IN_LONG_ROOM * max(aspect - prices.LONG_ROOM, 0.0)
    found = breaks(phrase, lambda index: widths[index] + text.space_em)
    drafts = [
        _draft(text, extras, broken, each_line)
        for broken in sorted(found, key=lambda entry: entry.price)[:_MOST_WEIGHED]
    ]
    return drafts


def _draft(text: Text, extras: tuple[Text, ...], broken: Break, each_line: float) -> Draft:
    phrase = text.phrase
    sizes = levels(phrase, broken.lines, text.emphasis)
    lines = [
        DraftLine(text.owner, *phrase.text_of(span), text.width_em(span), size, size, span)
        for span, size in zip(broken.lines, sizes, strict=True)
    ]
    widest = max(line.width_em * line.size for line in lines)
    for extra in extras:
        more = _extra_lines(extra, text.cap_em, widest)
        lines = [*more, *lines] if extra.is_above else [*lines, *more]
    return Draft(tuple(lines), _draft_prices(text, broken, sizes, each_line * (len(lines) - 1)))


def _draft_prices(text: Text, broken: Break, sizes: tuple[float, ...], lines: float) -> tuple[tuple[str, float], ...]:
    phrase = text.phrase
    count = len(set(sizes))
    levels_price = prices.EACH_SIZE * (count - 1) + (prices.MANY_SIZES if count > 3 else 0.0)
    if not phrase.is_forced and text.emphasis == "auto":
        levels_price += prices.BOLD_SMALL_WORD * sum(
            is_bold(phrase, span, size) for span, size in zip(broken.lines, sizes, strict=True)
        )
    if len(broken.lines) > 1:
        levels_price += prices.SHARED_YEAR * sum(
            "years" in phrase.words[index].kinds and (index > span[0])
            for span in broken.lines
            for index in range(span[0], span[1] - 1)
        )
    levels_price += prices.BEFORE_FAMILY * sum(
        sizes[at] < 1 and sizes[at + 1] < 1 and phrase.all_small(broken.lines[at]) for at in range(len(sizes) - 1)
    )
    mixed = prices.MIXED_EMPHASIS * sum(_is_mixed(phrase, span) for span in broken.lines)
    told = (("breaks", broken.price), ("lines", lines), ("levels", levels_price), ("emphasis", mixed))
    return tuple((name, price) for name, price in told if price > 0)


def _is_mixed(phrase: Phrase, span: Span) -> bool:
    """Whether a line holds words that the maker wants large or small beside others."""
    words = set(range(*span))
    return any(marked & words and not words <= marked for marked in (phrase.large, phrase.small))


def _extra_lines(extra: Text, cap_em: float, widest_em: float) -> list[DraftLine]:
    """Return the lines of a second text, broken where it would stand wider than the name."""
    level = prices.SECOND_TEXT
    size = level * cap_em / extra.cap_em
    words = extra.phrase.words
    if extra.phrase.is_forced:
        spans: tuple[Span, ...] = extra.phrase.forced
    else:
        spans = ((0, len(words)),)
        found = breaks(extra.phrase, lambda index: extra.width_em((index, index + 1)))
        for count in range(2, _EXTRA_LINES + 1):
            if max(extra.width_em(span) * size for span in spans) <= widest_em * _EXTRA_WIDTH:
                break
            of_count = [entry for entry in found if len(entry.lines) == count]
            if of_count:
                spans = min(of_count, key=lambda entry: _extra_cost(extra, entry)).lines
    return [
        DraftLine(extra.owner, *extra.phrase.text_of(span), extra.width_em(span), size, level, span) for span in spans
    ]


def _extra_cost(extra: Text, broken: Break) -> float:
    widths = [extra.width_em(span) for span in broken.lines]
    return broken.price + max(widths) / sum(widths)


def _built(
    draft: Draft, text: Text, extras: tuple[Text, ...], room: FreeRoom, limits: SizeLimits, guess_em: float
) -> Set | None:
    """Return a draft built for the surface and placed, or `None` where it has no room."""
    texts = {one.owner: one for one in (text, *extras)}
    plain = []
    for line in draft.lines:
        ink = texts[line.owner].setting.line(line.start, line.end)
        if ink is not None:
            plain.append(SetLine(line.owner, line.start, ink, line.size, line.level, 0.0, line.span))
    em_mm = guess_em
    lines: tuple[SetLine, ...] = ()
    block: ComposedBlock | None = None
    standing: Standing | None = None
    for _ in range(_REBUILDS):
        fitted = _alike(tuple(printable(line, em_mm, limits) for line in plain))
        if block is None or fitted != lines:
            lines = fitted
            block = ComposedBlock(lines, text.cap_em)
            standing = stand(block, room, limits, em_mm)
            if standing is None:
                return None
            if abs(standing.em_mm / em_mm - 1) < _SAME:
                break
            em_mm = standing.em_mm
        else:
            break
    assert block is not None and standing is not None
    return Set(block, standing, _set_prices(draft, block, standing, text))


_SAME: Final = 0.01


def _alike(lines: tuple[SetLine, ...]) -> tuple[SetLine, ...]:
    """Return lines of one second text at one size: the largest that any of them needs."""
    most: dict[int, float] = {}
    for line in lines:
        most[line.owner] = max(most.get(line.owner, 0.0), line.level)
    return tuple(
        line
        if line.owner == 0 or line.level == most[line.owner]
        else replace(line, level=most[line.owner], size=line.size / line.level * most[line.owner])
        for line in lines
    )


def _set_prices(draft: Draft, block: ComposedBlock, standing: Standing, text: Text) -> tuple[tuple[str, float], ...]:
    phrase = text.phrase
    exempt = [
        line.owner != text.owner
        or "conjunctions" in phrase.words[line.span[0]].kinds
        or all(word.has_figure for word in phrase.words[slice(*line.span)])
        for line in block.lines
    ]
    profile = 0.0 if phrase.is_forced else block.profile_price(exempt)
    bold = 0.0
    if text.emphasis == "auto" and not phrase.is_forced:
        drafted = {line.start: line.level for line in draft.lines if line.owner == text.owner}
        bold = prices.BOLD_SMALL_WORD * sum(
            line.level >= 1 and drafted[line.start] < 1 and phrase.all_small(line.span)
            for line in block.lines
            if line.owner == text.owner
        )
    told = (*draft.prices, ("levels", bold), ("profile", profile), *standing.prices)
    summed: dict[str, float] = {}
    for name, price in told:
        summed[name] = summed.get(name, 0.0) + price
    return tuple((name, price) for name, price in summed.items() if price > 0)
