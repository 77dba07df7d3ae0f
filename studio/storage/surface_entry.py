"""One surface of a settings file: read from its entry, and written as one."""

from __future__ import annotations

import re
from typing import Final

from studio.basics.colour import parse_colour
from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.model.dye import DENSITY, MIXINGS, Mixing
from studio.model.surface import HIDDEN, FinestMarks, Surface
from studio.model.woods import wood_named
from studio.storage.settings import Entry

SURFACE_ENTRY_KEYS: Final = frozenset(
    {
        "spread",
        "spread-along",
        "spread-across",
        "mixing",
        "solid-density",
        "finest-stroke",
        "finest-gap",
        "finest-dot",
        "finest-counter",
        "measured",
        "wood",
        "base-color",
        "description",
    }
)
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
_PLAIN_NAME: Final = re.compile(r"[A-Za-z0-9_-]+")


def surface_of(entry: Entry) -> Surface:
    """Return the surface that an entry describes.

    Raises:
        SettingsError: A value is missing, wrong or not possible; the message names file, surface and value.
    """
    said = {setting.name.replace("-", "_"): setting.value for setting in entry.settings}
    where = f"{entry.file}: surface {entry.name}"

    def length(key: str) -> float | None:
        return parse_length_mm(said[key], what=key) if key in said else None

    try:
        along_mm, across_mm = length("spread_along"), length("spread_across")
        stated = [value for value in (length("spread"), along_mm, across_mm) if value is not None]
        if "spread" not in said and None in (along_mm, across_mm):
            raise SettingsError(
                "has no spread.", advice='Write it like spread = "0.27mm", or both spread_along and spread_across.'
            )
        return Surface(
            name=entry.name,
            spread_mm=max(stated),
            base_colour=parse_colour(said.get("base_color", "#ffffff"), what="base_color"),
            description=said.get("description", ""),
            along_mm=along_mm,
            across_mm=across_mm,
            mixing=_mixing(said.get("mixing", "")),
            solid_density=_density(said.get("solid_density", f"{DENSITY:g}")),
            finest=FinestMarks(
                length("finest_stroke"), length("finest_gap"), length("finest_dot"), length("finest_counter")
            ),
            measured=_day(said.get("measured", "")),
            wood=_wood(said.get("wood", "")),
        )
    except SettingsError as problem:
        told = problem.message.removeprefix(f"surface {entry.name}: ")
        joined = " " if told.startswith("has ") else ": "
        raise SettingsError(f"{where}{joined}{told}", advice=problem.advice) from problem


def entry_text(surface: Surface) -> str:
    """Return a surface as the entry of a settings file, which `surface_of` reads back; lengths to 0.01 mm."""
    name = surface.name if _PLAIN_NAME.fullmatch(surface.name) else _quoted(surface.name)
    lines = [f"[surfaces.{name}]"]
    if surface.along_mm is None and surface.across_mm is None:
        lines.append(f'spread = "{surface.spread_mm:.2f}mm"')
    else:
        lines.append(f'spread_along = "{surface.spread_along_mm:.2f}mm"')
        lines.append(f'spread_across = "{surface.spread_across_mm:.2f}mm"')
    if surface.mixing is not None:
        lines.append(f'mixing = "{surface.mixing}"')
    lines.append(f"solid_density = {surface.solid_density:.2f}")
    for key, value_mm in (
        ("stroke", surface.finest.stroke_mm),
        ("gap", surface.finest.gap_mm),
        ("dot", surface.finest.dot_mm),
        ("counter", surface.finest.counter_mm),
    ):
        if value_mm is not None:
            lines.append(f'finest_{key} = "{value_mm:.2f}mm"')
    if surface.measured:
        lines.append(f'measured = "{surface.measured}"')
    if surface.wood:
        lines.append(f'wood = "{surface.wood}"')
    lines.append(f'base_color = "{surface.base_colour.hex}"')
    if surface.description:
        lines.append(f"description = {_quoted(surface.description)}")
    return "\n".join(lines) + "\n"


def _mixing(text: str) -> Mixing | None:
    said = text.strip().lower()
    known: Mixing | None = next((mixing for mixing in MIXINGS if mixing == said), None)
    if said and known is None:
        raise SettingsError(
            f"mixing {text[:40]!r} is not known.",
            advice="Write dye where dye itself spreads, cover where only light does, or leave it out.",
        )
    return known


def _wood(text: str) -> str:
    name = text.strip().lower()
    if name and name != HIDDEN:
        wood_named(name)
    return name


def _density(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise SettingsError(
            f"solid_density {text[:40]!r} is not a number.", advice=f"Write it like {DENSITY:g}."
        ) from None


def _day(text: str) -> str:
    if text and not _DAY.fullmatch(text.strip()):
        raise SettingsError(f"measured {text[:40]!r} is not a day.", advice="Write it like 2026-05-31.")
    return text.strip()


def _quoted(text: str) -> str:
    """Return a text as a basic string of TOML."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(f"\\u{ord(letter):04X}" if ord(letter) < 32 else letter for letter in escaped) + '"'
