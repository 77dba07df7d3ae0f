"""Orders as signs, by the shop's catalogue: a row's cells over what holds for the whole run."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.basics.errors import PictureError
from studio.model.options import Value, default_values, from_cells, merged_values
from studio.model.sign import Sign
from studio.orders.order_row import OrderRow
from studio.orders.spreadsheet import LOOK_COLUMNS
from studio.pipeline.cache import forget
from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.storage.regular_file import refuse_irregular
from studio.storage.sign_builder import build_sign, with_text

_SIGNS_KEPT: Final = 256


@dataclass(frozen=True, slots=True)
class ShopMakerSetup:
    """Makes a worker's maker; a value that can be sent to another process.

    Attributes:
        values: Option values that hold for every row, whatever door they came in by.
    """

    catalogue: Catalogue
    values: Mapping[str, Value]

    def __call__(self) -> ShopMaker:
        """Return a maker with faces and pictures of its own."""
        return ShopMaker(self.catalogue, self.values)


class ShopMaker:
    """Turns orders into signs."""

    def __init__(self, catalogue: Catalogue, values: Mapping[str, Value]) -> None:
        self.assets = FileAssets(catalogue)
        self._values = values
        held = default_values() | dict(values)
        self._look = {name: str(held.get(name) or "") for name in LOOK_COLUMNS}
        self._pictures: dict[str, tuple[tuple[int, int] | None, str]] = {}
        self._signs: dict[tuple[tuple[str, str], ...], Sign] = {}

    def sign_of(self, order: OrderRow) -> Sign:
        """Return the order's sign; options that came before are not read again.

        Raises:
            StudioError: One of its options is wrong, or names what is not there.
        """
        sign = self._signs.get(order.options)
        if sign is None or self._has_changed(sign):
            values = merged_values(self._values, from_cells(dict(order.options)))
            sign = build_sign(order.text, values, self.assets.catalogue, order=order.order)
            if len(self._signs) < _SIGNS_KEPT:
                self._signs[order.options] = sign
            return sign
        return with_text(sign, order.text, order=order.order)

    def look_of(self, order: OrderRow) -> Mapping[str, str]:
        """Return the blank, artwork, face, surface and color of an order, as it has them or as they hold for all."""
        return self._look | {name: value for name, value in order.options if name in LOOK_COLUMNS}

    def materials(self, sign: Sign) -> dict[str, str]:
        """Return the SHA-256 of the faces and the picture that a sign names.

        Raises:
            StudioError: One of them cannot be read.
        """
        found = {
            f"face {lettering.face.name}": self.assets.face(lettering.face).sha256 for lettering in sign.letterings
        }
        if sign.artwork is not None:
            source = sign.artwork.artwork.source
            found[f"picture {source}"] = self._picture_digest(Path(source))
        return found

    def _has_changed(self, sign: Sign) -> bool:
        """Return whether a sign's picture is another than when it was last looked at."""
        known = None if sign.artwork is None else self._pictures.get(sign.artwork.artwork.source)
        return known is not None and sign.artwork is not None and known[0] != _stamp(Path(sign.artwork.artwork.source))

    def _picture_digest(self, file: Path) -> str:
        """Return a picture file's SHA-256; when the file has changed, what was made of it before is let go."""
        try:
            stamp = _stamp(file)
            known = self._pictures.get(str(file))
            if known is not None and known[0] == stamp:
                return known[1]
            refuse_irregular(file, "picture", PictureError)
            with file.open("rb") as stream:
                digest = hashlib.file_digest(stream, "sha256").hexdigest()
        except OSError as problem:
            raise PictureError(
                f"The picture {file} cannot be read: {problem.strerror}.", advice="Check it."
            ) from problem
        if known is not None:
            forget(self.assets)
            self._signs.clear()
        self._pictures[str(file)] = (stamp, digest)
        return digest


def _stamp(file: Path) -> tuple[int, int] | None:
    """Return what tells a changed file, `None` where it is gone."""
    try:
        found = file.stat()
    except OSError:
        return None
    return (found.st_mtime_ns, found.st_size)
