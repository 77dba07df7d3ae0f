"""The screen for a list of names."""
