"""Orders as signs, by the shop's catalogue: a row's cells over what holds for the whole run."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from studio.errors import PictureError
from studio.files.bench import ShopBench
from studio.files.catalogue import Catalogue
from studio.files.options import Value, from_cells, merged_values
from studio.files.order_list import OrderRow
from studio.files.sign_builder import build_sign
from studio.sign import Sign


@dataclass(frozen=True, slots=True)
class ShopMakerSetup:
    """Makes a worker's maker; a value that can be sent to another process.

    Attributes:
        values: Option values that hold for every row, whatever door they came in by.
    """

    catalogue: Catalogue
    values: Mapping[str, Value]

    def __call__(self) -> ShopMaker:
        """Return a maker with a bench of its own."""
        return ShopMaker(self.catalogue, self.values)


class ShopMaker:
    """Turns orders into signs."""

    def __init__(self, catalogue: Catalogue, values: Mapping[str, Value]) -> None:
        self.bench = ShopBench(catalogue)
        self._values = values
        self._digests: dict[tuple[str, int, int], str] = {}

    def sign_of(self, order: OrderRow) -> Sign:
        """Return the order's sign.

        Raises:
            StudioError: One of its options is wrong, or names what is not there.
        """
        values = merged_values(self._values, from_cells(dict(order.options)))
        return build_sign(order.text, values, self.bench.catalogue, order=order.order)

    def materials(self, sign: Sign) -> dict[str, str]:
        """Return the SHA-256 of the faces and the picture that a sign names.

        Raises:
            StudioError: One of them cannot be read.
        """
        found = {f"face {lettering.face.name}": self.bench.face(lettering.face).sha256 for lettering in sign.letterings}
        if sign.artwork is not None:
            source = sign.artwork.artwork.source
            found[f"picture {source}"] = self._picture_digest(Path(source))
        return found

    def _picture_digest(self, file: Path) -> str:
        """Return a picture file's SHA-256, worked out anew only when the file has changed."""
        try:
            stamp = file.stat()
            key = (str(file), stamp.st_mtime_ns, stamp.st_size)
            if key not in self._digests:
                with file.open("rb") as stream:
                    self._digests[key] = hashlib.file_digest(stream, "sha256").hexdigest()
        except OSError as problem:
            raise PictureError(
                f"The picture {file} cannot be read: {problem.strerror}.", advice="Check it."
            ) from problem
        return self._digests[key]
