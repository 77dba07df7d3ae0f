"""An order list's bytes as text: a mark at the front decides, then UTF-8, then Windows-1252.

Statistical guessing is left alone on purpose: on a few short names it takes western letters for eastern ones.
"""

from __future__ import annotations

import codecs
import re
from typing import Final

from studio.errors import OrderError, SettingsError

_MARKS: Final = (
    (b"\xef\xbb\xbf", "utf-8", "UTF-8"),
    (b"\xff\xfe\x00\x00", "utf-32-le", "UTF-32"),
    (b"\x00\x00\xfe\xff", "utf-32-be", "UTF-32"),
    (b"\xff\xfe", "utf-16-le", "UTF-16"),
    (b"\xfe\xff", "utf-16-be", "UTF-16"),
)
_OTHER_FILES: Final = (
    (b"PK\x03\x04", "a workbook or another zipped file"),
    (b"\xd0\xcf\x11\xe0", "an old workbook or document"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"{\\rtf", "a formatted document"),
    (b"SQLite format 3", "a database"),
    (b"\x1f\x8b", "a packed file"),
)
_CONTROLS: Final = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
_FOREIGN_WORD: Final = re.compile(r"[^\s,;|\"]*[^\x00-\x7f][^\s,;|\"]*")
_SAMPLE: Final = 65_536
_HOW_TO_SAVE: Final = "Save it as CSV, best as CSV UTF-8, or say how it was saved with --encoding."


def decode_list(data: bytes, encoding: str | None = None) -> tuple[str, str]:
    """Return the text of an order list without any byte order mark, and a sentence on how it was read.

    Args:
        data: The file's bytes.
        encoding: What the person says it is, by any name Python knows; `None` to find out.

    Raises:
        OrderError: It is no text, or not in the encoding asked for.
        SettingsError: No encoding has that name.
    """
    if encoding is not None:
        return _as_asked(data, encoding)
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            try:
                text = data[len(mark) :].decode(codec)
            except UnicodeDecodeError as problem:
                if codec == "utf-32-le":
                    continue
                raise _not_in(name, problem) from problem
            return _plain(text), f"Read as {name}, by the mark at its front."
    for start, kind in _OTHER_FILES:
        if data.startswith(start):
            raise OrderError(f"The order list is {kind}, not a CSV file.", advice=_HOW_TO_SAVE)
    wide = _unmarked_utf16(data)
    if wide:
        try:
            return _plain(data.decode(wide)), "Read as UTF-16, by its many zero bytes."
        except UnicodeDecodeError:
            pass
    try:
        return _plain(data.decode("utf-8")), "Read as UTF-8."
    except UnicodeDecodeError:
        return _as_western(data)


def _as_asked(data: bytes, encoding: str) -> tuple[str, str]:
    """Decode as the person said, and drop a byte order mark that stands there."""
    try:
        codecs.lookup(encoding)
    except (LookupError, ValueError) as problem:
        raise _unknown(encoding) from problem
    try:
        text = data.decode(encoding)
    except LookupError as problem:
        raise _unknown(encoding) from problem
    except UnicodeDecodeError as problem:
        raise _not_in(encoding, problem) from problem
    except (ValueError, Warning) as problem:
        raise OrderError(f"The order list cannot be read as {encoding}.", advice=_HOW_TO_SAVE) from problem
    return _plain(text), f"Read as {encoding}, as asked."


def _as_western(data: bytes) -> tuple[str, str]:
    """Decode as Windows-1252, or as Latin-1 where that has no letter for a byte."""
    try:
        text, name = data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        text, name = data.decode("latin-1"), "Latin-1"
    text = _plain(text)
    words = list(dict.fromkeys(match[0][:30] for match in _FOREIGN_WORD.finditer(text[:_SAMPLE])))[:3]
    check = f"; check {', '.join(words)}" if words else ""
    return text, f"Read as {name}, since it is not UTF-8{check}. Use --encoding to say otherwise."


def _plain(text: str) -> str:
    """Return the text without its byte order mark, once it is known to be text at all."""
    sample = text[:_SAMPLE]
    if len(_CONTROLS.findall(sample)) > max(8, len(sample) // 10):
        raise OrderError("The order list does not look like text.", advice=_HOW_TO_SAVE)
    return text.removeprefix("\ufeff")


def _unknown(encoding: str) -> SettingsError:
    return SettingsError(
        f"--encoding: {encoding!r} is not the name of a text encoding.",
        advice="Common ones: utf-8, utf-16, cp1252, cp1250, mac-roman, latin-1.",
    )


def _not_in(name: str, problem: UnicodeDecodeError) -> OrderError:
    return OrderError(
        f"The order list is not {name}: byte {problem.start + 1} cannot be read as a letter ({problem.reason}).",
        advice=_HOW_TO_SAVE,
    )


def _unmarked_utf16(data: bytes) -> str | None:
    """Return the codec of UTF-16 without a mark, told by zero bytes in every other place; `None` for anything else."""
    sample = data[:4096]
    pairs = len(sample) // 2
    if pairs == 0 or len(data) % 2:
        return None
    first, second = sample[0::2].count(0) / pairs, sample[1::2].count(0) / pairs
    if second > 0.4 and first < 0.05:
        return "utf-16-le"
    if first > 0.4 and second < 0.05:
        return "utf-16-be"
    return None
