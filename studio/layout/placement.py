"""The result of fitting: contours in mm with nothing left to decide.

Preview, checks, proof and print all start from the same placement.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from studio.basics.colour import Colour
from studio.geometry.shapes import Box, Contours
from studio.model.sign import Ring
from studio.text.font import GlyphOutline

FixedLayout: TypeAlias = Literal["arc-top", "arc-bottom", "box"]
FollowUsed: TypeAlias = Literal["letters", "outline"]


@dataclass(frozen=True, slots=True)
class PlacedGlyph:
    """One glyph on the sign.

    Attributes:
        cluster: Index of its letter in the text, in characters from 0.
        letter: The characters of its cluster.
        face: Name of the face it came from.
        x_mm: Its origin: the pen position on the baseline.
        angle_rad: Its rotation, counter-clockwise.
        advance_mm: Its advance along the line.
        weight: The weight of its face where that has the axis.
        scale: Its size against the em; not 1 for a face whose capitals are of another height.
    """

    cluster: int
    letter: str
    face: str
    glyph_id: int
    x_mm: float
    y_mm: float
    angle_rad: float
    advance_mm: float
    weight: float | None = None
    scale: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLetter:
    """The ink of one cluster on the sign: its contours in mm and where they stand in the text.

    Attributes:
        line: Index of its line from 0.
        outline: Its ink before it was placed, em units, origin at its start on the baseline.
        advance_em: Its advance.
        x_mm: Its mid-advance point on the baseline.
        angle_rad: Its turn about that point.
        size: Its em against the lettering's: under 1 in a line that is set smaller.
    """

    cluster: int
    letter: str
    line: int
    contours: Contours
    outline: GlyphOutline
    advance_em: float
    x_mm: float
    y_mm: float
    angle_rad: float
    size: float = 1.0

    def point_mm(self, x_em: float, y_em: float, em_mm: float) -> tuple[float, float]:
        """Return where a point of the outline stands on the sign, the letter turned as a whole.

        Args:
            x_em: Right of its start, in its own em.
            y_em: Up from the baseline.
            em_mm: The lettering's em.
        """
        em_mm *= self.size
        across, up = (x_em - self.advance_em / 2) * em_mm, y_em * em_mm
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return (self.x_mm + across * cos - up * sin, self.y_mm + across * sin + up * cos)


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to set a text that was weighed against others.

    Attributes:
        lines: The text of each line.
        line_sizes: The size of each line against the name's.
        cap_mm: The cap height of the name's lines; about it where `is_estimate`.
        prices: What was taken off for each fault, as shares of height, by name.
        score: ln(cap height) less the prices.
        changes: Options that set the text like this, spelled as in settings; `text` for the text itself.
    """

    layout: FixedLayout
    lines: tuple[str, ...]
    line_sizes: tuple[float, ...]
    cap_mm: float
    prices: tuple[tuple[str, float], ...]
    score: float
    is_estimate: bool = False
    changes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Composed:
    """Why a text is set as it is.

    Attributes:
        reason: One sentence.
        candidates: What was weighed, the one that was set first.
        remarks: What the maker should know of it: the code of a finding, and a sentence.
        height_share: How much of the height of its room a single word takes; `None` where there is more than one.
    """

    reason: str
    candidates: tuple[Candidate, ...]
    remarks: tuple[tuple[str, str], ...] = ()
    height_share: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLettering:
    """One lettering on the sign.

    Attributes:
        contours: All of its ink, filled non-zero. United where outlines were joined; otherwise letters may overlap.
        letters: The same ink letter by letter, in visual order; the spaces have none.
        ring: The outline round the letters, or `None`; `ring_contours` is its ink, letters not cut out.
        offset_mm: How far outlines were moved outwards; `drawn` is the ink before that, empty where there was none.
        em_mm: The size of the em.
        baseline_radius_mm: Of an arc round a circle; `None` elsewhere.
        sweep_rad: How much of the circle the arc takes; 0 for a box.
        weight: The weight of the face where it has the axis.
        runners_up: What else was tried, in words, best first.
        line_sizes: The em of each line against `em_mm`; empty where all lines are alike.
        composed: Why it was set like this, where it was composed.
    """

    text: str
    layout: FixedLayout
    face: str
    face_sha256: str
    weight: float | None
    spacing: Literal["even", "plain"]
    follow: FollowUsed
    em_mm: float
    cap_height_mm: float
    lines: tuple[str, ...]
    glyphs: tuple[PlacedGlyph, ...]
    letters: tuple[PlacedLetter, ...]
    contours: Contours
    colour: Colour
    ink_box: Box
    farthest_mm: float
    baseline_radius_mm: float | None = None
    sweep_rad: float = 0.0
    ring: Ring | None = None
    ring_contours: Contours = ()
    offset_mm: float = 0.0
    drawn: Contours = ()
    runners_up: tuple[str, ...] = ()
    line_sizes: tuple[float, ...] = ()
    composed: Composed | None = None

    @property
    def line_caps_mm(self) -> tuple[float, ...]:
        """The cap height of each line."""
        return tuple(self.cap_height_mm * size for size in self.line_sizes or (1.0,) * len(self.lines))

    @property
    def sweep_deg(self) -> float:
        """The sweep in degrees."""
        return math.degrees(self.sweep_rad)


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """All letterings of a sign, in the order they were asked for."""

    letterings: tuple[PlacedLettering, ...]


@dataclass(frozen=True, slots=True)
class NoFit:
    """Fitting found no room: how large the lettering could be, and how large it had to be.

    Attributes:
        largest_cap_mm: The largest cap height that the room allows; 0 when there is none at all.
        needed_cap_mm: The cap height that was needed.
        reason: What stands in the way, as a clause such as 'the open area is 40.0 x 12.0 mm'.
    """

    lettering: int
    layout: str
    largest_cap_mm: float
    needed_cap_mm: float
    reason: str
