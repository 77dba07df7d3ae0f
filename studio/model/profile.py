"""A printer's colour profile: what its file is, and which colours it speaks of."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

Way: TypeAlias = Literal["printed", "seen"]
"""As the printer is told a colour, or as it comes out."""


@dataclass(frozen=True, slots=True)
class PrinterProfile:
    """An ICC profile that signs are printed and proofed through.

    Attributes:
        name: The file, as it was named.
        sha256: Of the whole file; two profiles are the same if that is.
        space: The printer's colours. Print files hold RGB, so a profile of inks changes the proof alone.
        description: What the profile calls itself.
        data: The file.
    """

    name: str
    sha256: str
    space: Literal["RGB", "CMYK"]
    description: str = ""
    data: bytes = field(default=b"", repr=False, compare=False)
