"""The sign options: one table for command line, order list, settings file, environment and the studio's forms.

Every value is the text that a person types (a tuple of texts where an option may be given more than once), whatever
door it comes in by. Nothing heavy is imported here: the command line's help is made from this table.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final, NamedTuple, TypeAlias

Value: TypeAlias = str | tuple[str, ...]
"""What was typed; a tuple for a repeatable option. An empty value means that nothing was said."""

ENVIRONMENT_PREFIX: Final = "SAPWOOD_"
FOLDER_KEYS: Final = ("font_folder", "artwork_folder")
"""Shop settings beside the sign options: folders with faces and pictures of the workshop's own."""
_OTHER_VARIABLES: Final = ("SETTINGS", "STATE")
_YES: Final = frozenset({"yes", "true", "on", "1"})
_NO: Final = frozenset({"no", "false", "off", "0"})


class SignOption(NamedTuple):
    """One option of a sign.

    Attributes:
        name: As typed after `--`, with dashes.
        default: The text that says what holds when nothing is said.
        metavar: What its value looks like.
        help: One line for people.
        group: The heading that it stands under.
        repeatable: Whether it may be given more than once.
        choices: All its values, when there are few.
        is_switch: Whether it is `--name` or `--no-name`; its values are then yes and no.
    """

    name: str
    default: str
    metavar: str
    help: str
    group: str
    repeatable: bool = False
    choices: tuple[str, ...] = ()
    is_switch: bool = False

    @property
    def key(self) -> str:
        """The name with underscores, as in columns, settings and `values`."""
        return self.name.replace("-", "_")


LAYOUTS: Final = ("auto", "arc-top", "arc-bottom", "box")

_BLANK, _ART, _LETTERS, _PRINT = "blank and surface", "artwork", "lettering", "print"

OPTIONS: Final[tuple[SignOption, ...]] = (
    SignOption("blank", "round-10in", "NAME|SHAPE:SIZE", "the piece of wood, e.g. oval:300mmx200mm", _BLANK),
    SignOption("hole", "auto", "X,Y,DIAMETER", "hole to use instead of the blank's; repeatable, or none", _BLANK, True),
    SignOption("clearance", "5mm", "LENGTH", "how far lettering keeps from a hole", _BLANK),
    SignOption("margin", "auto", "LENGTH", "safe zone inside the rim (auto: 4 % of the size, at least 5mm)", _BLANK),
    SignOption("surface", "painted", "NAME", "what the dye goes into", _BLANK),
    SignOption("spread", "auto", "LENGTH", "blur of a fine line, in place of the surface's own", _BLANK),
    SignOption("artwork", "pine-ring", "NAME|FILE|none", "the base picture", _ART),
    SignOption("artwork-fit", "original", "cover|contain|paper|LENGTH", "its printed size, or its width", _ART),
    SignOption("artwork-at", "0mm,0mm", "X,Y", "where its centre goes, y up", _ART),
    SignOption("artwork-turn", "0", "DEGREES", "turned counter-clockwise", _ART),
    SignOption("artwork-threshold", "4", "PERCENT", "opacity from which it counts as picture", _ART),
    SignOption("face", "Pacifico", "NAME|FILE", "the letters' face", _LETTERS),
    SignOption("weight", "auto", "N", "weight of a face that has several", _LETTERS),
    SignOption(
        "layout", "auto", "WHERE", "along the rim, in a box, or as suits artwork and text", _LETTERS, False, LAYOUTS
    ),
    SignOption(
        "composition", "balanced", "HOW", "air round the name and small words small, or as large as fits", _LETTERS,
        False, ("largest", "full", "balanced", "calm"),
    ),
    SignOption("breathing", "auto", "CAPS", "clear room round the lettering, in cap heights, e.g. 0.3", _LETTERS),
    SignOption("emphasis", "auto", "auto|none|WORDS", "which words stand large, e.g. \"Okafor\"", _LETTERS),
    SignOption("small", "none", "WORDS", "words to set small, e.g. \"The, est. 1952\"", _LETTERS),
    SignOption(
        "same-size", "no", "WHOM", "capitals of one height over a list, or over one order of it", _LETTERS, False,
        ("no", "list", "order"),
    ),
    SignOption("also", "none", "LAYOUT=TEXT", "one more text, e.g. arc-bottom='est. 2019'; repeatable", _LETTERS, True),
    SignOption("also-face", "same", "NAME|FILE", "the face of those", _LETTERS),
    SignOption("also-color", "same", "#RRGGBB", "colour of the second texts", _LETTERS),
    SignOption("cap", "largest", "LENGTH", "height of the capitals, fixed", _LETTERS),
    SignOption("max-cap", "none", "LENGTH", "no capitals taller than this", _LETTERS),
    SignOption("min-cap", "5mm", "LENGTH", "no capitals smaller than this", _LETTERS),
    SignOption("shift", "0mm,0mm", "X,Y", "offset of the lettering from where it was fitted", _LETTERS),
    SignOption("sweep", "160", "DEGREES", "most of the circle that an arc may take, up to 330", _LETTERS),
    SignOption("color", "auto", "#RRGGBB", "colour of the letters (auto: the artwork's)", _LETTERS),
    SignOption("outline", "none", "LENGTH[:#RRGGBB]", "a line round the letters", _LETTERS),
    SignOption("spacing", "even", "HOW", "even gaps on arcs, or the font's own", _LETTERS, False, ("even", "plain")),
    SignOption(
        "follow", "auto", "HOW", "turn each letter, or bend joined script along the arc", _LETTERS, False,
        ("auto", "letters", "outline"),
    ),
    SignOption(
        "case", "typed", "HOW", "capitals or not", _LETTERS, False, ("typed", "capitals", "small-capitals")
    ),
    SignOption("features", "none", "TAGS", "OpenType features, e.g. ss01,liga=0", _LETTERS),
    SignOption("fallback", "yes", "", "take letters that the face lacks from another face", _LETTERS, is_switch=True),
    SignOption(
        "repair", "none", "HOW", "make thin strokes sturdier", _LETTERS, False, ("none", "weight", "offset", "auto")
    ),
    SignOption(
        "wood", "plain", "NAME", "proof as pressed into a wood; none: as pressed on plain ground", _PRINT, False,
        ("plain", "maple", "birch", "basswood", "pine", "none"),
    ),
    SignOption("grain", "along", "along|across|DEGREES", "which way that wood's grain runs", _PRINT),
    SignOption("profile", "none", "FILE", "the printer's ICC profile: print converted, proof as it comes out", _PRINT),
    SignOption("bleed", "3mm", "LENGTH", "how far the artwork runs past the edge", _PRINT),
    SignOption("waste", "6mm", "LENGTH", "extra margin round the bleed for printer's marks", _PRINT),
    SignOption("dpi", "300", "N", "pixels an inch, 36 to 1200", _PRINT),
    SignOption("background", "white", "HOW", "page background", _PRINT, False, ("white", "transparent")),
)  # fmt: skip
"""Every sign option, in the order of the help."""

BY_KEY: Final[dict[str, SignOption]] = {option.key: option for option in OPTIONS}


def option_keys() -> frozenset[str]:
    """Return the names of all sign options with underscores, as columns and settings spell them."""
    return frozenset(BY_KEY)


def default_values() -> dict[str, Value]:
    """Return what holds when nothing is said, option by option; repeatable ones are empty."""
    return {option.key: () if option.repeatable else option.default for option in OPTIONS}


def from_cells(cells: Mapping[str, str]) -> dict[str, Value]:
    """Return cells of a list, or settings, as option values; empty ones are left out, unknown ones too.

    A repeatable option's cell holds one value a line.
    """
    values: dict[str, Value] = {}
    for name, text in cells.items():
        option = BY_KEY.get(name.replace("-", "_"))
        if option is None or not text.strip():
            continue
        if option.repeatable:
            values[option.key] = tuple(line.strip() for line in text.splitlines() if line.strip())
        else:
            values[option.key] = text.strip()
    return values


def from_environment(environment: Mapping[str, str]) -> dict[str, Value]:
    """Return the options that variables such as `SAPWOOD_BLANK` or `SAPWOOD_MAX_CAP` hold."""
    prefix = len(ENVIRONMENT_PREFIX)
    return from_cells(
        {name[prefix:].lower(): text for name, text in environment.items() if name.startswith(ENVIRONMENT_PREFIX)}
    )


def stray_variables(environment: Mapping[str, str]) -> tuple[str, ...]:
    """Return sentences on variables that look like options and are none."""
    known = {ENVIRONMENT_PREFIX + name.upper() for name in (*BY_KEY, *FOLDER_KEYS, *_OTHER_VARIABLES)}
    strays = sorted(name for name in environment if name.startswith(ENVIRONMENT_PREFIX) and name not in known)
    return tuple(f"The variable {name} is not a recognised setting; ignored{nearest(name, known)}" for name in strays)


def merged_values(*layers: Mapping[str, Value]) -> dict[str, Value]:
    """Return all layers as one, the later over the earlier; what is empty covers nothing.

    In a run the layers go: user's settings, the folder's, environment, options, the row's cells.
    """
    merged: dict[str, Value] = {}
    for layer in layers:
        merged.update({name: value for name, value in layer.items() if value})
    return merged


def yes_or_no(text: str) -> bool | None:
    """Return what a switch's text says; `None` when it says neither."""
    word = text.strip().lower()
    return True if word in _YES else False if word in _NO else None


def nearest(name: str, known: Iterable[str], *, listed: str = "") -> str:
    """Return the end of a sentence: the nearest known name, or else what `listed` says, or a full stop."""
    import difflib

    by_plain = {_plain(candidate): candidate for candidate in known}
    close = difflib.get_close_matches(_plain(name[:80]), by_plain, n=1, cutoff=0.55)
    if close:
        return f"; did you mean {by_plain[close[0]]!r}?"
    return f"; {listed}." if listed else "."


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
