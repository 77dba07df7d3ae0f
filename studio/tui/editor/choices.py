"""What can be chosen in a list, narrowed by what is typed: names of the catalogue, and files of the maker's own.

Invariant: an entry's value is what the option takes.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.basics.colour import NAMED
from studio.basics.units import inches
from studio.model.artwork import Artwork
from studio.model.blank import Blank
from studio.storage.catalogue import Catalogue
from studio.storage.fonts import FONT_ENDINGS, FaceEntry
from studio.storage.picture_guard import PICTURE_ENDINGS
from studio.tui.wording import LIST_ENDINGS, dropped_path

COLOURS: Final = {
    "color": ("auto", "the artwork's"),
    "also_color": ("same", "the same as the name's"),
    "outline_color": ("auto", "to suit the letters"),
}
"""Fields of a colour, each with the word that stands for no particular one, and what that comes to."""
MOST_FILES: Final = 500
_ENDINGS: Final = {"artwork": PICTURE_ENDINGS, "face": FONT_ENDINGS, "list": LIST_ENDINGS}


@dataclass(frozen=True, slots=True)
class ChoiceEntry:
    """One line of a list.

    Attributes:
        value: What is chosen; for a folder its path, ending in a separator.
        title: What is shown first.
        detail: What follows, fainter.
    """

    value: str
    title: str
    detail: str = ""

    @property
    def is_folder(self) -> bool:
        """Whether choosing it goes on into a folder."""
        return self.value.endswith(os.sep)


def entries_for(key: str, typed: str, catalogue: Catalogue) -> tuple[ChoiceEntry, ...]:
    """Return what can be chosen for a field, given what is typed to narrow it.

    Args:
        key: `blank`, `surface`, `artwork`, `face`, or `list` for an order list.
        typed: A part of a name, or the start of a path.
        catalogue: Where names are looked up.

    Raises:
        OSError: A folder that was typed cannot be read.
    """
    path = dropped_path(typed)
    if path is not None and key in _ENDINGS:
        return tuple(_files(path, _ENDINGS[key]))
    if key in COLOURS and typed.strip().startswith("#"):
        return (ChoiceEntry(typed.strip(), typed.strip(), "as typed"),)
    if key == "blank" and ":" in typed:
        return (ChoiceEntry(typed.strip(), typed.strip(), "as measured"),)
    word = typed.strip().casefold()
    every = tuple(_named(key, catalogue))
    return tuple(entry for entry in every if word in f"{entry.title} {entry.detail}".casefold())


def _named(key: str, catalogue: Catalogue) -> Iterator[ChoiceEntry]:
    if key == "blank":
        yield from (ChoiceEntry(blank.name, blank.name, _of_blank(blank)) for blank in catalogue.blanks)
    elif key == "surface":
        for surface in catalogue.surfaces:
            finest = f"holds {surface.finest_stroke_mm:.2f} mm"
            yield ChoiceEntry(surface.name, surface.name, f"{finest}, {surface.standing} · {surface.description}")
    elif key == "artwork":
        yield from (ChoiceEntry(artwork.name, artwork.name, _of_artwork(artwork)) for artwork in catalogue.artworks)
        yield ChoiceEntry("none", "none", "bare wood")
    elif key in COLOURS:
        word, told = COLOURS[key]
        yield ChoiceEntry(word, word, told)
        yield from (ChoiceEntry(name, name, code) for name, code in NAMED.items())
    elif key == "face":
        yield from (ChoiceEntry(face.name, face.name, _of_face(face)) for face in catalogue.faces)


def _of_blank(blank: Blank) -> str:
    size = f"{blank.width_mm:.0f} x {blank.height_mm:.0f} mm"
    small = f"{inches(blank.width_mm):.3g} x {inches(blank.height_mm):.3g} in"
    holes = f" · {len(blank.holes)} holes" if blank.holes else ""
    return f"{size} · {small}{holes}"


def _of_artwork(artwork: Artwork) -> str:
    return artwork.title or artwork.description or f"{artwork.width_px} x {artwork.height_px} px"


def _of_face(face: FaceEntry) -> str:
    weights = f" · {face.weights[0]:.0f} to {face.weights[1]:.0f}" if face.weights else ""
    others = [script for script in face.scripts if script.casefold() != "latin"]
    return f"{face.kind}{weights}{' · ' + ', '.join(others) if others else ''}"


def _files(typed: str, endings: Iterable[str]) -> Iterator[ChoiceEntry]:
    """Yield the files and folders that a typed path may go on to."""
    whole = Path(typed).expanduser()
    if whole.is_file():
        yield ChoiceEntry(str(whole), whole.name, str(whole.parent))
        return
    folder, start = (whole, "") if typed.endswith(("/", os.sep)) else (whole.parent, whole.name.casefold())
    if whole.is_dir() and not typed.endswith(("/", os.sep)):
        yield ChoiceEntry(f"{whole}{os.sep}", f"{whole.name}{os.sep}", "folder")
        return
    known = tuple(endings)
    with os.scandir(folder) as scanned:
        found = sorted((entry.name for entry in scanned if not entry.name.startswith(".")), key=str.casefold)
    for name in [name for name in found if name.casefold().startswith(start)][:MOST_FILES]:
        file = folder / name
        if file.is_dir():
            yield ChoiceEntry(f"{file}{os.sep}", f"{name}{os.sep}", "folder")
        elif name.lower().endswith(known):
            yield ChoiceEntry(str(file), name)
