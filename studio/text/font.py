"""One font file at one weight: what it covers, how tall its capitals are, its glyphs' outlines.

Invariant: shaper and outlines are set to the same axes, so what is shaped is what is drawn.
"""

from __future__ import annotations

import hashlib
import unicodedata
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final

import numpy as np
import uharfbuzz as hb

from studio.basics.errors import FontError
from studio.basics.kept import Memory
from studio.geometry.paths import PATH_UNITS, drawn_path, path_contours
from studio.geometry.shapes import Contours, Points, hull
from studio.stroke.pressed_shape import PressedShape
from studio.stroke.pressed_table import PressedTable, read_pressed
from studio.stroke.results import ALIKE_EM, Joint, MeasureTable, ThicknessMeasure, read_table

LARGEST_FONT_BYTES: Final = 64_000_000
_CAP_LETTERS: Final = "HEIकاה"
"""Letters whose height stands for the cap height: H, else a letter of the face's own script."""
_X_LETTERS: Final = "xzक"
LEAST_CAP_EM, MOST_CAP_EM = 0.1, 2.0
"""Between which heights, in em, capitals are believed; those of real fonts stand between 0.3 and 1."""
_LETTERS_ASKED: Final = 64
_SHIPPED_CAP_SHARE: Final = 0.7


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GlyphOutline:
    """A glyph's ink in em units, origin at the pen position.

    Attributes:
        contours: United contours; empty for a space.
        points: All their points in one array, shape (n, 2).
        splits: Where each contour but the first starts in `points`.
        hull: Corners of their convex hull, shape (m, 2).
        path: The curves that were flattened, `outline.PATH_UNITS` to the em, for quick unions.
        measured: Its thickness, where it was measured ahead of time.
        glyph_id: Which glyph of its face it is as it stands, where `table` knows it.
        table: What was measured of its face ahead of time.
        pressed: What spreading dye leaves of it, where that was measured ahead of time.
        memory: What was worked out for it, kept with it.
    """

    contours: Contours
    points: Points
    splits: tuple[int, ...]
    hull: Points
    path: Any
    measured: ThicknessMeasure | None = None
    pressed: PressedShape | None = None
    glyph_id: int = -1
    table: MeasureTable | None = None
    memory: Memory = field(default_factory=dict, init=False, repr=False)

    def joint(self, right: GlyphOutline, along_em: float) -> Joint | None:
        """What is known of the place where this glyph and one to its right touch; `None` where nobody looked."""
        if self.table is None or right.table is not self.table:
            return None
        known = self.table.joints.get((self.glyph_id, right.glyph_id))
        return known if known is not None and abs(known.along_em - along_em) < ALIKE_EM else None

    def moved(self, scale: float, right_em: float, up_em: float) -> GlyphOutline:
        """Return the outline scaled, then moved; what was measured of it stays measured."""
        way = np.array([right_em, up_em])
        points = self.points * scale + way
        return GlyphOutline(
            tuple(np.split(points, self.splits)) if len(points) else (),
            points,
            self.splits,
            self.hull * scale + way,
            self.path.transform(scale, 0, 0, scale, right_em * PATH_UNITS, up_em * PATH_UNITS),
            None if self.measured is None else self.measured.scaled(scale).moved(right_em, up_em),
            None if self.pressed is None else self.pressed.scaled(scale).moved(right_em, up_em),
        )


def outline_of(
    path: Any, measured: ThicknessMeasure | None = None, pressed: PressedShape | None = None
) -> GlyphOutline:
    """Return a path's contours with what is derived from them."""
    contours = path_contours(path)
    if not contours:
        nothing = np.empty((0, 2))
        return GlyphOutline((), nothing, (), nothing, path, measured, pressed)
    points = np.concatenate(contours)
    starts = np.cumsum([len(contour) for contour in contours])[:-1]
    return GlyphOutline(contours, points, tuple(int(start) for start in starts), hull(points), path, measured, pressed)


class Face:
    """An opened face. Glyphs are read once and kept; everything else is fixed when it is opened."""

    def __init__(
        self, data: bytes, *, name: str, index: int, weight: float | None, kind: str, connected: bool | None
    ) -> None:
        self.data = data
        self.name = name
        self.index = index
        self.kind = kind
        self.sha256 = hashlib.sha256(data).hexdigest()
        hb_face = hb.Face(hb.Blob(data), index)
        self.font = hb.Font(hb_face)
        self.upem = float(hb_face.upem)
        self.weight_range = _weight_range(hb_face)
        self.weight = None if self.weight_range is None else self._bounded(weight, hb_face)
        if self.weight is not None:
            self.font.set_variations({"wght": self.weight})
        self.hb_face = hb_face
        self.characters = frozenset(hb_face.unicodes)
        self.stated_connected = connected
        self.measures = MeasureTable()
        """What was measured ahead of time, for this file at this weight."""
        self.pressed = PressedTable()
        """What spreading dye leaves of its glyphs, likewise."""
        self._glyphs: dict[int, GlyphOutline] = {}
        self._other_weights: dict[float, Face] = {}
        self.memory: Memory = {}
        self.cap_height_em = self._letter_top(_CAP_LETTERS) or _SHIPPED_CAP_SHARE
        self.x_height_em = self._letter_top(_X_LETTERS) or 0.7 * self.cap_height_em
        extents = self.font.get_font_extents("ltr")
        self.ascent_em, self.descent_em = extents.ascender / self.upem, extents.descender / self.upem
        self.line_gap_em = extents.line_gap / self.upem

    def __reduce__(self) -> tuple[object, ...]:
        return (_reopened, (self.data, self.name, self.index, self.weight, self.kind, self.stated_connected))

    def __repr__(self) -> str:
        return f"Face({self.label})"

    @property
    def label(self) -> str:
        """The face's name, with its weight where it has that axis: `Nunito 700`."""
        return self.name if self.weight is None else f"{self.name} {self.weight:g}"

    @property
    def key(self) -> tuple[str, int, float | None]:
        """What tells this face from another: digest, index in a collection, weight."""
        return (self.sha256, self.index, self.weight)

    def covers(self, character: str) -> bool:
        """Whether the face has a glyph for a character."""
        return ord(character) in self.characters

    def has_feature(self, tag: str) -> bool:
        """Whether the face's substitutions hold an OpenType feature of that tag, in any script."""
        return tag in self._features

    @cached_property
    def _features(self) -> frozenset[str]:
        return _feature_tags(self.hb_face)

    def glyph(self, glyph_id: int) -> GlyphOutline:
        """Return a glyph's outline in em units."""
        outline = self._glyphs.get(glyph_id)
        if outline is None:
            path = drawn_path(lambda pen: self.font.draw_glyph_with_pen(glyph_id, pen), self.upem)
            plain = outline_of(path, self.measures.glyphs.get(glyph_id), self.pressed.glyphs.get(glyph_id))
            outline = replace(plain, glyph_id=glyph_id, table=self.measures)
            self._glyphs[glyph_id] = outline
        return outline

    def take_measures(self, table: MeasureTable) -> None:
        """Take measures made ahead of time; glyphs read so far are read anew with theirs."""
        self.measures = table
        self._glyphs.clear()

    def take_pressed(self, table: PressedTable) -> None:
        """Take what was measured of pressed letters ahead of time; glyphs read so far are read anew with it."""
        self.pressed = table
        self._glyphs.clear()

    def at_weight(self, weight: float) -> Face:
        """Return the same face at another weight, bounded by its axis."""
        if weight not in self._other_weights:
            self._other_weights[weight] = Face(
                self.data,
                name=self.name,
                index=self.index,
                weight=weight,
                kind=self.kind,
                connected=self.stated_connected,
            )
        return self._other_weights[weight]

    def _bounded(self, weight: float | None, hb_face: Any) -> float:
        assert self.weight_range is not None
        low, high = self.weight_range
        if weight is None:
            weight = next(axis.default_value for axis in hb_face.axis_infos if axis.tag == "wght")
        return min(max(float(weight), low), high)

    def _letter_top(self, letters: str) -> float | None:
        for letter in letters:
            glyph_id = self.font.get_nominal_glyph(ord(letter))
            if glyph_id:
                contours = self.glyph(glyph_id).contours
                if contours:
                    return float(max(contour[:, 1].max() for contour in contours))
        return None


def open_face(
    data: bytes,
    *,
    name: str,
    index: int = 0,
    weight: float | None = None,
    kind: str = "",
    connected: bool | None = None,
    measures: bytes | None = None,
    pressed: bytes | None = None,
) -> Face:
    """Open a font file's bytes as a face.

    Args:
        data: A TrueType or OpenType font, or a collection of them.
        name: What the face is called in messages and reports.
        index: Which font of a collection.
        weight: Value of the `wght` axis, bounded by it; `None` takes the file's default. No matter to static fonts.
        kind: What kind of face it is, as the catalogue says.
        connected: Whether its letters join; `None` leaves it to be found from the outlines.
        measures: A table of glyphs measured ahead of time; one of another font file or weight is passed over.
        pressed: A table of what spreading dye leaves of them; passed over likewise.

    Raises:
        FontError: The bytes are no usable font.
    """
    if len(data) > LARGEST_FONT_BYTES:
        raise FontError(
            f"Font {name}: {len(data) / 1e6:.0f} MB is over the {LARGEST_FONT_BYTES / 1e6:.0f} MB that are read.",
            advice="Choose a smaller font file.",
        )
    if data[:4] not in (b"\0\1\0\0", b"OTTO", b"true", b"ttcf"):
        raise FontError(
            f"Font {name}: the file is not a TrueType or OpenType font.", advice="Choose a .ttf, .otf or .ttc file."
        )
    faces = _faces_in(data)
    if not 0 <= index < faces:
        raise FontError(
            f"Font {name}: the file holds {faces} faces, no number {index}.", advice="Choose another number."
        )
    try:
        face = Face(data, name=name, index=index, weight=weight, kind=kind, connected=connected)
        tables = {str(tag) for tag in face.hb_face.table_tags}
    except (hb.HarfBuzzError, ValueError, OverflowError, MemoryError, ArithmeticError) as error:
        raise FontError(f"Font {name}: the file is damaged ({error}).", advice="Get a fresh copy of it.") from None
    if face.hb_face.glyph_count == 0 or not face.characters:
        raise FontError(f"Font {name}: the file is damaged; it holds no letters.", advice="Get a fresh copy of it.")
    if not {"glyf", "CFF ", "CFF2"} & tables:
        raise FontError(
            f"Font {name}: it holds no outlines, only pictures of letters.", advice="Choose an outline font."
        )
    _refuse_senseless(face, name)
    if measures is not None:
        face.take_measures(read_table(measures, face.sha256, face.weight))
    if pressed is not None:
        face.take_pressed(read_pressed(pressed, face.sha256, face.weight))
    return face


def _refuse_senseless(face: Face, name: str) -> None:
    """Raise where a face's outlines are gone or its capitals are of a height that no font has, as in damaged files."""
    if not LEAST_CAP_EM <= face.cap_height_em <= MOST_CAP_EM:
        raise FontError(
            f"Font {name}: the file is damaged; its capitals are {face.cap_height_em:.3g} em high, and "
            f"{LEAST_CAP_EM:g} to {MOST_CAP_EM:g} is what fonts have.",
            advice="Get a fresh copy of it.",
        )
    if face.x_height_em > MOST_CAP_EM:
        raise FontError(
            f"Font {name}: the file is damaged; its small letters are {face.x_height_em:.3g} em high.",
            advice="Get a fresh copy of it.",
        )
    asked = sorted(code for code in face.characters if unicodedata.category(chr(code))[0] == "L")[:_LETTERS_ASKED]
    glyphs = (face.font.get_nominal_glyph(code) for code in asked)
    if asked and not any(glyph and face.glyph(glyph).contours for glyph in glyphs):
        raise FontError(
            f"Font {name}: the file is damaged; none of its letters has an outline.", advice="Get a fresh copy of it."
        )


def _faces_in(data: bytes) -> int:
    """Return how many fonts the file holds. Source: OpenType specification, TrueType Collection header."""
    return int.from_bytes(data[8:12], "big") if data[:4] == b"ttcf" else 1


def _reopened(data: bytes, name: str, index: int, weight: float | None, kind: str, connected: bool | None) -> Face:
    return Face(data, name=name, index=index, weight=weight, kind=kind, connected=connected)


def _weight_range(hb_face: Any) -> tuple[float, float] | None:
    for axis in hb_face.axis_infos:
        if axis.tag == "wght":
            return (float(axis.min_value), float(axis.max_value))
    return None


def _feature_tags(hb_face: Any) -> frozenset[str]:
    tags: set[str] = set()
    for script, _ in enumerate(hb_face.get_table_script_tags("GSUB")):
        tags.update(hb_face.get_language_feature_tags("GSUB", script))
    return frozenset(tags)
