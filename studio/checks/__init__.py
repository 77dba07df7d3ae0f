"""Checks of a laid out sign: what will blur, fill in, stand out or run over."""
