"""What the steps of the pipeline hand to one another: the assets, and a sign fitted and checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from studio.checks.stroke_and_gap import Thickness
from studio.layout.open_area import OpenArea
from studio.layout.placement import Placement
from studio.model.artwork import Artwork
from studio.model.finding import Finding, Status
from studio.model.sign import FaceChoice, Sign
from studio.model.surface import Surface
from studio.proofreading.easily_confused import confused_lines
from studio.proofreading.spell_out import spelled

if TYPE_CHECKING:
    from studio.text.font import Face
    from studio.text.words import WordLists


class Assets(Protocol):
    """Where faces and pictures come from. Both are kept once loaded."""

    def face(self, choice: FaceChoice) -> Face:
        """Return the face at its weight (the good one when none is asked for); FontError or SettingsError if not."""
        ...

    def stand_ins(self, face: Face) -> tuple[FaceChoice, ...]:
        """Return the other shipped faces, closest in kind first, each at its good weight."""
        ...

    def surfaces(self) -> tuple[Surface, ...]:
        """Return the surfaces that there are."""
        ...

    def words(self) -> WordLists:
        """Return the kinds of short words by which a text is composed."""
        ...

    def pixels(self, artwork: Artwork) -> NDArray[np.uint8]:
        """Return the picture upright in sRGB, shape (rows, columns, 4); PictureError if it cannot be read."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A sign fitted and checked.

    Attributes:
        sign: The sign as it was set, repairs included.
        placement: `None` when it was refused before anything stood.
        thickness: One for each lettering of the placement.
        area: The open area before any text stood.
    """

    sign: Sign
    placement: Placement | None
    findings: tuple[Finding, ...]
    status: Status
    thickness: tuple[Thickness, ...] = ()
    area: OpenArea | None = None

    @property
    def spelled(self) -> tuple[str, ...]:
        """Each text as typed, letter by letter."""
        return tuple(spelled(order.text) for order in self.sign.letterings)

    @property
    def confused(self) -> tuple[str, ...]:
        """A line for each letter of the texts that is easily taken for another, each once."""
        return tuple(dict.fromkeys(line for order in self.sign.letterings for line in confused_lines(order.text)))
