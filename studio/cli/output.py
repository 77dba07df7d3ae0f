"""The only writer to stdout: results for people and for other programs."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Mapping


def harmless(text: str) -> str:
    """Text with control characters spelled out, so that a name typed or read from a list cannot steer the terminal."""
    return "".join(
        letter if letter in "\n\t" or unicodedata.category(letter) != "Cc" else f"\\x{ord(letter):02x}"
        for letter in text
    )


def write(text: str, *, is_picture: bool = False) -> None:
    """Write lines of results; characters that the terminal cannot show, or would obey, are spelled out.

    Args:
        text: The lines.
        is_picture: They are a picture with colour codes of our own, which the terminal is to obey.
    """
    encoding = sys.stdout.encoding or "utf-8"
    text = text if is_picture else harmless(text)
    shown = text.encode(encoding, "backslashreplace").decode(encoding)
    sys.stdout.write(shown if shown.endswith("\n") else shown + "\n")


def write_utf8(line: bytes) -> None:
    """Write a line for programs in UTF-8, whatever the terminal has, and at once."""
    sys.stdout.flush()
    stream = getattr(sys.stdout, "buffer", None)
    if stream is None:
        sys.stdout.write(line.decode())
    else:
        stream.write(line)
        stream.flush()


def write_json(document: Mapping[str, object]) -> None:
    """Write one JSON object in UTF-8."""
    import json

    text = json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    write_utf8(text.encode("utf-8", "replace"))


def write_table(rows: list[tuple[str, ...]]) -> None:
    """Write rows as columns set apart by two spaces; the last column is not padded."""
    if not rows:
        return
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    for row in rows:
        cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=False)]
        write("  ".join([*cells, row[-1]]).rstrip())
