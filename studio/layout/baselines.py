"""Baselines that letters run along: circles, and offsets of an oval's own rim.

Distances along a track are in mm from its middle, positive to the reader's right; angles turn the letters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from studio.geometry.shapes import Rim

_TABLE_STEPS: Final = 4096
Frames = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


class Track(Protocol):
    """A baseline. `side` is 1 where the letters' tops point away from the blank's middle, -1 where towards it."""

    @property
    def side(self) -> int:
        """1 for the top of the blank, -1 for the bottom."""
        ...

    def frames(self, along_mm: NDArray[np.float64]) -> Frames:
        """Return x, y and turn (radians) of the baseline at distances from the middle; shapes as given."""
        ...

    def radius_mm(self, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the radius of curvature there."""
        ...

    @property
    def half_length_mm(self) -> float:
        """How far the track goes to each side of its middle."""
        ...


@dataclass(frozen=True, slots=True)
class CircleTrack:
    """A circle of `baseline_mm` radius about (0, `centre_y_mm`)."""

    baseline_mm: float
    side: int
    centre_y_mm: float = 0.0

    def frames(self, along_mm: NDArray[np.float64]) -> Frames:
        """See `Track.frames`."""
        turn = along_mm / self.baseline_mm
        x = self.baseline_mm * np.sin(turn)
        y = self.centre_y_mm + self.side * self.baseline_mm * np.cos(turn)
        return x, y, -self.side * turn

    def radius_mm(self, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """See `Track.radius_mm`."""
        return np.full_like(along_mm, self.baseline_mm)

    @property
    def half_length_mm(self) -> float:
        """See `Track.half_length_mm`."""
        return math.pi * self.baseline_mm


@dataclass(frozen=True, slots=True, eq=False)
class RimTrack:
    """The inward offset of an oval's rim, by arc length, as far as that offset stays smooth.

    Attributes:
        depth_mm: How far inside the rim the baseline runs.
        along: Distances from the middle at the table's steps; `x`, `y`, `turn`, `radius` belong to them.
    """

    side: int
    depth_mm: float
    along: NDArray[np.float64]
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    turn: NDArray[np.float64]
    radius: NDArray[np.float64]

    def frames(self, along_mm: NDArray[np.float64]) -> Frames:
        """See `Track.frames`."""
        return (
            np.interp(along_mm, self.along, self.x),
            np.interp(along_mm, self.along, self.y),
            np.interp(along_mm, self.along, self.turn),
        )

    def radius_mm(self, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """See `Track.radius_mm`."""
        return np.interp(along_mm, self.along, self.radius)

    @property
    def half_length_mm(self) -> float:
        """See `Track.half_length_mm`."""
        return float(self.along[-1])


def rim_track(rim: Rim, depth_mm: float, side: int) -> RimTrack | None:
    """Return the track at a depth inside an oval's rim.

    Args:
        rim: An ellipse.
        depth_mm: How far inside it the baseline runs.
        side: 1 along the top, -1 along the bottom.

    Returns:
        The track, or `None` when the offset is not smooth even in the middle (deeper than a² / b there).
    """
    a, b = rim.width_mm / 2, rim.height_mm / 2
    parameter = np.linspace(0, math.pi, _TABLE_STEPS // 2 + 1)
    speed = np.hypot(a * np.cos(parameter), b * np.sin(parameter))
    radius = speed**3 / (a * b) - depth_mm
    smooth = radius > 0
    if not smooth[0]:
        return None
    last = len(parameter) if smooth.all() else int(np.argmin(smooth))
    parameter, speed, radius = parameter[:last], speed[:last], radius[:last]
    if len(parameter) < 3:
        return None
    stretch = speed * (radius / (radius + depth_mm))
    steps = np.diff(parameter) * (stretch[1:] + stretch[:-1]) / 2
    along = np.concatenate([[0.0], np.cumsum(steps)])
    x = a * np.sin(parameter) - depth_mm * b * np.sin(parameter) / speed
    y = b * np.cos(parameter) - depth_mm * a * np.cos(parameter) / speed
    turn = np.arctan2(b * np.sin(parameter), a * np.cos(parameter))
    return RimTrack(
        side,
        depth_mm,
        np.concatenate([-along[:0:-1], along]),
        np.concatenate([-x[:0:-1], x]),
        side * np.concatenate([y[:0:-1], y]),
        -side * np.concatenate([-turn[:0:-1], turn]),
        np.concatenate([radius[:0:-1], radius]),
    )
