"""A sign as ordered: blank, surface, artwork and letterings, complete and checked when made.

Nothing here is measured or drawn yet; faces and pictures are named, not loaded.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Final, Literal, TypeAlias

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.model.artwork import ArtworkSetting
from studio.model.blank import Blank
from studio.model.profile import PrinterProfile
from studio.model.surface import HIDDEN, Surface

Layout: TypeAlias = Literal["auto", "arc-top", "arc-bottom", "box"]
Spacing: TypeAlias = Literal["even", "plain"]
Follow: TypeAlias = Literal["auto", "letters", "outline"]
LetterCase: TypeAlias = Literal["typed", "capitals", "small-capitals"]
Repair: TypeAlias = Literal["none", "weight", "offset", "auto"]
Background: TypeAlias = Literal["white", "transparent"]
Composition: TypeAlias = Literal["largest", "full", "balanced", "calm"]
SameSize: TypeAlias = Literal["no", "list", "order"]

LAYOUTS: Final[tuple[Layout, ...]] = ("auto", "arc-top", "arc-bottom", "box")
LARGEST_TURN_RAD: Final = math.radians(22.5)
"""Most turn between neighbouring letters on an arc."""
SMALLEST_MARGIN_MM: Final = 5.0
MARGIN_SHARE: Final = 0.04
BLEED_MM: Final = 3.0
WASTE_MM: Final = 6.0
SMALLEST_CAP_MM: Final = 5.0
SWEEP_DEG: Final = 160.0
LARGEST_SWEEP_DEG: Final = 330.0
LARGEST_BREATHING_CAPS: Final = 2.0
DPI: Final = 300
SMALLEST_DPI: Final = 36
LARGEST_DPI: Final = 1200
DEFAULT_COLOUR: Final = Colour(0x3B, 0x23, 0x14)
"""Bark brown, where neither the person nor the artwork says."""


@dataclass(frozen=True, slots=True)
class FaceChoice:
    """A face asked for: a catalogue name or a font file's path, and a weight or the face's good one."""

    name: str
    weight: float | None = None


@dataclass(frozen=True, slots=True)
class Ring:
    """An outline drawn round the letters, outside them: its width, and its colour or the lettering's own."""

    width_mm: float
    colour: Colour | None = None


@dataclass(frozen=True, slots=True)
class LetteringOrder:
    """One text asked for. `None` stands for what fitting or the artwork decides.

    Attributes:
        offset_mm: How far every outline is moved outwards (a repair); 0 leaves the face as drawn.
    """

    text: str
    layout: Layout = "auto"
    face: FaceChoice = field(default_factory=lambda: FaceChoice("Pacifico"))
    colour: Colour | None = None
    cap_mm: float | None = None
    min_cap_mm: float = SMALLEST_CAP_MM
    max_cap_mm: float | None = None
    shift_x_mm: float = 0.0
    shift_y_mm: float = 0.0
    sweep_rad: float = math.radians(SWEEP_DEG)
    spacing: Spacing = "even"
    follow: Follow = "auto"
    case: LetterCase = "typed"
    features: tuple[tuple[str, int], ...] = ()
    ring: Ring | None = None
    fallback: bool = True
    offset_mm: float = 0.0

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise SettingsError("The text is empty.", advice="Give the name to be set.", option="text")
        for what, value in (("cap", self.cap_mm), ("max_cap", self.max_cap_mm), ("min_cap", self.min_cap_mm)):
            if value is not None and value <= 0:
                raise SettingsError(f"{value:g} mm is not a cap height.", advice="It must be over 0 mm.", option=what)
        if self.max_cap_mm is not None and self.max_cap_mm < self.min_cap_mm:
            raise SettingsError(
                f"The largest cap height, {self.max_cap_mm:g} mm, is less than the smallest, {self.min_cap_mm:g} mm.",
                advice="Lower the smallest or raise the largest.",
                option="max_cap",
                ways=("min_cap", "max_cap"),
            )
        if not 0 < self.sweep_rad <= math.radians(LARGEST_SWEEP_DEG) + 1e-9:
            raise SettingsError(
                f"{math.degrees(self.sweep_rad):g} degrees is not possible.",
                advice=f"Over 0 and up to {LARGEST_SWEEP_DEG:.0f}.",
                option="sweep",
            )


@dataclass(frozen=True, slots=True)
class Composing:
    """How the texts are composed.

    Attributes:
        composition: `largest` sets letters as large as the room allows; the others leave air round them, break lines
            for sense and set small words small.
        breathing_caps: Least clear room round the lettering in cap heights; `None` for the composition's own.
        emphasis: `auto` for words by what they are, `none` for all words alike, else the words to be set large.
        small: Words to be set small, separated by commas.
        same_size: Whether the signs of a list, or of one order in it, get capitals of one height.
    """

    composition: Composition = "largest"
    breathing_caps: float | None = None
    emphasis: str = "auto"
    small: str = ""
    same_size: SameSize = "no"

    def __post_init__(self) -> None:
        breathing = self.breathing_caps
        if breathing is not None and not 0 <= breathing <= LARGEST_BREATHING_CAPS:
            raise SettingsError(
                f"{breathing:g} cap heights of air is not possible.",
                option="breathing",
                advice=f"From 0 to {LARGEST_BREATHING_CAPS:g}; the composition balanced has 0.3.",
            )


@dataclass(frozen=True, slots=True)
class ProofWood:
    """What a proof is shown in: the dye spread and muted as the surface does it, on a wood's figure.

    Attributes:
        name: The wood; `none` for the surface's own plain ground.
        grain_rad: The direction of its grain, counter-clockwise from the width.
    """

    name: str
    grain_rad: float = 0.0

    def is_seen_on(self, surface: Surface) -> bool:
        """Whether the wood's figure shows on a surface."""
        return HIDDEN not in (self.name, surface.wood)


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign to make, validated when made. Lengths in mm, dpi the same in both directions."""

    blank: Blank
    surface: Surface
    letterings: tuple[LetteringOrder, ...]
    artwork: ArtworkSetting | None = None
    margin_mm: float | None = None
    bleed_mm: float = BLEED_MM
    waste_mm: float = WASTE_MM
    dpi: int = DPI
    background: Background = "white"
    repair: Repair = "none"
    order: str = ""
    composing: Composing = field(default_factory=Composing)
    wood: ProofWood | None = None
    """What its proof is shown in; `None` for print times surface, sharp and plain. The print does not depend on it."""
    profile: PrinterProfile | None = None
    """The printer's colours; `None` leaves sRGB as it is."""

    def __post_init__(self) -> None:
        if not self.letterings:
            raise SettingsError("A sign needs a text.", advice="Give the name to be set.", option="text")
        if not SMALLEST_DPI <= self.dpi <= LARGEST_DPI:
            raise SettingsError(
                f"{self.dpi} is outside what can be made.",
                advice=f"From {SMALLEST_DPI} to {LARGEST_DPI}.",
                option="dpi",
            )
        for what, value in (("margin", self.margin_mm), ("bleed", self.bleed_mm), ("waste", self.waste_mm)):
            if value is not None and not 0 <= value <= 100:
                raise SettingsError(f"{value:g} mm is not possible.", advice="From 0 mm to 100 mm.", option=what)
        if self.safe_margin_mm >= self.blank.smaller_mm / 2:
            raise SettingsError(
                f"{self.safe_margin_mm:g} mm leaves no room on a blank {self.blank.smaller_mm:.1f} mm across.",
                advice=f"Less than {self.blank.smaller_mm / 2:.1f} mm.",
                option="margin",
            )

    @property
    def as_pressed(self) -> Sign:
        """The sign with a proof in the wood: as asked, else on the wood that its surface shows, or its own ground."""
        return self if self.wood is not None else replace(self, wood=ProofWood(self.surface.wood or HIDDEN))

    @property
    def safe_margin_mm(self) -> float:
        """How far the safe zone lies inside the rim: as asked, or 4 % of the smaller size and at least 5 mm."""
        if self.margin_mm is not None:
            return self.margin_mm
        return max(SMALLEST_MARGIN_MM, MARGIN_SHARE * self.blank.smaller_mm)
