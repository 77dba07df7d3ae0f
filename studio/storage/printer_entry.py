"""A printer's measured scale and margins, kept in a settings file with everything else in that file as it was.

Invariant: comments, order and other tables of the file stay; it is written whole or not at all.
"""

from __future__ import annotations

from pathlib import Path

from studio.basics.errors import SettingsError
from studio.model.printer import Margins, Printer
from studio.storage.atomic_write import ready_folder, write_whole
from studio.storage.paths import project_settings_file, user_settings_file

_DECIMALS = 6
"""Of a kept scale: a millionth is 0.0003 mm on a 10 in sign."""


def file_for_printer(name: str, folder: Path | None = None) -> Path:
    """Return the settings file that a printer's entry belongs in.

    The file that has it already, the working folder's before the person's own; else the working folder's, unless only
    the person's own is there.
    """
    project, user = project_settings_file(folder), user_settings_file()
    for file in (project, user):
        if name in _document(file).get("printer", {}):
            return file
    return user if user.exists() and not project.exists() else project


def keep_printer(file: Path, printer: Printer, *, margins: Margins | None = None, has_scale: bool = True) -> None:
    """Put a printer's measured values into a settings file, made where there is none.

    Args:
        file: The settings file.
        printer: Its name, scale, skew, paper and day of measuring.
        margins: Its unprintable margins, where they were read.
        has_scale: Whether its scale was measured; otherwise the one kept stays.

    Raises:
        SettingsError: The file is not valid TOML, or holds something else where printers stand.
        OutputError: It cannot be written.
    """
    import tomlkit  # only here: reading settings needs no more than the standard library

    document = tomlkit.parse(_source(file))
    printers = document.setdefault("printer", tomlkit.table(is_super_table=True))
    if not isinstance(printers, dict):
        raise SettingsError(f"{file}: 'printer' is not a table.", advice="Write printers as [printer.NAME].")
    entry = printers.setdefault(printer.name, tomlkit.table())
    if not isinstance(entry, dict):
        raise SettingsError(f"{file}: [printer.{printer.name}] is not a table.", advice="Take that line out.")
    values: dict[str, object] = {}
    if has_scale:
        values = {
            "scale_across": round(printer.scale_across, _DECIMALS),
            "scale_feed": round(printer.scale_feed, _DECIMALS),
            "skew": round(printer.skew, _DECIMALS),
            "measured": printer.measured,
            "measured_paper": printer.measured_paper,
        }
    if margins is not None:
        edges = (margins.left_mm, margins.bottom_mm, margins.right_mm, margins.top_mm)
        values["margins"] = ",".join(f"{edge:g}mm" for edge in edges)
    for key, value in values.items():
        entry.pop(key.replace("_", "-"), None)
        entry[key] = value
    ready_folder(file.parent)
    write_whole(file, tomlkit.dumps(document).encode(), overwrite=True)


def _document(file: Path) -> dict[str, dict[str, object]]:
    import tomllib

    try:
        return tomllib.loads(_source(file))
    except tomllib.TOMLDecodeError as problem:
        raise SettingsError(f"{file} is not valid TOML: {problem}.", advice="Fix that line.") from problem


def _source(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig") if file.exists() else ""
    except (OSError, UnicodeDecodeError) as problem:
        raise SettingsError(f"{file} cannot be read: {problem}.", advice="Save it as UTF-8 text.") from problem
