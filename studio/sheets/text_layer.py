"""The text layer of a PDF: a font that is never seen, and what its codes mean.

Source: ISO 32000-1, 9.7 and 9.10.3 (from memory).
"""

from __future__ import annotations

import io
from typing import Final

PRIVATE_CODES: Final = range(0xE000, 0xF900)
"""Codes that stand in for characters beyond the first 65,536."""
_OWN_HIGH_BYTES: Final = (*range(0xD8), *range(0xF9, 0x100))
"""High bytes of the codes that mean themselves."""


def box_font() -> bytes:
    """Return a TrueType font of two glyphs that are boxes one em wide, never seen; its dates are fixed.

    A glyph without an outline has no height, and some readers leave out what has none: single letters, turned lines.
    """
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    names = [".notdef", "box"]
    pen = TTGlyphPen(None)
    pen.moveTo((0, -200))
    for corner in ((0, 800), (1000, 800), (1000, -200)):
        pen.lineTo(corner)
    pen.closePath()
    box = pen.glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.font.recalcTimestamp = False
    builder.setupHead(unitsPerEm=1000, created=0, modified=0)
    builder.setupGlyphOrder(names)
    builder.setupGlyf(dict.fromkeys(names, box))
    builder.setupHorizontalMetrics({name: (1000, 0) for name in names})
    builder.setupHorizontalHeader(ascent=1000, descent=-250)
    builder.setupMaxp()
    builder.setupPost(keepGlyphNames=False)
    held = io.BytesIO()
    builder.font.save(held)
    return held.getvalue()


def meaning_of_codes(codes: dict[str, int]) -> str:
    """Return the map from the text layer's codes to characters: each code is its own, but for the private ones."""
    singles = [
        f"<{code:04X}> <{character.encode('utf-16-be', 'surrogatepass').hex().upper()}>"
        for character, code in codes.items()
    ]
    return "\n".join(
        (
            "/CIDInit /ProcSet findresource begin",
            "12 dict begin",
            "begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            "/CMapName /Adobe-Identity-UCS def",
            "/CMapType 2 def",
            "1 begincodespacerange",
            "<0000> <FFFF>",
            "endcodespacerange",
            *_blocks(singles, "bfchar"),
            *_blocks([f"<{high:02X}00> <{high:02X}FF> <{high:02X}00>" for high in _OWN_HIGH_BYTES], "bfrange"),
            "endcmap",
            "CMapName currentdict /CMap defineresource pop",
            "end",
            "end",
            "",
        )
    )


def _blocks(entries: list[str], kind: str) -> list[str]:
    """Return entries of a map of codes in blocks of the 100 that one may hold."""
    parts = [entries[at : at + 100] for at in range(0, len(entries), 100)]
    return ["\n".join((f"{len(part)} begin{kind}", *part, f"end{kind}")) for part in parts]
