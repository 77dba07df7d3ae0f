"""From option values to a sign: every option of the table ends in a field of the sign, or in a sentence.

Invariant: the same text and values make the same sign, whichever door they came in by.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, Literal, cast, get_args

from studio.basics.colour import Colour, parse_colour
from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.model.artwork import SMALLEST_ARTWORK_MM, ArtworkFit, ArtworkSetting
from studio.model.blank import HOLE_CLEARANCE_MM, Blank, parse_hole
from studio.model.options import BY_KEY, Value, default_values, nearest, yes_or_no
from studio.model.profile import PrinterProfile
from studio.model.sign import (
    SMALLEST_CAP_MM,
    Background,
    Composing,
    Composition,
    FaceChoice,
    Layout,
    LetteringOrder,
    ProofWood,
    Repair,
    Ring,
    SameSize,
    Sign,
)
from studio.model.surface import HIDDEN, Surface
from studio.model.woods import wood_named
from studio.storage.catalogue import Catalogue
from studio.storage.profiles import read_printer_profile

LONGEST_TEXT: Final = 500
LARGEST_WEIGHT: Final = 1000.0
_FEATURE: Final = re.compile(r"(?P<minus>-?)(?P<tag>[A-Za-z0-9]{4})(?:=(?P<value>\d{1,4}))?")
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")
_DEFAULTS: Final = default_values()
_ABSENT: Final = frozenset({"", "own", "none", "auto", "largest", "good", "same"})


def build_sign(text: str, values: Mapping[str, Value], catalogue: Catalogue, *, order: str = "") -> Sign:
    r"""Return the sign that a text and option values ask for.

    Args:
        text: What stands on the sign; a literal ``\n`` is a line end.
        values: Typed values by option key (underscores); what is not in it holds as by default.
        catalogue: Where names are looked up.
        order: The order's number or name.

    Raises:
        SettingsError: An option is unknown or its value is wrong; the message names the option.
        PictureError: The artwork's file cannot be used.
        FontError: The face's file is not there.
    """
    _Values.refuse_unknown(values)
    said = _Values(values)
    artwork = _artwork(said, catalogue)
    hint = artwork.artwork.layout_hint if artwork is not None else None
    blank = _blank(said, catalogue)
    main = _lettering(text, said, catalogue, cast(Layout | None, hint))
    return Sign(
        blank=blank,
        surface=_surface(said, catalogue),
        letterings=(main, *_also(said, main, catalogue)),
        artwork=artwork,
        margin_mm=said.length("margin"),
        bleed_mm=said.stated_length("bleed"),
        waste_mm=said.stated_length("waste"),
        dpi=said.whole("dpi"),
        background=said.choice("background", Background),
        repair=said.choice("repair", Repair),
        order=order,
        composing=_composing(said),
        wood=_wood(said),
        profile=_profile(said),
    )


def with_text(sign: Sign, text: str, *, order: str = "") -> Sign:
    """Return a sign with another first text and order, as `build_sign` would make it of the same options.

    Raises:
        SettingsError: The text is wrong.
    """
    main, *others = sign.letterings
    return replace(sign, letterings=(replace(main, text=_typed(text)), *others), order=order)


class _Values:
    """Option values with readers that name the option in every complaint."""

    def __init__(self, values: Mapping[str, Value]) -> None:
        self._said = {key: value for key, value in values.items() if value}

    @staticmethod
    def refuse_unknown(values: Mapping[str, Value]) -> None:
        for key in values:
            if key not in BY_KEY:
                name = key.replace("_", "-")
                hint = nearest(name, [option.name for option in BY_KEY.values()])
                raise SettingsError(f"There is no such option{hint}", option=key)

    def states(self, key: str) -> bool:
        return key in self._said

    def text(self, key: str) -> str:
        value = self._said.get(key, _DEFAULTS[key])
        if isinstance(value, str):
            return value.strip()
        if len(value) == 1:
            return value[0].strip()
        raise _wrong(key, f"{len(value)} values", "Give it once.")

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a repeatable option's values; the one word `none` or `auto` is no value."""
        value = self._said.get(key, ())
        lines = tuple(value.splitlines()) if isinstance(value, str) else value
        kept = tuple(line.strip() for line in lines if line.strip())
        return () if len(kept) == 1 and kept[0].lower() in _ABSENT else kept

    def length(self, key: str) -> float | None:
        text = self.text(key)
        return None if text.lower() in _ABSENT else parse_length_mm(text, option=key)

    def stated_length(self, key: str) -> float:
        return parse_length_mm(self.text(key), option=key)

    def point(self, key: str) -> tuple[float, float]:
        parts = self.text(key).split(",")
        if len(parts) != 2:
            raise _wrong(key, f"{self.text(key)[:40]!r} is not a position", "Write it like 5mm,-3mm (y up).")
        x_mm, y_mm = (parse_length_mm(part, option=key) for part in parts)
        return x_mm, y_mm

    def number(self, key: str, unit: str = "") -> float:
        text = self.text(key).strip()
        for ending in (unit, "deg", "degrees"):
            text = text.removesuffix(ending).strip() if ending else text
        if len(text) > 20 or not _NUMBER.fullmatch(text):
            raise _wrong(key, f"{self.text(key)[:40]!r} is not a number", f"Write it like {_DEFAULTS[key]}.")
        return float(text)

    def whole(self, key: str) -> int:
        value = self.number(key)
        if value != int(value):
            raise _wrong(key, f"{value:g} is not a whole number", f"Write it like {_DEFAULTS[key]}.")
        return int(value)

    def choice(self, key: str, literal: Any) -> Any:
        text = self.text(key).lower().replace("_", "-").replace(" ", "-")
        known: tuple[str, ...] = get_args(literal)
        if text not in known:
            hint = nearest(text, known, listed=f"it is one of {', '.join(known)}")
            raise SettingsError(f"{self.text(key)[:40]!r} is not known{hint}", option=key)
        return text

    def colour(self, key: str) -> Colour | None:
        text = self.text(key)
        return None if text.lower() in _ABSENT else parse_colour(text, option=key)

    def switch(self, key: str) -> bool:
        answer = yes_or_no(self.text(key))
        if answer is None:
            raise _wrong(key, f"{self.text(key)[:40]!r} is neither yes nor no", "Write yes or no.")
        return answer


def _composing(said: _Values) -> Composing:
    small = said.text("small")
    return Composing(
        composition=said.choice("composition", Composition),
        breathing_caps=None if said.text("breathing").lower() in _ABSENT else said.number("breathing"),
        emphasis=said.text("emphasis"),
        small="" if small.lower() in _ABSENT else small,
        same_size=said.choice("same_size", SameSize),
    )


def _blank(said: _Values, catalogue: Catalogue) -> Blank:
    blank = catalogue.blank(said.text("blank"))
    clearance_mm = said.stated_length("clearance") if said.states("clearance") else None
    if not said.states("hole") or _own_holes(said):
        if clearance_mm is None or not blank.holes:
            return blank
        return replace(blank, holes=tuple(replace(hole, clearance_mm=clearance_mm) for hole in blank.holes))
    reach_mm = HOLE_CLEARANCE_MM if clearance_mm is None else clearance_mm
    return replace(blank, holes=tuple(parse_hole(text, reach_mm) for text in said.texts("hole")))


def _own_holes(said: _Values) -> bool:
    """Whether the word `auto` was said, which asks for the blank's holes as they are."""
    return not said.texts("hole") and said.text("hole").lower() in ("auto", "own")


def _surface(said: _Values, catalogue: Catalogue) -> Surface:
    surface = catalogue.surface(said.text("surface"))
    spread_mm = said.length("spread")
    return surface if spread_mm is None else surface.with_spread(spread_mm)


def _wood(said: _Values) -> ProofWood | None:
    """Return what the proof is shown in; `None` leaves it plain."""
    grain = said.text("grain").lower()
    named = {"along": 0.0, "across": 90.0}
    degrees = named[grain] if grain in named else said.number("grain", "°") if _looks_numeric(grain) else None
    if degrees is None:
        raise _wrong("grain", f"{grain[:40]!r} is not a direction", "Write along, across, or degrees such as 15.")
    name = said.text("wood").lower()
    if name == "plain":
        return None
    if name != HIDDEN:
        wood_named(name)
    return ProofWood(name, math.radians(degrees % 180))


def _profile(said: _Values) -> PrinterProfile | None:
    name = said.text("profile")
    return None if name.lower() == "none" else read_printer_profile(Path(name).expanduser())


def _looks_numeric(text: str) -> bool:
    return any(letter.isdigit() for letter in text)


def _artwork(said: _Values, catalogue: Catalogue) -> ArtworkSetting | None:
    name = said.text("artwork")
    fit_text = said.text("artwork_fit").lower()
    fit: ArtworkFit = "width"
    width_mm: float | None = None
    if fit_text in ("original", "own", "cover", "contain"):
        fit = cast(Literal["own", "cover", "contain"], fit_text.replace("original", "own"))
    else:
        width_mm = _artwork_width_mm(fit_text)
    x_mm, y_mm = said.point("artwork_at")
    threshold = said.number("artwork_threshold", "%")
    if not 0 <= threshold <= 100:
        raise _wrong(
            "artwork_threshold",
            f"{threshold:g} % is not possible",
            "From 0 (any trace counts as picture) to 100 (only what is wholly opaque does).",
        )
    turn_rad = math.radians(said.number("artwork_turn", "°"))
    if name.lower() == "none":
        return None  # what was said of it has been read all the same, so that a mistake in it is told
    artwork = catalogue.artwork(name)
    return ArtworkSetting(artwork, fit, width_mm, x_mm, y_mm, turn_rad, threshold)


def _artwork_width_mm(text: str) -> float:
    if not any(letter.isdigit() for letter in text):
        hint = nearest(text, ("original", "cover", "contain"))
        raise SettingsError(
            f"{text[:40]!r} is not known{hint}",
            advice="Write original, cover, contain, or a width like 260mm.",
            option="artwork_fit",
        )
    width_mm = parse_length_mm(text, option="artwork_fit")
    if not SMALLEST_ARTWORK_MM <= width_mm <= 4000:
        raise _wrong(
            "artwork_fit",
            f"a width of {width_mm:g} mm is not possible",
            f"From {SMALLEST_ARTWORK_MM:g} mm to 4000 mm.",
        )
    return width_mm


def _lettering(text: str, said: _Values, catalogue: Catalogue, layout_hint: Layout | None) -> LetteringOrder:
    layout: Layout = said.choice("layout", Layout)
    cap_mm, max_cap_mm = said.length("cap"), said.length("max_cap")
    x_mm, y_mm = said.point("shift")
    return LetteringOrder(
        text=_typed(text),
        layout=layout_hint if layout == "auto" and layout_hint is not None else layout,
        face=FaceChoice(_face_name(said, "face", catalogue), _weight(said)),
        colour=said.colour("color"),
        cap_mm=cap_mm,
        min_cap_mm=_min_cap_mm(said, cap_mm, max_cap_mm),
        max_cap_mm=max_cap_mm,
        shift_x_mm=x_mm,
        shift_y_mm=y_mm,
        sweep_rad=math.radians(said.number("sweep", "°")),
        spacing=said.choice("spacing", _field_type("spacing")),
        follow=said.choice("follow", _field_type("follow")),
        case=said.choice("case", _field_type("case")),
        features=_features(said.text("features")),
        ring=_ring(said.text("outline")),
        fallback=said.switch("fallback"),
    )


def _also(said: _Values, main: LetteringOrder, catalogue: Catalogue) -> tuple[LetteringOrder, ...]:
    """Return the further texts: set like the first, but never at its fixed size nor moved with it."""
    orders = []
    face = main.face
    if said.text("also_face").lower() not in _ABSENT:
        face = FaceChoice(_face_name(said, "also_face", catalogue))
    colour = main.colour if said.text("also_color").lower() == "same" else said.colour("also_color")
    for item in said.texts("also"):
        layout, equals, text = item.partition("=")
        word = layout.strip().lower().replace("_", "-")
        layouts: tuple[str, ...] = get_args(Layout)
        if not equals or word not in layouts:
            hint = nearest(word, layouts) if equals else "."
            raise SettingsError(
                f"{item[:60]!r} does not start with a layout{hint}",
                advice=f"Write it like arc-bottom='est. 2019', with one of {', '.join(layouts)}.",
                option="also",
            )
        if not text.strip():
            raise _wrong("also", f"{item[:60]!r} holds no text", "Write it like arc-bottom='est. 2019'.")
        order = replace(
            main, text=_typed(text), layout=cast(Layout, word), face=face, colour=colour,
            cap_mm=None, min_cap_mm=_min_cap_mm(said, None, main.max_cap_mm), shift_x_mm=0.0, shift_y_mm=0.0,
        )  # fmt: skip
        orders.append(order)
    return tuple(orders)


def _min_cap_mm(said: _Values, *sizes_mm: float | None) -> float:
    """Return the smallest cap height asked for; unasked it gives way to a smaller size that was asked for."""
    if said.states("min_cap"):
        return said.stated_length("min_cap")
    return min([SMALLEST_CAP_MM, *(size_mm for size_mm in sizes_mm if size_mm is not None and size_mm > 0)])


def _typed(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise SettingsError(
            f"The text is {len(text)} characters long; a sign takes {LONGEST_TEXT}.",
            advice="Shorten it.",
            option="text",
        )
    try:
        text = text.encode("utf-8", "surrogateescape").decode("utf-8")  # as typed, whatever the locale says
    except UnicodeError:
        raise SettingsError(
            "The text is not valid UTF-8.", advice="Type it in a terminal that is set to UTF-8.", option="text"
        ) from None
    return text.replace("\\n", "\n").replace("\r\n", "\n").replace("\r", "\n")


def _face_name(said: _Values, key: str, catalogue: Catalogue) -> str:
    """Return the face's name as the catalogue spells it, so that one face has one name everywhere."""
    text = said.text(key)
    try:
        source = catalogue.face(text)
    except SettingsError as problem:
        raise problem.about(key) from None
    return source.entry.name


def _weight(said: _Values) -> float | None:
    if said.text("weight").lower() in _ABSENT:
        return None
    weight = said.number("weight")
    if not 1 <= weight <= LARGEST_WEIGHT:
        raise _wrong("weight", f"{weight:g} is not possible", f"From 1 to {LARGEST_WEIGHT:.0f}; 400 is regular.")
    return weight


def _features(text: str) -> tuple[tuple[str, int], ...]:
    if text.lower() in _ABSENT:
        return ()
    features: dict[str, int] = {}
    for part in text.replace(" ", ",").split(","):
        if not part:
            continue
        match = _FEATURE.fullmatch(part)
        if match is None:
            raise _wrong("features", f"{part[:20]!r} is not a feature", "Write them like ss01,liga=0.")
        features[match["tag"]] = 0 if match["minus"] else int(match["value"] or 1)
    return tuple(features.items())


def _ring(text: str) -> Ring | None:
    if text.lower() in _ABSENT:
        return None
    width, colon, colour = text.partition(":")
    width_mm = parse_length_mm(width, option="outline")
    if not 0 < width_mm <= 50:
        raise _wrong("outline", f"a width of {width_mm:g} mm is not possible", "Over 0 mm and up to 50 mm.")
    return Ring(width_mm, parse_colour(colour, option="outline") if colon else None)


def _field_type(name: str) -> Any:
    from studio.model import sign

    return {"spacing": sign.Spacing, "follow": sign.Follow, "case": sign.LetterCase}[name]


def _wrong(key: str, what: str, advice: str) -> SettingsError:
    return SettingsError(f"{what[0].upper()}{what[1:]}.", advice=advice, option=key)
