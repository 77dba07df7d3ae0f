"""Text along the rim of an oval, or along the arc of a rectangle, as large as the room allows.

These figures do not keep their form as they grow, so depth below the rim and size are searched together: for a depth
the largest size is found, and the depth that gives the largest is kept.

On a rectangle, whose rim does not bend, the arc is that of the circle as wide as the safe zone that touches its edge.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.fitting.fit import Fit, FittedLine, Limits
from studio.fitting.ink import LineInk
from studio.fitting.open_area import OpenArea
from studio.fitting.placement import FixedLayout, FollowUsed
from studio.fitting.scale import KEPT_BACK
from studio.fitting.spacing import even_steps_em, plain_steps_em
from studio.fitting.track import CircleTrack, Track, rim_track
from studio.geometry import Points
from studio.sign import LARGEST_TURN_RAD, Spacing

_DEPTHS: Final = 16
_SIZES: Final = 14
_NARROWINGS: Final = 3


class RimArc:
    """The search for one line on one side of one open area."""

    def __init__(
        self,
        ink: LineInk,
        side: int,
        spacing: Spacing,
        area: OpenArea,
        limits: Limits,
        follow: FollowUsed = "letters",
    ) -> None:
        self.ink, self.side, self.spacing, self.area, self.limits = ink, side, spacing, area, limits
        self.follow = follow
        clusters = ink.line.clusters
        self.clusters = clusters
        self.plain = plain_steps_em(clusters)
        self.shown = np.array([index for index, cluster in enumerate(clusters) if cluster.has_ink], dtype=np.intp)
        self.ends = (clusters[0].advance_em / 2, clusters[-1].advance_em / 2)
        self._depths: dict[float, float] = {}

    def fit(self) -> Fit | None:
        """Return the largest arc, or `None` when nothing of the smallest size fits."""
        deepest = self._deepest_mm()
        depths = np.linspace(self.area.margin_mm, deepest, _DEPTHS)
        best_depth, best_em = self._best(depths)
        step = depths[1] - depths[0]
        for _ in range(_NARROWINGS):
            if best_em <= 0 or best_em >= self.limits.largest_em_mm * KEPT_BACK:
                break
            step /= 3
            around = np.array([best_depth - step, best_depth, best_depth + step]).clip(depths[0], deepest)
            best_depth, best_em = self._best(around)
        if best_em < self.limits.smallest_em_mm:
            return None
        return self._fitted(best_depth, best_em)

    def _best(self, depths: NDArray[np.float64]) -> tuple[float, float]:
        best_depth, best_em = float(depths[0]), 0.0
        for depth in depths:
            em_mm = self._largest_at(float(depth), best_em)
            if em_mm > best_em * (1 + 1e-9):
                best_depth, best_em = float(depth), em_mm
        return best_depth, best_em

    def _largest_at(self, depth_mm: float, beat_mm: float) -> float:
        """Return the largest em at a depth, or 0 when it does not beat another's."""
        if depth_mm in self._depths:
            return self._depths[depth_mm]
        track = self._track(depth_mm)
        if track is None:
            return 0.0
        high = self._ceiling(track)
        low = max(beat_mm, self.limits.smallest_em_mm)
        if high < low or not self._free(track, low):
            return 0.0
        if not self._free(track, high):
            for _ in range(_SIZES):
                middle = (low + high) / 2
                low, high = (middle, high) if self._free(track, middle) else (low, middle)
            high = low
        self._depths[depth_mm] = high
        return high

    def _ceiling(self, track: Track) -> float:
        longest = min(2 * track.half_length_mm, self.limits.sweep_rad * float(track.radius_mm(np.zeros(1))[0]) * 4)
        return min(self.limits.largest_em_mm, longest / max(self.ink.advance_em, 1e-9))

    def _free(self, track: Track, em_mm: float) -> bool:
        along, sweep, turn = self._along(track, em_mm)
        if along is None or sweep > self.limits.sweep_rad or turn > LARGEST_TURN_RAD:
            return False
        points = self._points(track, along, em_mm, self.ink.hull, self.ink.hull_owner)
        if self.area.convex_clearance_mm(points).min() < 0:
            return False
        if self.area.is_convex:
            return True
        points = self._points(track, along, em_mm, self.ink.samples, self.ink.sample_owner)
        if self.area.clearance_mm(points).min() < 0:
            return False
        if not self.area.blank.holes:
            return True
        every = self.ink.edges()
        return self.area.clears_holes(self._points(track, along, em_mm, every.points, every.owner), every.following)

    def _along(self, track: Track, em_mm: float) -> tuple[NDArray[np.float64] | None, float, float]:
        """Return where the letters stand along the track in mm, the sweep and the sharpest turn."""
        places = self._places_mm(self.plain * em_mm, em_mm)
        if self.spacing == "even" and len(self.plain):
            middles = (places[1:] + places[:-1]) / 2
            radii_em = track.radius_mm(middles) / em_mm
            gaps = np.full(len(radii_em), self.limits.finest_gap_mm / em_mm)
            steps = np.diagonal(even_steps_em(self.clusters, radii_em, self.side, gaps)) * em_mm
            places = self._places_mm(steps, em_mm)
        edges = np.array([places[0] - self.ends[0] * em_mm, places[-1] + self.ends[1] * em_mm])
        if max(-edges[0], edges[1]) > track.half_length_mm * 0.999:
            return None, 0.0, 0.0
        turns = track.frames(places)[2]
        ends = track.frames(edges)[2]
        turn = float(np.abs(np.diff(turns)).max()) if len(turns) > 1 else 0.0
        return places[self.shown], float(abs(ends[1] - ends[0])), turn

    def _places_mm(self, steps_mm: NDArray[np.float64], em_mm: float) -> NDArray[np.float64]:
        places = np.concatenate([[0.0], np.cumsum(steps_mm)])
        start, end = -self.ends[0] * em_mm, places[-1] + self.ends[1] * em_mm
        if self.spacing == "even" or self.follow == "outline":
            hull, owner = self.ink.hull, self.ink.hull_owner
            ink_x = places[self.shown][owner] + hull[:, 0] * em_mm
            start, end = float(ink_x.min()), float(ink_x.max())
        centred: NDArray[np.float64] = places - (start + end) / 2
        return centred

    def _points(
        self, track: Track, along: NDArray[np.float64], em_mm: float, points: Points, owner: NDArray[np.intp]
    ) -> Points:
        px, py = points[:, 0] * em_mm, points[:, 1] * em_mm
        if self.follow == "outline":
            x, y, turn = track.frames(along[owner] + px)
            return np.stack([x - py * np.sin(turn), y + py * np.cos(turn)], axis=-1)
        x, y, turn = track.frames(along)
        cos, sin = np.cos(turn)[owner], np.sin(turn)[owner]
        return np.stack([x[owner] + px * cos - py * sin, y[owner] + px * sin + py * cos], axis=-1)

    def _deepest_mm(self) -> float:
        rim = self.area.blank.rim
        if rim.shape == "rect":
            return rim.width_mm / 2 * 0.9
        return min(rim.height_mm * 0.8, (rim.width_mm / 2) ** 2 / (rim.height_mm / 2) * 0.95)

    def _track(self, depth_mm: float) -> Track | None:
        rim = self.area.blank.rim
        if rim.shape != "rect":
            return rim_track(rim, depth_mm, self.side)
        radius_mm = rim.width_mm / 2 - depth_mm
        centre_y = self.side * (rim.height_mm / 2 - rim.width_mm / 2)
        return CircleTrack(radius_mm, self.side, centre_y) if radius_mm > 0 else None

    def _fitted(self, depth_mm: float, em_mm: float) -> Fit:
        track = self._track(depth_mm)
        assert track is not None
        along, sweep, _ = self._along(track, em_mm)
        assert along is not None
        layout: FixedLayout = "arc-top" if self.side > 0 else "arc-bottom"
        radius = track.baseline_mm if isinstance(track, CircleTrack) else None
        return Fit(
            layout,
            em_mm,
            (FittedLine(self.ink, track.frames(along), along),),
            follow=self.follow,
            track=track,
            baseline_radius_mm=radius,
            sweep_rad=sweep,
            description=f"{layout} {depth_mm:.0f} mm inside the rim",
        )
