"""Our shaper against HarfBuzz's own expected outputs.

Sources: vectors made by hb-shape 6.0.0 on DejaVu Sans 2.37 (2048 units per em); and HarfBuzz's in-house shaping suite,
which ships in the source archive of uharfbuzz under `harfbuzz/test/shape/data/in-house`. Point SAPWOOD_HARFBUZZ_DATA at
that folder to run it; it is about 40 MB and not kept here.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
import uharfbuzz as hb

from studio.text.font import Face, open_face
from studio.text.shaping import shape_line

DEJAVU = Path(__file__).parent / "dejavu" / "DejaVuSans.ttf"
UPEM = 2048
IN_HOUSE = os.environ.get("SAPWOOD_HARFBUZZ_DATA", "")
VECTORS = {
    "AVATAR": [("A", 0, 1270), ("V", 1, 1270), ("A", 2, 1242), ("T", 3, 1092), ("A", 4, 1401), ("R", 5, 1423)],
    "office fi": [
        ("o", 0, 1253),
        ("uniFB03", 1, 1980),
        ("c", 4, 1126),
        ("e", 5, 1260),
        ("space", 6, 651),
        ("fi", 7, 1290),
    ],
    "\u0633\u0644\u0627\u0645": [("uni0645", 3, 1268), ("uniFEFC", 1, 1222), ("uniFEB3", 0, 1716)],
    "\u05e9\u05dc\u05d5\u05dd": [("uni05DD", 3, 1359), ("uni05D5", 2, 558), ("uni05DC", 1, 1164), ("uni05E9", 0, 1451)],
    "x\u0301": [("x", 0, 1212), ("acutecomb", 0, 0)],
}
EXPECTED_MISSES = {
    "directwrite": "what the suite expects there is another engine's answer",
    "coretext": "what the suite expects there is another engine's answer",
    "uniscribe": "what the suite expects there is another engine's answer",
    "harfbust": "the font shapes itself by a program that the library is not built to run",
}
"""Test files by a part of their name, and why a miss in them is none of ours."""


@cache
def face() -> Face:
    """Open DejaVu Sans."""
    return open_face(DEJAVU.read_bytes(), name="DejaVu Sans")


@pytest.mark.parametrize("text", list(VECTORS))
def test_small_vectors(text: str) -> None:
    """Glyphs, clusters and advances in font units, in visual order."""
    line = shape_line(text, face())
    found = [
        (glyph.face.font.glyph_to_string(glyph.glyph_id), cluster.start, round(glyph.advance_em * UPEM, 6))
        for cluster in line.clusters
        for glyph in cluster.glyphs
    ]
    assert found == VECTORS[text]


def test_kerning_is_in_the_advances() -> None:
    """AVATAR is 7698 units long with its kerning, 8278 without."""
    assert shape_line("AVATAR", face()).advance_em * UPEM == pytest.approx(7698)
    assert shape_line("AVATAR", face(), features=(("kern", 0),)).advance_em * UPEM == pytest.approx(8278)


def test_a_mark_stands_on_its_letter() -> None:
    """The acute of x + U+0301 is moved back by 90 units beyond the x, and takes no room."""
    (cluster,) = shape_line("x\u0301", face()).clusters
    letter, mark = cluster.glyphs
    assert (mark.x_em - letter.advance_em) * UPEM == pytest.approx(-90)
    assert mark.advance_em == 0


def test_the_extents_of_a_stem() -> None:
    """I is a bar from 201 to 403 units, 1493 high."""
    (cluster,) = shape_line("I", face()).clusters
    low, high = cluster.outline.points.min(axis=0) * UPEM, cluster.outline.points.max(axis=0) * UPEM
    assert (low[0], low[1]) == pytest.approx((201, 0), abs=0.01)
    assert (high[0], high[1]) == pytest.approx((403, 1493), abs=0.01)


def shaped(font: hb.Font, text: str) -> str:
    """Return one run shaped in its guessed direction, in the suite's notation."""
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(character) for character in text])
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    parts = []
    for info, position in zip(buffer.glyph_infos or [], buffer.glyph_positions or [], strict=True):
        offset = f"@{position.x_offset},{position.y_offset}" if position.x_offset or position.y_offset else ""
        across = f"+{position.x_advance}" + (f",{position.y_advance}" if position.y_advance else "")
        parts.append(f"{font.glyph_to_string(info.codepoint)}={info.cluster}{offset}{across}")
    return f"[{'|'.join(parts)}]"


@pytest.mark.slow
@pytest.mark.skipif(not IN_HOUSE, reason="SAPWOOD_HARFBUZZ_DATA does not point at HarfBuzz's in-house suite")
def test_the_in_house_suite(capsys: pytest.CaptureFixture[str]) -> None:
    """Of the suite's lines without options, all come out as expected but for those of other engines."""
    counts: Counter[str] = Counter()
    misses: list[str] = []
    unexplained: list[str] = []
    for file in sorted(Path(IN_HOUSE, "tests").glob("*.tests")):
        for line in file.read_text(encoding="utf-8").splitlines():
            parts = line.split(";")
            if line.startswith(("#", "@")) or len(parts) != 4:
                continue
            if parts[1].strip() or parts[3].strip() == "*":
                counts["with options"] += 1
                continue
            font_file = (file.parent / parts[0]).resolve()
            if not font_file.is_file():
                counts["font not there"] += 1
                continue
            counts["run"] += 1
            text = "".join(chr(int(point, 16)) for point in re.findall(r"U?\+?([0-9A-Fa-f]+)", parts[2]))
            found = shaped(hb.Font(hb.Face(hb.Blob.from_file_path(str(font_file)))), text)
            if found == parts[3].strip():
                counts["passed"] += 1
                continue
            reason = next((why for part, why in EXPECTED_MISSES.items() if part in file.name), "")
            misses.append(f"  {file.name}: {parts[2]}: {reason or 'unexplained'}")
            if not reason:
                unexplained.append(f"{file.name}: {parts[2]}: {found} for {parts[3]}")
    with capsys.disabled():
        print(f"\nHarfBuzz in-house suite: {dict(counts)}", *misses, sep="\n")
    assert counts["run"] > 500
    assert not unexplained
