"""A figure that a size is sought for: points in em about a centre, coarse ones for looking, all edges for the proof.

At size `em` a figure stands at `centre + em * points`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.fitting.field import Rays
from studio.geometry import Points

EdgePoints: TypeAlias = tuple[Points, NDArray[np.intp]]
"""Where every edge starts, and the index of the point where it ends."""


class Figure:
    """Points of one figure, worked out when first asked for.

    Attributes:
        scouts: Some points of its edges: where they hit something the figure does.
    """

    def __init__(
        self,
        hull: Callable[[], Points],
        scouts: Points,
        samples: Callable[[], Points],
        edges: Callable[[], EdgePoints],
    ) -> None:
        self.scouts = scouts
        self._hull, self._samples, self._edges = hull, samples, edges

    @cached_property
    def hull(self) -> Points:
        """Points that bound the figure: enough for whatever is convex."""
        return self._hull()

    @cached_property
    def samples(self) -> Points:
        """Points close together on all edges."""
        return self._samples()

    @cached_property
    def scout_rays(self) -> Rays:
        """The scouts for quick looking."""
        return np.ascontiguousarray(self.scouts.T, np.float32)

    @cached_property
    def sample_rays(self) -> Rays:
        """The samples for quick looking."""
        return np.ascontiguousarray(self.samples.T, np.float32)

    @cached_property
    def edges(self) -> EdgePoints:
        """All edges."""
        return self._edges()


def polygon_figure(points: Points) -> Figure:
    """Return the figure of one closed polygon."""
    following = np.roll(np.arange(len(points)), -1)
    return Figure(lambda: points, points, lambda: points, lambda: (points, following))
