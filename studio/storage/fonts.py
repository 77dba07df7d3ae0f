"""The faces to choose from: those that ship, and a folder of the workshop's own. Nothing is opened here but lists.

A face is known by its name however it is spelled: `Alfa Slab One`, `AlfaSlabOne` and `alfa-slab-one` are one.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from studio.basics.errors import FontError

FONT_ENDINGS: Final = (".ttf", ".otf", ".ttc", ".otc")
MOST_OWN_FACES: Final = 2000
CATALOGUE_NAME: Final = "catalogue.toml"


@dataclass(frozen=True, slots=True)
class FaceEntry:
    """One face of the catalogue.

    Attributes:
        name: What people call it.
        file: Its font file.
        kind: In words, such as `black slab`.
        family: The broad kind, by which stand-ins are found.
        sha256: Digest of the file as shipped; empty for the workshop's own.
        good_weight: The weight it is set to when none is asked for; `None` for static files.
        weights: Lightest and heaviest, where it has that axis.
        connected: Whether its letters join; `None` where nobody has said.
        scripts: Writing systems that it covers.
    """

    name: str
    file: Path
    kind: str = ""
    family: str = ""
    licence: str = ""
    licence_file: str = ""
    provenance: str = ""
    sha256: str = ""
    good_weight: float | None = None
    weights: tuple[float, float] | None = None
    connected: bool | None = None
    scripts: tuple[str, ...] = ()

    @property
    def is_shipped(self) -> bool:
        """Whether it came with the program."""
        return bool(self.sha256)

    @property
    def key(self) -> str:
        """The name in the form in which names are compared."""
        return face_key(self.name)


def face_key(name: str) -> str:
    """Return a face's name without case, spaces and punctuation; a final `Regular` says nothing."""
    plain = "".join(letter for letter in name.casefold() if letter.isalnum())
    return plain.removesuffix("regular") or plain


def shipped_faces(folder: Path) -> tuple[FaceEntry, ...]:
    """Return the faces that the catalogue file of a folder lists, in its order.

    Raises:
        FontError: The catalogue is missing or damaged.
    """
    file = folder / CATALOGUE_NAME
    try:
        entries: list[dict[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))["face"]
        return tuple(_shipped(folder, entry) for entry in entries)
    except (OSError, ValueError, KeyError, TypeError) as problem:
        raise FontError(
            f"The list of faces, {file}, cannot be read ({problem}).", advice="Install the program again."
        ) from problem


def own_faces(folder: Path | None) -> tuple[FaceEntry, ...]:
    """Return the font files of a folder and the folders in it as faces, by the files' names.

    Raises:
        FontError: The folder cannot be listed, or holds more than 2000 fonts.
    """
    if folder is None or not folder.is_dir():
        return ()
    try:
        files = sorted(file for file in folder.rglob("*") if file.suffix.lower() in FONT_ENDINGS and file.is_file())
    except OSError as problem:
        raise FontError(f"The font folder {folder} cannot be read: {problem.strerror}.", advice="Check it.") from None
    if len(files) > MOST_OWN_FACES:
        raise FontError(
            f"The font folder {folder} holds {len(files)} fonts; {MOST_OWN_FACES} are read.",
            advice="Name a folder with the faces that you use.",
        )
    return tuple(FaceEntry(file.stem, file, kind="your own") for file in files)


def _shipped(folder: Path, entry: dict[str, Any]) -> FaceEntry:
    weights = entry.get("weights")
    good_weight = entry.get("good_weight")
    return FaceEntry(
        name=str(entry["name"]),
        file=folder / str(entry["file"]),
        kind=str(entry["kind"]),
        family=str(entry["family"]),
        licence=str(entry["licence"]),
        licence_file=str(entry["licence_file"]),
        provenance=str(entry["provenance"]),
        sha256=str(entry["sha256"]),
        good_weight=None if good_weight is None else float(good_weight),
        weights=None if weights is None else (float(weights[0]), float(weights[1])),
        connected=bool(entry["connected"]),
        scripts=tuple(str(script) for script in entry["scripts"]),
    )
