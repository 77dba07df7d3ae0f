"""Problems and findings in the words of the command line: options are spelled as they are typed.

Invariant: words are added from a problem's fields; no sentence is taken apart.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable
from typing import Final

from studio.basics.errors import StudioError, UnknownNameError
from studio.model.finding import Finding, Offer
from studio.model.options import BY_KEY, yes_or_no

_LISTS: Final = {"artwork": "artwork"}
"""What a list of names is called where that is not the option's name with an s."""


def typed_name(key: str) -> str:
    """Return an option as it is typed: `--max-cap`."""
    return "-o" if key == "out" else f"--{key.replace('_', '-')}"


def message_of(problem: StudioError | Finding) -> str:
    """Return what is wrong, with the option that it is about."""
    is_named = problem.option and problem.option != "text"
    return f"{typed_name(problem.option)}: {problem.message}" if is_named else problem.message


def advice_of(problem: StudioError) -> str:
    """Return what to do about a problem, with the options that do it."""
    told = _with(problem.advice, (typed_name(key) for key in problem.ways))
    if isinstance(problem, UnknownNameError):
        return f"{told} See sapwood list {_LISTS.get(problem.option, f'{problem.option}s')}.".strip()
    return told


def remedy_of(finding: Finding) -> str:
    """Return what helps against a finding, each way with what it is set by."""
    if finding.offers:
        return " ".join(_with(offer.sentence, _set_by(offer)) for offer in finding.offers)
    return _with(finding.remedy, (typed_name(key) for key in finding.ways))


def _set_by(offer: Offer) -> Iterable[str]:
    return (_typed(key, value) for key, value in offer.changes if value and key != "text")


def _typed(key: str, value: str) -> str:
    """Return an option with its value as it is typed."""
    option = BY_KEY.get(key)
    if option is not None and option.is_switch:
        return typed_name(key) if yes_or_no(value) else f"--no-{key.replace('_', '-')}"
    return f"{typed_name(key)} {shlex.quote(value)}"


def _with(sentence: str, typed: Iterable[str]) -> str:
    """Return a sentence with the options that it comes down to in brackets before its end."""
    options = " ".join(typed)
    if not options or not sentence:
        return sentence
    return f"{sentence.removesuffix('.')} ({options})."
