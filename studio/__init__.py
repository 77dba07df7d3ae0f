"""Sapwood: lettering for wooden signs, fitted, checked, printed."""

__version__ = "0.1.0"
