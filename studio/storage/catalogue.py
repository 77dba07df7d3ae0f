"""Everything that can be chosen by name: blanks, surfaces with their press figures, artwork and faces.

The workshop's own come before the shipped.

Invariant: a catalogue is a value; it can be handed to another process, and asking it for a name never changes it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Protocol, TypeVar

from studio.basics.errors import FontError, PictureError, SettingsError, UnknownNameError
from studio.basics.units import parse_length_mm
from studio.model.artwork import Artwork
from studio.model.blank import Blank, parse_blank, parse_hole
from studio.model.options import nearest
from studio.model.paper import Paper, parse_paper
from studio.model.press_figures import PRESS_KEYS, PressFigures, figures_of
from studio.model.printer import Printer
from studio.model.surface import Surface
from studio.storage.artworks import Fault, artwork_from_file, artworks_in
from studio.storage.fonts import FONT_ENDINGS, FaceEntry, face_key, own_faces, shipped_faces
from studio.storage.papers import PAPER_KEYS, PRINTER_KEYS, is_size, paper_of, printer_of
from studio.storage.paths import shipped_folder
from studio.storage.picture_guard import PICTURE_ENDINGS
from studio.storage.regular_file import refuse_irregular
from studio.storage.settings import Entry, KnownKeys, Settings, read_settings
from studio.storage.surface_entry import SURFACE_ENTRY_KEYS as SURFACE_KEYS
from studio.storage.surface_entry import surface_of

BLANK_KEYS: Final = frozenset({"shape", "holes", "clearance", "thickness", "description"})
_INDEX: Final = re.compile(r"(?P<file>.+)#(?P<index>\d{1,4})")


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_Thing = TypeVar("_Thing", bound=_Named)


@dataclass(frozen=True, slots=True)
class FaceSource:
    """Where a face's bytes are: the entry, and which font of a collection."""

    entry: FaceEntry
    index: int = 0


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All that can be chosen by name, in the order in which it is listed, and the pictures that cannot be used."""

    blanks: tuple[Blank, ...]
    surfaces: tuple[Surface, ...]
    artworks: tuple[Artwork, ...]
    faces: tuple[FaceEntry, ...]
    faults: tuple[Fault, ...] = ()
    press: tuple[PressFigures, ...] = ()
    papers: tuple[Paper, ...] = ()
    printers: tuple[Printer, ...] = ()

    def blank(self, text: str) -> Blank:
        """Return the blank of a name, or the one that `SHAPE:SIZE` describes.

        Raises:
            SettingsError: Neither.
        """
        if ":" in text:
            return parse_blank(text)
        return _chosen(text, self.blanks, "blank", "or write a shape and a size, like round:10in")

    def surface(self, name: str) -> Surface:
        """Return the surface of a name.

        Raises:
            SettingsError: There is none of that name.
        """
        return _chosen(name, self.surfaces, "surface", "or give its spread with another")

    def press_figures(self, surface: str) -> PressFigures:
        """Return how the surface of a name is pressed.

        Raises:
            SettingsError: There is no such surface, or no figures for it.
        """
        name = self.surface(surface).name
        for figures in self.press:
            if _plain(figures.surface) == _plain(name):
                return figures
        raise SettingsError(
            f"There are no press figures for the surface {name!r}.",
            advice=f'Put [press.{name}] with press = "380F 50s" into sapwood.toml, from the makers\' instructions.',
        )

    def paper(self, text: str) -> Paper:
        """Return the paper of a name, or the one that `8.5inx11in` or `roll:24in` describes.

        Raises:
            SettingsError: Neither.
        """
        named = next((paper for paper in self.papers if _plain(paper.name) == _plain(text)), None)
        if named is not None:
            return named
        if is_size(text):
            return parse_paper(text)
        return _chosen(text, self.papers, "paper", "or write a size like 8.5inx11in or roll:24in")

    def printer(self, name: str) -> Printer:
        """Return the printer of a name, as it stands in the settings.

        Raises:
            SettingsError: There is none of that name.
        """
        if not self.printers:
            raise SettingsError(
                f"No printer is known, so {name[:40]!r} is not.",
                option="printer",
                advice=f"Measure it: sapwood ruler, or write [printer.{name[:40]}] with margins into sapwood.toml.",
            )
        return _chosen(name, self.printers, "printer", "or leave it out")

    def artwork(self, text: str) -> Artwork:
        """Return the artwork of a name or a file.

        Raises:
            SettingsError: There is none of that name.
            PictureError: The file cannot be used.
        """
        if is_file_value(text, PICTURE_ENDINGS):
            return artwork_from_file(Path(text).expanduser())
        for fault in self.faults:
            if _plain(fault.name) == _plain(text):
                raise PictureError(fault.message)
        return _chosen(text, self.artworks, "artwork", "or name a PNG or JPEG file, or none")

    def face(self, text: str) -> FaceSource:
        """Return where the face of a name or a file is; `file.ttc#2` is a collection's third.

        Raises:
            SettingsError: There is none of that name.
            FontError: The file is not there.
        """
        key = face_key(text)
        named = next((entry for entry in self.faces if entry.key == key), None)
        if named is not None and not Path(text).is_file():
            return FaceSource(named)
        path, index = _numbered(text)
        if is_file_value(path, FONT_ENDINGS):
            file = Path(path).expanduser()
            if not file.exists():
                raise FontError(f"The font file {path} is not there.", advice="Check the name and the folder.")
            refuse_irregular(file, "font file", FontError)
            return FaceSource(FaceEntry(text, file, kind="your own"), index)
        return FaceSource(_chosen(text, self.faces, "face", "or name a .ttf, .otf or .ttc file"))


def is_file_value(text: str, endings: Sequence[str]) -> bool:
    """Whether a value is a file: it names one, holds a path separator, or ends as such files do."""
    if "/" in text or "\\" in text or text.lower().endswith(tuple(endings)):
        return True
    try:
        return Path(text).is_file()
    except (OSError, ValueError):
        return False


def read_catalogue(
    settings: Settings | None = None, *, font_folder: Path | None = None, artwork_folder: Path | None = None
) -> Catalogue:
    """Return what ships with the program together with the workshop's own.

    Args:
        settings: Of the workshop, with its own blanks and surfaces.
        font_folder: A folder with its own fonts.
        artwork_folder: A folder with its own pictures.

    Raises:
        StudioError: A blank, surface, picture or list of faces is wrong.
    """
    assets = shipped_folder("assets")
    own = settings or Settings()
    blanks = read_settings(assets / "blanks.toml", known_keys()).blanks
    shipped = read_settings(assets / "surfaces.toml", known_keys())
    papers = read_settings(assets / "papers.toml", known_keys()).papers
    artworks, faults = artworks_in(assets / "artwork")
    own_artworks, own_faults = artworks_in(artwork_folder)
    return Catalogue(
        blanks=_sorted_blanks(_over(map(_blank, blanks), map(_blank, own.blanks))),
        surfaces=_sorted_surfaces(_over(map(surface_of, shipped.surfaces), map(surface_of, own.surfaces))),
        artworks=_over(artworks, own_artworks),
        faces=_over_faces(shipped_faces(shipped_folder("fonts")), own_faces(font_folder)),
        faults=(*faults, *own_faults),
        press=_press_figures(shipped.press, own.press),
        papers=_over(map(paper_of, papers), map(paper_of, own.papers)),
        printers=tuple(map(printer_of, own.printers)),
    )


def known_keys(sign: frozenset[str] = frozenset(), keys: frozenset[str] = frozenset()) -> KnownKeys:
    """Return what may stand in a settings file, given the sign options and the actions for keys."""
    return KnownKeys(sign, BLANK_KEYS, SURFACE_KEYS, keys, PRESS_KEYS, PAPER_KEYS, PRINTER_KEYS)


def _blank(entry: Entry) -> Blank:
    said = {setting.name: setting.value for setting in entry.settings}
    where = f"{entry.file}: blank {entry.name}"
    if "shape" not in said:
        raise SettingsError(f"{where} has no shape.", advice='Write it like shape = "round:10in".')
    try:
        shape = parse_blank(said["shape"])
        clearance = {"clearance_mm": parse_length_mm(said["clearance"])} if "clearance" in said else {}
        return Blank(
            name=entry.name,
            shape=shape.shape,
            width_mm=shape.width_mm,
            height_mm=shape.height_mm,
            corner_radius_mm=shape.corner_radius_mm,
            holes=tuple(parse_hole(line, **clearance) for line in said.get("holes", "").splitlines() if line.strip()),
            thickness_mm=parse_length_mm(said["thickness"], what="thickness") if "thickness" in said else None,
            description=said.get("description", ""),
        )
    except SettingsError as problem:
        raise SettingsError(f"{where}: {problem.message}", advice=problem.advice) from problem


def _press_figures(shipped: tuple[Entry, ...], own: tuple[Entry, ...]) -> tuple[PressFigures, ...]:
    """Return the figures of every surface; the workshop's own take the place of the shipped key by key."""
    said = {entry.name: {setting.name: setting.value for setting in entry.settings} for entry in shipped}
    read = {name: figures_of(name, values) for name, values in said.items()}
    for entry in own:
        name = next((name for name in said if _plain(name) == _plain(entry.name)), entry.name)
        values = {setting.name: setting.value for setting in entry.settings}
        base = said.get(name, {})
        if "source" not in values:
            changed = ", ".join(sorted(key.replace("_", "-") for key in values))
            values["source"] = f"your own settings ({changed})" + (f"; the rest: {base['source']}" if base else "")
        try:
            read[name] = figures_of(name, base | values)
        except SettingsError as problem:
            raise SettingsError(f"{entry.file}: {problem.message}", advice=problem.advice) from problem
    return tuple(read.values())


def _over(shipped: Iterable[_Thing], own: Iterable[_Thing]) -> tuple[_Thing, ...]:
    """Return both, where the workshop's own of the same name take the place of the shipped."""
    both = {thing.name.casefold(): thing for thing in shipped}
    both |= {thing.name.casefold(): thing for thing in own}
    return tuple(both.values())


def _over_faces(shipped: tuple[FaceEntry, ...], own: tuple[FaceEntry, ...]) -> tuple[FaceEntry, ...]:
    """Return both; a face of the workshop's own never hides a shipped one, since that is what signs were made with."""
    taken = {entry.key for entry in shipped}
    kept = []
    for entry in own:
        if entry.key not in taken:
            kept.append(entry)
            taken.add(entry.key)
        else:
            kept.append(replace(entry, name=f"{entry.name}{entry.file.suffix}"))
    return (*shipped, *kept)


def _sorted_blanks(blanks: tuple[Blank, ...]) -> tuple[Blank, ...]:
    order = ("round", "oval", "rect")
    return tuple(
        sorted(
            blanks,
            key=lambda blank: (order.index(blank.shape), blank.width_mm, blank.height_mm, len(blank.holes), blank.name),
        )
    )


def _sorted_surfaces(surfaces: tuple[Surface, ...]) -> tuple[Surface, ...]:
    return tuple(sorted(surfaces, key=lambda surface: (surface.spread_mm, surface.name)))


def _chosen(text: str, things: Sequence[_Thing], what: str, otherwise: str) -> _Thing:
    key = _plain(text)
    for thing in things:
        if _plain(thing.name) == key:
            return thing
    names = [thing.name for thing in things]
    hint = nearest(text, names, listed=f"known are {', '.join(names)}" if len(names) <= 24 else "")
    raise UnknownNameError(
        f"There is no {what} called {text[:60]!r}{hint}", advice=f"Choose one by its name, {otherwise}.", option=what
    )


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def _numbered(text: str) -> tuple[str, int]:
    match = _INDEX.fullmatch(text)
    if match is None or Path(text).exists():
        return text, 0
    return match["file"], int(match["index"])
