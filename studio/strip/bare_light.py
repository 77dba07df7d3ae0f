"""The strip as light: pixels brought to strip mm, each as a share of the bare wood around it.

Light over the strip is told from places where nothing is printed: their logarithm is fitted by a cubic surface, a
channel at a time, so that a lamp at one side takes no part in what is measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.render.pixel_grid import centred_window
from studio.render.pixels import LINEAR
from studio.strip.drawing import strip_light
from studio.strip.layout import HEIGHT_MM, WIDTH_MM, strip_layout
from studio.strip.pose import Points, Pose

CHANNELS: Final = 4
"""Red, green, blue, and their luminance."""
_LUMINANCE: Final = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Source: IEC 61966-2-1 / ITU-R BT.709 (from memory)."""
_CLEAR_MM: Final = 1.9
_MAP_PX_PER_MM: Final = 4.0
_CELL_MM: Final = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class Pixels:
    """Pixels of a part of the strip.

    Attributes:
        at_mm: Their middles on the strip, shape (n, 2).
        share: Their luminance as a share of the bare wood's, shape (n,).
    """

    at_mm: Points
    share: NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class StripView:
    """A picture with the strip's place in it.

    Attributes:
        codes: sRGB codes, shape (rows, columns, 3): the part of the picture that holds the strip.
        pose: The strip's place in that part.
        bare: Coefficients of the cubic surfaces of log light, shape (4, 10).
        bare_noise: How much bare places vary about those, as a share, one value a channel.
        clipped: Share of bare pixels at the top of the scale.
    """

    codes: NDArray[np.uint8]
    pose: Pose
    bare: NDArray[np.float64] = field(default_factory=lambda: np.zeros((CHANNELS, 10)))
    bare_noise: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)
    clipped: float = 0.0

    def bare_light(self, at_mm: Points, channel: int = 3) -> NDArray[np.float64]:
        """Return the bare wood's light at places, shape (n,), in a channel; 3 is the luminance."""
        light: NDArray[np.float64] = np.exp(_terms(at_mm) @ self.bare[channel])
        return light

    def light(self, box: tuple[slice, slice], channel: int = 3) -> NDArray[np.float32]:
        """Return the light of a block of pixels in a channel."""
        part = self.codes[box]
        if channel < 3:
            return LINEAR[part[..., channel]]
        light: NDArray[np.float32] = LINEAR[part] @ _LUMINANCE
        return light

    def pixels(self, outline_mm: Points, channel: int = 3) -> Pixels:
        """Return the pixels of the box round an outline on the strip, with their places and shares of bare light.

        Args:
            outline_mm: Corners, shape (n, 2).
            channel: 0 to 2 for red, green, blue; 3 for the luminance.
        """
        at = self.pose.to_px(outline_mm)
        rows, columns = self.codes.shape[:2]
        left, top = np.clip(np.floor(at.min(axis=0)).astype(int), 0, (columns, rows))
        right, bottom = np.clip(np.ceil(at.max(axis=0)).astype(int), 0, (columns, rows))
        light = self.light((slice(top, bottom), slice(left, right)), channel).ravel()
        row, column = np.mgrid[top:bottom, left:right]
        at_mm = self.pose.to_mm(np.column_stack((column.ravel() + 0.5, row.ravel() + 0.5)))
        return Pixels(at_mm, (light / self.bare_light(at_mm, channel)).astype(np.float32))

    def capture_blur_mm(self, blur_px: float, at_mm: tuple[float, float], normal_rad: float) -> float:
        """Return the width in mm, along a direction on the strip, of a blur that is round in pixels."""
        steps = np.linalg.inv(self.pose.steps_px_per_mm(*at_mm))
        normal = np.array([np.cos(normal_rad), np.sin(normal_rad)])
        return blur_px * float(np.sqrt(normal @ steps @ steps.T @ normal))


def around(x_mm: float, y_mm: float, half_x_mm: float, half_y_mm: float) -> Points:
    """Return the corners of a box round a place, shape (4, 2)."""
    signs = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    corners: Points = signs * (half_x_mm, half_y_mm) + np.array([x_mm, y_mm])
    return corners


def strip_view(codes: NDArray[np.uint8], pose: Pose) -> StripView:
    """Return a picture as a view of the strip, its bare light fitted.

    Args:
        codes: sRGB codes, shape (rows, columns, 3).
        pose: The strip's place in them.
    """
    at = pose.outline_px
    rows, columns = codes.shape[:2]
    left, top = np.clip(np.floor(at.min(axis=0)).astype(int) - 4, 0, (columns, rows))
    right, bottom = np.clip(np.ceil(at.max(axis=0)).astype(int) + 4, 0, (columns, rows))
    part = codes[top:bottom, left:right]
    shift = np.array([[1.0, 0.0, -left], [0.0, 1.0, -top], [0.0, 0.0, 1.0]])
    near = replace(pose, matrix=shift @ pose.matrix, middle_px=(pose.middle_px[0] - left, pose.middle_px[1] - top))
    view = StripView(part, near)
    bare, noise, clipped = _bare_surface(view)
    return replace(view, bare=bare, bare_noise=noise, clipped=clipped)


def _bare_surface(view: StripView) -> tuple[NDArray[np.float64], tuple[float, ...], float]:
    """Return the surfaces of bare light, what bare places vary by, and the share of them that is clipped."""
    places = bare_places_mm()
    at = view.pose.to_px(places)
    half = max(1, round(_CELL_MM * view.pose.px_per_mm() / 2))
    rows, columns = view.codes.shape[:2]
    inside = (at >= half).all(axis=1) & (at[:, 0] < columns - half) & (at[:, 1] < rows - half)
    places, middle = places[inside], at[inside].astype(int)
    steps = np.unique(np.linspace(-half, half, min(2 * half + 1, 9)).astype(int))
    across = (middle[:, :1] + steps)[:, None, :]
    down = (middle[:, 1:] + steps)[:, :, None]
    patches = view.codes[down, across].reshape(len(places), -1, 3)
    light = LINEAR[patches]
    channels = np.concatenate((light, (light @ _LUMINANCE)[..., None]), axis=2).mean(axis=1)
    terms = _terms(places)
    logs = np.log(np.maximum(channels, 1e-4)).astype(np.float64)
    surfaces, noise = [], []
    for channel in range(CHANNELS):
        surface, spread = _robust(terms, logs[:, channel])
        surfaces.append(surface)
        noise.append(spread)
    clipped = float((patches[..., 1] >= 254).mean())
    return np.array(surfaces), tuple(noise), clipped


def _robust(terms: NDArray[np.float64], values: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Return the surface that fits values though some are far off, and the spread about it."""
    weight: NDArray[np.float64] = np.ones(len(values))
    surface: NDArray[np.float64] = np.zeros(terms.shape[1])
    spread = 0.0
    for _ in range(8):
        weighted = terms * weight[:, None]
        inner = weighted.T @ terms + 1e-9 * np.eye(terms.shape[1])
        surface = np.asarray(np.linalg.solve(inner, weighted.T @ values), np.float64)
        left = values - terms @ surface
        spread = 1.4826 * float(np.median(np.abs(left - np.median(left))))
        weight = 1 / (1 + (left / (2.5 * max(spread, 0.004))) ** 2) ** 2
    return surface, spread


@lru_cache(maxsize=1)
def bare_places_mm() -> Points:
    """Return places of the strip at least `_CLEAR_MM` from all ink, about a mm apart, shape (n, 2)."""
    from scipy import ndimage

    window = centred_window(int(WIDTH_MM * _MAP_PX_PER_MM), int(HEIGHT_MM * _MAP_PX_PER_MM), _MAP_PX_PER_MM)
    inked = strip_light(window).min(axis=2) < 0.99
    for words in strip_layout().words:
        left = int((words.x_mm + WIDTH_MM / 2) * _MAP_PX_PER_MM)
        top = int((HEIGHT_MM / 2 - words.y_mm - words.cap_mm) * _MAP_PX_PER_MM)
        foot = int((HEIGHT_MM / 2 - words.y_mm + 0.4 * words.cap_mm) * _MAP_PX_PER_MM)
        inked[top:foot, left : left + int(words.room_mm * _MAP_PX_PER_MM)] = True
    room = ndimage.distance_transform_edt(~inked) / _MAP_PX_PER_MM
    edge = int(1.2 * _MAP_PX_PER_MM)
    for side in (np.s_[:edge], np.s_[-edge:], np.s_[:, :edge], np.s_[:, -edge:]):
        room[side] = 0.0
    step = int(_MAP_PX_PER_MM)
    rows, columns = np.nonzero(room[::step, ::step] >= _CLEAR_MM)
    places: Points = np.column_stack(
        (columns * 1.0 + 0.5 / _MAP_PX_PER_MM - WIDTH_MM / 2, HEIGHT_MM / 2 - rows * 1.0 - 0.5 / _MAP_PX_PER_MM)
    )
    return places


def _terms(at_mm: Points) -> NDArray[np.float64]:
    """Return the ten terms of a cubic surface at places of the strip, shape (n, 10)."""
    x, y = at_mm[:, 0] / (WIDTH_MM / 2), at_mm[:, 1] / (HEIGHT_MM / 2)
    terms: NDArray[np.float64] = np.column_stack(
        (np.ones_like(x), x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3)
    )
    return terms
