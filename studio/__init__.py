"""Sapwood: lettering for wooden signs, fitted, checked, printed."""
