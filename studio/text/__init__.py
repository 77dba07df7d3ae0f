"""Text to glyph outlines: fonts, direction, shaping."""
