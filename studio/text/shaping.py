"""Text to clusters: what HarfBuzz makes of a line, in em units, letters in the order they are seen.

Clusters are the atoms: nothing later takes one apart or joins two. Positions come from font units alone.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import uharfbuzz as hb

from studio.basics.kept import KeptValues
from studio.geometry.paths import joined_path
from studio.geometry.shapes import Contours
from studio.text.bidi import embedding_levels, visual_order
from studio.text.font import Face, GlyphOutline, outline_of
from studio.text.graphemes import graphemes
from studio.text.itemise import NO_TRACKING_SCRIPTS, TextRun, script_runs
from studio.text.word_faces import StandIn, covers, faces_of_run, note_inkless, placed_graphemes, shows

Features: TypeAlias = tuple[tuple[str, int], ...]

NO_LIGATURES: Final[Features] = (("liga", 0), ("clig", 0), ("dlig", 0), ("hlig", 0))


_OUTLINES: Final = KeptValues[Face, tuple[object, ...], GlyphOutline]()
"""Ink of clusters that are more than one glyph, or a glyph moved."""


@dataclass(frozen=True, slots=True, eq=False)
class ShapedGlyph:
    """One glyph of a cluster.

    Attributes:
        x_em: Its origin from the cluster's start, in ems of the line.
        scale: Its size against the line's em; not 1 for a stand-in face whose capitals are of another height.
    """

    face: Face
    glyph_id: int
    x_em: float
    y_em: float
    advance_em: float
    scale: float


@dataclass(frozen=True, slots=True, eq=False)
class Cluster:
    """What HarfBuzz keeps together: a letter with its marks, a ligature, a syllable.

    Attributes:
        start: Index of its first character in the line's text.
        letter: Its characters.
        outline: Its ink in em units, origin at its start on the baseline.
        trackable: Whether its script allows the space after it to change.
    """

    start: int
    letter: str
    advance_em: float
    glyphs: tuple[ShapedGlyph, ...]
    outline: GlyphOutline
    trackable: bool

    @property
    def has_ink(self) -> bool:
        """Whether it shows at all."""
        return bool(self.outline.contours)


@dataclass(frozen=True, slots=True, eq=False)
class ShapedLine:
    """A line of text, shaped.

    Attributes:
        face: The face asked for; stand-ins are named in the glyphs.
        clusters: In visual order, left to right.
        starts_em: Where each cluster starts, shape (n,).
        missing: Graphemes that no face has, with their index in the text.
    """

    text: str
    face: Face
    clusters: tuple[Cluster, ...]
    starts_em: np.ndarray[tuple[int], np.dtype[np.float64]]
    advance_em: float
    missing: tuple[tuple[int, str], ...]

    @property
    def stand_ins(self) -> tuple[tuple[str, str], ...]:
        """Letters that came from another face, each with that face's name, in visual order."""
        return tuple(
            (cluster.letter, cluster.glyphs[0].face.name)
            for cluster in self.clusters
            if cluster.glyphs and cluster.glyphs[0].face.name != self.face.name
        )

    @property
    def contours_em(self) -> Contours:
        """The ink of the whole line in em, each contour (n, 2), origin at its start on the baseline."""
        return tuple(
            contour + np.array([start, 0.0])
            for cluster, start in zip(self.clusters, self.starts_em, strict=True)
            for contour in cluster.outline.contours
        )


def shape_line(text: str, face: Face, *, features: Features = (), stand_in: StandIn | None = None) -> ShapedLine:
    """Shape one line.

    Args:
        text: The line, without line breaks; it is composed (NFC) by the caller.
        face: The face asked for.
        features: OpenType feature tags and values for the whole line.
        stand_in: Where letters that the face lacks come from; `None` refuses them.

    Returns:
        The line; letters that no face has are left out of it and listed in `missing`.
    """
    levels = embedding_levels(text)
    clusters: list[Cluster] = []
    missing: list[tuple[int, str]] = []
    parts: list[tuple[int, list[Cluster]]] = []
    for run in script_runs(text, levels):
        parts += [(run.level, piece) for piece in _clusters_of(text, run, face, features, stand_in, missing)]
    for index in visual_order([level for level, _ in parts]):
        clusters.extend(parts[index][1])
    missing.extend((bad.start, bad.letter) for bad in clusters if any(glyph.glyph_id == 0 for glyph in bad.glyphs))
    missing.sort()
    advances = np.array([cluster.advance_em for cluster in clusters], dtype=np.float64)
    starts = np.concatenate([[0.0], np.cumsum(advances)])
    return ShapedLine(text, face, tuple(clusters), starts[:-1], float(starts[-1]), tuple(missing))


def _clusters_of(
    text: str, run: TextRun, face: Face, features: Features, stand_in: StandIn | None, missing: list[tuple[int, str]]
) -> list[list[Cluster]]:
    """Return a run's pieces shaped, each in one face; letters that no face has go to `missing`.

    A face may map a letter to a glyph without ink, as damaged fonts do: it then counts as lacking it, and another face
    is looked for.
    """
    pieces: list[list[Cluster]] = []
    while True:
        lost, inkless = [], False
        pieces.clear()
        for start, end, chosen in faces_of_run(text, run, face, stand_in):
            if chosen is None:
                lost += [(start + at, letter) for at, letter in placed_graphemes(text[start:end])]
                continue
            clusters = _shape_run(text, start, end, run, face, chosen, features)
            for cluster in clusters:
                for letter in graphemes(cluster.letter) if _is_inkless(cluster) else ():
                    if covers(chosen, letter) and any(map(shows, letter)):
                        note_inkless(chosen, letter)
                        inkless = True
            pieces.append(clusters)
        if not inkless:
            missing += lost
            return pieces


def _is_inkless(cluster: Cluster) -> bool:
    """Whether a cluster that should show has no ink, or one of its letters' own glyphs has none."""
    shown = [character for character in cluster.letter if shows(character)]
    if not shown or (cluster.has_ink and len(cluster.glyphs) == 1):
        return False
    if not cluster.has_ink:
        return True
    empty = {glyph.glyph_id for glyph in cluster.glyphs if not glyph.face.glyph(glyph.glyph_id).contours}
    font = cluster.glyphs[0].face.font
    return bool(empty) and any(font.get_nominal_glyph(ord(character)) in empty for character in shown)


def _shape_run(
    text: str, start: int, end: int, run: TextRun, face: Face, chosen: Face, features: Features
) -> list[Cluster]:
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(character) for character in text], start, end - start)
    buffer.direction = "rtl" if run.level % 2 else "ltr"
    buffer.script = run.script
    buffer.language = "und"
    hb.shape(chosen.font, buffer, dict(features))
    infos, positions = buffer.glyph_infos or [], buffer.glyph_positions or []
    bounds = sorted({info.cluster for info in infos} | {end})
    after = dict(itertools.pairwise(bounds))
    scale = 1.0 if chosen is face else face.cap_height_em / chosen.cap_height_em
    unit = scale / chosen.upem
    trackable = run.script not in NO_TRACKING_SCRIPTS
    clusters: list[Cluster] = []
    glyphs: list[ShapedGlyph] = []
    pen = 0.0
    for index, (info, position) in enumerate(zip(infos, positions, strict=True)):
        x_em, y_em = pen + position.x_offset * unit, position.y_offset * unit
        glyphs.append(ShapedGlyph(chosen, info.codepoint, x_em, y_em, position.x_advance * unit, scale))
        pen += position.x_advance * unit
        if index + 1 == len(infos) or infos[index + 1].cluster != info.cluster:
            letter = text[info.cluster : after[info.cluster]]
            clusters.append(Cluster(info.cluster, letter, pen, tuple(glyphs), _ink(tuple(glyphs)), trackable))
            glyphs, pen = [], 0.0
    return clusters


def _ink(glyphs: tuple[ShapedGlyph, ...]) -> GlyphOutline:
    if len(glyphs) == 1 and glyphs[0].x_em == 0 and glyphs[0].y_em == 0 and glyphs[0].scale == 1:
        return glyphs[0].face.glyph(glyphs[0].glyph_id)
    key = tuple((glyph.glyph_id, glyph.x_em, glyph.y_em, glyph.scale, glyph.face.key) for glyph in glyphs)
    return _OUTLINES.get(glyphs[0].face, key, lambda: _joined(glyphs))


def _joined(glyphs: tuple[ShapedGlyph, ...]) -> GlyphOutline:
    parts = [(glyph.face.glyph(glyph.glyph_id), glyph.scale, glyph.x_em, glyph.y_em) for glyph in glyphs]
    if len(parts) == 1:
        return parts[0][0].moved(*parts[0][1:])
    return outline_of(joined_path((part.path, *stand) for part, *stand in parts))
