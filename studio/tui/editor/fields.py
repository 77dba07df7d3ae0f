"""The five stations of the bench and the fields at each, in the maker's order of work.

Invariant: every sign option of the shared table has its field here, and no field is without an option, but for the
name, the parts of a blank's measurements and the folder.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal, NamedTuple, TypeAlias

from studio.errors import StudioError
from studio.model.blank import Blank
from studio.model.options import BY_KEY, Value
from studio.storage.catalogue import Catalogue

SHAPES: Final = ("round", "oval", "rect")
SHAPE_WORDS: Final = {"round": "round", "oval": "oval", "rect": "rectangle"}


@dataclass(frozen=True, slots=True)
class BlankParts:
    """A blank as typed, part by part; whatever is typed stays as it is."""

    shape: str = "round"
    width: str = ""
    height: str = ""
    corner: str = ""


def parts_of(text: str, catalogue: Catalogue) -> BlankParts:
    """Return the parts of a blank's name, or of `SHAPE:SIZE`."""
    if ":" not in text:
        try:
            return _measured(catalogue.blank(text))
        except StudioError:
            return BlankParts("round", "", "", "")
    shape, _, rest = text.partition(":")
    size, _, corner = rest.partition(":")
    width, cross, height = size.replace("×", "x").partition("x")
    return BlankParts(shape, width, height if cross else width, corner)


def blank_text(parts: BlankParts) -> str:
    """Return the parts as an option's value."""
    size = parts.width if parts.width == parts.height and parts.shape != "oval" else f"{parts.width}x{parts.height}"
    corner = f":{parts.corner}" if parts.corner and parts.shape == "rect" else ""
    return f"{parts.shape}:{size}{corner}"


def with_part(text: str, holes: Value, part: str, typed: str, catalogue: Catalogue) -> tuple[str, Value]:
    """Return the blank and its holes once one part is typed; a catalogue blank's own holes are kept.

    Args:
        text: The blank as it is.
        holes: The holes as they are said.
        part: `shape`, `width`, `height` or `corner`.
        typed: What was typed.
        catalogue: Where names are looked up.
    """
    parts = replace(parts_of(text, catalogue), **{part: typed.strip()})
    kept = holes
    if ":" not in text and not holes:
        kept = own_holes(text, catalogue)
    return blank_text(parts), kept


def own_holes(text: str, catalogue: Catalogue) -> tuple[str, ...]:
    """Return a catalogue blank's holes as they are typed."""
    try:
        blank = catalogue.blank(text)
    except StudioError:
        return ()
    return tuple(f"{hole.x_mm:g}mm,{hole.y_mm:g}mm,{hole.diameter_mm:g}mm" for hole in blank.holes)


def _measured(blank: Blank) -> BlankParts:
    corner = f"{blank.corner_radius_mm:g}mm" if blank.corner_radius_mm else ""
    return BlankParts(blank.shape, f"{blank.width_mm:g}mm", f"{blank.height_mm:g}mm", corner)


FieldKind: TypeAlias = Literal["typed", "choice", "list", "switch"]


class Field(NamedTuple):
    """One line of a station.

    Attributes:
        key: The option's key, or one of `text`, `shape`, `width`, `height`, `corner`, `also_layout`, `also_text`,
            `folder`.
        label: As shown.
        kind: `typed` text, a `choice` of a few words, a `list` to look through, or a yes-or-no `switch`.
        hint: One line on what may stand there.
        choices: The words of a choice.
        is_fine: Whether it stands under the line `finer points`.
    """

    key: str
    label: str
    kind: FieldKind
    hint: str
    choices: tuple[str, ...] = ()
    is_fine: bool = False


class Station(NamedTuple):
    """One place at the bench: its name, the question it answers, the id of its key, and its fields."""

    name: str
    title: str
    question: str
    fields: tuple[Field, ...]


def _few(key: str) -> tuple[str, ...]:
    return BY_KEY[key].choices


STATIONS: Final[tuple[Station, ...]] = (
    Station(
        "wood",
        "Wood",
        "Which piece of wood lies here?",
        (
            Field("blank", "Blank", "list", "A blank by name. Enter shows them all, ← and → try the next."),
            Field("shape", "Shape", "choice", "The piece as you measured it.", SHAPES),
            Field("width", "Width", "typed", "At its widest, such as 254mm, 10in or 10 1/2in."),
            Field("height", "Height", "typed", "At its tallest, such as 254mm. Rounds are seldom true: measure both."),
            Field("surface", "Surface", "list", "What the dye goes into. It decides how fine a stroke may be."),
            Field("corner", "Corners", "typed", "Radius of a rectangle's corners, such as 10mm.", is_fine=True),
            Field(
                "hole", "Holes", "typed",
                "across,up,diameter from the middle, such as 0mm,110mm,8mm; several with a ; between; or none.",
                is_fine=True,
            ),
            Field("clearance", "Round holes", "typed", "How far lettering keeps from a hole: 5mm.", is_fine=True),
            Field("margin", "Safe zone", "typed", "How far lettering keeps from the rim: auto, or 8mm.", is_fine=True),
            Field("spread", "Blur", "typed", "Blur of a fine line on your own stock: 0.27mm, or own.", is_fine=True),
            Field("wood", "Proof on", "choice", "Proof pressed into this wood, or plain.", _few("wood"), True),
            Field("grain", "Grain", "typed", "Which way it runs: along, across, or degrees such as 15.", is_fine=True),
        ),
    ),
    Station(
        "picture",
        "Picture",
        "What goes round the name?",
        (
            Field("artwork", "Artwork", "list", "Enter shows them all. A picture file dropped here is taken too."),
            Field("artwork_fit", "Size", "typed", "own, cover, contain, or a width such as 260mm."),
            Field("artwork_at", "Moved", "typed", "right,up from the middle, such as 5mm,-3mm."),
            Field("artwork_turn", "Turned", "typed", "Degrees to the left, such as 15."),
            Field("artwork_threshold", "Counts from", "typed", "Opacity in percent that counts.", is_fine=True),
        ),
    ),
    Station(
        "name",
        "Name",
        "Whose sign is it?",
        (
            Field("text", "Name", "typed", r"The customer's name. Type \n where a new line begins."),
            Field("also_text", "Second", "typed", "A second text, such as est. 2019. Leave it empty for none."),
            Field("also_layout", "stands", "choice", "Where the second text stands.", _few("layout")),
            Field("case", "Capitals", "choice", "As typed, or all in capitals.", _few("case"), True),
            Field("fallback", "Lend letters", "switch", "Letters that the face lacks come from another.", is_fine=True),
        ),
    ),
    Station(
        "look",
        "Look",
        "How shall it look?",
        (
            Field("face", "Face", "list", "Enter shows them all; the sign shows each as you move."),
            Field(
                "composition", "Composed", "choice", "How much air is left, or as large as fits.", _few("composition")
            ),
            Field("layout", "Laid", "choice", "Along the rim, in a box, or what comes out largest.", _few("layout")),
            Field("weight", "Weight", "typed", "good, or a number such as 600, where the face has several."),
            Field("color", "Colour", "typed", "own (the artwork's), or #rrggbb such as #3b2314."),
            Field("outline", "Ring", "typed", "A ring round the letters: none, 1.5mm, or 1.5mm:#ffffff."),
            Field("cap", "Cap height", "typed", "Height of the capitals: largest, or 24mm."),
            Field("repair", "Mend", "choice", "Thin strokes made sturdier by themselves.", _few("repair")),
            Field("breathing", "Air", "typed", "Clear room in cap heights: own, or 0.3.", is_fine=True),
            Field("emphasis", "Large", "typed", "Words that stand large: auto, none, or the words.", is_fine=True),
            Field("small", "Small", "typed", "Words to be set small: none, or The, est. 1952.", is_fine=True),
            Field("same_size", "Same size", "choice", "In a list: one height for all.", _few("same_size"), True),
            Field("max_cap", "at most", "typed", "No capitals taller than this: none, or 40mm.", is_fine=True),
            Field("min_cap", "at least", "typed", "No capitals smaller than this: 5mm.", is_fine=True),
            Field("shift", "Moved", "typed", "right,up from where it was fitted, such as 0mm,-4mm.", is_fine=True),
            Field("sweep", "Arc", "typed", "Most degrees of the circle that an arc may take: 160.", is_fine=True),
            Field("spacing", "Gaps", "choice", "On arcs: evened, or plainly as they come.", _few("spacing"), True),
            Field("follow", "Bend", "choice", "On arcs: letters turned, or outlines led.", _few("follow"), True),
            Field("features", "Features", "typed", "The face's own extras, such as ss01,liga=0.", is_fine=True),
            Field("also_face", "Second in", "typed", "The face of the second text: same, or a name.", is_fine=True),
            Field("also_color", "its colour", "typed", "same, or #rrggbb.", is_fine=True),
        ),
    ),
    Station(
        "make",
        "Make",
        "Where does it go?",
        (
            Field("folder", "Folder", "typed", "Where the files go. It is made where there is none."),
            Field("profile", "Profile", "typed", "The printer's ICC profile: none, or a file.", is_fine=True),
            Field("bleed", "Bleed", "typed", "How far the artwork runs past the edge: 3mm.", is_fine=True),
            Field("waste", "Waste", "typed", "Room round that for the marks: 6mm.", is_fine=True),
            Field("dpi", "Density", "typed", "Pixels an inch, 36 to 1200.", is_fine=True),
            Field("background", "Ground", "choice", "What is where nothing is.", _few("background"), True),
        ),
    ),
)  # fmt: skip
"""The stations, in the order of work."""

FIELDS: Final[dict[str, Field]] = {field.key: field for station in STATIONS for field in station.fields}
STATION_OF: Final[dict[str, str]] = {field.key: station.name for station in STATIONS for field in station.fields}
_LABELS: Final = {"also": "Second", "max_cap": "the tallest capitals", "min_cap": "the smallest capitals"}


def label_of(key: str) -> str:
    """Return the label by which the studio calls an option."""
    if key in _LABELS:
        return _LABELS[key]
    return FIELDS[key].label if key in FIELDS else key.replace("_", " ")
