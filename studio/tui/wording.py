"""The engine's sentences in the studio's words: an option is called by the label of its field.

Invariant: only names of options change; numbers, units and advice stay as they are.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Mapping
from typing import Final

from studio.errors import StudioError
from studio.model.options import BY_KEY
from studio.tui.editor.fields import label_of

_NAMED: Final = re.compile(r"^--(?P<name>[a-z-]+): ")
_OPTION: Final = re.compile(r"--(?P<name>[a-z]+(?:-[a-z]+)*)")
_HINTS: Final = (
    re.compile(r"\s*See sapwood [^.]*\."),
    re.compile(r"\s*\(--[a-z-]+[^)]*\)"),
    re.compile(r"; --[a-z-]+(?: '[^']*'| [^;).\s]+)?(?=\))"),
)


def key_named(message: str) -> str | None:
    """Return the key of the option that a sentence is about, as far as it says so."""
    match = _OPTION.search(message)
    if match is not None:
        key = match["name"].replace("-", "_")
        return key if key in BY_KEY else None
    lowered = message.lower()
    for start, key in (("blank", "blank"), ("corner radius", "blank"), ("hole", "hole"), ("surface", "spread")):
        if lowered.startswith(start):
            return key
    return "text" if "text" in lowered[:12] else None


def spoken(problem: StudioError) -> str:
    """Return an error's sentence and advice as shown beside a field."""
    return in_studio_words(f"{_NAMED.sub('', problem.message)} {problem.advice}".strip())


def in_studio_words(sentence: str) -> str:
    """Return a sentence with the command line's spellings replaced by the studio's labels."""
    for hint in _HINTS:
        sentence = hint.sub("", sentence)
    return _OPTION.sub(_label, sentence).strip()


def _label(match: re.Match[str]) -> str:
    name = match["name"]
    key = name.removeprefix("no-").replace("-", "_")
    return label_of(key) if key in BY_KEY else match[0]


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


def measure_at_fault(sentence: str) -> str:
    """Return the field of a blank that a sentence is about: its width, height or corners, else its name."""
    lowered = sentence.lower()
    return next((key for key in ("width", "height", "corner") if f"{key}:" in lowered or f"{key} " in lowered), "blank")


_FILES: Final = {"csv": "list", "png": "artwork", "jpg": "artwork", "jpeg": "artwork"} | dict.fromkeys(
    ("ttf", "otf", "ttc"), "face"
)


def taken_as(path: str) -> str | None:
    """Return what a file can be on the bench by its ending: artwork, face, or list; `None` for anything else."""
    return _FILES.get(path.rpartition(".")[2].lower())


def by_field(faults: Mapping[str, str]) -> dict[str, str]:
    """Return faults by the field that they are told at, where an option has several fields."""
    told = dict(faults)
    if "blank" in told:
        told.setdefault(measure_at_fault(told["blank"]), told.pop("blank"))
    if "also" in told:
        told["also_text"] = told.pop("also")
    return told


def listed_value(value: str | Iterable[str]) -> str:
    """Return an option's value as one line."""
    return value if isinstance(value, str) else "; ".join(value)
