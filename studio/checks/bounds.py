"""Whether every letter keeps to its room: inside the safe zone, off the holes, off the other texts, off the picture."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Final

import numpy as np

from studio.geometry.distance import gap_between
from studio.geometry.shapes import Contours, Points
from studio.layout.distance_grid import DistanceGrid
from studio.layout.letter_ink import sampled_edge
from studio.layout.open_area import OpenArea
from studio.layout.placement import NoFit, PlacedLettering, Placement
from studio.model.finding import Finding, Where, found

SLACK_MM: Final = 1e-3
"""A micrometre: what rounding may put beyond a limit that was met exactly."""
_PICTURE_STEP_MM: Final = 0.25
_GRID_ERROR_CELLS: Final = 1.5
"""How far the distance to the picture may differ between two places of one cell, in cells."""


def room_findings(placement: Placement, area: OpenArea) -> tuple[Finding, ...]:
    """Return where ink leaves its room. `area` is the open area before any text stood."""
    findings: list[Finding] = []
    for number, lettering in enumerate(placement.letterings):
        findings.extend(_beyond(lettering, area, number))
        findings.extend(_on_picture(lettering, area, number))
    for (first, one), (second, other) in combinations(enumerate(placement.letterings), 2):
        gap = gap_between(_ink(one), _ink(other))
        if _crosses(one, other) or (gap is not None and gap.width <= 0):
            findings.append(
                found(
                    "texts-collide",
                    f"“{one.text}” and “{other.text}” run into each other.",
                    where=Where(first, None, None if gap is None else gap.x, None if gap is None else gap.y),
                    measured=0.0,
                    limit=0.0,
                    remedy=f"Move one of them, or make text {second + 1} smaller.",
                    ways=("shift", "max_cap"),
                )
            )
    return tuple(findings)


def no_fit_finding(refused: NoFit, text: str) -> Finding:
    """Return the refusal of a text that found no room, with how much room there was."""
    shown = text.replace("\n", " / ")
    if refused.largest_cap_mm > 0:
        largest_mm = _floored(refused.largest_cap_mm)
        message = (
            f"“{shown}” does not fit ({refused.layout}): at most {largest_mm:.1f} mm cap height, "
            f"{refused.needed_cap_mm:.1f} mm needed; {refused.reason}."
        )
        remedy = "Allow a smaller cap height, a shorter text, another layout, or a larger blank."
    else:
        message = f"“{shown}” does not fit at any size ({refused.layout}); {refused.reason}."
        remedy = "Choose another layout, an artwork that leaves more room, or a larger blank."
    return found(
        "no-room",
        message,
        where=Where(refused.lettering),
        measured=round(refused.largest_cap_mm, 3),
        limit=round(refused.needed_cap_mm, 3),
        remedy=remedy,
        ways=("min_cap", "layout", "blank"),
    )


def _floored(length_mm: float) -> float:
    """Return a length in whole tenths that is never more than there is."""
    return math.floor(length_mm * 10) / 10


def _ink(lettering: PlacedLettering) -> Contours:
    return lettering.ring_contours or lettering.contours


def _beyond(lettering: PlacedLettering, area: OpenArea, number: int) -> list[Finding]:
    """Return the place furthest beyond the safe zone, and beyond the clearance of a hole."""
    rim, findings = area.blank.rim, []
    points = np.concatenate(_ink(lettering))
    depth = rim.depth_mm(points)
    worst = int(np.argmin(depth))
    if depth[worst] < area.margin_mm - SLACK_MM:
        over = area.margin_mm - float(depth[worst])
        findings.append(
            found(
                "outside-safe-zone",
                f"“{_letter_at(lettering, points[worst])}” leaves the safe zone by {over:.2f} mm.",
                where=_where(lettering, points[worst], number),
                measured=round(float(depth[worst]), 3),
                limit=round(area.margin_mm, 3),
                remedy=f"Move it {over:.1f} mm inwards, or lower the cap height.",
                ways=("shift", "cap"),
            )
        )
    for hole in area.blank.holes:
        away = np.hypot(points[:, 0] - hole.x_mm, points[:, 1] - hole.y_mm) - hole.diameter_mm / 2
        worst = int(np.argmin(away))
        if away[worst] < hole.clearance_mm - SLACK_MM:
            findings.append(
                found(
                    "outside-safe-zone",
                    f"“{_letter_at(lettering, points[worst])}” comes within {max(float(away[worst]), 0):.2f} mm of the "
                    f"hole at {hole.x_mm:.0f}, {hole.y_mm:.0f} mm; {hole.clearance_mm:.1f} mm must stay clear.",
                    where=_where(lettering, points[worst], number),
                    measured=round(float(away[worst]), 3),
                    limit=round(hole.clearance_mm, 3),
                    remedy="Move it away, or lower the cap height.",
                    ways=("shift", "cap"),
                )
            )
    return findings


def _on_picture(lettering: PlacedLettering, area: OpenArea, number: int) -> list[Finding]:
    """Return a place where lettering runs over artwork that it was fitted beside."""
    if area.picture is None:
        return []
    if not _may_touch(_ink(lettering), area.picture):
        return []
    points = np.concatenate([sampled_edge(contour, _PICTURE_STEP_MM) for contour in _ink(lettering)])
    away = area.picture.nearest(points)
    worst = int(np.argmin(away))
    if away[worst] > area.picture.least_value:
        return []
    return [
        found(
            "covers-artwork",
            f"“{_letter_at(lettering, points[worst])}” runs over the artwork at {points[worst][0]:.0f}, "
            f"{points[worst][1]:.0f} mm.",
            where=_where(lettering, points[worst], number),
            measured=0.0,
            limit=0.0,
            remedy="Leave it where it was fitted, or lower the cap height.",
            ways=("shift", "cap"),
        )
    ]


def _may_touch(ink: Contours, picture: DistanceGrid) -> bool:
    """Whether ink may run over the picture, from its corners: in between, distance falls by the way at most."""
    points = np.concatenate(ink)
    ends = np.cumsum([len(contour) for contour in ink]) - 1
    starts = np.concatenate([[0], ends[:-1] + 1])
    ahead = np.roll(points, -1, axis=0)
    ahead[ends] = points[starts]
    way_mm = np.hypot(*(ahead - points).T)
    before_mm = np.roll(way_mm, 1)
    before_mm[starts] = way_mm[ends]
    reach_mm = np.maximum(way_mm, before_mm) / 2 + _GRID_ERROR_CELLS * picture.grid.pitch_mm
    return bool((picture.nearest(points) - reach_mm).min() <= picture.least_value)


def _where(lettering: PlacedLettering, point: Points, number: int) -> Where:
    return Where(number, _letter_at(lettering, point), round(float(point[0]), 3), round(float(point[1]), 3))


def _letter_at(lettering: PlacedLettering, point: Points) -> str:
    """Return the letter whose outline comes nearest to a point."""
    shown = [letter for letter in lettering.letters if letter.contours]
    distances = [min(float(np.hypot(*(part - point).T).min()) for part in letter.contours) for letter in shown]
    return shown[int(np.argmin(distances))].letter


def _crosses(one: PlacedLettering, other: PlacedLettering) -> bool:
    """Whether one text's ink lies within the other's: their outlines may be apart and still one inside the other."""
    first, second = one.ink_box, other.ink_box
    if first.left_mm > second.right_mm or second.left_mm > first.right_mm:
        return False
    if first.bottom_mm > second.top_mm or second.bottom_mm > first.top_mm:
        return False
    return any(_within(contour[0], outer) for inner, outer in ((one, other), (other, one)) for contour in _ink(inner))


def _within(point: Points, lettering: PlacedLettering) -> bool:
    winding = 0.0
    for contour in _ink(lettering):
        low, high = contour.min(axis=0), contour.max(axis=0)
        if (point < low).any() or (point > high).any():
            continue
        angle = np.arctan2(contour[:, 1] - point[1], contour[:, 0] - point[0])
        turns = np.diff(np.concatenate([angle, angle[:1]]))
        winding += float(((turns + np.pi) % (2 * np.pi) - np.pi).sum())
    return abs(winding) > np.pi
