"""The sign on the bench as its fields show it, with every change and the way back.

Invariant: no widget here; a field's text goes in and comes out as the maker sees it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from studio.files.catalogue import Catalogue
from studio.files.options import BY_KEY, Value, merged_values
from studio.tui.bench_state import TEXT, BenchState, History, Step
from studio.tui.fields import FIELDS, label_of
from studio.tui.measures import parts_of, with_part
from studio.tui.second_text import second_text, with_second_text

_PARTS: Final = frozenset({"shape", "width", "height", "corner"})


class Workbench:
    """The sign, its history, and the choice being tried."""

    def __init__(self, catalogue: Catalogue, house: Mapping[str, Value], state: BenchState | None = None) -> None:
        """Set up.

        Args:
            catalogue: What can be chosen by name.
            house: Option values of settings files and environment, under what is typed.
            state: What lay there last time.
        """
        self.catalogue = catalogue
        self.house = house
        self.history = History([Step(state or BenchState())])
        self._trial: BenchState | None = None

    @property
    def state(self) -> BenchState:
        """What is shown: the choice being tried, else what lies on the bench."""
        return self._trial if self._trial is not None else self.history.state

    @property
    def is_trying(self) -> bool:
        """Whether a choice is being tried."""
        return self._trial is not None

    def shown(self, key: str) -> str:
        """Return a field's text."""
        state = self.state
        if key == TEXT:
            return state.text
        if key in _PARTS:
            return str(getattr(parts_of(self._effective("blank"), self.catalogue), key))
        if key == "also_text":
            return second_text(state).text
        if key == "also_layout":
            return second_text(state).layout
        return self._effective(key)

    def changed(self, key: str, typed: str) -> BenchState:
        """Return the state once a field holds a text; nothing is kept yet."""
        state = self.history.state
        if key == TEXT:
            return state.with_value(TEXT, typed)
        if key in _PARTS:
            if typed.strip() == self.shown(key):
                return state
            holes = state.value("hole")
            blank, kept = with_part(self._effective("blank"), holes, key, typed, self.catalogue)
            return state.with_values({"blank": blank, "hole": kept})
        if key in ("also_text", "also_layout"):
            held = second_text(state)
            layout, text = (held.layout, typed) if key == "also_text" else (typed, held.text)
            return with_second_text(state, layout=layout, text=text)
        option = BY_KEY[key]
        if option.repeatable:
            return state.with_value(key, tuple(item.strip() for item in typed.split(";") if item.strip()))
        plain = typed.strip()
        usual = merged_values({key: option.default}, self.house).get(key, "")
        return state.with_value(key, "" if plain == usual else plain)

    def type(self, key: str, typed: str) -> bool:
        """Take over what a field holds; keystrokes in one go are one step. Tell whether anything changed."""
        return self.history.change(self.changed(key, typed), key, joins=True)

    def choose(self, key: str, value: str) -> bool:
        """Take over a choice as a step of its own."""
        self._trial = None
        return self.history.change(self.changed(key, value), key)

    def put(self, changes: Mapping[str, Value], what: str) -> bool:
        """Take over several values as one step."""
        self._trial = None
        return self.history.change(self.history.state.with_values(changes), what)

    def try_out(self, key: str, value: str) -> None:
        """Show a choice without taking it over."""
        self._trial = self.changed(key, value)

    def stop_trying(self) -> None:
        """Show again what lies on the bench."""
        self._trial = None

    def undo(self) -> str | None:
        """Take the last change back, and return what it was in words; `None` when there is none."""
        self._trial = None
        return _in_words(self.history.undo())

    def redo(self) -> str | None:
        """Make the change again that was taken back last; `None` when there is none."""
        self._trial = None
        return _in_words(self.history.redo())

    def summary(self, station: str) -> str:
        """Return a station in a few words, for when it is closed."""
        if station == "wood":
            return f"{self.shown('blank')}, {self.shown('surface')}"
        if station == "picture":
            return self.shown("artwork")
        if station == "name":
            second = self.shown("also_text")
            return f"{self.shown(TEXT)} / {second}" if second else self.shown(TEXT)
        if station == "look":
            return f"{self.shown('face')}, {self.shown('layout')}"
        return ""

    def _effective(self, key: str) -> str:
        option = BY_KEY[key]
        value = merged_values({key: "" if option.repeatable else option.default}, self.house, self.state.values)
        held = value.get(key, option.default)
        return held if isinstance(held, str) else "; ".join(held)


def _in_words(what: str | None) -> str | None:
    if what is None:
        return None
    return label_of(what).lower() if what in FIELDS or what in BY_KEY else what
