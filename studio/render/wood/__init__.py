"""The wood: its figure, and what a print's dye becomes in it."""
