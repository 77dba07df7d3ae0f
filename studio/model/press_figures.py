"""Press figures of a surface: heat, times, and what is peeled, torn or taped, as the shop's settings say them.

Invariant: no figure lives in the program; each comes from a settings entry that names its source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Final, Literal, TypeAlias

from studio.basics.errors import SettingsError
from studio.basics.units import celsius, round_half_up

COOLEST_F: Final = 200
HOTTEST_F: Final = 450
"""Hotter than any press step of the trade, and the point where paper and wood begin to scorch (from memory)."""
LONGEST_S: Final = 48 * 3600

Bound: TypeAlias = Literal["", "about", "at least"]

_HEAT: Final = re.compile(r"(?P<number>\d{2,3}(\.\d)?)\s*(°|deg|degrees)?\s*(?P<unit>[fc])", re.ASCII)
_TIME: Final = re.compile(
    r"(?P<bound>about|at least)?\s*(?P<least>\d{1,5})\s*(?P<first>s|min|h)?\s*"
    r"((-|–|to)\s*(?P<most>\d{1,5})\s*)?(?P<unit>s|min|h)",
    re.ASCII,
)
_SECONDS: Final = {"s": 1, "min": 60, "h": 3600, None: 0}
_WORDS: Final = {"s": "s", "min": "min", "h": "h"}


@dataclass(frozen=True, slots=True)
class Span:
    """A time as the trade says it: exact, about, at least, or from one to another.

    Attributes:
        least_s: Seconds after which the step may end.
        most_s: Seconds after which it should have ended; the same for an exact time.
        bound: `about` or `at least`, where it is said so.
    """

    least_s: int
    most_s: int
    bound: Bound = ""

    @property
    def told(self) -> str:
        """The time in words, such as `50 s`, `5 to 10 min`, `at least 1 h`."""
        unit = next(unit for unit in ("h", "min", "s") if not self.least_s % _SECONDS[unit])
        if unit == "min" and self.most_s < 120:
            unit = "s"
        least, most = self.least_s // _SECONDS[unit], self.most_s // _SECONDS[unit]
        number = str(least) if most == least else f"{least} to {most}"
        return f"{self.bound} {number} {_WORDS[unit]}".strip()


@dataclass(frozen=True, slots=True)
class Heat:
    """A press temperature, kept exactly as it was written."""

    fahrenheit: Fraction

    @property
    def told(self) -> str:
        """Both scales, such as `380 °F (193 °C)`, each to the nearest degree."""
        return f"{round_half_up(float(self.fahrenheit))} °F ({round_half_up(float(celsius(self.fahrenheit)))} °C)"


@dataclass(frozen=True, slots=True)
class HeatStep:
    """Heat for a time."""

    heat: Heat
    span: Span

    @property
    def told(self) -> str:
        """Heat and time in words."""
        return f"{self.heat.told} for {self.span.told}"


@dataclass(frozen=True, slots=True)
class PressFigures:
    """How one surface is pressed; `None` where nothing is said.

    Attributes:
        surface: The surface's name.
        press: Heat and time of the press itself.
        source: Where the figures come from.
        made_for: The piece that they are for.
        moisture: Heat and time that drive the moisture out before anything else.
        paint: What the wood is painted with; `paint_dry` how long that dries.
        coat: What it is coated with; `coat_dry` how long that dries.
        peel_sheets: Whether protective sheets come off both sides first.
        lint_roll: Whether the wood is lint-rolled before the film.
        film_on: Heat and time that bond the film to the wood.
        film_side: Which side of the film lies down.
        film_cool: How long the film cools.
        film_finish: What is then done to it.
        preheat: How long the blank is warmed before pressing, at the heat of the press.
        feather: Whether the paper's edges are torn (feathered); `None` where no advice is given.
        trim_paper: Whether the paper is trimmed to the blank; `None` where no advice is given.
        tape: How the paper is held.
        under: What lies under the wood.
        over: What lies over the paper.
        cool_first: Whether the piece cools before the paper is lifted.
        lift: How the paper is lifted.
        notes: Further sentences.
    """

    surface: str
    press: HeatStep
    source: str = ""
    made_for: str = ""
    moisture: HeatStep | None = None
    paint: str = ""
    paint_dry: Span | None = None
    coat: str = ""
    coat_dry: Span | None = None
    peel_sheets: bool = False
    lint_roll: bool = False
    film_on: HeatStep | None = None
    film_side: str = ""
    film_cool: Span | None = None
    film_finish: str = ""
    preheat: Span | None = None
    feather: bool | None = None
    trim_paper: bool | None = None
    tape: str = ""
    under: str = ""
    over: str = ""
    cool_first: bool = False
    lift: str = ""
    notes: tuple[str, ...] = ()


PRESS_KEYS: Final = frozenset(
    field.name.replace("_", "-") for field in fields(PressFigures) if field.name not in ("surface",)
)
"""What may stand in a settings table `[press.SURFACE]`."""
_HEAT_STEPS: Final = ("press", "moisture", "film_on")
_SPANS: Final = ("paint_dry", "coat_dry", "film_cool", "preheat")
_SWITCHES: Final = ("peel_sheets", "lint_roll", "feather", "trim_paper", "cool_first")


def figures_of(surface: str, said: Mapping[str, str]) -> PressFigures:
    """Return the figures that a settings entry says.

    Args:
        surface: The surface's name.
        said: Text by key, keys with underscores; `none` or an empty text says nothing.

    Raises:
        SettingsError: A heat, a time or a yes or no cannot be read, or there is no heat and time to press at.
    """
    told = {key: text.strip() for key, text in said.items() if text.strip().lower() not in ("", "none")}
    if "press" not in told:
        raise SettingsError(
            f"press {surface}: no heat and time to press at.", advice='Write it like press = "380F 50s".'
        )
    values: dict[str, object] = {}
    for key, text in told.items():
        what = f"press {surface}: {key.replace('_', '-')}"
        if key in _HEAT_STEPS:
            values[key] = parse_heat_step(text, what=what)
        elif key in _SPANS:
            values[key] = parse_span(text, what=what)
        elif key in _SWITCHES:
            values[key] = _parse_switch(text, what=what)
        elif key == "notes":
            values[key] = tuple(line.strip() for line in text.splitlines() if line.strip())
        else:
            values[key] = " ".join(text.split())
    return PressFigures(surface=surface, **values)  # type: ignore[arg-type]


def parse_heat_step(text: str, *, what: str) -> HeatStep:
    """Return the heat and time of a text such as `380F 50s` or `193 °C for 50 s`.

    Raises:
        SettingsError: It is neither, or out of what a press and wood can take.
    """
    cleaned = text.strip().lower().replace(" for ", " ").replace(",", " ")
    heat = _HEAT.match(cleaned)
    if heat is None:
        raise SettingsError(
            f"{what}: {text[:40]!r} is not a heat and a time.", advice="Write it like 380F 50s, or 193C 50s."
        )
    number = Fraction(heat["number"])
    fahrenheit = number if heat["unit"] == "f" else number * Fraction(9, 5) + 32
    if not COOLEST_F <= fahrenheit <= HOTTEST_F:
        shown = Heat(fahrenheit).told
        raise SettingsError(
            f"{what}: {shown} is not a heat for pressing wood; it goes from {COOLEST_F} to {HOTTEST_F} °F "
            "(93 to 232 °C).",
            advice="Check the number, and whether it is °F or °C.",
        )
    return HeatStep(Heat(fahrenheit), parse_span(cleaned[heat.end() :], what=what))


def parse_span(text: str, *, what: str) -> Span:
    """Return the time of a text such as `50s`, `5-10min`, `about 1h` or `at least 1h`.

    Raises:
        SettingsError: It is none, is 0, or longer than two days.
    """
    match = _TIME.fullmatch(text.strip().lower())
    if match is None:
        raise SettingsError(
            f"{what}: {text.strip()[:40]!r} is not a time.",
            advice="Write it like 50s, 5-10min, about 1h or at least 1h.",
        )
    least_s = int(match["least"]) * _SECONDS[match["first"] or match["unit"]]
    most_s = least_s if match["most"] is None else int(match["most"]) * _SECONDS[match["unit"]]
    if match["most"] is None and match["first"] is not None:
        raise SettingsError(f"{what}: {text.strip()[:40]!r} has two units.", advice="Write it like 50s.")
    if not 0 < least_s <= most_s <= LONGEST_S:
        raise SettingsError(
            f"{what}: {text.strip()[:40]!r} is not a time that a step can take.",
            advice="Times go from 1s to 48h, the shorter one first.",
        )
    bound = match["bound"]
    return Span(least_s, most_s, "about" if bound == "about" else "at least" if bound else "")


def _parse_switch(text: str, *, what: str) -> bool:
    word = text.lower()
    if word in ("yes", "true"):
        return True
    if word in ("no", "false"):
        return False
    raise SettingsError(f"{what}: {text[:40]!r} is neither yes nor no.", advice="Write true or false.")
