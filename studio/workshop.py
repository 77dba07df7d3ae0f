"""The one road from a sign to its files' bytes: fit, check, draw.

Nothing is opened, printed or timed here: faces and pictures come from the bench that is handed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from studio.artwork import Artwork
from studio.checking.finding import Finding, Status
from studio.fitting.placement import Placement
from studio.sign import FaceChoice, Sign

if TYPE_CHECKING:
    from studio.lettering.face import Face


class Bench(Protocol):
    """Where faces and pictures come from. Both are kept once loaded."""

    def face(self, choice: FaceChoice) -> Face:
        """Return the face at its weight (the good one when none is asked for); FontError or SettingsError if not."""
        ...

    def stand_ins(self, face: Face) -> tuple[FaceChoice, ...]:
        """Return the other shipped faces, closest in kind first, each at its good weight."""
        ...

    def pixels(self, artwork: Artwork) -> NDArray[np.uint8]:
        """Return the picture upright in sRGB, shape (rows, columns, 4); PictureError if it cannot be read."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A sign fitted and checked; `placement` is `None` when it was refused before anything stood."""

    sign: Sign
    placement: Placement | None
    findings: tuple[Finding, ...]
    status: Status


@dataclass(frozen=True, slots=True, eq=False)
class Product:
    """A sign made: the bytes of its files. Print and proof are `None` when the sign was refused."""

    plan: Plan
    print_png: bytes | None
    proof_png: bytes | None
    thumbnail: str
    report: dict[str, object]
