"""Whether the lettering stands out from what is really around it, both as they will be in the wood.

Dye is transparent: ink and surroundings are taken times the surface's own colour, in linear light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.colour import Colour, contrast_ratio, luminance
from studio.basics.kept import KeptValue
from studio.geometry.shapes import Points, signed_area
from studio.layout.letter_ink import sampled_edge
from studio.layout.placement import PlacedLetter, PlacedLettering, Placement
from studio.model.finding import Finding, Offer, Where, found
from studio.model.sign import Sign
from studio.model.surface import Surface
from studio.text.font import GlyphOutline

LEAST_CONTRAST: Final = 3.0
"""Source: WCAG 2.1, success criterion 1.4.3, for large text."""
WHITE_LUMINANCE: Final = 0.80
"""Colours lighter than this print next to no dye; there is no white ink (common practice, no source)."""
_RING_MM: Final = 1.0
_STEP_EM: Final = 0.015
"""How close places of the ring stand: 0.6 mm on a 40 mm em, finer than the pixels that are asked."""
_RUN: Final = 5
"""Neighbouring ring samples averaged, so that one stray speck does not decide."""
OUTLINE_COLOURS: Final = (Colour(0x2A, 0x18, 0x10), Colour(0xFF, 0xFF, 0xFF))
"""What is offered round letters that hardly stand out: the darkest that prints well, and bare surface."""
_LEAST_RING_MM: Final = 0.8


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """The sign pressed without its lettering: sRGB pixels, rows running down, and where they stand.

    Attributes:
        pixels: Shape (rows, columns, 3 or more).
        left_mm: Left edge of the first column; `top_mm` is the upper edge of the first row.
    """

    pixels: NDArray[np.uint8]
    px_per_mm: float
    left_mm: float
    top_mm: float

    def luminance_at(self, points: Points) -> NDArray[np.float64]:
        """Return the relative luminance at points, shapes (n, 2) to (n,)."""
        columns = np.clip(((points[:, 0] - self.left_mm) * self.px_per_mm).astype(np.intp), 0, self.pixels.shape[1] - 1)
        rows = np.clip(((self.top_mm - points[:, 1]) * self.px_per_mm).astype(np.intp), 0, self.pixels.shape[0] - 1)
        linear = _LINEAR[self.pixels[rows, columns, :3]]
        return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]), np.float64)


_RINGS: Final = KeptValue[GlyphOutline, tuple[Points, Points]]()
"""Edges and normals of outlines."""

_CODES = np.arange(256) / 255.0
_LINEAR: Final[NDArray[np.float64]] = np.where(_CODES <= 0.04045, _CODES / 12.92, ((_CODES + 0.055) / 1.055) ** 2.4)


def pressed_luminance(colour: Colour, surface: Surface) -> float:
    """Return the luminance of a printed colour once pressed: print times surface, in linear light."""
    red, green, blue = (ink * wood for ink, wood in zip(colour.linear, surface.base_colour.linear, strict=True))
    return luminance((red, green, blue))


def pressed_contrast(one: Colour, other: Colour, surface: Surface) -> float:
    """Return the contrast ratio, 1 to 21, of two printed colours once pressed."""
    return contrast_ratio(pressed_luminance(one, surface), pressed_luminance(other, surface))


def ring_width_mm(surface: Surface) -> float:
    """Return how wide an outline must be to hold on a surface, in whole tenths of a millimetre."""
    return max(_LEAST_RING_MM, math.ceil(surface.finest_stroke_mm * 10) / 10)


def contrast_findings(sign: Sign, placement: Placement, around: Surroundings) -> tuple[Finding, ...]:
    """Return where lettering is too close to its surroundings, and what was asked for in white."""
    findings: list[Finding] = []
    for number, lettering in enumerate(placement.letterings):
        if luminance(lettering.colour.linear) >= WHITE_LUMINANCE:
            findings.append(
                found(
                    "white-ink",
                    f"“{lettering.text}” is asked for in {lettering.colour.hex}: there is no white ink, so it comes "
                    "out as bare surface.",
                    where=Where(number),
                    measured=round(luminance(lettering.colour.linear), 3),
                    limit=WHITE_LUMINANCE,
                    unit="luminance",
                    remedy="Choose a darker colour, or take it as a cut-out of the picture around it.",
                    ways=("color",),
                )
            )
        worst = worst_contrast(lettering, sign.surface, around)
        if worst is not None and worst[0] < LEAST_CONTRAST:
            findings.append(_finding(lettering, number, worst, sign.surface, around))
    return tuple(findings)


def worst_contrast(
    lettering: PlacedLettering, surface: Surface, around: Surroundings
) -> tuple[float, PlacedLetter, float, float] | None:
    """Return the least contrast of a lettering with what is around it, and where: ratio, letter, x and y in mm.

    With an outline in another colour the letters also stand out by it; the better of the two counts.
    """
    ink = pressed_luminance(lettering.colour, surface)
    ring = None if lettering.ring is None or lettering.ring.colour is None else lettering.ring.colour
    edge = ink if ring is None else pressed_luminance(ring, surface)
    held = contrast_ratio(ink, edge)
    reach_mm = _RING_MM + (lettering.ring.width_mm if lettering.ring is not None else 0.0)
    rings = [_ring_points(letter, lettering, reach_mm) for letter in lettering.letters]
    points = np.concatenate(rings)
    if not len(points):
        return None
    beside = _smoothed(around.luminance_at(points))
    ratios = (np.maximum(beside, edge) + 0.05) / (np.minimum(beside, edge) + 0.05)
    at = int(np.argmin(ratios))
    number = int(np.searchsorted(np.cumsum([len(ring) for ring in rings]), at, side="right"))
    return max(float(ratios[at]), held), lettering.letters[number], float(points[at, 0]), float(points[at, 1])


def _finding(
    lettering: PlacedLettering,
    number: int,
    worst: tuple[float, PlacedLetter, float, float],
    surface: Surface,
    around: Surroundings,
) -> Finding:
    ratio, letter, x_mm, y_mm = worst
    best = max(OUTLINE_COLOURS, key=lambda colour: pressed_contrast(lettering.colour, colour, surface))
    gained = pressed_contrast(lettering.colour, best, surface)
    beside = float(around.luminance_at(np.array([[x_mm, y_mm]]))[0])
    remedy = ""
    if gained >= LEAST_CONTRAST:
        remedy = f"An outline of {ring_width_mm(surface):.1f} mm in {best.hex} lifts it to {gained:.1f}."
    elif contrast_ratio(pressed_luminance(OUTLINE_COLOURS[0], surface), beside) >= LEAST_CONTRAST:
        lifted = contrast_ratio(pressed_luminance(OUTLINE_COLOURS[0], surface), beside)
        remedy = f"Letters in {OUTLINE_COLOURS[0].hex} reach {lifted:.1f} there."
    return found(
        "low-contrast",
        f"“{letter.letter}” hardly stands out at {x_mm:.0f}, {y_mm:.0f} mm: contrast {ratio:.1f}, "
        f"{LEAST_CONTRAST:.0f} wanted, both as they will be in the wood.",
        where=Where(number, letter.letter, round(x_mm, 2), round(y_mm, 2)),
        measured=round(ratio, 2),
        limit=LEAST_CONTRAST,
        unit="ratio",
        remedy=remedy,
    )


def _ring_points(letter: PlacedLetter, lettering: PlacedLettering, reach_mm: float) -> Points:
    """Return points outside a letter, `reach_mm` from its edge as the face draws it."""
    edge, normal = _RINGS.of(letter.outline, lambda: _edge_and_normals(letter.outline))
    em_mm = lettering.em_mm * letter.size
    reach_em = (reach_mm + lettering.offset_mm) / em_mm
    ring = (edge + reach_em * normal - np.array([letter.advance_em / 2, 0.0])) * em_mm
    cos, sin = math.cos(letter.angle_rad), math.sin(letter.angle_rad)
    return np.asarray(ring @ np.array([[cos, sin], [-sin, cos]]) + np.array([letter.x_mm, letter.y_mm]), np.float64)


def _edge_and_normals(outline: GlyphOutline) -> tuple[Points, Points]:
    """Return places along the outer edges of an outline, em, and the outward normals there."""
    edges, normals = [np.empty((0, 2))], [np.empty((0, 2))]
    for contour in outline.contours:
        if signed_area(contour) > 0:
            edge = sampled_edge(contour, _STEP_EM)
            tangent = np.roll(edge, -1, axis=0) - np.roll(edge, 1, axis=0)
            length = np.maximum(np.hypot(tangent[:, 0], tangent[:, 1]), 1e-9)
            edges.append(edge)
            normals.append(np.stack([tangent[:, 1], -tangent[:, 0]], axis=-1) / length[:, None])
    return np.concatenate(edges), np.concatenate(normals)


def _smoothed(values: NDArray[np.float64]) -> NDArray[np.float64]:
    if len(values) < _RUN:
        return values
    wrapped = np.concatenate([values[-(_RUN // 2) :], values, values[: _RUN // 2]])
    return np.convolve(wrapped, np.full(_RUN, 1 / _RUN), mode="valid")


_SLACK_MM = 1e-6


def ring_findings(lettering: PlacedLettering, surface: Surface, number: int) -> tuple[Finding, ...]:
    """Return a warning where the outline is finer than the surface's finest stroke.

    One in the letters' own colour only makes them thicker, and is measured with them.
    """
    ring = lettering.ring
    if ring is None or ring.colour in (None, lettering.colour):
        return ()
    if ring.width_mm >= surface.finest_stroke_mm - _SLACK_MM:
        return ()
    value = f"{ring_width_mm(surface):.1f}mm:{ring.colour.hex}"
    return (
        found(
            "thin-outline",
            f"The outline of {ring.width_mm:.2f} mm round “{lettering.text}” is thinner than the "
            f"{surface.finest_stroke_mm:.2f} mm that the {surface.name} surface holds.",
            where=Where(number),
            measured=round(ring.width_mm, 4),
            limit=round(surface.finest_stroke_mm, 4),
            offers=(Offer(f"An outline of {value} holds.", (("outline", value),)),),
        ),
    )
