"""The five stations of the editor and the fields at each, in the maker's order of work.

Invariant: every sign option of the shared table has its field here, and no field is without an option, but for the
name, the parts of a blank's measurements and the folder.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal, NamedTuple, TypeAlias

from studio.basics.errors import StudioError
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
    before = parts_of(text, catalogue)
    parts = replace(before, **{part: typed.strip()})
    if before.shape == parts.shape == "round" and part == "width" and before.width == before.height:
        parts = replace(parts, height=parts.width)  # a true round stays one; its height can be changed alone
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
    """One place at the editor: its name, the question it answers, the id of its key, and its fields."""

    name: str
    title: str
    question: str
    fields: tuple[Field, ...]


def _few(key: str) -> tuple[str, ...]:
    return BY_KEY[key].choices


def _fine(key: str, label: str, kind: FieldKind, hint: str, choices: tuple[str, ...] = ()) -> Field:
    return Field(key, label, kind, hint, choices, is_fine=True)


STATIONS: Final[tuple[Station, ...]] = (
    Station(
        "wood",
        "Wood",
        "What is it made of?",
        (
            Field("blank", "Blank", "list", "A blank by name. Enter shows them all, ← and → try the next."),
            Field("shape", "Shape", "choice", "The piece as you measured it.", SHAPES),
            Field("width", "Width", "typed", "At its widest, such as 254mm, 10in or 10 1/2in."),
            Field("height", "Height", "typed", "At its tallest, such as 254mm. Rounds are seldom true: measure both."),
            Field("surface", "Surface", "list", "What the dye goes into. It decides how fine a stroke may be."),
            _fine("hole_size", "Hole size", "typed", "How wide the hole is, such as 8mm or 1/4in. Empty for no hole."),
            _fine("hole_down", "Hole down", "typed", "From the top edge down to the hole's middle, such as 3/4in."),
            _fine("hole_across", "Hole across", "typed", "To the right of the middle; 0in is on the centre line."),
            _fine("hole", "Other holes", "typed", "Further holes: right,up,size from the middle, with ; between."),
            _fine("corner", "Corners", "typed", "Radius of a rectangle's corners, such as 10mm."),
            _fine("clearance", "Hole margin", "typed", "How far lettering keeps from a hole, such as 5mm."),
            _fine("margin", "Edge margin", "typed", "How far lettering keeps from the edge: auto, or 8mm."),
            _fine("spread", "Blur", "typed", "How far a fine line spreads on your stock: 0.27mm, or auto."),
            _fine("wood", "Proof on", "choice", "Proof pressed into this wood, or plain.", _few("wood")),
            _fine("grain", "Grain", "typed", "Which way it runs: along, across, or degrees such as 15."),
        ),
    ),
    Station(
        "picture",
        "Picture",
        "Which picture goes with the name?",
        (
            Field("artwork", "Artwork", "list", "Enter shows them all. A picture file dropped here is taken too."),
            Field("artwork_fit", "Size", "typed", "original, cover, contain, or a width such as 260mm."),
            Field("artwork_right", "Move right", "typed", "How far right of the middle; -3mm is to the left."),
            Field("artwork_up", "Move up", "typed", "How far above the middle; -3mm is below it."),
            Field("artwork_turn", "Rotation", "typed", "Degrees to the left, such as 15."),
            _fine("artwork_threshold", "Threshold", "typed", "Below this opacity, in percent, it counts as empty."),
        ),
    ),
    Station(
        "name",
        "Name",
        "Whose sign is it?",
        (
            Field("text", "Name", "typed", r"The customer's name. Enter begins a new line."),
            Field("also_text", "Second text", "typed", "A second text, such as est. 2019. Leave it empty for none."),
            Field("also_layout", "Position", "choice", "Where the second text goes.", _few("layout")),
            _fine("case", "Letter case", "choice", "As typed, all capitals, or small capitals.", _few("case")),
            _fine("fallback", "Substitute", "switch", "Take letters that the face lacks from another face."),
        ),
    ),
    Station(
        "look",
        "Look",
        "How should it look?",
        (
            Field("face", "Face", "list", "Enter shows them all; the sign shows each as you move."),
            Field(
                "composition", "Composition", "choice", "How much air is left, or as large as fits.",
                _few("composition"),
            ),
            Field("layout", "Layout", "choice", "Along the rim, in a block, or the largest of them.", _few("layout")),
            Field("weight", "Weight", "typed", "auto, or a number such as 600, where the face has several."),
            Field("color", "Colour", "list", "auto is the artwork's. Enter shows names; #3b2314 can be typed too."),
            Field("outline_width", "Outline", "typed", "A line round the letters: none, or its width, such as 1.5mm."),
            _fine("outline_color", "Outline col.", "list", "Colour of the outline: auto, white, or another."),
            Field("cap", "Cap height", "typed", "Height of the capitals: largest, or 24mm."),
            Field("repair", "Auto-fix", "choice", "Makes thin strokes sturdier by itself.", _few("repair")),
            _fine("breathing", "Air", "typed", "Clear room round the lettering, in cap heights: auto, or 0.3."),
            _fine("emphasis", "Large words", "typed", "Words that stand large: auto, none, or the words."),
            _fine("small", "Small words", "typed", "Words to be set small: none, or The, est. 1952."),
            _fine("same_size", "Same size", "choice", "In a list: one height for all.", _few("same_size")),
            _fine("max_cap", "Cap at most", "typed", "No capitals taller than this: none, or 40mm."),
            _fine("min_cap", "Cap at least", "typed", "No capitals smaller than this: 5mm."),
            _fine("shift_right", "Move right", "typed", "How far right of where it was fitted; -4mm is to the left."),
            _fine("shift_up", "Move up", "typed", "How far above where it was fitted; -4mm is below."),
            _fine("sweep", "Arc length", "typed", "Most degrees of the circle that an arc may take: 160."),
            _fine("spacing", "Spacing", "choice", "On arcs: even gaps, or the font's own.", _few("spacing")),
            _fine("follow", "Arc style", "choice", "On arcs: turn each letter, or bend joined script.", _few("follow")),
            _fine("features", "Features", "typed", "The face's own extras, such as ss01,liga=0."),
            _fine("also_face", "Second face", "typed", "The face of the second text: same, or a name."),
            _fine("also_color", "Second col.", "list", "same as the name's, or another."),
        ),
    ),
    Station(
        "make",
        "Make",
        "Where do the files go?",
        (
            Field("folder", "Folder", "typed", "Where the files go. It is made where there is none."),
            _fine("profile", "Profile", "typed", "The printer's ICC profile: none, or a file."),
            _fine("bleed", "Bleed", "typed", "How far the artwork runs past the edge: 3mm."),
            _fine("waste", "Waste", "typed", "Extra margin round the bleed for printer's marks: 6mm."),
            _fine("dpi", "Resolution", "typed", "Dots per inch (dpi), 36 to 1200."),
            _fine("background", "Background", "choice", "Of the page: white, or transparent.", _few("background")),
        ),
    ),
)  # fmt: skip
"""The stations, in the order of work."""

FIELDS: Final[dict[str, Field]] = {field.key: field for station in STATIONS for field in station.fields}
STATION_OF: Final[dict[str, str]] = {field.key: station.name for station in STATIONS for field in station.fields}
_LABELS: Final = {
    "also": "Second text", "out": "Folder", "outline": "Outline", "shift": "Move right, Move up",
    "artwork_at": "Move right, Move up",
}  # fmt: skip


def label_of(key: str) -> str:
    """Return the label by which the studio calls an option."""
    if key in _LABELS:
        return _LABELS[key]
    return FIELDS[key].label if key in FIELDS else key.replace("_", " ")
