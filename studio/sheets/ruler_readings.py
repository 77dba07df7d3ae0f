"""Readings of the ruler page, and the printer's scale and skew that follow from them.

The frame is 180 mm across and 240 mm along the feed, so that its diagonals are exactly 300 mm. Corners: A lower left,
D lower right, B upper left, C upper right. A linear printer makes a parallelogram of it, told whole by its sides and
diagonals.

Invariant: four readings that cannot belong to one parallelogram are refused, never averaged.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.model.printer import LARGEST_ERROR, Printer

ACROSS_MM: Final = 180.0
FEED_MM: Final = 240.0
DIAGONAL_MM: Final = 300.0
TICKS: Final = 11
TICK_PITCH_MM: Final = 0.9
"""A tenth short of a millimetre: the tick that meets a whole millimetre of the ruler reads the length in tenths."""
LONGEST_LADDER: Final = 15
"""Lines of the ladder at each edge: at 1, 2, … 15 mm from it."""
PLAIN_SKEW_MM: Final = 0.4
"""Diagonals read without the vernier that differ by less are taken as equal: the eye is no better."""
_MISFIT_MM: Final = 0.8
"""Most that sides and diagonals may disagree: readings off by 0.25 mm each come to 0.6."""

Side: TypeAlias = Literal["across", "feed", "ac", "bd"]
SIDES: Final[tuple[Side, ...]] = ("across", "feed", "ac", "bd")
NOMINAL_MM: Final[dict[Side, float]] = {"across": ACROSS_MM, "feed": FEED_MM, "ac": DIAGONAL_MM, "bd": DIAGONAL_MM}
SPOKEN: Final[dict[Side, str]] = {
    "across": "across, A to D",
    "feed": "along the feed, D to C",
    "ac": "the diagonal from A to C",
    "bd": "the diagonal from D to B",
}
_VERNIER: Final = re.compile(r"(?P<tick>\d{1,2})\s*@\s*(?P<whole>\d{2,4})\s*(mm)?", re.ASCII)
_PLAIN: Final = re.compile(r"\d{2,4}([.,]\d{1,3})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Reading:
    """One length of the frame as printed.

    Attributes:
        side: Which length.
        length_mm: As it came out; from a vernier, its exact equivalent.
        is_vernier: Whether it was read on the ticks, good to 0.05 mm, or off the ruler alone, good to 0.25 mm.
    """

    side: Side
    length_mm: float
    is_vernier: bool

    @property
    def share(self) -> float:
        """What it is to what it should be; 1 is true."""
        return self.length_mm / NOMINAL_MM[self.side]


def tick_mm(side: Side, tick: int) -> float:
    """Return how far a tick of a side's vernier stands from the start bar when the printer is true."""
    return NOMINAL_MM[side] + TICK_PITCH_MM * tick


def parse_reading(text: str, side: Side) -> Reading:
    """Return a reading as typed: `9@245`, the tick 9 meets the ruler's 245; or `239.6`, plain millimetres.

    Raises:
        SettingsError: It is neither, or cannot be a reading of this side.
    """
    typed = text.strip()
    match = _VERNIER.fullmatch(typed)
    if match is not None:
        tick, whole = int(match["tick"]), int(match["whole"])
        if tick >= TICKS:
            raise SettingsError(
                f"--{side}: there is no tick {tick} on the ruler page; ticks go from 0 to {TICKS - 1}.",
                advice="Type the tick, then @, then the millimetre of your ruler that it meets: 7@186.",
            )
        reading = Reading(side, NOMINAL_MM[side] * whole / tick_mm(side, tick), True)
    elif _PLAIN.fullmatch(typed):
        reading = Reading(side, float(typed.replace(",", ".")), False)
    elif re.search(r"\d", typed) and not typed.startswith("-") and "@" not in typed:
        reading = Reading(side, parse_length_mm(typed, what=f"--{side}"), False)
    else:
        raise SettingsError(
            f"--{side}: {typed[:40]!r} is not a reading of the ruler page.",
            advice="Type tick@millimetre, such as 7@186, or the length in plain millimetres, such as 179.6.",
        )
    _believe(reading, typed)
    return reading


def _believe(reading: Reading, typed: str) -> None:
    """Raise where a reading is off by more than a printer can be."""
    off = reading.share - 1
    if abs(off) <= LARGEST_ERROR:
        return
    nominal = NOMINAL_MM[reading.side]
    told = f"--{reading.side}: {typed[:40]} makes {reading.length_mm:.1f} mm of {nominal:g} mm, {off * 100:+.1f} %; "
    told += f"up to {LARGEST_ERROR * 100:g} % is corrected."
    vernier = _VERNIER.fullmatch(typed)
    for other in ("across", "feed", "ac"):
        if NOMINAL_MM[other] == nominal:
            continue
        whole = tick_mm(other, int(vernier["tick"])) if vernier else NOMINAL_MM[other]
        seen = float(vernier["whole"]) if vernier else reading.length_mm
        if abs(seen / whole - 1) <= LARGEST_ERROR:
            name = "a diagonal, --ac or --bd" if other == "ac" else f"--{other}"
            raise SettingsError(
                told, advice=f"It would fit {name} ({NOMINAL_MM[other]:g} mm): check which line was read."
            )
    if 0.9 <= reading.share <= 1.1:
        advice = "The print dialog scaled the page: print it at 100 % (Actual size, no fit), and read it again."
    else:
        advice = "That cannot be: lay the ruler's 0 on the start bar's marked edge and read in millimetres."
    raise SettingsError(told, advice=advice)


def scale_of(readings: tuple[Reading, ...]) -> Printer:
    """Return a printer of the scale and skew that follow from readings, with nothing else said of it.

    Both sides are needed. Diagonals are needed both or not at all; without them the skew counts as none, and so it does
    where they differ by less than `PLAIN_SKEW_MM` and were not both read on the vernier.

    Raises:
        SettingsError: A reading is missing, they do not belong to one figure, or the printer is off by too much.
    """
    by_side = {reading.side: reading for reading in readings}
    missing = [side for side in ("across", "feed") if side not in by_side]
    if missing:
        wanted = " and ".join(f"--{side}" for side in missing)
        raise SettingsError(
            f"There is no reading for {wanted}.", advice="Read both sides of the frame; the diagonals may be left out."
        )
    if ("ac" in by_side) != ("bd" in by_side):
        lone, other = ("ac", "bd") if "ac" in by_side else ("bd", "ac")
        raise SettingsError(
            f"There is --{lone} but no --{other}.",
            advice="Skew takes both diagonals: read the other too, or leave both.",
        )
    across, feed = by_side["across"].length_mm, by_side["feed"].length_mm
    cosine = 0.0
    if "ac" in by_side:
        ac, bd = by_side["ac"], by_side["bd"]
        _one_figure(across, feed, ac.length_mm, bd.length_mm)
        if (ac.is_vernier and bd.is_vernier) or abs(ac.length_mm - bd.length_mm) >= PLAIN_SKEW_MM:
            cosine = (ac.length_mm**2 - bd.length_mm**2) / (4 * feed * across)
    scale_across = across / ACROSS_MM
    return Printer(
        scale_across=scale_across,
        scale_feed=feed * math.sqrt(1 - cosine**2) / FEED_MM,
        skew=feed * cosine / (scale_across * FEED_MM),
    )


def _one_figure(across: float, feed: float, ac: float, bd: float) -> None:
    """Raise unless the readings keep the parallelogram law: the squares of sides and of diagonals come to the same."""
    expected, found = math.hypot(across, feed), math.sqrt((ac * ac + bd * bd) / 2)
    if abs(expected - found) > _MISFIT_MM:
        raise SettingsError(
            f"These four readings cannot belong to one figure: sides of {across:.1f} and {feed:.1f} mm "
            f"have diagonals of {expected:.1f} mm in the mean, and {found:.1f} mm was read.",
            advice=f"Read all four again; {_MISFIT_MM:g} mm is the most that careful readings can disagree.",
        )


def expected_mm(printer: Printer) -> dict[Side, float]:
    """Return the lengths that a printer of known scale and skew makes of the frame's."""

    def printed(x_mm: float, y_mm: float) -> tuple[float, float]:
        return printer.scale_across * (x_mm + printer.skew * y_mm), printer.scale_feed * y_mm

    a, b = printed(0, 0), printed(0, FEED_MM)
    c, d = printed(ACROSS_MM, FEED_MM), printed(ACROSS_MM, 0)
    return {"across": math.dist(a, d), "feed": math.dist(d, c), "ac": math.dist(a, c), "bd": math.dist(d, b)}
