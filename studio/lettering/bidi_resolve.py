"""Rules W1 to N2 of the bidirectional algorithm: weak and neutral characters of one isolating run take a direction.

Invariant: after `resolve` every class in the run is one of L, R, EN and AN.

Source: Unicode Standard Annex #9, revision 46 (Unicode 15.0), sections 3.3.4 and 3.3.5.
"""

from __future__ import annotations

from studio.lettering.bidi_classes import CLOSER_OF, CLOSERS, ISOLATE_MARKS, bracket_key

_NEUTRAL = frozenset({"B", "S", "WS", "ON"}) | ISOLATE_MARKS
_DIRECTION = {"L": "L", "R": "R", "EN": "R", "AN": "R"}
_WEAK = frozenset({"NSM", "AL", "EN", "ES", "ET", "CS", "AN"})
_DEEPEST_BRACKETS = 63


def resolve(characters: list[str], original: list[str], classes: list[str], level: int, edges: tuple[str, str]) -> None:
    """Resolve the classes of one isolating run in place.

    Args:
        characters: The run's characters, removed ones left out.
        original: Their own classes, before any override.
        classes: Their classes after overrides; changed in place to L, R, EN or AN.
        level: The run's embedding level.
        edges: The directions before and after the run, each ``L`` or ``R`` (sos and eos).
    """
    present = set(classes)
    if present & _WEAK:
        _resolve_weak(classes, edges[0])
    if present <= {"L", "R"}:
        return
    embedding = "R" if level % 2 else "L"
    pairs = _bracket_pairs(characters, classes)
    if pairs:
        _resolve_brackets(pairs, original, classes, embedding, edges[0])
    _resolve_neutral(classes, embedding, edges)


def _resolve_weak(classes: list[str], before: str) -> None:
    """Rules W1 to W7."""
    _join_marks_and_letters(classes, before)
    _join_separators(classes)
    _join_terminators(classes)
    strong = before
    for i, kind in enumerate(classes):
        if kind in ("L", "R"):
            strong = kind
        elif kind in ("ES", "ET", "CS"):
            classes[i] = "ON"
        elif kind == "EN" and strong == "L":
            classes[i] = "L"


def _join_marks_and_letters(classes: list[str], before: str) -> None:
    """Rules W1 to W3: marks follow their base, numbers after Arabic letters are Arabic, such letters are R."""
    strong = previous = before
    for i, kind in enumerate(classes):
        if kind == "NSM":
            kind = "ON" if previous in ISOLATE_MARKS else previous
        previous = kind
        if kind in ("L", "R", "AL"):
            strong = kind
        if kind == "EN" and strong == "AL":
            kind = "AN"
        classes[i] = "R" if kind == "AL" else kind


def _join_separators(classes: list[str]) -> None:
    """Rule W4: one separator between two numbers of the same kind belongs to them."""
    for i in range(1, len(classes) - 1):
        kind = classes[i]
        if kind in ("ES", "CS"):
            left = classes[i - 1]
            if left == classes[i + 1] and (left == "EN" or (left == "AN" and kind == "CS")):
                classes[i] = left


def _join_terminators(classes: list[str]) -> None:
    """Rule W5: terminators (currency, percent, degree) beside a European number belong to it."""
    i = 0
    while i < len(classes):
        if classes[i] != "ET":
            i += 1
            continue
        end = i
        while end < len(classes) and classes[end] == "ET":
            end += 1
        if (i > 0 and classes[i - 1] == "EN") or (end < len(classes) and classes[end] == "EN"):
            classes[i:end] = ["EN"] * (end - i)
        i = end


def _bracket_pairs(characters: list[str], classes: list[str]) -> list[tuple[int, int]]:
    """Rule BD16: the places of paired brackets, in the order of their openers."""
    pairs: list[tuple[int, int]] = []
    waiting: list[tuple[str, int]] = []
    for i, character in enumerate(characters):
        if classes[i] != "ON":
            continue
        if character in CLOSER_OF:
            if len(waiting) == _DEEPEST_BRACKETS:
                return []
            waiting.append((bracket_key(CLOSER_OF[character]), i))
        elif character in CLOSERS:
            key = bracket_key(character)
            for depth in range(len(waiting) - 1, -1, -1):
                if waiting[depth][0] == key:
                    pairs.append((waiting[depth][1], i))
                    del waiting[depth:]
                    break
    return sorted(pairs)


def _resolve_brackets(
    pairs: list[tuple[int, int]], original: list[str], classes: list[str], embedding: str, before: str
) -> None:
    """Rule N0: a pair takes the direction of what it encloses, or else of what stands before it."""
    for opener, closer in pairs:
        inside = {_DIRECTION[kind] for kind in classes[opener + 1 : closer] if kind in _DIRECTION}
        if not inside:
            continue
        direction = embedding
        if embedding not in inside:
            earlier = (_DIRECTION[kind] for kind in reversed(classes[:opener]) if kind in _DIRECTION)
            direction = next(earlier, before)
        for place in (opener, closer):
            classes[place] = direction
            after = place + 1
            while after < len(classes) and original[after] == "NSM":
                classes[after] = direction
                after += 1


def _resolve_neutral(classes: list[str], embedding: str, edges: tuple[str, str]) -> None:
    """Rules N1 and N2: neutrals between two equal directions take it, others the embedding direction."""
    before = edges[0]
    i = 0
    while i < len(classes):
        kind = classes[i]
        if kind not in _NEUTRAL:
            before = _DIRECTION[kind]
            i += 1
            continue
        end = i
        while end < len(classes) and classes[end] in _NEUTRAL:
            end += 1
        after = _DIRECTION[classes[end]] if end < len(classes) else edges[1]
        classes[i:end] = [before if before == after else embedding] * (end - i)
        i = end
