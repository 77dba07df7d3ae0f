"""A photo of the strip read: the measurements as one value, and every reason why a picture cannot be read."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.errors import PictureError
from studio.model.dye import Mixing
from studio.strip.bare_light import StripView, strip_view
from studio.strip.edges import Edge, measure_edges
from studio.strip.ladders import Finest, Kind, Rung, finest, read_ladders
from studio.strip.layout import RING_NAMES, RINGS_MM, strip_layout
from studio.strip.locating import locate, missing_rings
from studio.strip.patches import PatchReading, Tint, read_patches, tone_curve
from studio.strip.pose import Pose
from studio.strip.spread import CAMERA_DOUBT, REFERENCE_DOUBT, MeasuredSpread, Mixed, judged

CAMERA_PX: Final = math.hypot(0.8, 0.45)
"""What a camera or scanner blurs by itself, standard deviation in pixels: lens and pixel; common practice, no
source."""
LEAST_PX_PER_MM: Final = 8.0
_ROUNDING: Final = 0.97
_MOST_CLIPPED: Final = 0.15
_SOME_CLIPPED: Final = 0.02
_MOST_RESIDUAL_MM: Final = 0.08
_LEAST_EDGES: Final = 8
_LEAST_CONTRAST: Final = 0.25
_DRAWN_NOISE: Final = 0.004
_DRAWN_PX: Final = 0.62
"""An edge sharper than this many pixels was never seen through a lens: it was drawn."""


@dataclass(frozen=True, slots=True)
class Reference:
    """The same strip unpressed on paper, as a camera sees it.

    Attributes:
        blur_mm: What print and camera blur together.
        grown_mm: How far ink has grown on the paper already.
        px_per_mm: How finely it was taken.
    """

    blur_mm: float
    grown_mm: float
    px_per_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class StripReading:
    """What a photo of the strip tells.

    Attributes:
        mixed: The spread under both models, and which holds.
        edges: The edges it was measured on.
        rungs: The ladders' rungs.
        patches: Colour patches and tints.
        tints: The tone curve.
        solid: The solid's share of bare light.
        raggedness_mm: How ragged edges are, as a standard deviation.
        growth_mm: How far out edges lie, told at half the light.
        pose: Where the strip lies in the picture.
        view: The part of the picture that holds it.
        px_per_mm: How finely it was taken.
        bare_noise: How much bare wood varies, as a share of its light.
        camera_mm: The camera's blur that was taken off.
        remarks: Sentences worth saying.
    """

    mixed: Mixed
    edges: tuple[Edge, ...]
    rungs: tuple[Rung, ...]
    patches: tuple[PatchReading, ...]
    tints: tuple[Tint, ...]
    solid: float
    raggedness_mm: float
    growth_mm: float
    pose: Pose
    view: StripView
    px_per_mm: float
    bare_noise: float
    camera_mm: float
    remarks: tuple[str, ...] = ()

    @property
    def mixing(self) -> Mixing:
        """What spreads: dye amount, or light alone."""
        return self.mixed.mixing

    @property
    def spread(self) -> MeasuredSpread:
        """The spread under the model that holds."""
        return self.mixed.spread

    @property
    def density(self) -> float:
        """Optical density of a solid over bare wood."""
        return -math.log10(max(self.solid, 1e-4))

    @property
    def is_mirrored(self) -> bool:
        """Whether the strip is seen left for right."""
        return self.pose.is_mirrored

    @property
    def missing(self) -> tuple[str, ...]:
        """Ring marks that were not seen."""
        return missing_rings(self.pose)

    def finest_both(self, kind: Kind) -> tuple[Finest, Finest]:
        """Return the finest line or gap along and across the grain."""
        return finest(self.rungs, kind, "along"), finest(self.rungs, kind, "across")


def read_strip(codes: NDArray[np.uint8], *, reference: Reference | None = None) -> StripReading:
    """Return what a picture of the pressed strip tells.

    Args:
        codes: sRGB codes, shape (rows, columns, 3), as the camera took them.
        reference: The same strip on paper.

    Raises:
        PictureError: The picture cannot be read; the message says why.
    """
    view, whole = _seen(codes)
    px_per_mm = view.pose.px_per_mm()
    camera_px = CAMERA_PX if reference is None else reference.blur_mm * px_per_mm
    mixed, edges = _measured(view, camera_px, reference)
    _refuse_drawn(mixed, edges, view, px_per_mm)
    if view.clipped > _MOST_CLIPPED:
        raise PictureError(
            f"The bare wood is overexposed in {view.clipped:.0%} of its places, so that nothing can be compared to it.",
            advice="Take the picture again a little darker, without glare.",
        )
    layout = strip_layout()
    solid = mixed.spread.solid
    patches = read_patches(view, layout)
    return StripReading(
        mixed=mixed,
        edges=edges,
        rungs=read_ladders(view, layout, solid),
        patches=patches,
        tints=tone_curve(patches, solid),
        solid=solid,
        raggedness_mm=float(np.median([edge.raggedness_mm for edge in edges])),
        growth_mm=float(np.mean([edge.half_light_mm for edge in edges])),
        pose=whole,
        view=view,
        px_per_mm=px_per_mm,
        bare_noise=view.bare_noise[3],
        camera_mm=float(np.mean([edge.camera_mm for edge in edges])),
        remarks=_remarks(whole, mixed, view, reference),
    )


def read_reference(codes: NDArray[np.uint8]) -> Reference:
    """Return what the camera and the paper do by themselves, from the strip unpressed on paper.

    Raises:
        PictureError: The picture cannot be read.
    """
    view, _ = _seen(codes)
    mixed, _edges = _measured(view, 0.0, None)
    light = mixed.spreads["cover"]
    blur_mm = math.sqrt((light.along_mm**2 + light.across_mm**2) / 2)
    return Reference(blur_mm, light.offset_mm, view.pose.px_per_mm())


def _seen(codes: NDArray[np.uint8]) -> tuple[StripView, Pose]:
    """Return the strip as seen, and its pose in the whole picture, once it is known that it can be measured."""
    pose = locate(codes)
    px_per_mm = min(pose.px_per_mm(x_mm, y_mm) for x_mm, y_mm in RINGS_MM[:4])
    if pose.px_per_mm() < LEAST_PX_PER_MM * _ROUNDING:
        raise PictureError(
            f"The strip is too small in the picture: {pose.px_per_mm():.1f} pixels a mm, at least {LEAST_PX_PER_MM:g} "
            "are needed and 15 are good.",
            advice="Go nearer, so that the strip fills the picture, or scan it at 400 dpi or more.",
        )
    if pose.residual_px > max(1.0, _MOST_RESIDUAL_MM * px_per_mm):
        raise PictureError(
            f"The ring marks lie {pose.residual_px / pose.px_per_mm():.2f} mm off where they were printed, "
            f"{_MOST_RESIDUAL_MM:g} mm is the most.",
            advice="Lay the strip flat and take the picture again from above; bent paper or wood cannot be measured.",
        )
    return strip_view(codes, pose), pose


def _measured(view: StripView, camera_px: float, reference: Reference | None) -> tuple[Mixed, tuple[Edge, ...]]:
    edges = tuple(edge for square in strip_layout().squares for edge in measure_edges(view, square, camera_px))
    if not edges and view.bare_noise[3] < _DRAWN_NOISE:
        raise _drawn()
    if len(edges) < _LEAST_EDGES:
        raise PictureError(
            f"Only {len(edges)} of the 12 edges of the black squares can be measured, {_LEAST_EDGES} are needed.",
            advice="Take the picture again with nothing lying on the strip, evenly lit.",
        )
    doubt = CAMERA_DOUBT if reference is None else REFERENCE_DOUBT
    grown_mm = 0.0 if reference is None else reference.grown_mm
    mixed = judged(edges, camera_doubt=doubt, grown_mm=grown_mm, figure=view.bare_noise[3])
    if 1 - mixed.spread.solid < _LEAST_CONTRAST:
        raise PictureError(
            f"The black squares keep {mixed.spread.solid:.0%} of the wood's light: too faint to measure edges by.",
            advice="Press a new strip: more heat or time by the ink maker's sheet, or fresh paper.",
        )
    return mixed, edges


def _refuse_drawn(mixed: Mixed, edges: tuple[Edge, ...], view: StripView, px_per_mm: float) -> None:
    """Refuse a picture of the print file or of a screen: edges that no camera makes, on a ground without any noise."""
    light = mixed.spreads["cover"]
    widest = max(math.hypot(light.along_mm, edges[0].camera_mm), math.hypot(light.across_mm, edges[0].camera_mm))
    if widest * px_per_mm < max(_DRAWN_PX, CAMERA_PX * 1.05) and view.bare_noise[3] < _DRAWN_NOISE:
        raise _drawn()


def _drawn() -> PictureError:
    return PictureError(
        "This is a drawing of the strip, or a screenshot, and not a photo: its edges and its ground are perfect.",
        advice="Print the strip, press it, and photograph or scan the wood.",
    )


def _remarks(pose: Pose, mixed: Mixed, view: StripView, reference: Reference | None) -> tuple[str, ...]:
    said, px_per_mm = [], pose.px_per_mm()
    if view.clipped > _SOME_CLIPPED:
        said.append(f"The bare wood is overexposed in {view.clipped:.0%} of its places: a darker picture tells more.")
    if pose.is_mirrored:
        said.append(
            "The strip is seen mirrored. Either it was printed unmirrored, and then signs printed the same way come "
            "out mirrored too: print the file as it is, with no mirror setting in the printer's driver; or the camera "
            "flipped the picture. The measurements hold all the same."
        )
    missing = missing_rings(pose)
    if missing:
        names = " and ".join(f"the ring {name}" for name in missing)
        said.append(f"{names[:1].upper()}{names[1:]} was not seen; the other {len(RING_NAMES) - len(missing)} do.")
    if px_per_mm < 12:
        said.append(
            f"{px_per_mm:.1f} pixels a mm are few: take the picture from nearer, or scan at 400 dpi or more, "
            "to measure better."
        )
    if reference is not None and not 0.85 < reference.px_per_mm / px_per_mm < 1.18:
        said.append(
            f"The reference was taken at {reference.px_per_mm:.1f} pixels a mm and this at {px_per_mm:.1f}: take both "
            "from the same distance."
        )
    twist = math.degrees(mixed.spread.grain_rad)
    if abs(twist) > 20 and mixed.spread.along_mm > 0 and abs(mixed.spread.across_mm / mixed.spread.along_mm - 1) > 0.12:
        said.append(
            f"Dye runs widest {abs(twist):.0f} degrees off the strip's long side: the grain of this piece may not run "
            "along it. Press the strip with its long side along the grain."
        )
    return tuple(said)
