"""A figure that a size is sought for: points in em about a centre, coarse ones for looking, all edges for the proof.

At size `em` a figure stands at `centre + em * points`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.geometry import Points

EdgePoints: TypeAlias = tuple[Points, NDArray[np.intp]]
"""Where every edge starts, and the index of the point where it ends."""


class Figure:
    """Points of one figure, worked out when first asked for.

    Attributes:
        hull: Points that bound the figure: enough for whatever is convex.
        scouts: Some points of its edges: where they hit something the figure does.
    """

    def __init__(
        self, hull: Points, scouts: Points, samples: Callable[[], Points], edges: Callable[[], EdgePoints]
    ) -> None:
        self.hull = hull
        self.scouts = scouts
        self._samples, self._edges = samples, edges
        self._kept_samples: Points | None = None
        self._kept_edges: EdgePoints | None = None

    @property
    def samples(self) -> Points:
        """Points close together on all edges."""
        if self._kept_samples is None:
            self._kept_samples = self._samples()
        return self._kept_samples

    @property
    def edges(self) -> EdgePoints:
        """All edges."""
        if self._kept_edges is None:
            self._kept_edges = self._edges()
        return self._kept_edges


def polygon_figure(points: Points) -> Figure:
    """Return the figure of one closed polygon."""
    following = np.roll(np.arange(len(points)), -1)
    return Figure(points, points, lambda: points, lambda: (points, following))
