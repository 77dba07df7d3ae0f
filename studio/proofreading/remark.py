"""One remark on a text as it was typed, before anything is set.

Invariant: an offer is the whole text with this one remark's change made; it is never put in place by itself.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Remark:
    """What was noticed in characters `start` to `end` (exclusive) of the text looked at.

    Attributes:
        code: One of the finding codes, such as ``mixed-scripts``.
        offer: The whole text as it would be with the change, or None when there is nothing to offer.
    """

    code: str
    severity: Literal["warn", "note"]
    message: str
    start: int
    end: int
    offer: str | None = None


def code_point(character: str) -> str:
    """Return a character's number and Unicode name, as in ``U+00EB LATIN SMALL LETTER E WITH DIAERESIS``."""
    nameless = "(a control character)" if unicodedata.category(character) == "Cc" else "(no character)"
    return f"U+{ord(character):04X} {unicodedata.name(character, nameless)}"


def place(text: str, at: int) -> str:
    """Say where in a text a place is: at the start, or after the word before it."""
    words = text[:at].split()
    visible = "".join(character for character in words[-1] if character.isprintable()) if words else ""
    return f"after '{visible}'" if visible else "at the start"
