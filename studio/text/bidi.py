"""Which way each character of a text runs: the Unicode bidirectional algorithm, levels and visual order.

The shaper needs levels, not a reordered string: each run is shaped in logical order in its own direction. Even
levels run left to right, odd levels right to left.

Invariant: there is exactly one level per character, also for characters that the algorithm takes out (rule X9):
those have the level of the character before them, or the paragraph's at its start.

Source: Unicode Standard Annex #9, revision 46 (Unicode 15.0).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, TypeAlias

from studio.text.bidi_rules import ISOLATE_MARKS, ISOLATE_STARTS, REMOVED, bidi_class, resolve

Base: TypeAlias = Literal["auto", "ltr", "rtl"]

DEEPEST_LEVEL = 125
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI", "LRE", "LRO", "LRI", "FSI", "PDI", "PDF"})
_OVERRIDES = {"RLO": "R", "LRO": "L"}


def paragraph_level(text: str, base: Base = "auto") -> int:
    """Return the level of the first paragraph of a text: 0 left to right, 1 right to left (rules P2 and P3).

    Args:
        text: Any text; what follows the first paragraph separator is not looked at.
        base: ``auto`` takes the direction of the first strong letter outside isolates, left to right without one.
    """
    if base != "auto":
        return 1 if base == "rtl" else 0
    return _first_strong_level([bidi_class(character) for character in text], 0)


def embedding_levels(text: str, *, base: Base = "auto") -> tuple[int, ...]:
    """Return the resolved level of every character, each paragraph taken as one line (rules P1 to L1).

    Args:
        text: The text in logical order; a newline or another separator ends a paragraph and belongs to it.
        base: Direction of every paragraph; ``auto`` decides for each one alone.

    Returns:
        One level per character; removed characters have the level of the one before.
    """
    classes = [bidi_class(character) for character in text]
    levels: list[int] = []
    for start, end in _paragraphs(classes):
        inside = classes[start:end]
        level = _first_strong_level(inside, 0) if base == "auto" else int(base == "rtl")
        if level == 0 and _RIGHT_TO_LEFT.isdisjoint(inside):
            levels += [0] * len(inside)
        else:
            levels += _paragraph_levels(text[start:end], inside, level)
    return tuple(levels)


def visual_order(levels: Sequence[int]) -> tuple[int, ...]:
    """Return the places of one line's characters, or runs, from left to right as seen (rule L2).

    Args:
        levels: The level of each character or run of one line, in logical order.
    """
    order = list(range(len(levels)))
    odd = [level for level in levels if level % 2]
    if not odd:
        return tuple(order)
    for threshold in range(max(levels), min(odd) - 1, -1):
        i = 0
        while i < len(levels):
            end = i
            while end < len(levels) and levels[order[end]] >= threshold:
                end += 1
            order[i:end] = order[i:end][::-1]
            i = end + 1
    return tuple(order)


def _paragraphs(classes: list[str]) -> Iterator[tuple[int, int]]:
    start = 0
    for i, kind in enumerate(classes):
        if kind == "B":
            yield start, i + 1
            start = i + 1
    if start < len(classes):
        yield start, len(classes)


def _first_strong_level(classes: list[str], start: int, *, in_isolate: bool = False) -> int:
    """Rules P2 and P3; inside an isolate the search ends at its own PDI."""
    depth = 0
    for kind in classes[start:]:
        if kind in ISOLATE_STARTS:
            depth += 1
        elif kind == "PDI":
            if depth == 0 and in_isolate:
                return 0
            depth = max(depth - 1, 0)
        elif kind == "B":
            return 0
        elif depth == 0 and kind in ("L", "R", "AL"):
            return 0 if kind == "L" else 1
    return 0


def _paragraph_levels(text: str, original: list[str], base_level: int) -> list[int]:
    explicit, classes = _explicit_levels(original, base_level)
    levels = list(explicit)
    for run in _isolating_runs(original, explicit):
        level = explicit[run[0]]
        kinds = [classes[i] for i in run]
        edges = _edges(run, original, explicit, base_level)
        resolve([text[i] for i in run], [original[i] for i in run], kinds, level, edges)
        for i, kind in zip(run, kinds, strict=True):
            if level % 2:
                levels[i] += kind != "R"
            elif kind != "L":
                levels[i] += 1 if kind == "R" else 2
    _reset_whitespace(original, levels, base_level)
    return levels


def _explicit_levels(original: list[str], base_level: int) -> tuple[list[int], list[str]]:
    """Rules X1 to X8: levels from embeddings, overrides and isolates, and the classes that overrides leave."""
    levels: list[int] = []
    classes = list(original)
    stack: list[tuple[int, str, bool]] = [(base_level, "", False)]
    lost_isolates = lost_embeddings = open_isolates = 0
    for i, kind in enumerate(original):
        if kind == "PDI":
            if lost_isolates:
                lost_isolates -= 1
            elif open_isolates:
                lost_embeddings = 0
                while not stack.pop()[2]:
                    pass
                open_isolates -= 1
        elif kind == "PDF":
            if not lost_isolates and lost_embeddings:
                lost_embeddings -= 1
            elif not lost_isolates and len(stack) > 1 and not stack[-1][2]:
                stack.pop()
        level, override, _ = stack[-1]
        levels.append(base_level if kind == "B" else level)
        if override and kind not in REMOVED and kind != "B":
            classes[i] = override
        if kind not in ISOLATE_STARTS and kind not in ("RLE", "LRE", "RLO", "LRO"):
            continue
        isolate = kind in ISOLATE_STARTS
        to_right = kind[0] == "R" if kind != "FSI" else _first_strong_level(original, i + 1, in_isolate=True) == 1
        deeper = (level + 1) | 1 if to_right else (level + 2) & ~1
        if deeper <= DEEPEST_LEVEL and not lost_isolates and not lost_embeddings:
            open_isolates += isolate
            stack.append((deeper, _OVERRIDES.get(kind, ""), isolate))
        elif isolate:
            lost_isolates += 1
        elif not lost_isolates:
            lost_embeddings += 1
    return levels, classes


def _isolating_runs(original: list[str], levels: list[int]) -> list[list[int]]:
    """Rules BD13 and X10: level runs, joined across the isolates they enclose; removed characters left out."""
    runs: list[list[int]] = []
    waiting: list[list[int]] = []
    run: list[int] = []
    level = -1
    for i, kind in enumerate(original):
        if kind in REMOVED:
            continue
        if kind == "PDI" and waiting:
            run = waiting.pop()
        elif levels[i] != level:
            run = []
            runs.append(run)
        level = levels[i]
        run.append(i)
        if kind in ISOLATE_STARTS:
            waiting.append(run)
    return runs


def _edges(run: list[int], original: list[str], levels: list[int], base_level: int) -> tuple[str, str]:
    """Rule X10: the directions before and after an isolating run, from the higher of the levels that meet."""
    before = run[0] - 1
    while before >= 0 and original[before] in REMOVED:
        before -= 1
    after = run[-1] + 1
    while after < len(original) and original[after] in REMOVED:
        after += 1
    level_before = levels[before] if before >= 0 else base_level
    open_ended = after == len(original) or original[run[-1]] in ISOLATE_STARTS
    level_after = base_level if open_ended else levels[after]
    level = levels[run[0]]
    return "LR"[max(level, level_before) % 2], "LR"[max(level, level_after) % 2]


def _reset_whitespace(original: list[str], levels: list[int], base_level: int) -> None:
    """Rule L1: separators and the white space before them or at the end have the paragraph's level."""
    trailing = True
    for i in range(len(original) - 1, -1, -1):
        kind = original[i]
        if kind in ("B", "S"):
            trailing = True
        elif kind not in REMOVED and kind != "WS" and kind not in ISOLATE_MARKS:
            trailing = False
        if trailing:
            levels[i] = base_level
    for i, kind in enumerate(original):
        if kind in REMOVED:
            levels[i] = levels[i - 1] if i else base_level
