"""What each fault of a composition costs, all in one currency: how much smaller letters one would take to avoid it.

A candidate's score is the natural logarithm of its capitals' height less its prices; the highest score is set. A price
of 0.05 is 5 % of height.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from studio.model.sign import Composition


class Term(NamedTuple):
    """One term of the model, as people read it: its name, its rule, its price and where it comes from."""

    name: str
    rule: str
    price: str
    source: str


BREATHING_CAPS: Final[dict[Composition, float]] = {"largest": 0.0, "full": 0.16, "balanced": 0.30, "calm": 0.50}
"""Least clear room round the lettering, in cap heights of the name."""
LEAST_BREATHING: Final[dict[Composition, float]] = {"largest": 0.0, "full": 0.018, "balanced": 0.035, "calm": 0.058}
"""The same as a share of the room, for small letters."""
STATED_BOX_SHARE: Final = 0.35
"""Share of the breathing room that is kept from an artwork's stated box, which keeps away from the picture itself."""
CAP_OF_CIRCLE: Final = 0.50
"""Capitals take at most this share of the largest free circle of the room."""

MIDDLE_SHARE: Final = 0.473
"""White above / white above and below, of lettering that looks centred: 0.9 to 1."""
MIDDLE_FREE: Final = 0.04
MIDDLE: Final = 0.6
SIDEWAYS: Final = 1.2

AFTER_LEANING: Final = 0.5
AFTER_PARTICLE: Final = 0.6
BEFORE_SUFFIX: Final = 1.0
WITHIN_YEAR: Final = 1.0
BEFORE_POSTPOSITION: Final = 0.8
BETWEEN_WORDS: Final = 0.09
BEFORE_ROAD: Final = 0.24
BEFORE_HOUSE: Final = 0.10
AFTER_MODIFIER: Final = 0.30
BEFORE_LEANING: Final = 0.0
AFTER_POSSESSIVE: Final = 0.02
BEFORE_VERB: Final = 0.03
AFTER_STOP: Final = 0.0
BEFORE_FAMILY: Final = 0.12
"""A short word parted from the family word, or the next reduced line, that it belongs to."""
SHARED_YEAR: Final = 0.12
"""A year that shares a line of several with other words."""
ARC_LEAST_RADIUS: Final = 0.55
"""A second text on an arc of a smaller share of the blank's half size has no room there, and becomes a line."""
BEFORE_NUMBER: Final = 0.05
WITHIN_HYPHEN: Final = 0.55
DEAREST_BREAK: Final = 0.62
"""Breaks that cost more than this above the cheapest are dropped unbuilt."""

EACH_LINE: Final = 0.03
LONG_ROOM: Final = 2.2
IN_LONG_ROOM: Final = 0.14
EACH_SIZE: Final = 0.015
MANY_SIZES: Final = 0.06
CONJUNCTION_ALONE: Final = 0.03
SHORT_LINE: Final = 0.05
SHORTER_LINE: Final = 0.18
SHORTEST_LINE: Final = 0.27
SHORT_SHARE: Final = 0.6
SHORTEST_SHARE: Final = 0.45
WIDE_SMALL_LINE: Final = 0.25
LOOSE_LEADING: Final = 0.5
LOOSEST_CAPS: Final = 1.65
BOLD_SMALL_WORD: Final = 0.25
MIXED_EMPHASIS: Final = 0.4

ARC: Final = 0.03
ARC_JOINED: Final = 0.12
ARC_SHORT: Final = 0.05
ARC_LETTERS: Final = 7
ARC_CAP_OF_RADIUS: Final = 0.20
ARC_CAP_EXCESS: Final = 1.2
ARC_MOST_CAP_OF_RADIUS: Final = 0.30
ARC_SWEEPS_DEG: Final = (50.0, 150.0)

SCALE: Final = (1.0, 0.8, 0.64, 0.51, 0.41)
"""The one scale of sizes: steps of 1.25."""
SECOND_LINE: Final = 0.64
SMALL_WORDS: Final = 0.51
YEAR: Final = 0.41
SECOND_TEXT: Final = 0.41
LARGEST_REDUCED: Final = 0.72
"""A reduced line is raised up to this for the sake of the surface, else it stays whole."""

_OWN: Final = "own judgement, tuned by eye on 120 signs"
TERMS: Final[tuple[Term, ...]] = (
    Term("size", "ln of the cap height of the name's lines; at most 0.50 of the room's largest free circle",
         "the currency", _OWN),
    Term("breathing room", "clear room of 0.30 cap heights (full 0.16, calm 0.50) and at least 0.035 of the room, from "
         "safe zone, holes and picture; 0.35 of that from a stated box", "hard",
         "L. F. Baum, The Art of Decorating Dry Goods Windows (1900): ample margin always; the figure: " + _OWN),
    Term("optical middle", "white above / white above and below = 0.473, as the mean of all columns, of the nearest "
         "fifth, and of the box in its middle third", "0.6 x (|by| - 0.04), by = 2 x (share - 0.473)",
         "H. L. Gage, Applied Design for Printers (1920): what is centred exactly looks low; the figure: " + _OWN),
    Term("middle sideways", "lines centred on their optical edges; on the axis of a symmetric room, else white left = "
         "white right", "1.2 x bx²", _OWN),
    Term("break after a short word", "a line ends on an article, preposition, conjunction or title, and holds more",
         "0.5 (name particles 0.6)", "TED/Oxford subtitling rules; I. Strizver, Headline Line Breaks (U&lc)"),
    Term("break inside a pair", "before Jr. or III and inside 'est. 1952' 1.0; before a postposition 0.8; inside a "
         "hyphened name 0.55; after an adjective, figure word or verb 0.30; between a short word "
         "and the reduced line that it belongs to 0.12", "0.12 to 1.0", "the same; numbers stay whole"),
    Term("break before the last word", "before Street, Road, Place 0.24; before Lodge, Cabin 0.10", "0.10 or 0.24",
         "the same: names stay whole"),
    Term("break between words", "plain words 0.09; before a verb 0.03; after 's 0.02; 'Cabin / 7' 0.05; before 'of', "
         "'at', '&' or after a comma 0", "0 to 0.09", "the same: as one pauses when reading aloud"),
    Term("lines and sizes", "each line more 0.03 (in a room longer than 2.2 times its height 0.14 of the excess more), "
         "each size more 0.015, over three sizes 0.06; '&' alone 0.03",
         "0.015 to 0.06", "M. Bauerly, Y. Liu (2006): people prefer fewer groups"),
    Term("profile", "of one size: a line under 0.6 of the longest up to 0.05, under 0.45 from 0.18 to 0.27 (not a "
         "number, nor '& Jo'); a small line wider than the name 0.25 of the excess; leading over 1.65 caps 0.5 of the "
         "excess", "0 to 0.27", "T. L. De Vinne, Correct Composition (1901), pp. 187-192"),
    Term("levels of size", "name 1; second line 0.64; short words 0.51; year and second text 0.41; a short word alone "
         "on a line at full size costs", "0.25", "T. MacKellar, The American Printer: catch-words much reduced; "
         "R. Bringhurst 3.1.1: one scale, here steps of 1.25"),
    Term("even leading", "lines of the same two sizes stand equally far apart: the largest distance that any needs",
         "hard", _OWN),
    Term("arc", "0.03; joined letters 0.12; under 7 letters 0.05 each; capitals over 0.20 of the radius 1.2 of the "
         "excess; only where the picture leaves a round blank a segment, or when asked for", "0.03 and more", _OWN),
)  # fmt: skip
"""Every term of the model; DEVELOPERS.md shows this table."""
