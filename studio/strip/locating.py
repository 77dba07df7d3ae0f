"""The strip found in a picture: rings sought, poses tried, the one kept that the rest of the strip agrees with."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.errors import PictureError
from studio.render.pixel_grid import centred_window
from studio.render.pixels import LINEAR
from studio.strip.drawing import strip_light
from studio.strip.layout import HEIGHT_MM, RING_NAMES, RINGS_MM, WIDTH_MM
from studio.strip.marks import WORKING_PX, FoundRing, find_rings, reduced
from studio.strip.pose import LEAST_RINGS, Points, Pose, fitted, rough_poses

LEAST_AGREEMENT: Final = 0.40
"""Correlation of the picture with the strip as printed under which something else was found."""
_SECTORS: Final = 16
_REACH_MM: Final = 6.4
_CENTRE_PX_PER_MM: Final = 14.0
"""A centre told from every second pixel at twice this density is as good as from all."""
_WHOLE: Final = 0.80
"""Share of a ring's sectors that must show it for its centre to be told."""


def locate(codes: NDArray[np.uint8]) -> Pose:
    """Return where the strip lies in a picture.

    Args:
        codes: sRGB codes, shape (rows, columns, 3).

    Raises:
        PictureError: No strip is there, or too little of it.
    """
    grey = grey_of(codes)
    size = (grey.shape[1], grey.shape[0])
    most = 0
    for longest_px in WORKING_PX:
        rings = find_rings(grey, longest_px)
        most = max(most, min(len(rings), len(RINGS_MM)))
        pose = _best(codes, grey, rings, size)
        if pose is not None:
            most = max(most, len(pose.rings))
            if len(pose.rings) >= LEAST_RINGS:
                return pose
        if max(size) <= longest_px:
            break
    if most < 3:
        raise PictureError(
            "There is no test strip in this picture: its ring marks were not found.",
            advice="Photograph the pressed strip from above, all of it in the picture and sharp; the picture that "
            "sapwood strip print writes shows what it looks like.",
        )
    raise PictureError(
        f"Only {most} of the strip's {len(RINGS_MM)} ring marks were found; {LEAST_RINGS} are needed.",
        advice="Take the picture again with the whole strip in it, nothing on it but at most one ring, without glare.",
    )


def grey_of(codes: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return one channel of codes: a quarter red, a half green, a quarter blue."""
    grey = codes[..., 0] // 4
    grey += codes[..., 1] // 2
    grey += codes[..., 2] // 4
    return grey


def _best(
    codes: NDArray[np.uint8], grey: NDArray[np.uint8], rings: tuple[FoundRing, ...], size: tuple[int, int]
) -> Pose | None:
    """Return the pose that the whole strip agrees with best, on as many rings as can be seen; `None` without any."""
    poses = rough_poses(rings, size)
    if not poses:
        return None
    small, factor = reduced(grey, 1300)
    agreements = [_agreement(small, factor, pose) for pose in poses]
    best = int(np.argmax(agreements))
    if agreements[best] < LEAST_AGREEMENT:
        return None
    pose = poses[best]
    for _ in range(2):
        refined = _refined(codes, pose)
        if refined is None:
            break
        pose = refined
    return pose


def _refined(codes: NDArray[np.uint8], pose: Pose) -> Pose | None:
    """Return the pose on the centres of all rings that show whole, one that lies far off left out."""
    found = [(mark, centre) for mark in range(len(RINGS_MM)) if (centre := _centre(codes, pose, mark)) is not None]
    if len(found) < 4:
        return None
    marks, centres = [mark for mark, _ in found], np.array([centre for _, centre in found])
    refined = fitted(pose, marks, centres)
    while len(marks) > LEAST_RINGS:
        model = np.array(RINGS_MM)[marks]
        away = np.hypot(*(refined.to_px(model) - centres).T)
        worst = int(away.argmax())
        without = [index for index in range(len(marks)) if index != worst]
        if away[worst] < max(1.0, 0.1 * refined.px_per_mm()):
            break
        fewer = fitted(pose, [marks[index] for index in without], centres[without])
        if fewer.residual_px > 0.4 * refined.residual_px:
            break
        marks, centres, refined = [marks[index] for index in without], centres[without], fewer
    return refined


def _centre(codes: NDArray[np.uint8], pose: Pose, mark: int) -> Points | None:
    """Return where a ring's centre lies in the picture, shape (2,); `None` where the ring does not show whole.

    It is the centre of darkness at full density, the light of the wood around it taken off as a plane.
    """
    middle = np.array(RINGS_MM[mark])
    corners = middle + _REACH_MM * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    at = pose.to_px(corners)
    rows, columns = codes.shape[:2]
    left, top = np.floor(at.min(axis=0)).astype(int)
    right, bottom = np.ceil(at.max(axis=0)).astype(int)
    seen_left, seen_top, seen_right, seen_bottom = max(left, 0), max(top, 0), min(right, columns), min(bottom, rows)
    hoop = np.linspace(0, 2 * np.pi, 16, endpoint=False)
    rim = pose.to_px(middle + 5.4 * np.column_stack((np.cos(hoop), np.sin(hoop))))
    if (rim < 0).any() or (rim[:, 0] > columns).any() or (rim[:, 1] > rows).any():
        return None  # a ring cut by the picture's edge would pull its centre inwards
    step = max(1, round(pose.px_per_mm(*middle) / _CENTRE_PX_PER_MM))
    row, column = np.mgrid[seen_top:seen_bottom:step, seen_left:seen_right:step]
    light = LINEAR[codes[seen_top:seen_bottom:step, seen_left:seen_right:step, 1]].ravel()
    px = np.column_stack((column.ravel() + 0.5, row.ravel() + 0.5))
    away = pose.to_mm(px) - middle
    distance = np.hypot(*away.T)
    around = (distance > 5.5) & (distance < _REACH_MM)
    if around.sum() < 20:
        return None
    terms = np.column_stack((np.ones(len(away)), away))
    logs = np.log(np.maximum(light, 1e-4))
    plane = np.linalg.lstsq(terms[around], logs[around], rcond=None)[0]
    share = np.exp(logs - terms @ plane)
    if not _shows(share, away, distance):
        return None
    disk = distance < 5.8
    dark = np.clip(1 - share[disk], 0, 1)
    dark = np.clip(dark - 0.2 * float(np.percentile(dark, 80)), 0, None)
    centre: Points = (dark[:, None] * px[disk]).sum(axis=0) / max(float(dark.sum()), 1e-9)
    return centre


def _shows(share: NDArray[np.float64], away: Points, distance: NDArray[np.float64]) -> bool:
    """Tell whether a ring shows all round: dark ring against the bare one inside it, sector by sector."""
    sector = ((np.arctan2(away[:, 1], away[:, 0]) / (2 * np.pi) + 0.5) * _SECTORS).astype(int) % _SECTORS
    ring = (distance > 3.8) & (distance < 4.6)
    gap = (distance > 1.9) & (distance < 2.9)
    dark = _means(share[ring], sector[ring])
    pale = _means(share[gap], sector[gap])
    dot = distance < 0.9
    if not dot.any() or np.isnan(dark).any() or np.isnan(pale).any():
        return False
    contrast = float(np.median(pale) - np.median(dark))
    shown = ((pale - dark) > 0.4 * contrast) & ((pale - dark) < 1.9 * contrast) & (dark < 0.92)
    has_dot = float(share[dot].mean()) < float(np.median(pale)) - 0.3 * contrast
    return has_dot and contrast > 0.04 and float(shown.mean()) >= _WHOLE


def _means(values: NDArray[np.float64], sector: NDArray[np.intp]) -> NDArray[np.float64]:
    count = np.bincount(sector, minlength=_SECTORS)
    means: NDArray[np.float64] = np.bincount(sector, values, _SECTORS) / np.where(count, count, np.nan)
    return means


def _agreement(small: NDArray[np.float32], factor: int, pose: Pose) -> float:
    """Return the correlation of the picture with the strip as printed, under a pose, -1 to 1."""
    from scipy import ndimage

    places, expected = _template()
    at = pose.to_px(places) / factor
    rows, columns = small.shape
    inside = (at >= 0).all(axis=1) & (at[:, 0] < columns) & (at[:, 1] < rows)
    if inside.mean() < 0.8:
        return -1.0
    blur = min(6.0, 0.4 * pose.px_per_mm() / factor)
    left, top = np.floor(at[inside].min(axis=0)).astype(int)
    right, bottom = np.ceil(at[inside].max(axis=0)).astype(int) + 1
    part = ndimage.gaussian_filter(small[top:bottom, left:right], blur)
    column, row = at[inside].astype(int).T
    seen = np.log(np.maximum(part[row - top, column - left], 4.0))
    flat = np.column_stack((np.ones(inside.sum()), places[inside]))
    seen = seen - flat @ np.linalg.lstsq(flat, seen, rcond=None)[0]
    return float(np.corrcoef(seen, expected[inside])[0, 1])


@lru_cache(maxsize=1)
def _template() -> tuple[Points, NDArray[np.float64]]:
    """Return places of the strip, 1 mm apart, and how light the print is there."""
    window = centred_window(int(WIDTH_MM), int(HEIGHT_MM), 1.0)
    light = strip_light(window).mean(axis=2).astype(np.float64)
    row, column = np.mgrid[: window.height_px, : window.width_px]
    places = np.column_stack((column.ravel() + 0.5 - WIDTH_MM / 2, HEIGHT_MM / 2 - row.ravel() - 0.5))
    return places, np.sqrt(light.ravel())


def missing_rings(pose: Pose) -> tuple[str, ...]:
    """Return the names of the ring marks that a pose does without."""
    return tuple(name for index, name in enumerate(RING_NAMES) if index not in pose.rings)
