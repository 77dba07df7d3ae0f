"""What stands on the test strip, in mm, as it is seen once pressed.

Origin at the strip's centre, x along the grain to the right, y up. Nothing here knows pixels. Invariant: every shape
that is measured keeps `QUIET_MM` of bare wood from every other, so that at the widest spread it was made for none
darkens its neighbour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

Direction: TypeAlias = Literal["along", "across"]
"""Along the grain, which is the strip's long side, or across it."""

WIDTH_MM: Final = 120.0
HEIGHT_MM: Final = 70.0
QUIET_MM: Final = 1.8
RING_OUTER_MM: Final = 5.0
RING_INNER_MM: Final = 3.4
RING_DOT_MM: Final = 1.4
"""Radii of a ring mark: a dark ring, a bare one inside, a dark dot."""
RINGS_MM: Final[tuple[tuple[float, float], ...]] = (
    (-53.0, 28.0),
    (53.0, 28.0),
    (53.0, -28.0),
    (-53.0, -28.0),
    (0.0, 28.0),
    (0.0, -28.0),
    (-41.0, 28.0),
)
"""Centres: four corners, the middles of the long sides, and one beside the top left corner, which tells up from down
and a mirrored picture from a right one."""
RING_NAMES: Final = (
    "top left",
    "top right",
    "bottom right",
    "bottom left",
    "top middle",
    "bottom middle",
    "beside the top left",
)
SQUARE_MM: Final = 10.5
WIDTHS_MM: Final = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 3.0)
DOTS_MM: Final = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 3.0)
COUNTERS_MM: Final = (0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 3.0)
RULER_LONG_MM: Final = 100.0
RULER_SHORT_MM: Final = 60.0
_APART_MM: Final = 2.4
"""Bare wood between two lines, dark wood between two gaps: three spreads at 0.8 mm."""
_STRIPE_MM: Final = 5.0


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle by its edges."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    @property
    def corners_mm(self) -> tuple[tuple[float, float], ...]:
        """Its corners, counter-clockwise."""
        return (
            (self.left_mm, self.bottom_mm),
            (self.right_mm, self.bottom_mm),
            (self.right_mm, self.top_mm),
            (self.left_mm, self.top_mm),
        )


@dataclass(frozen=True, slots=True)
class Square:
    """A solid square turned by an angle: four slanted edges."""

    x_mm: float
    y_mm: float
    turn_rad: float

    @property
    def corners_mm(self) -> tuple[tuple[float, float], ...]:
        """Its corners, counter-clockwise."""
        half, cos, sin = SQUARE_MM / 2, math.cos(self.turn_rad), math.sin(self.turn_rad)
        return tuple(
            (self.x_mm + half * (u * cos - v * sin), self.y_mm + half * (u * sin + v * cos))
            for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        )


@dataclass(frozen=True, slots=True)
class Stripe:
    """A line or a gap of a ladder.

    Attributes:
        x_mm: Its centre.
        direction: Which spread it feels: 'along' for one that stands across the grain, so that dye crosses it along it.
        length_mm: Its length.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    direction: Direction
    length_mm: float

    @property
    def box(self) -> Rectangle:
        """The rectangle that it covers."""
        across, along = self.width_mm / 2, self.length_mm / 2
        half_x, half_y = (across, along) if self.direction == "along" else (along, across)
        return Rectangle(self.x_mm - half_x, self.y_mm - half_y, self.x_mm + half_x, self.y_mm + half_y)


@dataclass(frozen=True, slots=True)
class Round:
    """A dot, or a round hole in a solid bar."""

    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class InkPatch:
    """A patch of one colour.

    Attributes:
        name: Its short name.
        light: Share of light that the print leaves in red, green and blue, 0 to 1.
    """

    name: str
    box: Rectangle
    light: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Words:
    """A line of words: no measurement hangs on it but the eye's.

    Attributes:
        x_mm: Its left end.
        y_mm: Its baseline.
        cap_mm: How tall its capitals are.
        room_mm: How long it may be; a longer one is made smaller.
    """

    text: str
    x_mm: float
    y_mm: float
    cap_mm: float
    room_mm: float


@dataclass(frozen=True, slots=True)
class StripLayout:
    """All that stands on the strip."""

    squares: tuple[Square, ...]
    lines: tuple[Stripe, ...]
    gaps: tuple[Stripe, ...]
    gap_bars: tuple[Rectangle, ...]
    dots: tuple[Round, ...]
    counters: tuple[Round, ...]
    counter_bar: Rectangle
    patches: tuple[InkPatch, ...]
    ticks: tuple[Rectangle, ...]
    words: tuple[Words, ...]
    arrow_mm: tuple[tuple[float, float], ...]


def strip_layout() -> StripLayout:
    """Return the layout of the strip."""
    rows = (_ladder("along", -56.0, 19.0, _APART_MM + 0.2), _ladder("along", -56.0 + 2.6, 10.8, _APART_MM + 0.2))
    columns = (_ladder("across", 13.0, -16.0, _APART_MM), _ladder("across", 21.5, -16.0 + _APART_MM, _APART_MM))
    return StripLayout(
        # no two squares in one row: a dark streak of the grain would bend the same edges of both
        squares=(
            Square(-47.5, -2.0, math.radians(5.0)),
            Square(-29.0, -4.6, math.radians(40.0)),
            Square(-10.5, -8.4, math.radians(-5.0)),
        ),
        lines=(*rows[0], *columns[0]),
        gaps=(*rows[1], *columns[1]),
        gap_bars=(_bar(rows[1], _APART_MM + 0.2), _bar(columns[1], _APART_MM)),
        dots=_rounds(DOTS_MM, -45.0, -28.0),
        counters=_rounds(COUNTERS_MM, 13.0, -28.0),
        counter_bar=Rectangle(13.0 - 2.2, -31.7, _rounds(COUNTERS_MM, 13.0, -28.0)[-1].x_mm + 3.7, -24.3),
        patches=_patches(),
        ticks=_ruler_ticks(),
        words=_words(),
        arrow_mm=tuple((28.0 + 5.0 * x, 30.0 + 5.0 * y) for x, y in _ARROW),
    )


_ARROW: Final = (
    (0.0, 0.2), (0.0, -0.2), (2.6, -0.2), (2.6, -0.5), (3.4, 0.0), (2.6, 0.5), (2.6, 0.2),
)  # fmt: skip


def _ladder(direction: Direction, start_x_mm: float, start_y_mm: float, apart_mm: float) -> tuple[Stripe, ...]:
    """Return stripes from thin to thick, one after the other from a start on, along the direction they feel."""
    stripes = []
    at_mm = 0.0
    for width_mm in WIDTHS_MM:
        middle_mm = at_mm + width_mm / 2
        if direction == "along":
            stripes.append(Stripe(start_x_mm + middle_mm, start_y_mm, width_mm, direction, _STRIPE_MM))
        else:
            stripes.append(Stripe(start_x_mm, start_y_mm + middle_mm, width_mm, direction, _STRIPE_MM))
        at_mm += width_mm + apart_mm
    return tuple(stripes)


def _bar(gaps: tuple[Stripe, ...], wall_mm: float) -> Rectangle:
    """Return the solid bar that a ladder of gaps is cut into; its gaps run from edge to edge."""
    first, last = gaps[0].box, gaps[-1].box
    if gaps[0].direction == "along":
        return Rectangle(first.left_mm - wall_mm, first.bottom_mm, last.right_mm + wall_mm, first.top_mm)
    return Rectangle(first.left_mm, first.bottom_mm - wall_mm, first.right_mm, last.top_mm + wall_mm)


def _rounds(diameters_mm: tuple[float, ...], start_x_mm: float, y_mm: float) -> tuple[Round, ...]:
    rounds = []
    at_mm = start_x_mm
    for diameter_mm in diameters_mm:
        rounds.append(Round(at_mm + diameter_mm / 2, y_mm, diameter_mm))
        at_mm += diameter_mm + _APART_MM - 0.2
    return tuple(rounds)


def _patches() -> tuple[InkPatch, ...]:
    """Return the colour patches and the tints; a tint of 25 % leaves 75 % of the light."""
    colours = (
        ("K", (0.0, 0.0, 0.0)),
        ("75%", (0.25, 0.25, 0.25)),
        ("50%", (0.5, 0.5, 0.5)),
        ("25%", (0.75, 0.75, 0.75)),
        ("C", (0.0, 1.0, 1.0)),
        ("M", (1.0, 0.0, 1.0)),
        ("Y", (1.0, 1.0, 0.0)),
        ("R", (1.0, 0.0, 0.0)),
        ("G", (0.0, 1.0, 0.0)),
        ("B", (0.0, 0.0, 1.0)),
    )
    patches = []
    for index, (name, light) in enumerate(colours):
        left_mm = 27.5 + 8.0 * (index % 2)
        top_mm = 21.5 - 7.7 * (index // 2)
        patches.append(InkPatch(name, Rectangle(left_mm, top_mm - 5.9, left_mm + 6.0, top_mm), light))
    return tuple(patches)


def _ruler_ticks() -> tuple[Rectangle, ...]:
    """Return the ticks of both rulers, one every 10 mm, the outer ones longer; lengths count between their middles."""
    ticks = []
    half_mm = 0.15
    for index in range(11):
        x_mm = -RULER_LONG_MM / 2 + 10.0 * index
        tall_mm = 2.2 if index in (0, 10) else 1.4
        ticks.append(Rectangle(x_mm - half_mm, -20.6, x_mm + half_mm, -20.6 + tall_mm))
    for index in range(7):
        y_mm = -RULER_SHORT_MM / 2 + 10.0 * index
        wide_mm = 2.0 if index in (0, 6) else 1.4
        ticks.append(Rectangle(7.0, y_mm - half_mm, 7.0 + wide_mm, y_mm + half_mm))
    return tuple(ticks)


def _words() -> tuple[Words, ...]:
    lines = []
    y_mm = 16.9
    for cap_mm in (4.0, 3.2, 2.5, 2.0, 1.6):
        lines.append(Words("Rae8", 44.5, y_mm, cap_mm, 13.5))
        y_mm -= cap_mm + 2.6
    return (
        *lines,
        Words("grain this way", 28.0, 24.8, 1.8, 18.0),
        Words("100 mm", -49.0, -17.6, 1.8, 12.0),
        Words("60 mm", 10.2, 29.1, 1.8, 7.0),
        Words("test strip", -33.0, 27.0, 2.4, 25.0),
    )
