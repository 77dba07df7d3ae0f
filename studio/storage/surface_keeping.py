"""A measured surface kept in a settings file, with everything else in that file as it was.

Invariant: comments, order and other tables of the file stay; the file reads back before it takes its name.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Final

from studio.basics.errors import SettingsError
from studio.model.surface import Surface
from studio.storage.atomic_write import write_whole
from studio.storage.surface_entry import entry_text

_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")


def surface_name(text: str, what: str) -> str:
    """Return a typed name for a surface.

    Args:
        text: What was typed.
        what: The option's name, for the message.

    Raises:
        SettingsError: It cannot be a name.
    """
    name = text.strip()
    if not _NAME.fullmatch(name):
        raise SettingsError(
            f"{what}: {text[:50]!r} is not a name for a surface.",
            advice="Take up to 40 letters, digits and dashes, such as maple-film.",
        )
    return name


def keep_surface(file: Path, surface: Surface) -> bool:
    """Put a surface into a settings file, in the place of one of the same name; tell whether there was one.

    Args:
        file: The settings file; it is made where there is none.
        surface: The surface.

    Raises:
        SettingsError: The file is not valid TOML, or cannot be read.
        OutputError: It cannot be written.
    """
    import tomlkit  # only here: reading settings needs no more than the standard library

    try:
        document = tomlkit.parse(_source(file))
    except (tomlkit.exceptions.ParseError, ValueError, RecursionError) as problem:
        raise SettingsError(f"{file} is not valid TOML: {problem}.", advice="Fix that line.") from problem
    surfaces = document.setdefault("surfaces", tomlkit.table(is_super_table=True))
    if not isinstance(surfaces, dict):
        raise SettingsError(f"{file}: 'surfaces' is not a table.", advice="Write surfaces as [surfaces.NAME].")
    known = surface.name in surfaces
    entry = surfaces.setdefault(surface.name, tomlkit.table())
    if not isinstance(entry, dict):
        raise SettingsError(f"{file}: surface {surface.name} is not a table.", advice="Take that line out.")
    wanted = tomllib.loads(entry_text(surface))["surfaces"][surface.name]
    for key in [key for key in entry if key not in wanted]:
        del entry[key]
    entry.update(wanted)
    text = tomlkit.dumps(document)
    if tomllib.loads(text).get("surfaces", {}).get(surface.name) != wanted:
        raise SettingsError(f"{file}: surface {surface.name} could not be added.", advice="Add the entry by hand.")
    write_whole(file, text.encode(), overwrite=True)
    return known


def _source(file: Path) -> str:
    if not file.exists():
        return ""
    try:
        return file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as problem:
        raise SettingsError(f"{file} cannot be read: {problem}.", advice="Save it as UTF-8 text.") from problem
