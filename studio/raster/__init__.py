"""Placements become pixels: the only room where rows run down and where the print is mirrored."""
