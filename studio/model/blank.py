"""The piece of wood as measured: its rim, its holes and its thickness."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm, spoken_size
from studio.geometry.shapes import Rim, Shape

SMALLEST_MM: Final = 20.0
LARGEST_MM: Final = 2000.0
HOLE_CLEARANCE_MM: Final = 5.0
_SHAPES: Final[dict[str, Shape]] = {"round": "round", "oval": "oval", "rect": "rect"}


@dataclass(frozen=True, slots=True)
class Hole:
    """A drilled hole; the lettering keeps `clearance_mm` away from its edge."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    clearance_mm: float = HOLE_CLEARANCE_MM


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank as measured at its widest and tallest.

    A round whose two measurements differ is kept as the ellipse it is.
    """

    name: str
    shape: Shape
    width_mm: float
    height_mm: float
    corner_radius_mm: float = 0.0
    holes: tuple[Hole, ...] = ()
    thickness_mm: float | None = None
    description: str = ""
    rim: Rim = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        for size_mm in (self.width_mm, self.height_mm):
            if not SMALLEST_MM <= size_mm <= LARGEST_MM:
                raise SettingsError(
                    f"{self.name}: {size_mm:.1f} mm is outside what can be made.",
                    advice=f"Sizes go from {SMALLEST_MM:.0f} mm to {LARGEST_MM:.0f} mm.",
                    option="blank",
                )
        if self.corner_radius_mm < 0 or self.corner_radius_mm > min(self.width_mm, self.height_mm) / 2:
            raise SettingsError(
                f"{self.name}: a corner radius of {self.corner_radius_mm:.1f} mm does not fit on "
                f"{spoken_size(self.width_mm, self.height_mm)}.",
                advice=f"At most {min(self.width_mm, self.height_mm) / 2:.1f} mm.",
                option="blank",
            )
        for hole in self.holes:
            if hole.diameter_mm <= 0 or hole.clearance_mm < 0:
                raise SettingsError(
                    f"{self.name}: a hole needs a diameter over 0 and a clearance of 0 or more.",
                    advice="Write it like 0mm,110mm,8mm.",
                    option="hole",
                )
            if abs(hole.x_mm) > self.width_mm / 2 or abs(hole.y_mm) > self.height_mm / 2:
                raise SettingsError(
                    f"{self.name}: the hole at {hole.x_mm:.1f}, {hole.y_mm:.1f} mm lies off the blank "
                    f"({spoken_size(self.width_mm, self.height_mm)}).",
                    advice="Positions are measured from the centre, y up.",
                    option="hole",
                )
        rim = Rim(self.shape, self.width_mm, self.height_mm, self.corner_radius_mm)
        object.__setattr__(self, "rim", rim)

    @property
    def smaller_mm(self) -> float:
        """The smaller of the two measurements."""
        return min(self.width_mm, self.height_mm)


def parse_blank(text: str) -> Blank:
    """Return the blank that `round:10in`, `oval:300mmx200mm` or `rect:12inx6in:10mm` describes.

    Raises:
        SettingsError: The shape, a size or the number of parts is wrong.
    """
    kind, _, rest = text.strip().partition(":")
    shape = _SHAPES.get(kind.strip().lower())
    parts = [part for part in rest.split(":") if part.strip()]
    if shape is None or not parts or len(parts) > (2 if shape == "rect" else 1):
        raise SettingsError(
            f"{text[:60]!r} is not a shape and a size.",
            advice="Write it like round:10in, round:254mmx250mm, oval:300mmx200mm or rect:12inx6in:10mm.",
            option="blank",
        )
    sizes = parts[0].lower().replace("×", "x").split("x")
    if len(sizes) not in (1, 2) or (shape == "oval" and len(sizes) == 1):
        raise SettingsError(
            f"{text[:60]!r} needs a width and a height.",
            advice="Write it like oval:300mmx200mm.",
            option="blank",
        )
    width_mm = _measured(sizes[0], "width", "blank")
    height_mm = _measured(sizes[-1], "height", "blank")
    corner_mm = _measured(parts[1], "corner radius", "blank") if len(parts) == 2 else 0.0
    return Blank(text.strip(), shape, width_mm, height_mm, corner_mm)


def parse_hole(text: str, clearance_mm: float = HOLE_CLEARANCE_MM) -> Hole:
    """Return the hole that `X,Y,DIAMETER` describes, such as `0mm,110mm,8mm`.

    Raises:
        SettingsError: There are not three lengths.
    """
    parts = text.split(",")
    if len(parts) != 3:
        raise SettingsError(
            f"{text[:60]!r} is not a position and a diameter.",
            advice="Write it like 0mm,110mm,8mm (y up).",
            option="hole",
        )
    x_mm, y_mm, diameter_mm = (
        _measured(part, what, "hole") for part, what in zip(parts, ("across", "up", "diameter"), strict=True)
    )
    return Hole(x_mm, y_mm, diameter_mm, clearance_mm)


def _measured(text: str, what: str, option: str) -> float:
    """Return one of the lengths of an option, named in what is said about it."""
    try:
        return parse_length_mm(text, what=what)
    except SettingsError as problem:
        raise problem.about(option) from None
