"""Text along the rim of an oval, or along the arc of a rectangle, as large as the room allows.

These figures do not keep their form as they grow, so depth below the rim and size are searched together: for a depth
the largest size is found, and the depth that gives the largest is kept.

On a rectangle, whose rim does not bend, the arc is that of the circle as wide as the safe zone that touches its edge.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.kept import KeptValues
from studio.geometry.shapes import Points
from studio.layout.arc_pitch import LetterSteps
from studio.layout.baselines import CircleTrack, Track, rim_track
from studio.layout.fit import NO_LIMIT_MM, Fit, FittedLine, Limits
from studio.layout.letter_ink import LED_STEP_EM, SAMPLE_STEP_EM
from studio.layout.open_area import OpenArea
from studio.layout.placement import FixedLayout, FollowUsed
from studio.layout.scaling import KEPT_BACK, LADDER_STEP
from studio.layout.work import ALONG_MS, WORK
from studio.model.sign import LARGEST_TURN_RAD

_DEPTHS: Final = 16
_NARROWINGS: Final = 7
_LEAST_GAIN: Final = 1 + 1e-3
_CLOSE: Final = 2e-5
"""Share of a size at which the search for it stops."""
_ROOMIEST: Final = 4
_TRACKS_KEPT: Final = 64
_TRACKS: Final = KeptValues[OpenArea, tuple[float, int], Track | None]()
_SOLVED_STEP: Final = 1e-3
"""Share by which a size is made smaller first where it does not hold once the letters' places are solved."""


class RimArc:
    """The search for one line on one side of one open area."""

    def __init__(self, steps: LetterSteps, area: OpenArea, limits: Limits, follow: FollowUsed = "letters") -> None:
        self.steps, self.area, self.limits, self.follow = steps, area, limits, follow
        self.ink, self.side, self.spacing = steps.ink, steps.side, steps.spacing
        ink = self.ink
        self.steps.prepare(limits.sweep_rad)
        self._last: tuple[NDArray[np.float64], NDArray[np.float64]] | None = None
        self.bounding, self.few = (ink.hull, ink.hull_owner), ink.outer_samples
        if follow == "outline":
            # Led along an arc, what was within the hull may bulge beyond it.
            every = ink.edges(LED_STEP_EM)
            self.bounding, self.few = (every.points, every.owner), (ink.samples, ink.sample_owner)
        self.scouts = (ink.samples[ink.scouts], ink.sample_owner[ink.scouts])

    def fit(self) -> Fit | None:
        """Return the largest arc, or `None` when nothing of the smallest size fits."""
        deepest = self._deepest_mm()
        depths = np.linspace(self.area.margin_mm, deepest, _DEPTHS)
        best_depth, best_em = self._best(depths.tolist(), float(depths[0]), 0.0)
        step = float(depths[1] - depths[0])
        for _ in range(_NARROWINGS):
            if best_em <= 0 or best_em >= self.limits.largest_em_mm * KEPT_BACK:
                break
            step /= 2
            around = [max(best_depth - step, float(depths[0])), min(best_depth + step, deepest)]
            best_depth, best_em = self._best(around, best_depth, best_em)
        if best_em < self.limits.smallest_em_mm:
            return None
        return self._settled_beside(best_depth, best_em) or self._settled_roomiest(best_em)

    def _best(self, depths: list[float], best_depth: float, best_em: float) -> tuple[float, float]:
        for depth in depths:
            track = self._track(depth)
            if track is not None:
                em_mm = self._largest_on(track, max(best_em * _LEAST_GAIN, self.limits.smallest_em_mm))
                if em_mm > best_em:
                    best_depth, best_em = depth, em_mm
        return best_depth, best_em

    def _largest_on(self, track: Track, least_mm: float) -> float:
        """Return the largest em on a track, or 0 when it is under `least_mm`."""
        high = min(self.limits.largest_em_mm, 2 * track.half_length_mm / max(self.ink.advance_em, 1e-9))
        if high < least_mm:
            return 0.0
        low_room = self._room(track, least_mm)
        if low_room < 0:
            return 0.0
        upper = self._zone_limit(track, least_mm, low_room, high)
        if self.area.is_convex:
            return upper
        for em_mm in np.geomspace(upper, least_mm, max(2, int(np.log(upper / least_mm) / np.log(LADDER_STEP)) + 2)):
            if self._unhindered(track, float(em_mm)):
                return float(em_mm)
        return 0.0

    def _zone_limit(self, track: Track, low: float, low_room: float, high: float) -> float:
        """Return the em at which the room within zone, sweep and turn is used up, by the secant kept in a bracket."""
        high_room = self._room(track, high)
        if high_room >= 0:
            return high
        for step in range(24):
            share = low_room / (low_room - high_room) if step % 3 < 2 else 0.5
            middle = low + (high - low) * min(max(share, 0.02), 0.98)
            room = self._room(track, middle)
            if room >= 0:
                low, low_room = middle, room
            else:
                high, high_room = middle, room
            if high - low < _CLOSE * high:
                break
        return low

    def _room(self, track: Track, em_mm: float, *, solved: bool = False) -> float:
        """Return how much is left of what binds most: of the zone in mm, of sweep and turn as a share of a blank.

        With places solved every bounding point is asked for its true depth, else few of them for their room.
        """
        along, sweep, turn = self._along(track, em_mm, solved=solved)
        if along is None:
            return -self.area.blank.smaller_mm
        points = self._points(track, along, em_mm, *(self.bounding if solved else self.few))
        room = self.area.convex_clearance_mm(points) if solved else self.area.convex_room_mm(points)
        inward = self._inward_mm(track, em_mm)
        left = min(1 - sweep / self.limits.sweep_rad, 1 - turn / LARGEST_TURN_RAD)
        return min(float(room.min()), left * self.area.blank.smaller_mm, inward)

    def _inward_mm(self, track: Track, em_mm: float) -> float:
        """Return how far letters stay from where the arc closes on itself."""
        return float(track.radius_mm(np.zeros(1))[0]) - em_mm / self.steps.sharpest_inward()

    def _unhindered(self, track: Track, em_mm: float, *, solved: bool = False) -> bool:
        """Whether ink within the safe zone keeps clear of pictures, texts and holes."""
        area = self.area
        along, _, _ = self._along(track, em_mm, solved=solved)
        if along is None:
            return False
        samples = (self.ink.samples, self.ink.sample_owner)
        for points in (self.scouts, samples):
            moved = self._points(track, along, em_mm, *points)
            for field in (area.picture, area.texts):
                if field is not None and field.nearest(moved).min() < 0:
                    return False
            if area.blank.holes and not area.is_off_holes(moved):
                return False
        if not area.blank.holes:
            return True
        every = self.ink.edges(LED_STEP_EM if self.follow == "outline" else SAMPLE_STEP_EM)
        return area.clears_holes(self._points(track, along, em_mm, every.points, every.owner), every.following)

    def _along(
        self, track: Track, em_mm: float, *, solved: bool = False
    ) -> tuple[NDArray[np.float64] | None, float, float]:
        """Return where the letters stand along the track in mm, the sweep and the sharpest turn."""
        WORK.done_ms += ALONG_MS
        places = self._places_mm(self.steps.plain * em_mm, em_mm)
        if self.steps.is_even:
            radii_mm = np.maximum(track.radius_mm((places[1:] + places[:-1]) / 2), 1e-6)
            bends = em_mm / radii_mm
            steps = self._solved(bends) if solved else self.steps.looked_up_each(bends)
            places = self._places_mm(steps * em_mm, em_mm)
        ends = self.steps.ends
        edges = np.array([places[0] - ends[0] * em_mm, places[-1] + ends[1] * em_mm])
        if max(-edges[0], edges[1]) > track.half_length_mm * 0.999:
            return None, 0.0, 0.0
        turns = track.frames(np.concatenate([edges, places]))[2]
        turn = float(np.abs(np.diff(turns[2:])).max()) if len(places) > 1 else 0.0
        return places[self.steps.shown], float(abs(turns[1] - turns[0])), turn

    def _solved(self, bends: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the solved steps; the last ones are kept, since they are asked for again at once."""
        if self._last is None or not np.array_equal(self._last[0], bends):
            self._last = (bends, self.steps.solved_each(bends))
        return self._last[1]

    def _places_mm(self, steps_mm: NDArray[np.float64], em_mm: float) -> NDArray[np.float64]:
        places = np.concatenate([[0.0], np.cumsum(steps_mm)])
        ends = self.steps.ends
        start, end = -ends[0] * em_mm, places[-1] + ends[1] * em_mm
        if self.spacing == "even" or self.follow == "outline":
            shown = places[self.steps.shown]
            low, high = self.ink.extents
            start, end = float((shown + low * em_mm).min()), float((shown + high * em_mm).max())
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
        kept = _TRACKS.of(self.area)
        key = (depth_mm, self.side)
        if key in kept:
            return kept[key]
        if len(kept) > _TRACKS_KEPT:
            kept.clear()
        if rim.shape != "rect":
            track: Track | None = rim_track(rim, depth_mm, self.side)
        else:
            radius_mm = rim.width_mm / 2 - depth_mm
            centre_y = self.side * (rim.height_mm / 2 - rim.width_mm / 2)
            track = CircleTrack(radius_mm, self.side, centre_y) if radius_mm > 0 else None
        kept[key] = track
        return track

    def _settled_beside(self, depth_mm: float, em_mm: float) -> Fit | None:
        """Return the largest fit at a depth, and by what is missing there deeper or less deep: there may be a wall."""
        fit = self._settled(depth_mm, em_mm)
        if fit is not None and fit.em_mm >= em_mm * (1 - 2 * _SOLVED_STEP):
            return fit
        track = self._track(depth_mm)
        assert track is not None
        missing = max(-self._room(track, em_mm, solved=True), 1e-3) * 1.1
        beside = [depth for depth in (depth_mm + missing, depth_mm - missing) if self._track(depth) is not None]
        fits = [fit, *(self._settled(depth, em_mm) for depth in beside)]
        return max((one for one in fits if one is not None), key=lambda one: one.em_mm, default=None)

    def _settled(self, depth_mm: float, em_mm: float) -> Fit | None:
        """Return the fit with places solved and every hull corner proven: a little smaller where that asks for it."""
        track = self._track(depth_mm)
        assert track is not None
        if self.limits.largest_em_mm < NO_LIMIT_MM and em_mm >= self.limits.largest_em_mm * KEPT_BACK:
            em_mm = self.limits.largest_em_mm
        fitting, beyond, step = em_mm, em_mm, _SOLVED_STEP
        while not self._holds(track, fitting):
            if fitting <= self.limits.smallest_em_mm:
                return None
            beyond = fitting
            fitting = max(fitting * (1 - step), self.limits.smallest_em_mm)
            step *= 2
        while beyond > fitting * (1 + _SOLVED_STEP):
            middle = (fitting + beyond) / 2
            fitting, beyond = (middle, beyond) if self._holds(track, middle) else (fitting, middle)
        return self._fitted(track, depth_mm, fitting)

    def _holds(self, track: Track, em_mm: float) -> bool:
        """Whether a size keeps every limit, places solved and all bounding points asked."""
        if self._room(track, em_mm, solved=True) < 0:
            return False
        return self.area.is_convex or self._unhindered(track, em_mm, solved=True)

    def _settled_roomiest(self, em_mm: float) -> Fit | None:
        """Return a fit of about a size at one of the depths that leave it most room."""
        rooms = []
        for depth in np.linspace(self.area.margin_mm, self._deepest_mm(), 3 * _DEPTHS).tolist():
            track = self._track(depth)
            if track is not None:
                rooms.append((self._room(track, em_mm), depth))
        fits = (self._settled(depth, em_mm) for _, depth in sorted(rooms, reverse=True)[:_ROOMIEST])
        return next((fit for fit in fits if fit is not None), None)

    def _fitted(self, track: Track, depth_mm: float, em_mm: float) -> Fit:
        along, sweep, _ = self._along(track, em_mm, solved=True)
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
