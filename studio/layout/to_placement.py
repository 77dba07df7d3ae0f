"""From a fit to a placement: contours moved to where they stand, in mm, and the figures that reports need."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from studio.basics.colour import Colour
from studio.geometry.offset import offset
from studio.geometry.paths import joined_path, path_contours, united
from studio.geometry.shapes import FLATTEN_TOLERANCE_MM, Contours, Points, bounds
from studio.layout.bent_outline import led_along
from studio.layout.fit import Fit, FittedLine
from studio.layout.letter_ink import split_contours
from studio.layout.placement import PlacedGlyph, PlacedLetter, PlacedLettering
from studio.model.sign import LetteringOrder, Spacing
from studio.text.font import Face
from studio.text.shaping import Cluster


def place(
    fit: Fit, order: LetteringOrder, text: str, face: Face, colour: Colour, spacing: Spacing, starts: tuple[int, ...]
) -> PlacedLettering:
    """Return the lettering that a fit describes.

    Args:
        fit: Where every letter stands.
        order: What was asked for: shift, ring and offset are applied here.
        text: The whole text, composed; clusters count its characters.
        face: The face of the lines.
        colour: The colour of the letters.
        spacing: The spacing used.
        starts: Index in `text` of each line's first character.
    """
    shift = np.array([order.shift_x_mm, order.shift_y_mm])
    letters: list[PlacedLetter] = []
    glyphs: list[PlacedGlyph] = []
    for number, (line, start) in enumerate(zip(fit.lines, starts, strict=True)):
        turned = _turned_letters(line, fit, number, start, shift)
        letters.extend(turned)
        glyphs.extend(_glyphs(line, fit, start, shift))
    contours: Contours = tuple(contour for letter in letters for contour in letter.contours)
    if fit.follow == "outline":
        contours = tuple(part for line in fit.lines for part in _led(line, fit, shift))
    drawn = contours if order.offset_mm > 0 else ()
    ring: Contours = ()
    if order.ring is not None:
        ring = _grown_ink(letters, order.offset_mm + order.ring.width_mm)
    if order.offset_mm > 0:
        contours = _grown_ink(letters, order.offset_mm)
        letters = [
            replace(letter, contours=offset(letter.contours, order.offset_mm, FLATTEN_TOLERANCE_MM))
            for letter in letters
        ]
    whole = np.concatenate(ring or contours)
    return PlacedLettering(
        text=text,
        layout=fit.layout,
        face=face.name,
        face_sha256=face.sha256,
        weight=face.weight,
        spacing=spacing,
        follow=fit.follow,
        em_mm=fit.em_mm,
        cap_height_mm=fit.em_mm * face.cap_height_em,
        lines=tuple(line.ink.line.text for line in fit.lines),
        line_sizes=tuple(line.size for line in fit.lines) if any(line.size != 1 for line in fit.lines) else (),
        glyphs=tuple(glyphs),
        letters=tuple(letters),
        contours=contours,
        colour=colour,
        ink_box=bounds(ring or contours),
        farthest_mm=float(np.hypot(whole[:, 0], whole[:, 1]).max()),
        baseline_radius_mm=fit.baseline_radius_mm,
        sweep_rad=fit.sweep_rad,
        ring=order.ring,
        ring_contours=ring,
        offset_mm=order.offset_mm,
        drawn=drawn,
    )


def _grown_ink(letters: list[PlacedLetter], distance_mm: float) -> Contours:
    """Return all letters grown by a distance, as one area: grown one by one, which is the same and never fails."""
    return united(
        tuple(contour for letter in letters for contour in offset(letter.contours, distance_mm, FLATTEN_TOLERANCE_MM))
    )


def _turned_letters(line: FittedLine, fit: Fit, number: int, start: int, shift: Points) -> list[PlacedLetter]:
    """Return each letter turned as a whole about its mid-advance point."""
    placed = []
    em_mm = fit.em_mm * line.size
    for index, (cluster, x, y, turn) in enumerate(zip(line.ink.letters, *line.frames, strict=True)):
        local = cluster.outline.points * em_mm - np.array([cluster.advance_em / 2 * em_mm, 0.0])
        if fit.follow == "outline":
            contours = _bent(cluster, index, line, fit, shift)
        else:
            cos, sin = math.cos(turn), math.sin(turn)
            moved = local @ np.array([[cos, sin], [-sin, cos]]) + np.array([x, y]) + shift
            contours = split_contours(cluster.outline, moved)
        placed.append(
            PlacedLetter(
                start + cluster.start,
                cluster.letter,
                number,
                contours,
                cluster.outline,
                cluster.advance_em,
                float(x + shift[0]),
                float(y + shift[1]),
                float(turn),
                line.size,
            )
        )
    return placed


def _straight(cluster: Cluster, index: int, line: FittedLine, fit: Fit) -> Contours:
    """Return a letter's contours on the straight line, x as distance along the track."""
    assert line.along_mm is not None
    at = line.along_mm[index] - cluster.advance_em / 2 * fit.em_mm
    return split_contours(cluster.outline, cluster.outline.points * fit.em_mm + np.array([at, 0.0]))


def _bent(cluster: Cluster, index: int, line: FittedLine, fit: Fit, shift: Points) -> Contours:
    assert fit.track is not None
    bent = led_along(_straight(cluster, index, line, fit), fit.track.frames, FLATTEN_TOLERANCE_MM)
    return tuple(contour + shift for contour in bent)


def _led(line: FittedLine, fit: Fit, shift: Points) -> Contours:
    """Return the line's united outline led along its track, joins and all."""
    assert fit.track is not None and line.along_mm is not None
    joined = joined_path(
        (cluster.outline.path, 1.0, along / fit.em_mm - cluster.advance_em / 2, 0.0)
        for cluster, along in zip(line.ink.letters, line.along_mm, strict=True)
    )
    whole = tuple(contour * fit.em_mm for contour in path_contours(joined))
    return tuple(contour + shift for contour in led_along(whole, fit.track.frames, FLATTEN_TOLERANCE_MM))


def _glyphs(line: FittedLine, fit: Fit, start: int, shift: Points) -> list[PlacedGlyph]:
    glyphs = []
    em_mm = fit.em_mm * line.size
    for cluster, x, y, turn in zip(line.ink.letters, *line.frames, strict=True):
        cos, sin = math.cos(turn), math.sin(turn)
        for glyph in cluster.glyphs:
            along = (glyph.x_em - cluster.advance_em / 2) * em_mm
            up = glyph.y_em * em_mm
            glyphs.append(
                PlacedGlyph(
                    cluster=start + cluster.start,
                    letter=cluster.letter,
                    face=glyph.face.name,
                    glyph_id=glyph.glyph_id,
                    x_mm=float(x + along * cos - up * sin + shift[0]),
                    y_mm=float(y + along * sin + up * cos + shift[1]),
                    angle_rad=float(turn),
                    advance_mm=glyph.advance_em * em_mm,
                    weight=glyph.face.weight,
                    scale=glyph.scale,
                )
            )
    return glyphs
