"""A check for files that are read again before they take their name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from studio.errors import VerificationError
from studio.files.atomic import Verify


def read_back(data: bytes, verify: Callable[[bytes], None] | None = None) -> Verify:
    """Return a check that a file holds these bytes, and that they are what was ordered.

    Args:
        data: What was written.
        verify: Judges what was read; raises VerificationError where it is not what was meant.
    """

    def check(part: Path) -> None:
        held = part.read_bytes()
        if held != data:
            raise VerificationError(f"{part.parent}: a file did not read back as written.", advice="Check the disk.")
        if verify is not None:
            verify(held)

    return check
