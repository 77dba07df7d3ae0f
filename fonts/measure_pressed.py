"""Measures what spreading dye leaves of every shipped face's letters: `python fonts/measure_pressed.py [NAME ...]`.

It writes fonts/pressed anew, which takes some minutes. The tables only save time: without them, or for other faces and
weights, letters are measured when first set; which letter turns into which is known for shipped faces alone.
"""

from __future__ import annotations

import sys
from dataclasses import replace

from measure import LETTERS, in_company

from studio.model.dye import DENSITY, half_light_amount
from studio.model.sign import FaceChoice
from studio.storage.assets import FileAssets, pressed_file
from studio.storage.workspace import open_shop
from studio.stroke.pressed_likeness import KINDS, Likeness, likenesses
from studio.stroke.pressed_shape import PressedShape, pressed_shape
from studio.stroke.pressed_table import PressedTable, write_pressed
from studio.text.font import Face


def likenesses_of(face: Face, threshold: float) -> dict[int, Likeness]:
    """Return which letters turn into which others, by glyph id."""
    found: dict[int, Likeness] = {}
    for kind in KINDS:
        glyph_ids = {letter: face.font.get_nominal_glyph(ord(letter)) for letter in kind if face.covers(letter)}
        outlines = {letter: face.glyph(glyph_id).contours for letter, glyph_id in glyph_ids.items() if glyph_id}
        for letter, likeness in likenesses(outlines, face.cap_height_em, threshold).items():
            found[glyph_ids[letter]] = likeness
    return found


def pressed_of(face: Face, letters: list[str]) -> PressedTable:
    """Return the pressed shapes of a face's letters."""
    glyph_ids = {face.font.get_nominal_glyph(ord(letter)) for letter in letters} - {None, 0} | in_company(face)
    by_dye = likenesses_of(face, half_light_amount(DENSITY, "dye"))
    by_cover = likenesses_of(face, half_light_amount(DENSITY, "cover"))
    table: dict[int, PressedShape] = {}
    for glyph_id in sorted(glyph_ids):
        contours = face.glyph(glyph_id).contours
        if contours:
            shape = pressed_shape(contours, face.cap_height_em)
            table[glyph_id] = replace(shape, dye_likeness=by_dye.get(glyph_id), cover_likeness=by_cover.get(glyph_id))
    return PressedTable(table)


def main() -> None:
    """Write a table for every face, or for those named."""
    catalogue = open_shop(environment={}).catalogue
    assets = FileAssets(catalogue)
    for entry in catalogue.faces:
        if not entry.is_shipped or (sys.argv[1:] and entry.name not in sys.argv[1:]):
            continue
        face = assets.face(FaceChoice(entry.name))
        face.take_pressed(PressedTable())
        letters = LETTERS if "Devanagari" not in entry.name else [*map(chr, range(0x900, 0x980))]
        table = pressed_of(face, letters)
        file = pressed_file(entry)
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(write_pressed(table, face.cap_height_em, face.sha256, face.weight))
        print(f"{face.label}: {len(table.glyphs)} glyphs, {file.stat().st_size / 1000:.0f} kB", flush=True)


if __name__ == "__main__":
    main()
