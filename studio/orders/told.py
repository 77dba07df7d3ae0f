"""What a person says of a list: which columns are what, where its header stands, how it was saved.

It is typed (`--columns text='Note Attributes',ignore=Weight`), answered, or kept in a settings file under
`[lists.NAME]` and known again by the headers kept with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from studio.basics.errors import SettingsError
from studio.orders.header_words import key_of

Joined: TypeAlias = tuple[tuple[str, str], ...]
"""Columns put together: each with what stands before it (nothing, a space, or a line end)."""

FIELDS: Final = ("text", "order", "quantity", "note")
IGNORE: Final = "ignore"
PASS_ON: Final = "pass"
LIST_KEYS: Final = ("headers", "columns", "header", "delimiter", "encoding", "sheet")
"""What may stand under `[lists.NAME]`."""
_DELIMITERS: Final = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "\\t": "\t", "space": " "}
_QUOTED: Final = re.compile(r"'((?:[^']|'')*)'|\"((?:[^\"]|\"\")*)\"")


@dataclass(frozen=True, slots=True)
class ListWishes:
    """What is known of a list because somebody said so.

    Attributes:
        columns: What each use is made of; a column is a header or `#` with its number.
        ignored: Columns that are left out.
        passed: Columns that only pass on to the report, whatever they are called.
        header: The header's line from 1, 0 for none; `None` when nothing is said.
        name: Of the entry in the settings that this is from; empty otherwise.
    """

    columns: tuple[tuple[str, Joined], ...] = ()
    ignored: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()
    header: int | None = None
    delimiter: str | None = None
    encoding: str | None = None
    sheet: str | None = None
    name: str = ""

    @property
    def names_columns(self) -> bool:
        """Whether anything is said of columns."""
        return bool(self.columns or self.ignored or self.passed)

    def over(self, other: ListWishes) -> ListWishes:
        """Return both, where this one wins; what it uses or leaves out, the other no longer does."""
        uses = {use for use, _ in self.columns}
        named = {key_of(column) for _, joined in self.columns for _, column in joined}
        named |= {key_of(column) for column in (*self.ignored, *self.passed)}

        def free(columns: Iterable[str]) -> tuple[str, ...]:
            return tuple(column for column in columns if key_of(column) not in named)

        return ListWishes(
            columns=(*(pair for pair in other.columns if pair[0] not in uses), *self.columns),
            ignored=(*free(other.ignored), *self.ignored),
            passed=(*free(other.passed), *self.passed),
            header=other.header if self.header is None else self.header,
            delimiter=self.delimiter or other.delimiter,
            encoding=self.encoding or other.encoding,
            sheet=self.sheet or other.sheet,
            name=self.name or other.name,
        )

    def as_options(self) -> str:
        """Return it as it would be typed."""
        parts = []
        if self.names_columns:
            parts.append(f"--columns {_for_shell(self.columns_text())}")
        if self.header is not None:
            parts.append(f"--header {self.header or 'none'}")
        if self.delimiter is not None:
            names = {sign: name for name, sign in _DELIMITERS.items() if len(name) > 2}
            parts.append(f"--delimiter {names.get(self.delimiter, self.delimiter)}")
        if self.encoding is not None:
            parts.append(f"--encoding {self.encoding}")
        if self.sheet is not None:
            parts.append(f"--sheet {_for_shell(_quoted(self.sheet))}")
        return " ".join(parts)

    def columns_text(self) -> str:
        """Return what is said of columns as one text."""
        signs = {"": "", " ": "+", "\n": "/"}
        parts = [
            f"{use}={''.join(f'{signs[before]}{_quoted(column)}' for before, column in joined)}"
            for use, joined in self.columns
        ]
        parts += [f"{IGNORE}={_quoted(column)}" for column in self.ignored]
        parts += [f"{PASS_ON}={_quoted(column)}" for column in self.passed]
        return ",".join(parts)

    def as_settings(self, headers: Iterable[str]) -> dict[str, str | list[str]]:
        """Return it as the keys of a `[lists.NAME]` table, with the headers that it is known by."""
        values: dict[str, str | list[str]] = {"headers": [header for header in headers if header.strip()]}
        if self.names_columns:
            values["columns"] = self.columns_text()
        if self.header == 0:
            values["header"] = "none"
        for key in ("delimiter", "encoding", "sheet"):
            value = getattr(self, key)
            if value is not None:
                values[key] = value
        return values


@dataclass(frozen=True, slots=True)
class KnownList:
    """A kind of list met before: the headers it is known by, and what holds for it."""

    name: str
    headers: frozenset[str]
    told: ListWishes


def parse_columns(text: str, uses: Iterable[str], *, what: str = "--columns") -> ListWishes:
    """Return what `text='First Name'+'Last Name',quantity=Menge,ignore=Weight` says.

    Two columns joined by `+` have a space between them, by `/` a line end. A column is its header, or `#3`.

    Args:
        text: As typed.
        uses: The sign options, with dashes or underscores.
        what: What it is called in a complaint.

    Raises:
        SettingsError: It says no such thing, or says one twice.
    """
    known = {key_of(use) for use in uses} | set(FIELDS)
    columns: dict[str, Joined] = {}
    ignored: list[str] = []
    passed: list[str] = []
    for part in _split(text, ",", what):
        use, sign, rest = part.partition("=")
        use = key_of(use)
        joined = _joined(rest, what) if sign else ()
        if not joined or any(not column for _, column in joined):
            raise SettingsError(
                f"{what}: {part.strip()[:60]!r} does not say which column.",
                advice=f"Write it like {what} text='Note Attributes',quantity='Lineitem quantity',ignore=Weight.",
            )
        if use in (IGNORE, PASS_ON):
            (ignored if use == IGNORE else passed).extend(column for _, column in joined)
        elif use not in known:
            raise SettingsError(
                f"{what}: {use[:40]!r} is not what a column can be.",
                advice=f"It can be {', '.join(FIELDS)}, any sign option, {IGNORE} or {PASS_ON}.",
            )
        elif use in columns:
            raise SettingsError(f"{what}: {use} stands there twice.", advice="Join columns with +, as in text=A+B.")
        else:
            columns[use] = joined
    return ListWishes(tuple(columns.items()), tuple(ignored), tuple(passed))


def parse_header(text: str, *, what: str = "--header") -> int:
    """Return the line that `--header 3` names, 0 for `none`. Raises SettingsError for anything else."""
    if text.strip().lower() == "none":
        return 0
    if not re.fullmatch(r"\d{1,6}", text.strip()) or int(text) < 1:
        raise SettingsError(f"{what}: {text[:20]!r} is no line.", advice=f"Write {what} 1, or {what} none.")
    return int(text)


def parse_delimiter(text: str, *, what: str = "--delimiter") -> str:
    """Return the one character that parts cells. Raises SettingsError for anything else."""
    sign = _DELIMITERS.get(text.strip().lower(), text)
    if len(sign) != 1 or sign.isalnum() or sign in '"\r\n\0':
        raise SettingsError(
            f"{what}: {text[:20]!r} cannot part cells.",
            advice="It is comma, semicolon, tab, bar or another single sign.",
        )
    return sign


def known_list(name: str, values: Mapping[str, str], uses: Iterable[str]) -> KnownList:
    """Return an entry of the settings. Raises SettingsError where it says nothing sensible."""
    what = f"[lists.{name}]"
    told = (
        parse_columns(values["columns"], uses, what=f"{what} columns")
        if values.get("columns", "").strip()
        else ListWishes()
    )
    header = values.get("header", "").strip()
    delimiter = values.get("delimiter", "")
    told = replace(
        told,
        header=parse_header(header, what=f"{what} header") if header else None,
        delimiter=parse_delimiter(delimiter, what=f"{what} delimiter") if delimiter else None,
        encoding=values.get("encoding", "").strip() or None,
        sheet=values.get("sheet", "").strip() or None,
        name=name,
    )
    headers = frozenset(key_of(line) for line in values.get("headers", "").splitlines() if line.strip())
    return KnownList(name, headers, told)


def matching(cells: Iterable[str], known: Iterable[KnownList]) -> KnownList | None:
    """Return the kind of list that has these very headers, in whatever order."""
    keys = frozenset(key for key in map(key_of, cells) if key)
    return next((one for one in known if one.headers and one.headers == keys), None)


def _split(text: str, sign: str, what: str) -> list[str]:
    """Return the parts of a text between signs that stand outside quotes."""
    parts, current, quote = [], "", ""
    for letter in text:
        if quote:
            quote = "" if letter == quote else quote
        elif letter in "'\"" and (not current.strip() or current.rstrip()[-1:] in "=+/"):
            quote = letter
        elif letter == sign:
            parts.append(current)
            current = ""
            continue
        current += letter
    if quote:
        raise SettingsError(f"{what}: a quotation mark {quote} is not closed.", advice="Close it, or take it out.")
    return [part for part in (*parts, current) if part.strip()]


def _joined(text: str, what: str) -> Joined:
    """Return the columns that stand joined by + (a space) or / (a line end)."""
    found: list[tuple[str, str]] = []
    for line_place, line in enumerate(_split(text, "/", what)):
        for place, part in enumerate(_split(line, "+", what)):
            before = "" if not found else "\n" if place == 0 and line_place else " "
            found.append((before, _unquoted(part.strip())))
    return tuple(found)


def _unquoted(text: str) -> str:
    match = _QUOTED.fullmatch(text)
    if match is None:
        return text
    return match[1].replace("''", "'") if match[1] is not None else match[2].replace('""', '"')


def _quoted(column: str) -> str:
    """Return a column's name, in quotes where it needs them."""
    if re.fullmatch(r"#?[^\W_][\w.-]*", column):
        return column
    if "'" in column:
        return '"' + column.replace('"', '""') + '"'
    return f"'{column}'"


def _for_shell(text: str) -> str:
    """Return a text that holds quotes as one word of a command line."""
    if not re.search(r"[\s\"'#$&;|()<>*?`\\]", text):
        return text
    return '"' + re.sub(r'([\\"$`])', r"\\\1", text) + '"'
