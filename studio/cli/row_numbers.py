"""Row numbers as people type them: `3,7-12`."""

from __future__ import annotations

import re
from typing import Final

from studio.errors import SettingsError

_PART: Final = re.compile(r"\s*(\d{1,7})\s*(?:-\s*(\d{1,7})\s*)?")
_MOST_ROWS: Final = 1_000_000


def parse_rows(text: str) -> frozenset[int]:
    """Return the row numbers that `3,7-12` names, each from 1.

    Raises:
        SettingsError: It is no such list.
    """
    chosen: set[int] = set()
    for part in text.split(","):
        match = _PART.fullmatch(part)
        first = int(match[1]) if match else 0
        last = int(match[2] or match[1]) if match else 0
        if first < 1 or last < first or last > _MOST_ROWS:
            raise SettingsError(
                f"--rows: {part.strip()[:30]!r} is not a row or a range.", advice="Write it like 3,7-12."
            )
        chosen.update(range(first, last + 1))
    return frozenset(chosen)
