"""Cells that a spreadsheet program would run as a formula, made harmless and made whole again.

Source: CWE-1236, improper neutralization of formula elements in a CSV file (from memory).
"""

from __future__ import annotations

from typing import Final

GUARD: Final = "'"
_STARTS_A_FORMULA: Final = frozenset("=+-@\t\r\n\0＝＋－＠")


def guarded(text: str) -> str:
    """Return a cell's text with an apostrophe before it where a spreadsheet would take it for a formula.

    A text that starts with apostrophes before such a character gets one more, so that `unguarded` always leads back.
    """
    return GUARD + text if _dangerous(text.lstrip(GUARD)) else text


def unguarded(text: str) -> str:
    """Return the text that `guarded` was given."""
    return text[1:] if text.startswith(GUARD) and _dangerous(text.lstrip(GUARD)) else text


def _dangerous(text: str) -> bool:
    return text.lstrip(" ")[:1] in _STARTS_A_FORMULA if text else False
