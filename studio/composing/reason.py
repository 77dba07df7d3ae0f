"""Why a text is set as it is, in one sentence."""

from __future__ import annotations

from typing import Final

from studio.layout.placement import Candidate

_TELLING: Final = 0.02
"""A price or a difference in size is told from this on."""
_FAULTS: Final = {
    "breaks": "its lines would split words that belong together",
    "lines": "it takes more lines",
    "levels": "a short word would stand as bold as the name",
    "profile": "its lines would differ too much in length",
    "optical middle": "it would stand off the middle",
    "middle sideways": "it would stand off the middle",
    "arc": "an arc would be harder to read",
    "emphasis": "large and small words would share a line",
}


def reason(candidates: tuple[Candidate, ...]) -> str:
    """Return why the first of some candidates was set.

    Args:
        candidates: The one that was set, then the others, best first.
    """
    chosen, *others = candidates
    head = f"set {_shown(chosen)}"
    single = next((other for other in others if len(other.lines) == 1 and other.layout == "box"), None)
    if len(chosen.lines) > 1 and single is not None and single.cap_mm < chosen.cap_mm * (1 - _TELLING):
        return f"{head}; in one line it would be {_about(single)}{_percent(1 - single.cap_mm / chosen.cap_mm)} smaller"
    if not others:
        if len(chosen.lines) == 1 and len(chosen.lines[0].split()) == 1:
            return f"{head}, since it is a single word"
        return f"{head}, the only way that has room"
    other = others[0]
    ratio = other.cap_mm / chosen.cap_mm
    size = f"{_percent(abs(ratio - 1))} {'larger' if ratio > 1 else 'smaller'}"
    told = f"{head}; {_shown(other)} it would be "
    if ratio > 1 + _TELLING:
        return f"{told}{_about(other)}{size}, but {_fault(chosen, other)}"
    if ratio < 1 - _TELLING:
        return f"{told}{_about(other)}{size}"
    return f"{told}as large, but {_fault(chosen, other)}"


def _fault(chosen: Candidate, other: Candidate) -> str:
    """Return what the other candidate pays for most, against the chosen one."""
    paid, own = dict(other.prices), dict(chosen.prices)
    worst = max(paid, key=lambda name: paid[name] - own.get(name, 0.0), default="")
    return _FAULTS.get(worst, "less balanced")


def _about(candidate: Candidate) -> str:
    return "about " if candidate.is_estimate else ""


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _shown(candidate: Candidate) -> str:
    if candidate.layout == "arc-top":
        return "along the top"
    if candidate.layout == "arc-bottom":
        return "along the bottom"
    if len(candidate.lines) == 1:
        return "in one line"
    return "as " + " / ".join(candidate.lines)


def price_in_words(candidate: Candidate, chosen: Candidate) -> str:
    """Return what a candidate costs against the one that was chosen, in a few words."""
    ratio = candidate.cap_mm / chosen.cap_mm - 1
    size = "as large" if abs(ratio) < _TELLING else f"{_percent(abs(ratio))} {'larger' if ratio > 0 else 'smaller'}"
    loss = chosen.score - candidate.score
    if loss < 0.005:
        return f"{size}; as good"
    return f"{size}; worth {_percent(loss)} of height less: {_fault(chosen, candidate)}"
