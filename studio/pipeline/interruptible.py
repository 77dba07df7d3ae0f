"""Assets that give up in the middle of work which something more urgent has overtaken."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from studio.model.artwork import Artwork
    from studio.model.sign import FaceChoice
    from studio.model.surface import Surface
    from studio.pipeline.types import Assets
    from studio.text.font import Face
    from studio.text.words import WordLists


class Overtaken(Exception):
    """Work was given up since a newer question waits."""


class InterruptibleAssets:
    """Assets that give up when there is something more urgent than what they are asked for."""

    def __init__(self, assets: Assets) -> None:
        self._assets = assets
        self.is_overtaken: Callable[[], bool] = bool

    def face(self, choice: FaceChoice) -> Face:
        """See `Assets`; raises Overtaken."""
        self._look_up()
        return self._assets.face(choice)

    def stand_ins(self, face: Face) -> tuple[FaceChoice, ...]:
        """See `Assets`; raises Overtaken."""
        self._look_up()
        return self._assets.stand_ins(face)

    def surfaces(self) -> tuple[Surface, ...]:
        """See `Assets`."""
        return self._assets.surfaces()

    def words(self) -> WordLists:
        """See `Assets`."""
        return self._assets.words()

    def pixels(self, artwork: Artwork) -> NDArray[np.uint8]:
        """See `Assets`."""
        return self._assets.pixels(artwork)

    def _look_up(self) -> None:
        if self.is_overtaken():
            raise Overtaken
