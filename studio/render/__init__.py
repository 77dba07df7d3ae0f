"""Placements become pixels: the only folder where rows run down and where the print is mirrored."""
