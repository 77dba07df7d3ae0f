"""Problems and findings in the studio's words: an option is called by the label of its field.

Invariant: words are added from a problem's fields; no sentence is taken apart.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping
from typing import Final

from studio.basics.errors import StudioError
from studio.model.finding import Finding
from studio.tui.editor.fields import label_of
from studio.tui.lengths import said_imperial


def message_of(finding: Finding) -> str:
    """Return what was found, with the field that it is about."""
    return f"{label_of(finding.option)}: {finding.message}" if finding.option else finding.message


_MM_IN: Final = {"mm": 1.0, "m": 1000.0}


def inches_of(finding: Finding) -> str:
    """Return what was measured and its limit in inches or feet; empty where it is no length.

    The sentence has them in metric units; nothing is read out of it.
    """
    scale, measured, limit = _MM_IN.get(finding.unit), finding.measured, finding.limit
    if scale is None or not (measured or limit):
        return ""
    told = [] if measured is None else [said_imperial(measured * scale)]
    return ", ".join([*told, *([] if limit is None else [f"limit {said_imperial(limit * scale)}"])])


def spoken(problem: StudioError) -> str:
    """Return an error's sentence and advice as shown beside the field that it is about."""
    return f"{problem.message} {problem.advice}".strip()


def advice_of(finding: Finding) -> str:
    """Return what helps against a finding where nothing can be applied at a key, with the fields that do it."""
    if wood := wood_advice_of(finding):
        others = " ".join(offer.sentence for offer in finding.offers if not offer.is_of_the_wood)
        return f"{others} {wood}".strip()
    fields = listed(label_of(key) for key in finding.ways)
    return f"{finding.remedy} See {fields}." if fields and finding.remedy else finding.remedy


def wood_advice_of(finding: Finding) -> str:
    """Return what would hold on other wood, which no key can make of the wood that lies there."""
    wood = [offer.sentence for offer in finding.offers if offer.is_of_the_wood]
    return f"{' '.join(wood)} That takes another blank." if wood else ""


def listed(words: Iterable[str]) -> str:
    """Return words as a list in a sentence."""
    held = list(words)
    return held[0] if len(held) == 1 else f"{', '.join(held[:-1])} and {held[-1]}" if held else ""


def dropped_path(text: str) -> str | None:
    """Return the path in what a terminal pastes when a file is dropped on it; `None` when it is none.

    Terminals quote it, escape its spaces, or write it as a file URL.
    """
    line = text.strip()
    if not line or "\n" in line:
        return None
    if line.startswith("file://"):
        from urllib.parse import unquote, urlparse

        return unquote(urlparse(line).path) or None
    if line[0] in "'\"" or "\\ " in line:
        try:
            parts = shlex.split(line)
        except ValueError:
            return None
        line = parts[0] if len(parts) == 1 else ""
    return line if line.startswith(("/", "~", "./", "../")) or line[1:3] in (":\\", ":/") else None


def file_shown(value: str) -> str:
    """Return a file's own name for the way to it, and anything else as it is: a fraction has a slash too."""
    return value.rpartition("/")[2] or value if dropped_path(value) is not None else value


def measure_at_fault(sentence: str) -> str:
    """Return the field of a blank that a sentence is about: its width, height or corners, else its name."""
    lowered = sentence.lower()
    return next((key for key in ("width", "height", "corner") if f"{key}:" in lowered or f"{key} " in lowered), "blank")


LIST_ENDINGS: Final = (".csv", ".tsv", ".txt", ".xlsx", ".ods", ".xlsm", ".xlsb", ".xls")
"""Endings of the files that can be read as a list of names."""
_FILES: Final = (
    {"png": "artwork", "jpg": "artwork", "jpeg": "artwork"}
    | dict.fromkeys(("ttf", "otf", "ttc"), "face")
    | {ending[1:]: "list" for ending in LIST_ENDINGS if ending != ".txt"}
)


def taken_as(path: str) -> str | None:
    """Return what a file can be by its ending: artwork, face, or list; `None` for anything else."""
    return _FILES.get(path.rpartition(".")[2].lower())


WHAT_FILES_CAN_BE: Final = (
    "a picture can be a PNG or JPEG, a face a TTF, OTF or TTC, a list of names a CSV, XLSX or ODS. "
    "Save it as one of those first."
)


def dropped_file(text: str) -> str | None:
    """Return the path in what was pasted where that is a file that is there, or would be one by its ending."""
    from pathlib import Path

    path = dropped_path(text)
    if path is None:
        return None
    stem, _, ending = path.rpartition("/")[2].rpartition(".")
    if stem and 2 <= len(ending) <= 5 and ending.isalnum():
        return path
    try:
        return path if Path(path).expanduser().exists() else None
    except (OSError, ValueError, RuntimeError):
        return None


_FIRST_FIELDS: Final = {
    "also": "also_text", "outline": "outline_width", "shift": "shift_right", "artwork_at": "artwork_right",
}  # fmt: skip
"""Options of several fields, each with the field that its faults are told at."""
_HOLE_WORDS: Final = {"across": "hole_across", "up": "hole_down", "diameter": "hole_size"}


def by_field(faults: Mapping[str, str]) -> dict[str, str]:
    """Return faults by the field that they are told at, where an option has several fields."""
    told = dict(faults)
    if "blank" in told:
        told.setdefault(measure_at_fault(told["blank"]), told.pop("blank"))
    if "hole" in told:
        told.setdefault(_HOLE_WORDS.get(told["hole"].partition(":")[0], "hole_size"), told.pop("hole"))
    for option, field in _FIRST_FIELDS.items():
        if option in told:
            told.setdefault(field, told.pop(option))
    return told


def listed_value(value: str | Iterable[str]) -> str:
    """Return an option's value as one line."""
    return value if isinstance(value, str) else "; ".join(value)


def first_clauses(sentence: str, width: int) -> str:
    """Return as many whole clauses of a sentence as fit, or its start with an ellipsis where not one does."""
    ends = [at for at, letter in enumerate(sentence) if letter in ",;" and at <= width]
    return sentence[: ends[-1]] if ends else f"{sentence[:width]}…"
