"""Outlines as polygons: curves flattened to a tolerance, overlaps united.

Invariant: what leaves here is counter-clockwise outside, clockwise in holes, and free of overlaps once `united`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Final

import numpy as np
import pathops
from numpy.typing import NDArray

from studio.geometry.shapes import Contours, Points, signed_area

FLATTEN_TOLERANCE_EM: Final = 2e-5
"""How far a chord may leave the curve, as a share of the em: 2 micrometres on a 100 mm em."""
_GRID: Final = 1024.0
"""The path library works in 32-bit floats; lengths near 1 000 units keep six digits, ample for any sign."""
_MOVE, _CLOSE = int(pathops.PathVerb.MOVE), int(pathops.PathVerb.CLOSE)
_KNOTS: Final = np.array([{"MOVE": 1, "LINE": 1, "QUAD": 2, "CUBIC": 3}.get(verb.name, 0) for verb in pathops.PathVerb])
"""Points that each verb of a path adds."""
_LEAST_AREA: Final = 1e-9
"""Contours smaller than this share of a square unit are dust of the union."""


PATH_UNITS: Final = 1000.0
"""Units to the em in which curves are kept: 32-bit floats hold six digits there."""


def drawn_path(draw: Callable[[Any], None], units_per_em: float) -> pathops.Path:
    """Return a glyph's curves, overlaps united, `PATH_UNITS` to the em.

    Args:
        draw: Draws the glyph with the pen it is given, in font units.
        units_per_em: Font units per em.
    """
    path = pathops.Path()
    draw(path.getPen())
    scale = PATH_UNITS / units_per_em
    return _simplified(path.transform(scale, 0, 0, scale, 0, 0))


def joined_path(parts: Iterable[tuple[pathops.Path, float, float, float]]) -> pathops.Path:
    """Return the union of paths, each scaled and then moved (path, scale, right, up; moves in em)."""
    whole = pathops.Path()
    for path, scale, right_em, up_em in parts:
        whole.addPath(path.transform(scale, 0, 0, scale, right_em * PATH_UNITS, up_em * PATH_UNITS))
    return _simplified(whole)


def path_contours(path: pathops.Path) -> Contours:
    """Return a path's curves flattened, in em units."""
    return tuple(contour / PATH_UNITS for contour in _flattened(path, FLATTEN_TOLERANCE_EM * PATH_UNITS))


def united(contours: Contours) -> Contours:
    """Return the same filled area without overlaps; input filled non-zero, any unit."""
    if not contours:
        return ()
    path, scale = _path_of(contours)
    return _contours_of(_simplified(path), scale)


def _scale_of(contours: Contours) -> float:
    largest = max(float(np.abs(contour).max()) for contour in contours)
    return _GRID / largest if largest > 0 else 1.0


def _path_of(contours: Contours) -> tuple[pathops.Path, float]:
    scale = _scale_of(contours)
    return _path_at(contours, scale), scale


def _path_at(contours: Contours, scale: float) -> pathops.Path:
    path = pathops.Path()
    for contour in contours:
        rows = (contour * scale).tolist()
        path.moveTo(*rows[0])
        for x, y in rows[1:]:
            path.lineTo(x, y)
        path.close()
    return path


def _contours_of(path: pathops.Path, scale: float) -> Contours:
    return tuple(contour / scale for contour in _flattened(path, 1e-3))


def _simplified(path: pathops.Path) -> pathops.Path:
    """Unite overlaps; a path the library cannot unite stays as it was, which the non-zero fill still draws right."""
    try:
        path.simplify(fix_winding=True, keep_starting_points=False, clockwise=False)
    except pathops.PathOpsError:
        return path
    return path


def _flattened(path: pathops.Path, tolerance: float) -> tuple[Points, ...]:
    points = np.array(path.points, np.float64).reshape(-1, 2)
    verbs = np.array(path.verbs, np.intp)
    verbs = verbs[verbs != _CLOSE]
    if not len(verbs):
        return ()
    walked, counts = _walked(points, verbs, tolerance)
    ends = np.cumsum(counts)
    starts = np.flatnonzero(verbs == _MOVE)
    first, stop = (ends - counts)[starts], np.append((ends - counts)[starts[1:]], ends[-1])
    contours = (_closed(walked[start:end]) for start, end in zip(first, stop, strict=True))
    return tuple(contour for contour in contours if len(contour) >= 3 and abs(signed_area(contour)) > _LEAST_AREA)


def _walked(points: Points, verbs: NDArray[np.intp], tolerance: float) -> tuple[Points, NDArray[np.intp]]:
    """Return the points that stand for each piece of a path, where it starts left out, and how many each has.

    Lines and curves of the second degree are walked as the curves of the third that they are as well.
    """
    knots = _KNOTS[verbs]
    last = np.cumsum(knots) - 1
    start = np.where(verbs == _MOVE, last, last - knots)
    is_curve, is_quad = knots > 1, (knots == 2)[:, None]
    a, d = points[start], points[last]
    early = points[np.where(is_curve, last - knots + 1, start)]
    late = points[np.where(is_curve, last - 1, last)]
    b, c = np.where(is_quad, (a + 2 * early) / 3, early), np.where(is_quad, (d + 2 * late) / 3, late)
    first, second = a - 2 * b + c, b - 2 * c + d
    bend = np.maximum(np.hypot(first[:, 0], first[:, 1]), np.hypot(second[:, 0], second[:, 1]))
    counts = np.where(is_curve, np.maximum(np.ceil(np.sqrt(0.75 * bend / tolerance)), 1), 1).astype(np.intp)
    piece = np.repeat(np.arange(len(verbs)), counts)
    t = (np.arange(1, len(piece) + 1) - (np.cumsum(counts) - counts)[piece]) / counts[piece]
    third, square, slope, constant = np.stack((d - a + 3 * (b - c), 3 * first, 3 * (b - a), a)).transpose(0, 2, 1)[
        :, :, piece
    ]
    walked = ((third * t + square) * t + slope) * t + constant
    walked[:, np.cumsum(counts) - 1] = d.T
    return np.ascontiguousarray(walked.T), counts


def _closed(contour: Points) -> Points:
    """Return a contour without points that repeat the one before."""
    if len(contour) < 2:
        return contour
    new = np.empty(len(contour), np.bool_)
    x, y = contour.T
    new[1:] = (x[1:] != x[:-1]) | (y[1:] != y[:-1])
    new[0] = x[0] != x[-1] or y[0] != y[-1]
    kept: Points = contour[new]
    return kept
