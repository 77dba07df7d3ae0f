"""Faces and pictures read from disk once and kept.

Invariant: what is handed out depends on the files' contents alone; assets sent to another process carry their
catalogue only and read again there.
"""

from __future__ import annotations

import threading
import tomllib
from collections import OrderedDict
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.basics.errors import FontError
from studio.model.artwork import Artwork
from studio.model.sign import FaceChoice
from studio.model.surface import Surface
from studio.storage.catalogue import Catalogue, FaceSource
from studio.storage.fonts import FaceEntry
from studio.storage.paths import shipped_folder
from studio.storage.regular_file import regular_bytes
from studio.text.font import LARGEST_FONT_BYTES, Face, open_face
from studio.text.words import WordLists, read_word_lists

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_PICTURES_KEPT: Final = 3
_NEAR_FAMILIES: Final[dict[str, tuple[str, ...]]] = {
    "script": ("script", "hand", "display", "serif", "sans", "slab", "blackletter"),
    "slab": ("slab", "display", "sans", "serif", "hand", "script", "blackletter"),
    "sans": ("sans", "display", "slab", "hand", "serif", "script", "blackletter"),
    "serif": ("serif", "slab", "sans", "hand", "display", "script", "blackletter"),
    "display": ("display", "slab", "sans", "hand", "serif", "script", "blackletter"),
    "hand": ("hand", "sans", "script", "display", "serif", "slab", "blackletter"),
    "blackletter": ("blackletter", "serif", "slab", "display", "sans", "hand", "script"),
}
"""Which family stands in for which, nearest first (our own judgement)."""


class FileAssets:
    """Faces and pictures for the workshop, by way of a catalogue. May be used by several threads."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._faces: dict[tuple[str, float | None], Face] = {}
        self._opened: dict[tuple[Path, int], Face] = {}
        self._pixels: OrderedDict[tuple[str, int, int], NDArray[np.uint8]] = OrderedDict()
        self._lock = threading.RLock()
        self._picture_lock = threading.RLock()  # its own: no one waits for a picture who wants a face

    def __reduce__(self) -> tuple[object, ...]:
        return (FileAssets, (self.catalogue,))

    def face(self, choice: FaceChoice) -> Face:
        """Return a face at its weight, the good one when none is asked for.

        Raises:
            FontError: The file is missing, damaged or not the one that shipped.
            SettingsError: There is no face of that name.
        """
        key = (choice.name, choice.weight)
        with self._lock:
            if key not in self._faces:
                self._faces[key] = self._open(self.catalogue.face(choice.name), choice.weight)
            return self._faces[key]

    def stand_ins(self, face: Face) -> tuple[FaceChoice, ...]:
        """Return the other shipped faces, closest in kind first, each at its good weight."""
        near = _NEAR_FAMILIES.get(self._family_of(face), _NEAR_FAMILIES["sans"])
        others = [entry for entry in self.catalogue.faces if entry.is_shipped and entry.sha256 != face.sha256]
        others.sort(key=lambda entry: near.index(entry.family) if entry.family in near else len(near))
        return tuple(FaceChoice(entry.name) for entry in others)

    def surfaces(self) -> tuple[Surface, ...]:
        """Return the surfaces of the catalogue."""
        return self.catalogue.surfaces

    def words(self) -> WordLists:
        """Return the kinds of short words that ship with the program."""
        return shipped_words()

    def pixels(self, artwork: Artwork) -> NDArray[np.uint8]:
        """Return a picture upright in sRGB, shape (rows, columns, 4), not to be written to.

        Raises:
            PictureError: It cannot be read.
        """
        from studio.storage.pictures import read_pixels

        file = Path(artwork.source)
        with self._picture_lock:
            key = (artwork.source, *_stamp(file))
            if key not in self._pixels:
                pixels = read_pixels(file)
                pixels.setflags(write=False)
                self._pixels[key] = pixels
                while len(self._pixels) > _PICTURES_KEPT:
                    self._pixels.popitem(last=False)
            self._pixels.move_to_end(key)
            return self._pixels[key]

    def _open(self, source: FaceSource, weight: float | None) -> Face:
        key = (source.entry.file, source.index)
        face = self._opened.get(key)
        if face is None:
            face = self._opened[key] = self._read(source)
        return face if weight is None or face.weight in (None, weight) else face.at_weight(weight)

    def _read(self, source: FaceSource) -> Face:
        """Read a face at its good weight, the one that its letters are measured at ahead of time."""
        entry = source.entry
        face = open_face(
            read_font(entry),
            name=entry.name,
            index=source.index,
            weight=entry.good_weight,
            kind=entry.kind,
            connected=entry.connected,
            measures=read_measures(entry),
            pressed=read_measures(entry, pressed_file(entry)),
        )
        if entry.is_shipped and face.sha256 != entry.sha256:
            raise FontError(
                f"Font {entry.name}: the file {entry.file} is not the one that shipped.",
                advice="Install the program again; put fonts of your own into a folder of your own.",
            )
        return face

    def _family_of(self, face: Face) -> str:
        for entry in self.catalogue.faces:
            if entry.is_shipped and entry.sha256 == face.sha256:
                return entry.family
        return "script" if face.stated_connected else "sans"


@cache
def shipped_words() -> WordLists:
    """Return the kinds of short words that ship with the program, read once."""
    with (shipped_folder("assets") / "words.toml").open("rb") as file:
        return read_word_lists(tomllib.load(file))


def measures_file(entry: FaceEntry) -> Path:
    """Return where the measures of a shipped face lie: beside the faces' folders, named after the font file."""
    return entry.file.parent.parent / "measures" / f"{entry.file.stem.partition('[')[0]}.json"


def pressed_file(entry: FaceEntry) -> Path:
    """Return where the pressed shapes of a shipped face lie, beside its measures."""
    return entry.file.parent.parent / "pressed" / measures_file(entry).name


def read_measures(entry: FaceEntry, file: Path | None = None) -> bytes | None:
    """Return what was measured of a shipped face ahead of time, its measures unless another file is named."""
    if not entry.is_shipped:
        return None
    try:
        return (file or measures_file(entry)).read_bytes()
    except OSError:
        return None


def read_font(entry: FaceEntry) -> bytes:
    """Return a font file's bytes.

    Raises:
        FontError: It is missing, no regular file, or larger than what is read.
    """
    try:
        return regular_bytes(entry.file, most_bytes=LARGEST_FONT_BYTES, what="font file", error=FontError)
    except FileNotFoundError as problem:
        raise FontError(
            f"The font file {entry.file} is not there.", advice="Check the name and the folder."
        ) from problem
    except (OSError, ValueError) as problem:
        reason = problem.strerror if isinstance(problem, OSError) else str(problem)
        raise FontError(f"The font file {entry.file} cannot be read: {reason}.", advice="Check the file.") from problem


def _stamp(file: Path) -> tuple[int, int]:
    try:
        found = file.stat()
    except (OSError, ValueError):
        return (0, 0)
    return (found.st_mtime_ns, found.st_size)
