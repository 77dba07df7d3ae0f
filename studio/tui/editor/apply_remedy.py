"""What a finding's remedy changes in the editor: the options that it sets, as the editor holds them.

Invariant: only changes that reach the text the finding is about are offered; what has no such reach is advice to read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.model.finding import Finding, Offer
from studio.model.options import Value
from studio.tui.editor.draft import TEXT, SignDraft, second_text, with_second_text

_FOR_ALL: Final = frozenset(
    {
        "repair",
        "blank",
        "surface",
        "spread",
        "artwork",
        "artwork_fit",
        "artwork_at",
        "fallback",
        "margin",
        "bleed",
        "dpi",
    }
)
_SECOND: Final = {"face": "also_face", "color": "also_color"}


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to clear a finding: the sentence that promises it, and the values that it sets."""

    sentence: str
    changes: tuple[tuple[str, Value], ...]


def remedies_of(finding: Finding, state: SignDraft) -> tuple[Remedy, ...]:
    """Return the remedies of a finding that can be applied, best first; none that only other wood could bring."""
    lettering = finding.where.lettering or 0
    reached = ((offer, _changes(offer, lettering, state)) for offer in finding.offers if not offer.is_of_the_wood)
    return tuple(Remedy(offer.sentence, changes) for offer, changes in reached if changes)


def _changes(offer: Offer, lettering: int, state: SignDraft) -> tuple[tuple[str, Value], ...]:
    """Return what an offer sets in the editor; nothing when a part of it is out of the editor's reach."""
    if lettering == 0:
        return offer.changes
    changes: list[tuple[str, Value]] = []
    for key, value in offer.changes:
        if key in _FOR_ALL:
            changes.append((key, value))
        elif key in _SECOND:
            changes.append((_SECOND[key], value))
        elif lettering == 1 and key in (TEXT, "layout"):
            changes.append(("also", _with_second(state, key, value)))
        else:
            return ()
    return tuple(changes)


def _with_second(state: SignDraft, key: str, value: str) -> Value:
    held = second_text(state)
    text, layout = (value, held.layout) if key == TEXT else (held.text, value)
    return with_second_text(state, layout=layout, text=text).values.get("also", ())
