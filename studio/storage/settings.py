"""Settings files: defaults for sign options, a workshop's own blanks, surfaces and press figures, and key bindings.

Every value arrives as the text that a CSV cell would hold, so that one reader of options serves both: numbers as
typed, yes or no for true and false, a list as one item per line.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.basics.errors import SettingsError
from studio.storage.paths import project_settings_file, user_settings_file
from studio.storage.regular_file import regular_bytes

LARGEST_BYTES: Final = 1_000_000
TABLES: Final = ("sign", "blanks", "surfaces", "press", "papers", "printer", "keys", "lists")


@dataclass(frozen=True, slots=True)
class KnownKeys:
    """What may stand in each table, with dashes or underscores.

    Attributes:
        sign: The sign options.
        blanks: The keys of one blank.
        surfaces: The keys of one surface.
        keys: The actions that a key can be bound to.
        press: The keys of one surface's press figures.
        papers: The keys of one paper.
        printers: The keys of one printer.
        lists: The keys of one kind of order list.
    """

    sign: frozenset[str]
    blanks: frozenset[str]
    surfaces: frozenset[str]
    keys: frozenset[str]
    press: frozenset[str] = frozenset()
    papers: frozenset[str] = frozenset()
    printers: frozenset[str] = frozenset()
    lists: frozenset[str] = frozenset({"headers", "columns", "header", "delimiter", "encoding", "sheet"})


@dataclass(frozen=True, slots=True)
class Setting:
    """One value, its name with underscores, and the file that it comes from."""

    name: str
    value: str
    file: Path


@dataclass(frozen=True, slots=True)
class Entry:
    """A blank, a surface, press figures, a paper, a printer or a kind of order list of the workshop's own."""

    name: str
    settings: tuple[Setting, ...]
    file: Path


@dataclass(frozen=True, slots=True)
class Settings:
    """All that the settings files say, in order of name within each table."""

    sign: tuple[Setting, ...] = ()
    blanks: tuple[Entry, ...] = ()
    surfaces: tuple[Entry, ...] = ()
    keys: tuple[Setting, ...] = ()
    press: tuple[Entry, ...] = ()
    papers: tuple[Entry, ...] = ()
    printers: tuple[Entry, ...] = ()
    files: tuple[Path, ...] = ()
    lists: tuple[Entry, ...] = ()


def gather_settings(known: KnownKeys, *, folder: Path | None = None) -> Settings:
    """Return what the user's settings file and the working folder's say together; the folder's wins.

    Raises:
        SettingsError: A file cannot be read, or holds something unknown.
    """
    gathered = Settings()
    for file in dict.fromkeys((user_settings_file(), project_settings_file(folder))):
        if file.exists():
            gathered = merged(gathered, read_settings(file, known))
    return gathered


def merged(base: Settings, over: Settings) -> Settings:
    """Return both, where `over` wins name by name."""
    return Settings(
        sign=_merged_settings(base.sign, over.sign),
        blanks=_merged_entries(base.blanks, over.blanks),
        surfaces=_merged_entries(base.surfaces, over.surfaces),
        keys=_merged_settings(base.keys, over.keys),
        press=_merged_entries(base.press, over.press),
        papers=_merged_entries(base.papers, over.papers),
        printers=_merged_entries(base.printers, over.printers),
        files=base.files + over.files,
        lists=_merged_entries(base.lists, over.lists),
    )


def read_settings(file: Path, known: KnownKeys) -> Settings:
    """Return what one settings file says.

    Raises:
        SettingsError: It cannot be read, is no TOML, or holds unknown tables, keys or kinds of value; all are listed.
    """
    source = _source(file)
    try:
        document = tomllib.loads(source)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as problem:
        raise SettingsError(f"{file} is not valid TOML: {problem}.", advice="Fix that line.") from problem
    reader = _Reader(file, source)
    for name in document:
        if name in TABLES:
            continue
        if name.replace("_", "-") in {option.replace("_", "-") for option in known.sign}:
            reader.mistakes.append(f"{file}: {name!r} stands outside its table; put it below a line [sign].")
        else:
            reader.unknown(name, TABLES, "a table")
    settings = Settings(
        sign=reader.settings(document, "sign", known.sign),
        blanks=reader.entries(document, "blanks", known.blanks),
        surfaces=reader.entries(document, "surfaces", known.surfaces),
        keys=reader.settings(document, "keys", known.keys),
        press=reader.entries(document, "press", known.press),
        papers=reader.entries(document, "papers", known.papers),
        printers=reader.entries(document, "printer", known.printers),
        files=(file,),
        lists=reader.entries(document, "lists", known.lists),
    )
    if reader.mistakes:
        raise SettingsError(" ".join(reader.mistakes), advice=f"Fix {file}, or take those lines out.")
    return settings


class _Reader:
    """Turns tables into settings and collects every mistake on the way."""

    def __init__(self, file: Path, source: str) -> None:
        self.file = file
        self.lines = source.splitlines()
        self.mistakes: list[str] = []

    def settings(self, document: Mapping[str, object], table: str, known: frozenset[str]) -> tuple[Setting, ...]:
        """Return the settings of a table of plain keys."""
        return tuple(self._settings(document.get(table, {}), f"[{table}]", known))

    def entries(self, document: Mapping[str, object], table: str, known: frozenset[str]) -> tuple[Entry, ...]:
        """Return the entries of a table of tables."""
        held = document.get(table, {})
        if not isinstance(held, dict):
            self.mistakes.append(f"{self.file}: {table} must be a table, such as [{table}.name].")
            return ()
        return tuple(
            Entry(name, tuple(self._settings(values, f"[{table}.{name}]", known)), self.file)
            for name, values in sorted(held.items())
        )

    def unknown(self, key: str, known: Iterable[str], where: str) -> None:
        """Note a key that nobody knows, with the nearest one that is known."""
        near = difflib.get_close_matches(key[:60].replace("_", "-"), [name.replace("_", "-") for name in known], n=1)
        hint = f"; did you mean {near[0]!r}?" if near else f"; known are {_listed(known)}."
        self.mistakes.append(f"{self.file}{self._line(key)}: {key[:60]!r} is not known as {where}{hint}")

    def _settings(self, held: object, where: str, known: frozenset[str]) -> Iterator[Setting]:
        if not isinstance(held, dict):
            self.mistakes.append(f"{self.file}: {where} must be a table of its own.")
            return
        plain = {name.replace("-", "_") for name in known}
        seen: set[str] = set()
        for key, value in sorted(held.items()):
            name = key.replace("-", "_")
            if name not in plain:
                self.unknown(key, known, f"a key of {where}")
                continue
            if name in seen:
                self.mistakes.append(f"{self.file}{self._line(key)}: {key!r} stands twice in {where}.")
            seen.add(name)
            text = _as_cell(value)
            if text is None:
                kind = type(value).__name__.replace("dict", "table")
                self.mistakes.append(
                    f"{self.file}{self._line(key)}: {key!r} in {where} is a {kind}; text, a number, true or false, "
                    "or a list of texts can stand there."
                )
                continue
            yield Setting(name, text, self.file)

    def _line(self, key: str) -> str:
        """Return where a key stands, since the parser does not keep it; empty if it cannot be told for sure."""
        starts = re.compile(rf"\s*\[*\s*(\w+\s*\.\s*)*[\"']?{re.escape(key)}[\"']?\s*([=.\]]|$)")
        places = [number for number, line in enumerate(self.lines, 1) if starts.match(line)]
        return f" line {places[0]}" if len(places) == 1 else ""


def _source(file: Path) -> str:
    try:
        data = regular_bytes(file, most_bytes=LARGEST_BYTES, what="settings file", error=SettingsError)
    except OSError as problem:
        raise SettingsError(
            f"{file} cannot be read: {problem.strerror}.", advice="Check that you may read it."
        ) from problem
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        raise SettingsError(f"{file} line {line}: not UTF-8.", advice="Save the file as UTF-8.") from problem


def _as_cell(value: object) -> str | None:
    """Return a TOML value as the text of a CSV cell; `None` for a kind that no option has."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if isinstance(value, int | float):
        return f"{value:.10g}" if isinstance(value, float) else _whole(value)
    if isinstance(value, list):
        items = [_as_cell(item) if not isinstance(item, list) else None for item in value]
        texts = [item for item in items if item is not None and "\n" not in item]
        return "\n".join(texts) if len(texts) == len(items) else None
    return None


def _whole(value: int) -> str | None:
    return str(value) if abs(value) < 10**18 else None


def _listed(names: Iterable[str]) -> str:
    spelled = sorted(name.replace("_", "-") for name in names)
    return ", ".join(spelled[:12]) + (", ..." if len(spelled) > 12 else "")


def _merged_settings(base: tuple[Setting, ...], over: tuple[Setting, ...]) -> tuple[Setting, ...]:
    both = {setting.name: setting for setting in (*base, *over)}
    return tuple(both[name] for name in sorted(both))


def _merged_entries(base: tuple[Entry, ...], over: tuple[Entry, ...]) -> tuple[Entry, ...]:
    both = {entry.name: entry for entry in (*base, *over)}
    return tuple(both[name] for name in sorted(both))
