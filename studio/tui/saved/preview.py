"""The picture of the sign in the editor, kept from one start to the next, so that it stands there before it is made.

Invariant: what is kept is shown only for the same sign, view, program and files, and only when it is whole; whatever is
wrong with it counts as nothing kept. It is a picture and no answer: no sign is made from it.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from textual.strip import Strip

from studio.basics.errors import StudioError
from studio.model.options import Value
from studio.storage.atomic_write import write_whole
from studio.storage.catalogue import Catalogue
from studio.storage.paths import state_folder
from studio.storage.regular_file import regular_bytes
from studio.terminal.cells import Cells, shapes_of
from studio.tui.editor.draft import SignDraft
from studio.tui.preview.strips import Drawn, Mark, StripMaker
from studio.tui.preview.view import View
from studio.tui.saved.stamps import FileStamp, file_stamp, files_named, files_of, program_stamp

_SCHEMA: Final = 1
_LARGEST_BYTES: Final = 1_000_000
_LARGEST_UNPACKED_BYTES: Final = 4_000_000
_MOST_CELLS: Final = 200_000
_LARGEST_COLOUR: Final = 0xFFFFFF
_LAYERS: Final = 3
"""Shapes, colours of the shapes, colours behind them."""
_NOT_WHOLE: Final = (
    *(OSError, StudioError, ValueError, KeyError, TypeError, RecursionError, EOFError, NotImplementedError),
    *(zlib.error, zipfile.BadZipFile),
)


def kept_picture_file() -> Path:
    """Return where the picture is kept."""
    return state_folder() / "picture.npz"


class KeptPicture:
    """The picture of last time, and the keeping of this one."""

    def __init__(self, catalogue: Catalogue, house: Mapping[str, Value]) -> None:
        """Set up.

        Args:
            catalogue: What can be chosen by name.
            house: Option values that hold before anything is typed.
        """
        self._catalogue = catalogue
        self._house = house
        self._stamps: dict[Path, FileStamp] = {}
        self._found: tuple[dict[str, Any], NDArray[np.uint32]] | None = None
        self._has_looked = False
        self._last: Drawn | None = None

    def is_of(self, state: SignDraft) -> bool:
        """Whether what is kept shows this sign, in whatever view."""
        if not self._has_looked:
            self._has_looked = True
            with contextlib.suppress(*_NOT_WHOLE):
                self._found = _read(kept_picture_file())
        return self._found is not None and self._found[0].get("sign") == self._sign_key(state)

    def lines_for(self, state: SignDraft, view: View) -> list[Strip] | None:
        """Return the lines of what is kept; `None` unless they show this very sign in this very view."""
        if not self.is_of(state) or self._found is None:
            return None
        head, layers = self._found
        if head.get("view") != _digest(view):
            return None
        try:
            return StripMaker().strips_of(_drawn(head, layers, view))
        except _NOT_WHOLE:
            return None

    def keep(self, state: SignDraft, view: View, drawn: Drawn) -> None:
        """Keep a picture for next time; what cannot be written is let go."""
        if drawn is self._last or drawn.cells.glyphs.size > _MOST_CELLS:
            return
        self._last = drawn
        data = _packed({"sign": self._sign_key(state), "view": _digest(view)}, drawn)
        with contextlib.suppress(OSError, StudioError):
            file = kept_picture_file()
            file.parent.mkdir(parents=True, exist_ok=True)
            write_whole(file, data, overwrite=True, durable=False)

    def _sign_key(self, state: SignDraft) -> str:
        """Return what tells a sign from another, with all that it is made from.

        A file counts as it was when it was first asked about: one that has changed since is another file next time.
        """
        named = files_named(state.effective(self._house))
        stamps = [self._stamp(file) for file in (*files_of(self._catalogue), *named)]
        house = sorted(self._house.items())
        return _digest(_SCHEMA, program_stamp(), self._catalogue, house, state, str(Path.cwd()), stamps)

    def _stamp(self, file: Path) -> FileStamp:
        if file not in self._stamps:
            self._stamps[file] = file_stamp(file)
        return self._stamps[file]


def is_plain(view: View) -> bool:
    """Whether a view is the one that the studio opens with: the sign as it is read, the name in hand."""
    is_read = not view.is_printed and view.is_pressed is None and view.loupe is None
    return is_read and view.lettering == 0 and not view.is_empty


def _digest(*what: object) -> str:
    return hashlib.sha256(repr(what).encode("utf-8", "surrogatepass")).hexdigest()


def _packed(head: Mapping[str, str], drawn: Drawn) -> bytes:
    """Return a picture as the bytes of a NumPy archive, which carries checksums of its own."""
    cells = drawn.cells
    marks = [[mark.row, mark.column, mark.text] for mark in drawn.marks]
    stream = io.BytesIO()
    np.savez_compressed(
        stream,
        told=np.array(json.dumps({**head, "is_coloured": cells.is_coloured, "marks": marks})),
        layers=np.stack([cells.glyphs, cells.front, cells.back]).astype("<u4"),
    )
    return stream.getvalue()


def _read(file: Path) -> tuple[dict[str, Any], NDArray[np.uint32]]:
    """Return what is told of a kept picture, and its layers; one of `_NOT_WHOLE` when it is not whole."""
    data = regular_bytes(file, most_bytes=_LARGEST_BYTES, what="kept picture", error=StudioError)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        if sum(part.file_size for part in archive.infolist()) > _LARGEST_UNPACKED_BYTES:
            raise ValueError
    with np.load(io.BytesIO(data), allow_pickle=False) as kept:
        head, layers = json.loads(str(kept["told"])), kept["layers"]
    if not isinstance(head, dict) or layers.dtype != np.uint32:
        raise ValueError
    return head, layers


def _drawn(head: Mapping[str, Any], layers: NDArray[np.uint32], view: View) -> Drawn:
    """Return a kept picture; ValueError, KeyError or TypeError when it is not one of this view."""
    if layers.shape != (_LAYERS, view.rows, view.columns):
        raise ValueError
    glyphs, front, back = layers
    is_coloured = head["is_coloured"]
    if is_coloured is not (view.kind != "braille") or not np.isin(glyphs, shapes_of(view.kind)).all():
        raise ValueError
    if max(front.max(), back.max()) > _LARGEST_COLOUR:
        raise ValueError
    return Drawn(Cells(glyphs, front, back, is_coloured), tuple(_mark(mark, view) for mark in head["marks"]))


def _mark(told: Sequence[object], view: View) -> Mark:
    """Return a mark: a number in the picture."""
    row, column, text = told
    if type(row) is not int or type(column) is not int or not isinstance(text, str):
        raise TypeError
    if not (0 <= row < view.rows and 0 <= column < view.columns and text.isascii() and text.isdigit()):
        raise ValueError
    return Mark(row, column, text)
