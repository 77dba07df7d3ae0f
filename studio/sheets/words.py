"""Words on a page: outlines of our own shaping to see, and the characters below them to search, copy and read aloud."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal, TypeAlias

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.paths import PATH_UNITS
from studio.geometry.shapes import Box
from studio.sheets.page import BLACK, Curve, Line, Word
from studio.text.bidi import embedding_levels
from studio.text.shaping import ShapedLine

Setter: TypeAlias = Callable[[str], ShapedLine]
"""Shapes a line of small type in the faces that ship."""
Anchor: TypeAlias = Literal["left", "middle", "right"]
_ISOLATE, _ISOLATE_END = "\u2068", "\u2069"
_SHARES: dict[Anchor, float] = {"left": 0.0, "middle": 0.5, "right": 1.0}


def set_line(
    text: str,
    setter: Setter,
    *,
    x_mm: float,
    y_mm: float,
    em_mm: float,
    turn_rad: float = 0.0,
    anchor: Anchor = "left",
    colour: Colour = BLACK,
    widest_mm: float | None = None,
) -> Line:
    """Return a line of text on a page.

    Args:
        text: What it says, one line.
        setter: Shapes it.
        x_mm: The anchor's place on the page.
        y_mm: The baseline's height there.
        em_mm: Size of the em.
        turn_rad: Turn of the baseline about the anchor, counter-clockwise.
        anchor: Which point of the line stands at `x_mm`, `y_mm`.
        colour: Of its outlines.
        widest_mm: Cut short with an ellipsis where it is longer.
    """
    shaped = setter(text)
    while widest_mm is not None and shaped.advance_em * em_mm > widest_mm and len(text) > 1:
        text = text.rstrip("…")[: max(1, min(len(text) - 2, int(len(text) * widest_mm / (shaped.advance_em * em_mm))))]
        text = text.rstrip() + "…"
        shaped = setter(text)
    back_mm = -_SHARES[anchor] * shaped.advance_em * em_mm
    cos, sin = math.cos(turn_rad), math.sin(turn_rad)
    start = (x_mm + back_mm * cos, y_mm + back_mm * sin)
    curves = tuple(_curves(shaped, em_mm))
    return Line(
        text,
        *start,
        em_mm,
        turn_rad,
        shaped.advance_em * em_mm,
        curves,
        tuple(_words(shaped, em_mm)),
        _ink(shaped, em_mm, start, (cos, sin)),
        colour,
    )


def isolated(name: str) -> str:
    """Return a name as it stands among other words: one that runs right to left keeps its surroundings in order.

    Source: Unicode Standard Annex 9, explicit directional isolates.
    """
    if any(level % 2 for level in embedding_levels(name)):
        return f"{_ISOLATE}{name}{_ISOLATE_END}"
    return name


def length_mm(text: str, setter: Setter, em_mm: float) -> float:
    """Return how long a line of text is."""
    return setter(text).advance_em * em_mm


def broken(text: str, setter: Setter, em_mm: float, widest_mm: float) -> tuple[str, ...]:
    """Return a text broken at its spaces into lines that fit; a word that fits in no line is cut between letters."""
    lines: list[str] = []
    current = ""
    for word in text.split():
        longer = f"{current} {word}" if current else word
        if length_mm(longer, setter, em_mm) <= widest_mm:
            current = longer
            continue
        if current:
            lines.append(current)
        while length_mm(word, setter, em_mm) > widest_mm and len(word) > 1:
            kept = max(1, min(len(word) - 1, int(len(word) * widest_mm / length_mm(word, setter, em_mm))))
            lines.append(word[:kept])
            word = word[kept:]
        current = word
    return (*lines, current) if current else tuple(lines)


def _curves(shaped: ShapedLine, em_mm: float) -> Iterator[Curve]:
    """Yield a line's outlines in mm from its start; quadratic curves become the cubic ones that are the same."""
    for cluster, start_em in zip(shaped.clusters, shaped.starts_em.tolist(), strict=True):
        last = (0.0, 0.0)
        for verb, points in cluster.outline.path:
            placed = [((x / PATH_UNITS + start_em) * em_mm, y / PATH_UNITS * em_mm) for x, y in points]
            match verb.name:
                case "MOVE":
                    yield "m", placed[0]
                case "LINE":
                    yield "l", placed[0]
                case "QUAD":
                    (x1, y1), (x2, y2) = placed
                    first = (last[0] + (x1 - last[0]) * 2 / 3, last[1] + (y1 - last[1]) * 2 / 3)
                    yield "c", (*first, x2 + (x1 - x2) * 2 / 3, y2 + (y1 - y2) * 2 / 3, x2, y2)
                case "CUBIC":
                    yield "c", tuple(number for point in placed for number in point)
                case "CLOSE":
                    yield "h", ()
            if placed:
                last = placed[-1]


def _words(shaped: ShapedLine, em_mm: float) -> Iterator[Word]:
    """Yield a line's words in visual order, the letters of those that run right to left back to front."""
    levels = embedding_levels(shaped.text)
    characters, start = "", 0.0
    for index, (cluster, at) in enumerate(zip(shaped.clusters, shaped.starts_em.tolist(), strict=True)):
        letter = cluster.letter.strip(_ISOLATE + _ISOLATE_END)
        characters += letter[::-1] if levels[cluster.start] % 2 else letter
        if letter.isspace() or index + 1 == len(shaped.clusters):
            end = at + cluster.advance_em
            yield Word(characters, start * em_mm, (end - start) * em_mm)
            characters, start = "", end


def _ink(shaped: ShapedLine, em_mm: float, start: tuple[float, float], way: tuple[float, float]) -> Box:
    points = [
        cluster.outline.hull * em_mm + np.array([at * em_mm, 0.0])
        for cluster, at in zip(shaped.clusters, shaped.starts_em.tolist(), strict=True)
        if cluster.has_ink
    ]
    if not points:
        return Box(*start, *start)
    x, y = np.concatenate(points).T
    cos, sin = way
    across, up = start[0] + x * cos - y * sin, start[1] + x * sin + y * cos
    return Box(float(across.min()), float(up.min()), float(across.max()), float(up.max()))
