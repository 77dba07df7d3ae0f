"""What a finding's remedy changes on the bench: read from the remedy's own sentences, which name options and values.

Invariant: only changes that reach the text the finding is about are offered; what has no such reach is advice to read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from studio.checking.finding import Finding
from studio.files.catalogue import Catalogue
from studio.files.options import BY_KEY, Value
from studio.tui.bench_state import TEXT, BenchState
from studio.tui.second_text import second_text, with_second_text

_SENTENCE: Final = re.compile(r".+?(?:[.!?](?=\s+[A-Z“—\-]|$)|$)")
_CHANGE: Final = re.compile(r"--(?P<name>[a-z]+(?:-[a-z]+)*)(?: (?:'(?P<quoted>[^']*)'|(?P<bare>[^\s;,)']+)))?")
_TYPE: Final = re.compile(r"Type “(?P<text>[^”]*)”")
_SPREAD: Final = re.compile(r"a spread up to (?P<mm>\d+(?:\.\d+)?) mm", re.IGNORECASE)
_FOR_ALL: Final = frozenset(
    {"repair", "blank", "surface", "spread", "artwork", "artwork_fit", "margin", "bleed", "dpi"}
)
_SECOND: Final = {"face": "also_face", "color": "also_color"}


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to clear a finding: the sentence that promises it, and the values that it sets."""

    sentence: str
    changes: tuple[tuple[str, Value], ...]


def remedies_of(finding: Finding, state: BenchState, catalogue: Catalogue) -> tuple[Remedy, ...]:
    """Return the remedies of a finding that can be applied, best first."""
    found = []
    for match in _SENTENCE.finditer(finding.remedy.strip()):
        sentence = match[0].strip()
        changes = _changes(sentence, finding.where.lettering or 0, state, catalogue)
        if changes:
            found.append(Remedy(sentence, changes))
    return tuple(found)


def _changes(sentence: str, lettering: int, state: BenchState, catalogue: Catalogue) -> tuple[tuple[str, Value], ...]:
    typed = _TYPE.search(sentence)
    if typed is not None and typed["text"]:
        return ((TEXT, typed["text"]),) if lettering == 0 else _of_second(state, text=typed["text"])
    spread = _SPREAD.search(sentence)
    if spread is not None:
        return _surface_within(float(spread["mm"]), catalogue)
    for match in _CHANGE.finditer(sentence):
        name, value = match["name"], match["quoted"] or (match["bare"] or "").rstrip(".")
        key = name.replace("-", "_")
        if key == "no_fallback":
            continue
        option = BY_KEY.get(key)
        if option is None or (not value and not option.is_switch) or value.isupper():
            continue
        if option.is_switch:
            return ((key, "yes"),)
        if lettering == 0 or key in _FOR_ALL:
            return ((key, value),)
        if lettering == 1 and key == "layout":
            return _of_second(state, layout=value)
        if key in _SECOND:
            return ((_SECOND[key], value),)
    return ()


def _of_second(
    state: BenchState, *, text: str | None = None, layout: str | None = None
) -> tuple[tuple[str, Value], ...]:
    held = second_text(state)
    changed = with_second_text(state, layout=layout or held.layout, text=text or held.text)
    return (("also", changed.values.get("also", ())),)


def _surface_within(spread_mm: float, catalogue: Catalogue) -> tuple[tuple[str, Value], ...]:
    """Return the change to the softest surface that still holds such a stroke."""
    fine = [surface for surface in catalogue.surfaces if surface.spread_mm <= spread_mm]
    if not fine:
        return ()
    best = max(fine, key=lambda surface: surface.spread_mm)
    return (("surface", best.name), ("spread", ""))
