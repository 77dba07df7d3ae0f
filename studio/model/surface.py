"""What the dye goes into: how far a fine line spreads there, what survives it, and which ground shows.

A surface as shipped knows one spread, a starting value. One that was measured with the test strip knows it along and
across the grain, whether dye or light spreads, how dark a solid is, and the finest marks that were seen to survive.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.model.dye import DENSITY, FINE, MIXINGS, Mark, Mixing, ink_kept, kept, light_kept, spreads_needed

SPREADS_PER_STROKE: Final = 3.0
"""A bar three standard deviations wide keeps 87 % of its peak after a Gaussian blur: erf(3 / (2 sqrt 2)) = 0.866."""
SPREADS_PER_DOT: Final = 4.0
"""A round hole four standard deviations wide keeps 69 % of its contrast in a solid of density 1.1 where dye spreads."""
LARGEST_SPREAD_MM: Final = 5.0
LEAST_DENSITY, MOST_DENSITY = 0.1, 4.0
HIDDEN: Final = "none"
"""A surface's `wood` where a white ground covers the wood."""


@dataclass(frozen=True, slots=True)
class FinestMarks:
    """The finest marks that a strip was seen to hold, mm; `None` leaves one to the model.

    Attributes:
        stroke_mm: The thinnest line that keeps 70 % of its contrast.
        gap_mm: The narrowest slot that does.
        dot_mm: The smallest round dot that does, by its diameter.
        counter_mm: The smallest round hole that does.
    """

    stroke_mm: float | None = None
    gap_mm: float | None = None
    dot_mm: float | None = None
    counter_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface: its spread (standard deviation of the blur of a fine line), and its own colour.

    Attributes:
        spread_mm: The spread, the larger of the two where the grain makes a difference.
        base_colour: What shows where no dye is.
        along_mm: Spread along the grain; `None` is the same either way.
        across_mm: Spread across it.
        mixing: What spreads, told by a strip; `None` was never measured.
        solid_density: Optical density of a solid over the bare surface.
        finest: What a strip was seen to hold.
        measured: The day of the measurement, as 2026-05-31; empty for a starting value.
        wood: The wood that shows through; `none` where the surface hides it, empty where nobody said.
    """

    name: str
    spread_mm: float
    base_colour: Colour
    description: str = ""
    along_mm: float | None = None
    across_mm: float | None = None
    mixing: Mixing | None = None
    solid_density: float = DENSITY
    finest: FinestMarks = FinestMarks()
    measured: str = ""
    wood: str = ""

    def __post_init__(self) -> None:
        for spread_mm in (self.spread_mm, self.spread_along_mm, self.spread_across_mm):
            if not 0 < spread_mm <= LARGEST_SPREAD_MM:
                raise SettingsError(
                    f"surface {self.name}: a spread of {spread_mm:g} mm is not possible.",
                    advice="It is the blur of a fine line, over 0 mm and up to 5 mm; bare wood starts at 0.35mm.",
                )
        if self.mixing is not None and self.mixing not in MIXINGS:
            raise SettingsError(
                f"surface {self.name}: mixing {str(self.mixing)[:40]!r} is not known.",
                advice="Write dye where dye itself spreads, cover where only light does, or leave it out.",
            )
        if not LEAST_DENSITY <= self.solid_density <= MOST_DENSITY:
            raise SettingsError(
                f"surface {self.name}: a solid density of {self.solid_density:g} is not possible.",
                advice=f"It is how dark a solid is on the bare surface, from {LEAST_DENSITY:g} to {MOST_DENSITY:g}; "
                f"{DENSITY:g} keeps 8 % of the light.",
            )

    @property
    def spread_along_mm(self) -> float:
        """The spread along the grain."""
        return self.spread_mm if self.along_mm is None else self.along_mm

    @property
    def spread_across_mm(self) -> float:
        """The spread across the grain."""
        return self.spread_mm if self.across_mm is None else self.across_mm

    @property
    def is_measured(self) -> bool:
        """Whether a strip told what spreads here."""
        return self.mixing is not None

    @property
    def standing(self) -> str:
        """Where the figures come from, in words."""
        if self.measured:
            return f"measured {self.measured}"
        return "measured" if self.is_measured else "starting value"

    @property
    def finest_stroke_mm(self) -> float:
        """The thinnest stroke that survives."""
        return self._finest("line", self.finest.stroke_mm, SPREADS_PER_STROKE)

    @property
    def finest_gap_mm(self) -> float:
        """The narrowest gap that stays open."""
        return self._finest("slot", self.finest.gap_mm, SPREADS_PER_STROKE)

    @property
    def finest_dot_mm(self) -> float:
        """The diameter of the smallest dot that survives."""
        return self._finest("dot", self.finest.dot_mm, SPREADS_PER_DOT)

    @property
    def finest_counter_mm(self) -> float:
        """The diameter of the smallest round hole that stays open."""
        return self._finest("counter", self.finest.counter_mm, SPREADS_PER_DOT)

    def kept(self, mark: Mark, width_mm: float) -> float:
        """Return the contrast that a mark keeps here, 0 to 1: the weaker of both models where nobody measured."""
        mixings = MIXINGS if self.mixing is None else (self.mixing,)
        return min(kept(mark, width_mm, self.spread_mm, self.solid_density, mixing) for mixing in mixings)

    def ink_kept(self, amount: float) -> float:
        """Return the contrast that a dye amount of 0 to 1 keeps here: the weaker of both models where nobody measured.

        That is `cover`, in which a stroke loses more.
        """
        return ink_kept(amount, self.solid_density, self.mixing or "cover")

    def hole_kept(self, inside: float, bound: float) -> float:
        """Return the contrast between a counter and the wall round it: the weaker model where nobody measured.

        That is `dye`, in which a counter loses more.

        Args:
            inside: The dye amount in its middle, 0 to 1.
            bound: The least dye amount on the way out.
        """
        lights = [light_kept(amount, self.solid_density, self.mixing or "dye") for amount in (inside, bound)]
        return (lights[0] - lights[1]) / (1 - 10**-self.solid_density)

    def with_spread(self, spread_mm: float) -> Surface:
        """Return the surface with a spread typed in place of all that is known of its own, a starting value again."""
        return replace(
            self, spread_mm=spread_mm, along_mm=None, across_mm=None, mixing=None, finest=FinestMarks(), measured=""
        )

    def _finest(self, mark: Mark, seen_mm: float | None, spreads: float) -> float:
        if seen_mm is not None:
            return seen_mm
        if self.mixing is not None:
            spreads = spreads_needed(mark, FINE, self.solid_density, self.mixing)
        return spreads * self.spread_mm
