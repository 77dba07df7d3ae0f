"""Slanted edges: how soft each of the squares' twelve edges is, under both models of what spreads.

Nothing is resampled: each pixel goes, with its distance from the edge in strip mm, into a bin of a few hundredths of a
mm, so that perspective does no harm. Source of the idea: ISO 12233, e-SFR; here the edge is fitted, since dye that
spreads is not a blur of light. The camera's own blur takes part in the fit as a second Gaussian, of light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.model.dye import MIXINGS, Mixing
from studio.strip.bare_light import StripView, around
from studio.strip.layout import SQUARE_MM, Square

_BIN_MM: Final = 0.02
_INSIDE_MM: Final = 3.6
_OUTSIDE_MM: Final = 3.0
_LONGEST_HALF_MM: Final = 4.1
_SHORTEST_HALF_MM: Final = 2.4
_SEGMENT_MM: Final = 0.4
_MOST_SPREAD_MM: Final = 1.6
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True)
class EdgeFit:
    """One edge under one model.

    Attributes:
        spread_mm: Standard deviation across the edge, camera blur and raggedness taken off.
        offset_mm: How far out the place of half the dye lies from where it was printed.
        rms: What the model leaves, as a share of the step from solid to bare.
        solid: The solid's share of bare light.
    """

    spread_mm: float
    offset_mm: float
    rms: float
    solid: float


@dataclass(frozen=True, slots=True)
class Edge:
    """One measured edge.

    Attributes:
        normal_rad: The direction across it, from the strip's long side.
        fits: What each model makes of it.
        raggedness_mm: Standard deviation of its place along its length.
        camera_mm: The camera's blur across it, as it was taken.
        half_light_mm: How far out the light is half-way from solid to bare.
    """

    normal_rad: float
    fits: dict[Mixing, EdgeFit]
    raggedness_mm: float
    camera_mm: float
    half_light_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class _Profile:
    """Light across an edge in bins: distance out in mm, mean share of bare light, its likely error."""

    away_mm: NDArray[np.float64]
    share: NDArray[np.float64]
    error: NDArray[np.float64]


def edge_light(
    away_mm: NDArray[np.float64], spread_mm: float, bare: float, solid: float, mixing: Mixing, camera_mm: float = 0.0
) -> NDArray[np.float64]:
    """Return the light across a straight edge, as a share, shape as `away_mm`.

    Args:
        away_mm: Distances outwards from the edge as printed.
        spread_mm: The spread.
        bare: Light far outside.
        solid: Light far inside.
        mixing: What spreads: dye amount, or light.
        camera_mm: A blur of light on top.
    """
    from scipy.special import ndtr

    if mixing == "cover":
        amount = ndtr(-away_mm / math.hypot(spread_mm, camera_mm))
        covered: NDArray[np.float64] = bare + amount * (solid - bare)
        return covered
    steps = away_mm[:, None] + camera_mm * _NODES if camera_mm > 0 else away_mm[:, None]
    light = bare * np.exp(math.log(solid / bare) * ndtr(-steps / spread_mm))
    mixed: NDArray[np.float64] = light @ _WEIGHTS if camera_mm > 0 else light[:, 0]
    return mixed


def measure_edges(view: StripView, square: Square, camera_px: float) -> tuple[Edge, ...]:
    """Return the four edges of a square, measured.

    Args:
        view: The picture.
        square: The square.
        camera_px: The camera's own blur, standard deviation in pixels.
    """
    cos, sin = abs(math.cos(square.turn_rad)), abs(math.sin(square.turn_rad))
    reach = (SQUARE_MM / 2 + _OUTSIDE_MM) * max(cos, sin) + _LONGEST_HALF_MM * min(cos, sin) + 0.1
    pixels = view.pixels(around(square.x_mm, square.y_mm, reach, reach))
    offset = pixels.at_mm - (square.x_mm, square.y_mm)
    edges = []
    for quarter in range(4):
        normal_rad = square.turn_rad + quarter * math.pi / 2
        cos, sin = math.cos(normal_rad), math.sin(normal_rad)
        away = offset[:, 0] * cos + offset[:, 1] * sin - SQUARE_MM / 2
        along = offset[:, 1] * cos - offset[:, 0] * sin
        near = (np.abs(along) < _LONGEST_HALF_MM) & (away > -_INSIDE_MM) & (away < _OUTSIDE_MM)
        place = (square.x_mm + cos * SQUARE_MM / 2, square.y_mm + sin * SQUARE_MM / 2)
        camera_mm = view.capture_blur_mm(camera_px, place, normal_rad)
        edge = _measured(away[near], along[near], pixels.share[near].astype(np.float64), normal_rad, camera_mm)
        if edge is not None:
            edges.append(edge)
    return tuple(edges)


def _measured(
    away: NDArray[np.float64],
    along: NDArray[np.float64],
    share: NDArray[np.float64],
    normal_rad: float,
    camera_mm: float,
) -> Edge | None:
    """Return an edge from its pixels; `None` where too few are there or no edge is among them."""
    if len(away) < 400:
        return None
    bare, solid = float(np.median(share[away > 1.5])), float(np.median(share[away < -1.5]))
    if not 0 < solid < 0.85 * bare:
        return None
    half_mm, tilt, at_mm, spread_mm = _LONGEST_HALF_MM, 0.0, 0.0, 0.3
    raggedness = 0.0
    for turn in range(2):
        kept = np.abs(along) < half_mm
        reach_mm = min(max(5 * spread_mm, 1.0), 3.2) if turn else 3.2
        profile = _binned(away[kept] - tilt * along[kept], share[kept], at_mm, reach_mm)
        rough = _fitted(profile, "dye", camera_mm, bare, solid, spread_mm, at_mm)
        if rough is None:
            return None
        values, _rms = rough
        at_mm, spread_mm = values[3], values[2]
        slope, ragged = _along_the_edge(away[kept] - tilt * along[kept], along[kept], share[kept], values, camera_mm)
        tilt, raggedness = tilt + slope, ragged
        half_mm = min(_LONGEST_HALF_MM, max(_SHORTEST_HALF_MM, SQUARE_MM / 2 - 3 * spread_mm))
    kept = np.abs(along) < half_mm
    reach_mm = min(max(5 * spread_mm, 1.0), 3.2)
    profile = _binned(away[kept] - tilt * along[kept], share[kept], at_mm, reach_mm)
    fits: dict[Mixing, EdgeFit] = {}
    half_light_mm = at_mm
    for mixing in MIXINGS:
        found = _fitted(profile, mixing, math.hypot(camera_mm, raggedness), bare, solid, spread_mm, at_mm)
        if found is None:
            return None
        values, rms = found
        fits[mixing] = EdgeFit(values[2], values[3], rms, values[1] / values[0])
        if mixing == "cover":
            half_light_mm = values[3]
    return Edge(normal_rad, fits, raggedness, camera_mm, half_light_mm)


def _binned(away: NDArray[np.float64], share: NDArray[np.float64], at_mm: float, reach_mm: float) -> _Profile:
    """Return pixels gathered by their distance from the edge."""
    bins = np.floor((away + _INSIDE_MM + 1) / _BIN_MM).astype(int)
    count = np.bincount(bins)
    full = count >= 3
    middle = np.bincount(bins, away)[full] / count[full]
    mean = np.bincount(bins, share)[full] / count[full]
    square = np.bincount(bins, share * share)[full] / count[full]
    number = count[full]
    varied = np.sqrt(np.maximum(square - mean**2, 0) + 1e-6)
    error = varied / np.sqrt(number) * 2.0 + 0.002  # neighbouring pixels and fibres vary together, hence twice
    near = np.abs(middle - at_mm) < reach_mm
    return _Profile(middle[near], mean[near], error[near])


def _fitted(
    profile: _Profile, mixing: Mixing, camera_mm: float, bare: float, solid: float, spread_mm: float, at_mm: float
) -> tuple[tuple[float, float, float, float, float], float] | None:
    """Return bare, solid, spread, offset and slope of the model that fits a profile best, and what it leaves."""
    from scipy.optimize import least_squares

    if len(profile.away_mm) < 12:
        return None

    def light(values: NDArray[np.float64]) -> NDArray[np.float64]:
        outside, inside = math.exp(values[0]), math.exp(values[1])
        plain = edge_light(profile.away_mm - values[3], math.exp(values[2]), outside, inside, mixing, camera_mm)
        sloped: NDArray[np.float64] = plain * np.exp(values[4] * profile.away_mm)
        return sloped

    def left(values: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.append((light(values) - profile.share) / profile.error, values[4] / 0.02)

    start = np.array([math.log(bare), math.log(solid), math.log(max(spread_mm, 0.03)), at_mm, 0.0])
    low = [start[0] - 0.7, start[1] - 1.5, math.log(0.004), -2.5, -0.2]
    high = [start[0] + 0.7, start[1] + 1.0, math.log(_MOST_SPREAD_MM), 2.5, 0.2]
    found = least_squares(
        left, np.clip(start, np.array(low) + 1e-6, np.array(high) - 1e-6), bounds=(low, high), loss="soft_l1",
        f_scale=2.0, x_scale=[0.05, 0.05, 0.1, 0.02, 0.02], max_nfev=40, ftol=1e-6, xtol=1e-6,
    )  # fmt: skip
    values = found.x
    step = math.exp(values[0]) - math.exp(values[1])
    weight = 1 / profile.error**2
    rms = math.sqrt(float((weight * (light(values) - profile.share) ** 2).sum() / weight.sum())) / step
    fit = (math.exp(values[0]), math.exp(values[1]), math.exp(values[2]), float(values[3]), float(values[4]))
    return fit, rms


def _along_the_edge(
    away: NDArray[np.float64],
    along: NDArray[np.float64],
    share: NDArray[np.float64],
    values: tuple[float, float, float, float, float],
    camera_mm: float,
) -> tuple[float, float]:
    """Return how an edge leans from where it should run, in mm a mm, and how ragged it is, mm.

    Each short piece is moved by what fits it best; what noise alone would move it by is taken off. Source of the
    figure: raggedness is the standard deviation of an edge's places about a line, ISO/IEC 13660 (from memory).
    """
    bare, solid, spread_mm, at_mm, slope = values
    near = np.abs(away - at_mm) < 2.5 * math.hypot(spread_mm, camera_mm) + 0.05
    away, along, share = away[near], along[near], share[near]
    model = edge_light(away - at_mm, spread_mm, bare, solid, "dye", camera_mm) * np.exp(slope * away)
    step = 0.01
    ahead = edge_light(away - at_mm - step, spread_mm, bare, solid, "dye", camera_mm) * np.exp(slope * away)
    pull = (ahead - model) / step
    piece = np.floor((along + _LONGEST_HALF_MM) / _SEGMENT_MM).astype(int)
    count = int(piece.max()) + 1
    left = share - model
    # a piece's own brightness is fitted along, else light wood beside an edge would count as the edge's place
    n = np.maximum(np.bincount(piece, minlength=count), 1)
    brightness = np.bincount(piece, model * model, count)
    both = np.bincount(piece, model * pull, count)
    pulled = np.bincount(piece, pull * pull, count)
    on_model, on_pull = np.bincount(piece, left * model, count), np.bincount(piece, left * pull, count)
    free = pulled * brightness - both**2
    full = (n > 0.5 * np.median(n)) & (free > 1e-12 * pulled * brightness)
    if full.sum() < 6:
        return 0.0, 0.0
    moved = (on_pull[full] * brightness[full] - on_model[full] * both[full]) / free[full]
    noise = float(np.median(left**2) / 0.4549)
    expected = 2.0 * noise * brightness[full] / free[full]
    places = (np.arange(count)[full] + 0.5) * _SEGMENT_MM - _LONGEST_HALF_MM
    line = np.polyfit(places, moved, 1)
    about = moved - np.polyval(line, places)
    clear = np.abs(about) < 4 * np.median(np.abs(about)) + 1e-9
    variance = float(about[clear].var(ddof=2) - expected[clear].mean())
    return float(line[0]), math.sqrt(max(variance, 0.0))
