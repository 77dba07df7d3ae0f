"""Sapwood: lettering for wooden signs, fitted, checked, printed."""

__version__: str = "0.1.0"
