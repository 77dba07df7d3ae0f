"""Shapes, paths, distances and offsets in mm."""
