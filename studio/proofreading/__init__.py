"""Checks of the text as typed: garbled, mixed and invisible letters."""
