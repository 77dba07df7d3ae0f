"""Where things live: what ships with the program, and the person's own settings, drafts and log.

Nothing is created here; whoever writes a file makes its folder.
"""

from __future__ import annotations

import contextlib
import os
from importlib.resources import files
from pathlib import Path
from typing import Final, Literal

APP_NAME: Final = "sapwood"
SETTINGS_NAME: Final = "sapwood.toml"
SETTINGS_VARIABLE: Final = "SAPWOOD_SETTINGS"
STATE_VARIABLE: Final = "SAPWOOD_STATE"

ShippedKind = Literal["fonts", "assets"]


def shipped_folder(kind: ShippedKind) -> Path:
    """Return the folder of the fonts or the artwork that come with the program.

    An installed package carries them inside itself; in a checkout, and an editable install of one, they lie beside it.
    They are plain files on disk: fonts are handed to libraries by path, so running from a zip is not supported.
    """
    package = Path(str(files("studio")))
    inside = package / "_data" / kind
    return inside if inside.is_dir() else package.parent / kind


def project_settings_file(folder: Path | None = None) -> Path:
    """Return the settings file of a working folder, the current one by default, whether or not it exists."""
    return (folder or Path.cwd()) / SETTINGS_NAME


def user_settings_folder() -> Path:
    """Return the folder of the person's settings: `SAPWOOD_SETTINGS` if set, else the system's usual place."""
    return user_settings_file().parent


def user_settings_file() -> Path:
    """Return the person's settings file, whether or not it exists.

    `SAPWOOD_SETTINGS` may name the file itself (ending in .toml) or the folder that holds it.
    """
    chosen = _from_environment(SETTINGS_VARIABLE)
    if chosen is None:
        from platformdirs import user_config_path

        return user_config_path(APP_NAME, appauthor=False) / SETTINGS_NAME
    return chosen if chosen.suffix.lower() == ".toml" else chosen / SETTINGS_NAME


def state_folder() -> Path:
    """Return the folder for what the program remembers: `SAPWOOD_STATE` if set, else the system's usual place."""
    chosen = _from_environment(STATE_VARIABLE)
    if chosen is None:
        from platformdirs import user_state_path

        return user_state_path(APP_NAME, appauthor=False)
    return chosen


def draft_file() -> Path:
    """Return the file that holds the sign last worked on in the studio."""
    return state_folder() / "draft.json"


def log_file() -> Path:
    """Return the file that a bug's traceback goes into."""
    if _from_environment(STATE_VARIABLE) is not None:
        return state_folder() / "log" / "sapwood.log"
    from platformdirs import user_log_path

    return user_log_path(APP_NAME, appauthor=False) / "sapwood.log"


def _from_environment(name: str) -> Path | None:
    """Return a path from an environment variable, with ~ resolved; None where it is unset or empty."""
    value = os.environ.get(name, "").strip()
    if not value:
        return None
    with contextlib.suppress(RuntimeError):  # ~ of somebody unknown stays as typed
        return Path(value).expanduser().absolute()
    return Path(value).absolute()
