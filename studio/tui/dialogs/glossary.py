"""The words that the program uses, each for one thing, as a page of help.

Invariant: the same words stand in the glossary for developers; a test compares them.
"""

from __future__ import annotations

from typing import Final

GLOSSARY: Final[tuple[tuple[str, str], ...]] = (
    ("artwork", "The base picture that is printed with the name."),
    ("blank", "The piece of wood before anything is pressed on it, as measured: shape, width, height, holes."),
    ("bleed", "How far the print runs past the edge of the blank, so that no bare rim shows."),
    ("cap height", "Height of the capital letters; all letters grow and shrink with it."),
    ("edge margin", "How far lettering keeps from the edge. Within it lies the safe zone."),
    ("error", "A finding that stops the print: nothing can be made before it is fixed."),
    ("face", "A font in one style, such as Pacifico or Roboto Slab."),
    ("finding", "Something that was checked and is worth knowing: an error, a warning or a note."),
    ("fix", "To apply a remedy, or to change a row of a list. Undo brings back what was there."),
    ("gap", "The room between two strokes or letters; too narrow a gap fills in when pressed."),
    ("hole margin", "How far lettering keeps from a hole."),
    ("layout", "How the lettering lies: along the top (arc-top), along the bottom (arc-bottom), or as a block (box)."),
    ("lettering", "What is written on the sign, as it is set: the name, and a second text."),
    ("look", "Everything of a sign but its name: wood, picture, face, layout, colour."),
    ("mirrored", "Turned left to right, as a print must be so that it reads right on the wood."),
    ("note", "A finding that is good to know; nothing needs to be done."),
    ("outline", "A line round the letters, in their colour or another."),
    ("print", "The file that goes to the printer: mirrored, at exact size, with its marks."),
    ("proof", "The picture for the customer: unmirrored, in the colours of the pressed wood."),
    ("remedy", "A change that was tried and clears a finding; it is shown with what it changes."),
    ("resume", "To go on with a run that was stopped; what is finished stays."),
    ("run", "A list made into one folder, with a contact sheet and a report."),
    ("safe zone", "The part of the blank where lettering may stand."),
    ("second text", "A smaller text beside the name, such as est. 2019."),
    ("stroke", "The thickness of a line of a letter; too thin a stroke is lost in the grain."),
    (
        "surface",
        "What the dye goes into: paint, varnish, laminate, bare wood. It decides how fine a stroke may be.",
    ),
    (
        "warning",
        "A finding about something that will blur, fill in or come out pale; the sign can still be made.",
    ),
    ("waste", "The margin round the bleed where the printer's marks stand."),
)
"""Each word with what it means, in order of the alphabet."""


def glossary_page() -> str:
    """Return the glossary in Markdown."""
    rows = "\n".join(f"| {word} | {meaning} |" for word, meaning in GLOSSARY)
    return f"# Words\n\n| Word | What it means |\n|---|---|\n{rows}\n"
