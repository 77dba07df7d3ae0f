"""Measures the letters of every shipped face at its good weight: `python fonts/measure.py` writes fonts/measures anew.

The tables only save time: without them, or for other letters, faces and weights, glyphs are measured when first set.
"""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator

from studio.checks.letter_gaps import TOUCHING_EM, slit_between
from studio.geometry.distance import edges_of, gap_of_edges
from studio.model.sign import FaceChoice
from studio.storage.assets import FileAssets, measures_file
from studio.storage.workspace import open_shop
from studio.stroke.measure import measure
from studio.stroke.results import Joint, MeasureTable, write_table
from studio.text.connected import joined_share
from studio.text.font import Face
from studio.text.shaping import shape_line

LETTERS = [*map(chr, range(0x21, 0x7F)), *map(chr, range(0xA1, 0x180)), *"‘’“”–—…"]
"""Basic Latin, Latin-1 and Latin Extended-A, and the usual typographic signs."""


def in_company(face: Face) -> set[int]:
    """Return the glyphs that letters turn into beside others: ligatures and alternates at word ends."""
    words = [first + second for first in string.ascii_letters for second in string.ascii_lowercase]
    text = " ".join(word for word in words if all(face.covers(letter) for letter in word))
    line = shape_line(text, face) if text else None
    return {glyph.glyph_id for cluster in line.clusters for glyph in cluster.glyphs} if line else set()


def joints(face: Face) -> dict[tuple[int, int], Joint]:
    """Return what gap each two letters leave that touch beside each other, alone, at a word's ends and within it."""
    found: dict[tuple[int, int], Joint] = {}
    for word in words(face):
        line = shape_line(word, face)
        for one, (left, right) in enumerate(itertools.pairwise(cluster.outline for cluster in line.clusters)):
            pair = (left.glyph_id, right.glyph_id)
            if min(pair) < 0 or pair in found:
                continue
            along_em = float(line.starts_em[one + 1] - line.starts_em[one])
            gap = gap_of_edges(edges_of(left.contours), edges_of(right.contours).moved(along_em, 0.0))
            if gap is not None and gap.width <= TOUCHING_EM:
                found[pair] = Joint(along_em, slit_between(left, right, along_em, 0.0, 0.0, face.cap_height_em))
    return found


def words(face: Face) -> Iterator[str]:
    """Yield words in which every two letters meet, alone, at the ends and within; ligatures with every other letter."""
    letters = [letter for letter in string.ascii_letters if face.covers(letter)]
    for first, second in itertools.product(letters, letters):
        ways = [("", ""), ("", "n"), ("n", ""), ("n", "n")]
        if (
            len(shape_line(first + second, face).clusters) == 1
            or len(shape_line(f"n{first}{second}n", face).clusters) < 4
        ):
            ways += [(letter, after) for letter in letters for after in ("", "n")]
            ways += [(before, letter + after) for letter in letters for before in ("", "n") for after in ("", "n")]
        yield from (before + first + second + after for before, after in ways)


def main() -> None:
    """Write a table for every face."""
    catalogue = open_shop(environment={}).catalogue
    assets = FileAssets(catalogue)
    for entry in catalogue.faces:
        if not entry.is_shipped:
            continue
        face = assets.face(FaceChoice(entry.name))
        face.take_measures(MeasureTable())
        letters = LETTERS if "Devanagari" not in entry.name else [*map(chr, range(0x900, 0x980))]
        glyph_ids = {face.font.get_nominal_glyph(ord(letter)) for letter in letters} - {None, 0}
        glyph_ids |= in_company(face)
        outlines = {glyph_id: face.glyph(glyph_id) for glyph_id in sorted(glyph_ids)}
        table = {
            glyph_id: measure(outline.contours, cap_height=face.cap_height_em)
            for glyph_id, outline in outlines.items()
            if outline.contours
        }
        file = measures_file(entry)
        measured = MeasureTable(table, round(joined_share(face), 4), joints(face))
        file.write_bytes(write_table(measured, face.sha256, face.weight))
        print(f"{face.label}: {len(table)} glyphs, {len(measured.joints)} joints, {file.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
