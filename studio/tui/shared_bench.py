"""The one bench of faces and pictures that all threads of the studio take from, made when it is first wanted.

Invariant: faces and pictures are read once, whichever thread asks first.
"""

from __future__ import annotations

import contextlib
import threading
from typing import TYPE_CHECKING

from studio.files.catalogue import Catalogue

if TYPE_CHECKING:
    from studio.artwork import Artwork
    from studio.files.bench import ShopBench


class SharedBench:
    """Hands out the bench."""

    def __init__(self, catalogue: Catalogue, bench: ShopBench | None = None) -> None:
        """Set up.

        Args:
            catalogue: Where names are looked up.
            bench: A bench that is there already.
        """
        self._catalogue = catalogue
        self._bench = bench
        self._lock = threading.Lock()

    def get(self) -> ShopBench:
        """Return the bench."""
        with self._lock:
            if self._bench is None:
                from studio.files.bench import ShopBench

                self._bench = ShopBench(self._catalogue)
            return self._bench

    def fetch(self, artwork: Artwork) -> None:
        """Begin to read an artwork on a thread of its own; what is wrong with it is told when it is asked for."""
        threading.Thread(target=self._fetch, args=(artwork,), name="sapwood-fetch", daemon=True).start()

    def _fetch(self, artwork: Artwork) -> None:
        with contextlib.suppress(Exception):
            self.get().pixels(artwork)
