"""Outlines as polygons: curves flattened to a tolerance, overlaps united.

Invariant: what leaves here is counter-clockwise outside, clockwise in holes, and free of overlaps once `united`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any, Final

import numpy as np
import pathops

from studio.geometry import Contours, Points, signed_area

FLATTEN_TOLERANCE_EM: Final = 2e-5
"""How far a chord may leave the curve, as a share of the em: 2 micrometres on a 100 mm em."""
_GRID: Final = 1024.0
"""The path library works in 32-bit floats; lengths near 1 000 units keep six digits, ample for any sign."""
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
    contours: list[Points] = []
    points: list[tuple[float, float]] = []
    for verb, knots in path:
        if verb == pathops.PathVerb.MOVE:
            _keep(points, contours)
            points = [knots[0]]
        elif verb == pathops.PathVerb.LINE:
            points.append(knots[0])
        elif verb == pathops.PathVerb.QUAD:
            _append_quad(points, knots, tolerance)
        elif verb == pathops.PathVerb.CUBIC:
            _append_cubic(points, knots, tolerance)
        elif verb == pathops.PathVerb.CLOSE:
            _keep(points, contours)
            points = []
    _keep(points, contours)
    return tuple(contours)


def _keep(points: list[tuple[float, float]], contours: list[Points]) -> None:
    if len(points) < 3:
        return
    contour = np.array(points, dtype=np.float64)
    kept = np.any(contour != np.roll(contour, 1, axis=0), axis=1)
    contour = contour[kept]
    if len(contour) >= 3 and abs(signed_area(contour)) > _LEAST_AREA:
        contours.append(contour)


def _append_quad(points: list[tuple[float, float]], knots: Any, tolerance: float) -> None:
    (x0, y0), (x1, y1), (x2, y2) = points[-1], knots[0], knots[1]
    bend = math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2)
    count = max(1, math.ceil(math.sqrt(bend / (4 * tolerance))))
    for step in range(1, count + 1):
        t = step / count
        u = 1 - t
        points.append((u * u * x0 + 2 * u * t * x1 + t * t * x2, u * u * y0 + 2 * u * t * y1 + t * t * y2))


def _append_cubic(points: list[tuple[float, float]], knots: Any, tolerance: float) -> None:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[-1], knots[0], knots[1], knots[2]
    bend = max(math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2), math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3))
    count = max(1, math.ceil(math.sqrt(0.75 * bend / tolerance)))
    for step in range(1, count + 1):
        t = step / count
        u = 1 - t
        a, b, c, d = u**3, 3 * u * u * t, 3 * u * t * t, t**3
        points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
