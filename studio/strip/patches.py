"""Colour patches and tints: how dark a solid is, and how much of the ink asked for a tint becomes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from studio.strip.bare_light import StripView
from studio.strip.layout import InkPatch, Rectangle, StripLayout

_INSET_SHARE: Final = 0.25
TINTS: Final = {"25%": 0.25, "50%": 0.50, "75%": 0.75}


@dataclass(frozen=True, slots=True)
class PatchReading:
    """One patch.

    Attributes:
        name: Its short name.
        shares: What it leaves of the bare wood's red, green, blue and luminance.
    """

    name: str
    shares: tuple[float, float, float, float]

    @property
    def densities(self) -> tuple[float, float, float, float]:
        """The same as optical densities over the bare wood."""
        red, green, blue, luminance = (-math.log10(max(share, 1e-4)) for share in self.shares)
        return red, green, blue, luminance


@dataclass(frozen=True, slots=True)
class Tint:
    """One step of the tone curve.

    Attributes:
        asked: Share of ink printed, 0 to 1.
        came_out: Share of ink that it looks like, 0 to 1. Source: Murray and Davies 1936, (1 - R) / (1 - Rs).
    """

    asked: float
    came_out: float

    @property
    def gain(self) -> float:
        """Tone value increase."""
        return self.came_out - self.asked


def read_patches(view: StripView, layout: StripLayout) -> tuple[PatchReading, ...]:
    """Return what each patch leaves of the bare wood's light."""
    return tuple(PatchReading(patch.name, _shares(view, patch)) for patch in layout.patches)


def tone_curve(patches: tuple[PatchReading, ...], solid: float) -> tuple[Tint, ...]:
    """Return the tints against the solid.

    Args:
        patches: As read.
        solid: The solid's share of bare light.
    """
    light = {patch.name: patch.shares[3] for patch in patches}
    return tuple(Tint(asked, (1 - light[name]) / (1 - solid)) for name, asked in TINTS.items())


def _shares(view: StripView, patch: InkPatch) -> tuple[float, float, float, float]:
    box = patch.box
    inset = _INSET_SHARE * (box.right_mm - box.left_mm)
    core = Rectangle(box.left_mm + inset, box.bottom_mm + inset, box.right_mm - inset, box.top_mm - inset)
    corners = np.array(core.corners_mm)
    red, green, blue, luminance = (_median(view, corners, channel) for channel in range(4))
    return red, green, blue, luminance


def _median(view: StripView, corners: np.ndarray, channel: int) -> float:
    pixels = view.pixels(corners, channel)
    (left, bottom), (right, top) = corners.min(axis=0), corners.max(axis=0)
    x, y = pixels.at_mm.T
    inside = (x > left) & (x < right) & (y > bottom) & (y < top)
    return float(np.median(pixels.share[inside])) if inside.any() else 1.0
