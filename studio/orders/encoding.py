"""An order list's bytes as text: a mark at the front decides, then UTF-8, then the code page whose letters make sense.

Where no mark and no UTF-8 says so, and several code pages give letters that could be names, the answer is a guess and
says that it is one.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from typing import Final

from studio.basics.errors import OrderError, SettingsError
from studio.orders.code_pages import CODE_PAGES, Judged, judged

_MARKS: Final = (
    (b"\xef\xbb\xbf", "utf-8", "UTF-8"),
    (b"\xff\xfe\x00\x00", "utf-32-le", "UTF-32"),
    (b"\x00\x00\xfe\xff", "utf-32-be", "UTF-32"),
    (b"\xff\xfe", "utf-16-le", "UTF-16"),
    (b"\xfe\xff", "utf-16-be", "UTF-16"),
)
_UNIT_BYTES: Final = {"utf-16-le": 2, "utf-16-be": 2, "utf-32-le": 4, "utf-32-be": 4, "utf-8": 1}
_OTHER_FILES: Final = (
    (b"PK\x03\x04", "a zip file that is not a workbook"),
    (b"PK\x05\x06", "an empty zip file"),
    (b"\xd0\xcf\x11\xe0", "an old document that is not a workbook"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"{\\rtf", "a formatted document"),
    (b"SQLite format 3", "a database"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"Rar!", "a packed file"),
    (b"BZh", "a packed file"),
    (b"PAR1", "a table of a database"),
)
_OTHER_TEXTS: Final = (
    (re.compile(r"\s*<\?xml|\s*<!--|\s*<!doctype|\s*<(html|table|head|body|meta|workbook|div|svg|root|order)\b", re.I),
     "a web page or XML, whatever its name ends in"),
    (re.compile(r"\s*[{\[]\s*(?:[\"{\[]|$)"), "JSON"),
    (re.compile(r"\s*BEGIN:V(CARD|CALENDAR|EVENT)", re.I), "a list of contacts or a calendar"),
    (re.compile(r"\s*(?:(?:From|Return-Path|Received|Message-ID|MIME-Version|Delivered-To|Content-Type):[^\n]*\n"
                r"|From [^\n]+\d{4}\n)", re.I), "an e-mail"),
    (re.compile(r"\s*%!PS|\s*\{\\rtf"), "a formatted document"),
    (re.compile(r"\s*(?:INSERT\s+INTO|CREATE\s+TABLE|SELECT\s|DROP\s+TABLE)", re.I), "commands of a database"),
    (re.compile(r"\s*ID;P"), "an exchange file of old spreadsheets"),
    (re.compile(r"\s*#!"), "a program"),
)  # fmt: skip
_CONTROLS: Final = re.compile(r"[\x00-\x08\x0e-\x19\x1b-\x1f\x7f]")
_LINE_ENDS: Final = re.compile(r"\r\n|\r|\n")
_SAMPLE: Final = 65_536
_HOW_TO_SAVE: Final = "Save it as CSV UTF-8 or as a workbook (.xlsx, .ods), or say how it was saved with --encoding."


@dataclass(frozen=True, slots=True)
class Decoded:
    """A list's bytes as text.

    Attributes:
        text: Without any byte order mark.
        name: What the encoding is called.
        how: A sentence on how it was read.
        rivals: Where it is a guess, the readings there are: Python's name, people's name, the first words it gives.
        bad_lines: Indices of lines that hold a byte which is no letter of this encoding.
    """

    text: str
    name: str
    how: str
    rivals: tuple[tuple[str, str, tuple[str, ...]], ...] = ()
    bad_lines: frozenset[int] = frozenset()

    @property
    def is_guess(self) -> bool:
        """Whether somebody has to say so first."""
        return bool(self.rivals)


def decode_list(data: bytes, encoding: str | None = None) -> Decoded:
    """Return the text of an order list without any byte order mark, and how it was read.

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
            body = data[len(mark) :]
            body = body[: len(body) - len(body) % _UNIT_BYTES[codec]] if len(body) > 8 else body
            try:
                text = body.decode(codec)
            except UnicodeDecodeError as problem:
                if codec == "utf-32-le":
                    continue
                if codec == "utf-8":
                    mixed = _mostly_utf8(body)
                    if mixed is not None:
                        return mixed
                raise _not_in(name, problem) from problem
            return Decoded(_plain(text), name, f"Read as {name}, by the mark at its start.")
    for start, kind in _OTHER_FILES:
        if data.startswith(start):
            raise OrderError(f"The order list is {kind}, not a list of names.", advice=_HOW_TO_SAVE)
    data = data.rstrip(b"\x00\x1a") if data[:1] not in (b"", b"\x00") and b"\x00" not in data[:64] else data
    wide = _unmarked_utf16(data)
    if wide:
        try:
            return Decoded(
                _plain(data[: len(data) // 2 * 2].decode(wide)), "UTF-16", "Read as UTF-16, by its zero bytes."
            )
        except UnicodeDecodeError:
            pass
    try:
        return Decoded(_plain(data.decode("utf-8")), "UTF-8", "Read as UTF-8.")
    except UnicodeDecodeError:
        return _mostly_utf8(data) or _by_code_page(data)


def _as_asked(data: bytes, encoding: str) -> Decoded:
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
        mixed = _mostly_utf8(data) if codecs.lookup(encoding).name == "utf-8" else None
        if mixed is not None:
            return mixed
        raise _not_in(encoding, problem) from problem
    except (ValueError, Warning) as problem:
        raise OrderError(f"The order list cannot be read as {encoding}.", advice=_HOW_TO_SAVE) from problem
    return Decoded(_plain(text), encoding, f"Read as {encoding}, as asked.")


def _mostly_utf8(data: bytes) -> Decoded | None:
    """Decode a UTF-8 list with a few bad lines, which are told; `None` where most lines speak against it."""
    raw = data.splitlines(keepends=True)
    good, bad, cut_short = 0, [], False
    lines = []
    for place, line in enumerate(raw):
        try:
            lines.append(line.decode("utf-8"))
            good += not line.isascii()
        except UnicodeDecodeError as problem:
            is_cut = place == len(raw) - 1 and problem.reason == "unexpected end of data" and problem.end == len(line)
            cut_short = cut_short or is_cut
            bad.append(place)
            lines.append(line.decode("utf-8", "replace"))
    if len(bad) - cut_short > good:
        return None
    shown = ", ".join(str(place + 1) for place in bad[:6]) + (", …" if len(bad) > 6 else "")
    many = len(bad) != 1
    how = f"Read as UTF-8, except for line{'s' * many} {shown}, which {'are' if many else 'is'} not."
    return Decoded(_plain("".join(lines)), "UTF-8", how, bad_lines=frozenset(bad))


def _by_code_page(data: bytes) -> Decoded:
    """Decode by the code page whose letters make most sense; a guess where several do."""
    found: Judged = judged(data)
    text = _plain(data.decode(found.codec, "replace"))
    name = CODE_PAGES[found.codec]
    lines = frozenset(place for place, line in enumerate(_LINE_ENDS.split(text)) if "\ufffd" in line)
    words = found.readings[0][1] if found.readings else ()
    check = f"; check {', '.join(words)}" if words else ""
    if found.is_sure:
        return Decoded(text, name, f"Read as {name}, since only that gives names{check}.", bad_lines=lines)
    rivals = tuple((codec, CODE_PAGES[codec], seen) for codec, seen in found.readings[:6])
    how = f"Read as {name}, since it is not UTF-8{check}. Use --encoding to say otherwise."
    return Decoded(text, name, how, rivals or (("cp1252", "Windows-1252", ()),), lines)


def _plain(text: str) -> str:
    """Return the text without its byte order mark, once it is known to be a list at all."""
    text = text.removeprefix("\ufeff").rstrip("\x00\x1a")
    sample = text[:_SAMPLE]
    if len(_CONTROLS.findall(sample)) > max(8, len(sample) // 10):
        raise OrderError("The order list does not look like text.", advice=_HOW_TO_SAVE)
    for start, kind in _OTHER_TEXTS:
        if start.match(sample[:2000]):
            advice = "Open it in a spreadsheet program and save it as a workbook (.xlsx, .ods) or as CSV UTF-8."
            raise OrderError(f"The order list is {kind}, not a list of names.", advice=advice)
    return text


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
    if pairs == 0:
        return None
    first, second = sample[0::2].count(0) / pairs, sample[1::2].count(0) / pairs
    if second > 0.4 and first < 0.05:
        return "utf-16-le"
    if first > 0.4 and second < 0.05:
        return "utf-16-be"
    return None
