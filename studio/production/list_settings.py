"""Kinds of order lists kept in the settings, known again by their headers, and new ones written there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final

import tomlkit

from studio.basics.errors import SettingsError
from studio.model.options import option_keys
from studio.orders.told import KnownList, ListWishes, known_list
from studio.storage.atomic_write import ready_folder, write_whole
from studio.storage.paths import project_settings_file, state_folder
from studio.storage.settings import Settings

_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")


def known_lists(settings: Settings) -> tuple[KnownList, ...]:
    """Return the kinds of lists that the settings hold. Raises SettingsError where one says nothing sensible."""
    return tuple(
        known_list(entry.name, {setting.name: setting.value for setting in entry.settings}, option_keys())
        for entry in settings.lists
    )


def named_list(name: str, known: Iterable[KnownList]) -> ListWishes:
    """Return what holds for the lists of a name. Raises SettingsError where the settings have none of it."""
    names = {one.name: one.told for one in known}
    if name not in names:
        listed = f"It has {', '.join(sorted(names))}." if names else "It has none; --keep-list NAME writes one."
        raise SettingsError(f"The settings have no [lists.{name[:40]}].", advice=listed, option="list")
    return names[name]


def keep_list(name: str, told: ListWishes, headers: Iterable[str], *, folder: Path | None = None) -> Path:
    """Write what holds for lists with such headers into the folder's settings file, and return that file.

    Raises:
        SettingsError: The name is none, or the file is damaged.
        OutputError: The file cannot be written.
    """
    if not _NAME.fullmatch(name):
        raise SettingsError(
            f"{name[:40]!r} is not a name for a kind of list.",
            advice="Use letters, digits and dashes.",
            option="keep_list",
        )
    file = project_settings_file(folder)
    source = ""
    if file.exists():
        try:
            source = file.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError) as problem:
            raise SettingsError(f"{file} cannot be read.", advice="Check it.") from problem
    try:
        document = tomlkit.parse(source)
        if "lists" not in document:
            document["lists"] = tomlkit.table(is_super_table=True)
        document["lists"][name] = {**told.as_settings(headers)}
        changed = document.as_string()
    except (tomlkit.exceptions.TOMLKitError, TypeError, ValueError) as problem:
        raise SettingsError(f"{file} is not valid TOML: {problem}.", advice="Fix that line.") from problem
    write_whole(file, changed.encode(), overwrite=True)
    return file


def pasted_list(text: str) -> Path:
    """Write rows that were pasted into a file of the state folder and return it. Raises OutputError on a full disk."""
    file = state_folder() / "lists" / "pasted.tsv"
    ready_folder(file.parent)
    write_whole(file, text.encode("utf-8", "replace"), overwrite=True, durable=False)
    return file
