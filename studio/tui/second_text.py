"""The second text of a sign as two fields: what it says and where it stands.

Invariant: further texts, which only a settings file or the command line can give, are kept as they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.files.options import LAYOUTS
from studio.tui.bench_state import BenchState

USUAL_LAYOUT: Final = "arc-bottom"


@dataclass(frozen=True, slots=True)
class SecondText:
    """A second text; empty when there is none."""

    layout: str = USUAL_LAYOUT
    text: str = ""


def second_text(state: BenchState) -> SecondText:
    """Return the second text on the bench."""
    also = _also(state)
    if not also:
        return SecondText()
    layout, equals, text = also[0].partition("=")
    return SecondText(layout, text) if equals and layout in LAYOUTS else SecondText(USUAL_LAYOUT, also[0])


def with_second_text(state: BenchState, *, layout: str, text: str) -> BenchState:
    """Return the state with a second text, or without one when it is empty."""
    first = (f"{layout}={text}",) if text.strip() else ()
    return state.with_value("also", first + _also(state)[1:])


def _also(state: BenchState) -> tuple[str, ...]:
    value = state.value("also")
    return tuple(value.splitlines()) if isinstance(value, str) else value
