"""What a run needs on machines that share no disk with it: its own fonts and pictures, by digest, and the rest checked.

What ships with the program is not sent: each machine has it installed, and is refused when it has another version.
"""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from studio.basics.errors import OutputError
from studio.model.artwork import Artwork
from studio.model.options import Value
from studio.orders.order_row import OrderRow
from studio.pipeline.sign_report import versions
from studio.production.sign_source import ShopMakerSetup
from studio.storage.artworks import artwork_from_file
from studio.storage.catalogue import Catalogue, FaceSource
from studio.storage.fonts import FaceEntry
from studio.storage.paths import shipped_folder

_FILE_OPTIONS = ("face", "also_face", "artwork", "profile")


@dataclass(frozen=True, slots=True)
class Package:
    """A run's own files, and what must be installed.

    Attributes:
        key: The digest of all of it.
        setup: What makes a maker, with the paths of home.
        files: By path at home: the file's name there and its bytes.
        shipped: By path at home of what ships with the program: its kind, path within, and SHA-256.
        installed: Versions of the program and of the libraries that decide its pixels.
    """

    key: str
    setup: ShopMakerSetup
    files: Mapping[str, tuple[str, bytes]] = field(repr=False)
    shipped: Mapping[str, tuple[str, str, str]] = field(repr=False)
    installed: Mapping[str, str] = field(repr=False)

    @property
    def size_bytes(self) -> int:
        """How much travels to each machine, once."""
        return sum(len(data) for _, data in self.files.values())

    def unpacked(self) -> ShopMakerSetup:
        """Put the files on this machine's disk and return what makes a maker here.

        Raises:
            StudioError: Another version of the program, or of what it needs, is installed here.
        """
        here = versions()
        wanted = self.installed.items()
        other = [f"{name} {here.get(name)}, not {version}" for name, version in wanted if here.get(name) != version]
        if other:
            raise OutputError(
                f"A worker has other versions installed: {'; '.join(other[:4])}.",
                advice="Install the same on all machines, so that they make the same files.",
            )
        places = {path: _shipped_place(kind, within, digest) for path, (kind, within, digest) in self.shipped.items()}
        folder = Path(tempfile.gettempdir()) / f"sapwood-{self.key[:16]}"
        for path, (name, data) in self.files.items():
            place = folder / hashlib.sha256(data).hexdigest()[:16] / name
            if not place.exists() or place.read_bytes() != data:
                place.parent.mkdir(parents=True, exist_ok=True)
                part = place.with_name(f"{place.name}.{tempfile.gettempprefix()}{id(self)}.part")
                part.write_bytes(data)
                part.replace(place)
            places[path] = place
        values = dict(self.setup.values)
        if isinstance(profile := values.get("profile"), str) and profile in places:
            values["profile"] = str(places[profile])
        return ShopMakerSetup(_moved(self.setup.catalogue, places), values)


@dataclass(frozen=True, slots=True)
class SentCatalogue(Catalogue):
    """A catalogue whose files lie elsewhere than where they are named.

    Attributes:
        places: Where the file of a path at home lies here.
    """

    places: Mapping[str, Path] = field(default_factory=dict)

    def artwork(self, text: str) -> Artwork:
        """Return the artwork of a name or of a file at home. Raises like the catalogue's own."""
        place = self.places.get(text)
        if place is None:
            return Catalogue.artwork(self, text)
        return replace(artwork_from_file(place), name=text)

    def face(self, text: str) -> FaceSource:
        """Return where the face of a name or of a file at home is. Raises like the catalogue's own."""
        path, sign, index = text.rpartition("#")
        path, number = (path, int(index)) if sign and index.isdigit() else (text, 0)
        place = self.places.get(path)
        if place is None:
            return Catalogue.face(self, text)
        return FaceSource(FaceEntry(text, place, kind="your own"), number)


def packed(setup: ShopMakerSetup, orders: Sequence[OrderRow]) -> Package:
    """Return what a list needs elsewhere.

    Args:
        setup: What makes a maker at home.
        orders: The list's rows, whose options may name files.

    Raises:
        OutputError: A font or picture cannot be read.
    """
    shipped: dict[str, tuple[str, str, str]] = {}
    named: dict[str, Path] = {}
    for path in _catalogue_files(setup.catalogue):
        within = _within_shipped(path)
        if within is not None:
            shipped[str(path)] = (*within, _digest(path))
        else:
            named[str(path)] = path
    if any(dict(order.options).get("profile", "none").lower() != "none" for order in orders):
        raise OutputError(
            "A printer's profile in a column of the list is not sent to a cluster.",
            option="cluster",
            advice="Give one profile for all signs.",
            ways=("profile",),
        )
    values: set[str] = set()
    for source in (setup.values, *(dict(order.options) for order in orders if order.options)):
        values |= _file_values(source)
    for value in values:
        text = value.rpartition("#")[0] if value.rpartition("#")[2].isdigit() and "#" in value else value
        place = Path(text).expanduser()
        if place.is_file():
            named[text] = place
    files = {}
    for text, place in sorted(named.items()):
        try:
            files[text] = (place.name, place.read_bytes())
        except OSError as problem:
            raise OutputError(f"{place} cannot be read: {problem.strerror}.", advice="Check it.") from problem
    total = hashlib.sha256()
    for text, (name, data) in files.items():
        total.update(f"{text}\0{name}\0{len(data)}\0".encode())
        total.update(data)
    total.update(repr((sorted(shipped.items()), setup.values, setup.catalogue)).encode())
    return Package(total.hexdigest(), setup, files, shipped, versions())


def _catalogue_files(catalogue: Catalogue) -> set[Path]:
    return {entry.file for entry in catalogue.faces} | {Path(artwork.source) for artwork in catalogue.artworks}


def _file_values(values: Mapping[str, Value]) -> set[str]:
    return {value for name in _FILE_OPTIONS if isinstance(value := values.get(name), str) and value}


def _within_shipped(path: Path) -> tuple[str, str] | None:
    """Return the kind of shipped folder that a file lies in and its path there; `None` for one of the shop's own."""
    for kind, folder in (("fonts", shipped_folder("fonts")), ("assets", shipped_folder("assets"))):
        if path.is_relative_to(folder):
            return kind, path.relative_to(folder).as_posix()
    return None


def _shipped_place(kind: str, within: str, digest: str) -> Path:
    place = shipped_folder("fonts" if kind == "fonts" else "assets") / within
    if not place.is_file() or _digest(place) != digest:
        raise OutputError(
            f"A worker's {kind}/{within} differs from the one here.", advice="Install the same version everywhere."
        )
    return place


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as problem:
        raise OutputError(f"{path} cannot be read: {problem.strerror}.", advice="Check it.") from problem


def _moved(catalogue: Catalogue, places: Mapping[str, Path]) -> SentCatalogue:
    """Return a catalogue with the files where they lie here."""
    return SentCatalogue(
        blanks=catalogue.blanks,
        surfaces=catalogue.surfaces,
        artworks=tuple(replace(one, source=str(places.get(one.source, one.source))) for one in catalogue.artworks),
        faces=tuple(replace(entry, file=places.get(str(entry.file), entry.file)) for entry in catalogue.faces),
        faults=catalogue.faults,
        places=dict(places),
    )
