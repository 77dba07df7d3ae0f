"""A text with its face and features: its lines shaped when asked for, each once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from studio.basics.kept import KeptValues
from studio.layout.letter_ink import LineInk, line_ink
from studio.layout.line_breaks import forced_lines
from studio.text.font import Face
from studio.text.shaping import Features, ShapedLine, shape_line
from studio.text.word_faces import StandIn

LINES: Final = KeptValues[Face, tuple[str, Features, bool], tuple[ShapedLine, LineInk | None]](most=512)
"""Shaped lines; a long list of names must not grow the memory without end."""


@dataclass(frozen=True, slots=True, eq=False)
class ShapedText:
    """A text ready to be shaped.

    Attributes:
        text: Composed (NFC), in the letter case asked for; may hold line breaks.
        stand_in: Where letters that the face lacks come from; `None` for nowhere.
    """

    text: str
    face: Face
    features: Features = ()
    stand_in: StandIn | None = None

    def shaped(self, text: str) -> ShapedLine:
        """Return a line's text shaped."""
        return self._kept(text)[0]

    def line(self, start: int, end: int) -> LineInk | None:
        """Return the ink of the characters from `start` to `end` as one line, or `None` when nothing shows."""
        return self._kept(self.text[start:end])[1]

    def single_line(self) -> LineInk | None:
        """Return the whole text as one line, its line breaks read as spaces."""
        spans = forced_lines(self.text)
        return self._kept(" ".join(self.text[start:end] for start, end in spans))[1]

    def width_em(self, start: int, end: int) -> float:
        """Return the advance of the characters from `start` to `end`, em."""
        return self.shaped(self.text[start:end]).advance_em

    def missing(self) -> tuple[tuple[int, str], ...]:
        """Return the graphemes that no face has, with their index in the text."""
        return tuple(
            (start + at, letter)
            for start, end in forced_lines(self.text)
            for at, letter in self.shaped(self.text[start:end]).missing
        )

    def with_features(self, features: Features) -> ShapedText:
        """Return the same text with more features; those asked for by the person win."""
        return replace(self, features=(*features, *self.features))

    def _kept(self, text: str) -> tuple[ShapedLine, LineInk | None]:
        def shaped() -> tuple[ShapedLine, LineInk | None]:
            line = shape_line(text, self.face, features=self.features, stand_in=self.stand_in)
            return line, line_ink(line)

        return LINES.get(self.face, (text, self.features, self.stand_in is not None), shaped)
