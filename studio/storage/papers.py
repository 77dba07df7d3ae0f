"""Papers and printers out of settings files: entries become values, and complaints name the file."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final, TypeVar

from studio.basics.errors import SettingsError
from studio.model.paper import Paper, parse_paper
from studio.model.printer import USUAL_MARGINS, Printer, parse_margins
from studio.storage.settings import Entry

PAPER_KEYS: Final = frozenset({"size", "description"})
PRINTER_KEYS: Final = frozenset(
    {"paper", "margins", "scale-across", "scale-feed", "skew", "measured", "measured-paper", "description"}
)
_SIZE: Final = re.compile(r"\s*(roll:|[\d.½¼¾⅛⅜⅝⅞ /]+[a-z\"″]*\s*[x×])", re.IGNORECASE)
_T = TypeVar("_T")


def is_size(text: str) -> bool:
    """Tell whether a text means to be a size of paper rather than its name."""
    return _SIZE.match(text) is not None


def paper_of(entry: Entry) -> Paper:
    """Return the paper of a settings entry.

    Raises:
        SettingsError: Its size is missing or wrong.
    """
    said = {setting.name: setting.value for setting in entry.settings}

    def made() -> Paper:
        if "size" not in said:
            raise SettingsError("it has no size.", advice='Write it like size = "8.5inx11in".')
        paper = parse_paper(said["size"], entry.name)
        return Paper(paper.name, paper.width_mm, paper.height_mm, paper.is_roll, said.get("description", ""))

    return _told(entry, "paper", made)


def printer_of(entry: Entry) -> Printer:
    """Return the printer of a settings entry.

    Raises:
        SettingsError: A margin or a measured number is wrong.
    """
    said = {setting.name: setting.value for setting in entry.settings}

    def made() -> Printer:
        return Printer(
            entry.name,
            parse_margins(said["margins"]) if "margins" in said else USUAL_MARGINS,
            _number(said, "scale_across", 1.0),
            _number(said, "scale_feed", 1.0),
            _number(said, "skew", 0.0),
            said.get("measured", ""),
            said.get("measured_paper", ""),
            said.get("paper", ""),
        )

    return _told(entry, "printer", made)


def _number(said: dict[str, str], key: str, usual: float) -> float:
    text = said.get(key, "")
    try:
        return float(text) if text else usual
    except ValueError:
        raise SettingsError(f"{key} is {text[:20]!r}.", advice="It is a number, such as 0.9965.") from None


def _told(entry: Entry, kind: str, made: Callable[[], _T]) -> _T:
    try:
        return made()
    except SettingsError as problem:
        message = f"{entry.file}: {kind} {entry.name}: {problem.message}"
        raise SettingsError(message, advice=problem.advice) from problem
