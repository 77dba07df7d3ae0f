"""The shop as it stands: settings files, environment and own folders, read together once.

Invariant: both front ends start from this, so that a sign comes out the same in either.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from studio.basics.errors import SettingsError
from studio.model.options import (
    ENVIRONMENT_PREFIX,
    FOLDER_KEYS,
    Value,
    from_cells,
    from_environment,
    merged_values,
    option_keys,
    stray_variables,
)
from studio.storage.catalogue import Catalogue, is_file_value, known_keys, read_catalogue
from studio.storage.fonts import FONT_ENDINGS
from studio.storage.picture_guard import PICTURE_ENDINGS
from studio.storage.settings import Setting, Settings, gather_settings

KEY_ACTIONS: Final = frozenset(
    {
        "help", "palette", "quit", "press", "ruler", "press-clock", "press-next", "press-back", "press-other",
        "press-first", "press-second", "press-leave", "paper", "seam-less", "seam-more", "seam-best",
        "write-all", "paper-leave", "theme", "cells", "wood", "picture", "name", "look", "folder",
        "messages", "units", "big", "open-folder",
        "mark-all", "mark-others", "search", "only-ill", "sort", "list-findings", "list-look", "list-big", "list-open",
        "columns",
        "flip", "in-wood", "loupe", "mend", "other-way", "names", "make", "undo", "redo", "limits", "findings",
        "fresh", "open-list", "rows", "fix", "next-bad", "list-flip", "list-in-wood", "mark", "list-folder", "back",
        "run", "stop", "list-sheets",
        "loupe-left", "loupe-right", "loupe-up", "loupe-down", "loupe-larger", "loupe-smaller", "next-weak",
    }
)  # fmt: skip


_FILE_ENDINGS: Final = {"face": FONT_ENDINGS, "also_face": FONT_ENDINGS, "artwork": PICTURE_ENDINGS}


@dataclass(frozen=True, slots=True)
class Shop:
    """What holds before anything is typed.

    Attributes:
        values: Option values of environment over folder's settings over user's settings.
        remarks: Sentences worth saying once, such as a variable that does nothing.
    """

    catalogue: Catalogue
    values: Mapping[str, Value]
    settings: Settings
    remarks: tuple[str, ...] = ()


def open_shop(*, folder: Path | None = None, environment: Mapping[str, str] | None = None) -> Shop:
    """Return the shop for a working folder, the current one by default.

    Raises:
        StudioError: A settings file, or something that it names, is wrong.
    """
    variables = os.environ if environment is None else environment
    keys = known_keys(option_keys() | frozenset(FOLDER_KEYS), KEY_ACTIONS)
    settings = gather_settings(keys, folder=folder)
    folders = {key: _own_folder(key, settings, variables) for key in FOLDER_KEYS}
    catalogue = read_catalogue(settings, font_folder=folders["font_folder"], artwork_folder=folders["artwork_folder"])
    from_files = from_cells({setting.name: _from_its_folder(setting) for setting in settings.sign})
    remarks = (*stray_variables(variables), *(fault.message for fault in catalogue.faults))
    return Shop(catalogue, merged_values(from_files, from_environment(variables)), settings, remarks)


def _own_folder(key: str, settings: Settings, variables: Mapping[str, str]) -> Path | None:
    """Return a folder of the workshop's own: of environment, settings, or the usual place where that is there."""
    stated = variables.get(ENVIRONMENT_PREFIX + key.upper(), "").strip()
    base = Path.cwd()
    if not stated:
        setting = next((setting for setting in settings.sign if setting.name == key), None)
        if setting is None:
            return _usual_folder(key)
        stated, base = setting.value.strip(), setting.file.parent
    folder = base / Path(stated).expanduser()
    if not folder.is_dir():
        raise SettingsError(f"{key}: the folder {folder} is not there.", advice="Make it, or fix the setting.")
    return folder


def _usual_folder(key: str) -> Path | None:
    from platformdirs import user_data_path

    folder = user_data_path("sapwood", appauthor=False) / {"font_folder": "fonts", "artwork_folder": "artwork"}[key]
    return folder if folder.is_dir() else None


def _from_its_folder(setting: Setting) -> str:
    """Return a setting's value; a file is looked for from the folder of the settings file that names it."""
    endings = _FILE_ENDINGS.get(setting.name)
    value = setting.value.strip()
    if endings is None or not value or not is_file_value(value, endings):
        return setting.value
    return str(setting.file.parent / Path(value).expanduser())
