"""The sign in the editor as its fields show it, with every change and the way back.

Invariant: no widget here; a field's text goes in and comes out as the maker sees it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from studio.model.options import BY_KEY, LAYOUTS, Value, merged_values
from studio.storage.catalogue import Catalogue
from studio.tui.editor.fields import FIELDS, label_of, own_holes, parts_of, with_part
from studio.tui.editor.parts import (
    HOLE_PARTS,
    LENGTHS,
    OUTLINE_PARTS,
    PAIRS,
    hole_part,
    in_unit,
    outline_part,
    pair_part,
    with_hole_part,
    with_outline_part,
    with_pair_part,
    with_unit,
)
from studio.tui.lengths import Unit
from studio.tui.wording import file_shown

USUAL_LAYOUT: Final = "arc-bottom"


@dataclass(frozen=True, slots=True)
class SecondText:
    """A second text; empty when there is none."""

    layout: str = USUAL_LAYOUT
    text: str = ""


def second_text(state: SignDraft) -> SecondText:
    """Return the second text in the editor."""
    also = _also(state)
    if not also:
        return SecondText()
    layout, equals, text = also[0].partition("=")
    return SecondText(layout, text) if equals and layout in LAYOUTS else SecondText(USUAL_LAYOUT, also[0])


def with_second_text(state: SignDraft, *, layout: str, text: str) -> SignDraft:
    """Return the state with a second text, or without one when it is empty."""
    first = (f"{layout}={text}",) if text.strip() else ()
    return state.with_value("also", first + _also(state)[1:])


def _also(state: SignDraft) -> tuple[str, ...]:
    value = state.value("also")
    return tuple(value.splitlines()) if isinstance(value, str) else value


TEXT: Final = "text"
"""The key under which the name itself is told of; all other keys are options'."""
FIRST_TEXT: Final = "Pikewater"
MOST_STEPS: Final = 500


@dataclass(frozen=True, slots=True)
class SignDraft:
    """A sign as typed.

    Attributes:
        text: What stands on it.
        said: Option values by key (underscores), in order of key.
    """

    text: str = FIRST_TEXT
    said: tuple[tuple[str, Value], ...] = ()

    @property
    def values(self) -> dict[str, Value]:
        """The option values."""
        return dict(self.said)

    def value(self, key: str) -> Value:
        """Return one value, empty when nothing was said."""
        return self.text if key == TEXT else self.values.get(key, "")

    def with_value(self, key: str, value: Value) -> SignDraft:
        """Return the state with one value said; an empty one is taken back."""
        return self.with_values({key: value})

    def with_values(self, changes: Mapping[str, Value]) -> SignDraft:
        """Return the state with several values said at once."""
        values = self.values
        text = self.text
        for key, value in changes.items():
            if key == TEXT:
                text = value if isinstance(value, str) else " ".join(value)
            elif value:
                values[key] = value
            else:
                values.pop(key, None)
        return SignDraft(text, tuple(sorted(values.items())))

    def effective(self, house: Mapping[str, Value]) -> dict[str, Value]:
        """Return the values with those of the settings files under them."""
        return merged_values(house, self.values)


@dataclass(frozen=True, slots=True)
class EditStep:
    """One state of the history and what led to it, for coalescing and for telling."""

    state: SignDraft
    what: str = ""


@dataclass(slots=True)
class History:
    """The states there were. Keystrokes in one field in one go make one step.

    Attributes:
        steps: From the oldest to the newest.
        place: Which of them is in the editor.
    """

    steps: list[EditStep] = field(default_factory=lambda: [EditStep(SignDraft())])
    place: int = 0
    is_open: bool = False

    @property
    def state(self) -> SignDraft:
        """What is in the editor."""
        return self.steps[self.place].state

    def change(self, state: SignDraft, what: str, *, joins: bool = False) -> bool:
        """Put a new state into the editor, and tell whether it differs.

        Args:
            state: The new state.
            what: The key that changed, or words for the change.
            joins: Whether this goes on with the step before when that was of the same kind (typing).
        """
        if state == self.state:
            return False
        del self.steps[self.place + 1 :]
        last = self.steps[-1]
        if joins and self.is_open and last.what == what and self.place > 0:
            self.steps[-1] = replace(last, state=state)
        else:
            self.steps.append(EditStep(state, what))
            del self.steps[: max(0, len(self.steps) - MOST_STEPS)]
        self.place = len(self.steps) - 1
        self.is_open = joins
        return True

    def close_step(self) -> None:
        """Let the next keystroke begin a new step."""
        self.is_open = False

    def undo(self) -> str | None:
        """Go one step back and return what was undone; `None` at the beginning."""
        if self.place == 0:
            return None
        what = self.steps[self.place].what
        self.place -= 1
        self.is_open = False
        return what

    def redo(self) -> str | None:
        """Go one step forward again and return what was redone; `None` at the end."""
        if self.place + 1 >= len(self.steps):
            return None
        self.place += 1
        self.is_open = False
        return self.steps[self.place].what


_PARTS: Final = frozenset({"shape", "width", "height", "corner"})


class SignEditor:
    """The sign, its history, and the choice being tried."""

    def __init__(self, catalogue: Catalogue, house: Mapping[str, Value], state: SignDraft | None = None) -> None:
        """Set up.

        Args:
            catalogue: What can be chosen by name.
            house: Option values of settings files and environment, under what is typed.
            state: What lay there last time.
        """
        self.catalogue = catalogue
        self.house = house
        self.history = History([EditStep(state or SignDraft())])
        self._trial: SignDraft | None = None
        self.unit: Unit = "mm"
        """The unit that lengths are shown in, and that a bare number is taken in."""

    @property
    def state(self) -> SignDraft:
        """What is shown: the choice being tried, else what is in the editor."""
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
            part = str(getattr(parts_of(self._effective("blank"), self.catalogue), key))
            return part if key == "shape" else in_unit(part, self.unit)
        if key in HOLE_PARTS:
            return hole_part(self._holes(state), key, self._blank_height(), self.unit)
        if key == "hole":
            return "; ".join(self._holes(state)[1:])
        if key in PAIRS:
            option, place = PAIRS[key]
            return pair_part(self._effective(option), place, self.unit)
        if key in OUTLINE_PARTS:
            return outline_part(self._effective("outline"), key, self.unit)
        if key in LENGTHS:
            return in_unit(self._effective(key), self.unit)
        if key == "also_text":
            return second_text(state).text
        if key == "also_layout":
            return second_text(state).layout
        return self._effective(key)

    def changed(self, key: str, typed: str) -> SignDraft:
        """Return the state once a field holds a text; nothing is kept yet."""
        state = self.history.state
        if key == TEXT:
            return state.with_value(TEXT, typed)
        if key in LENGTHS:
            typed = with_unit(typed, self.unit)
        if key in HOLE_PARTS:
            if typed == hole_part(self._holes(state), key, self._blank_height(), self.unit):
                return state
            drilled = with_hole_part(self._holes(state), key, typed, self._blank_height())
            return state.with_value("hole", drilled or ("none",))
        if key == "hole":
            first = self._holes(state)[:1]
            others = tuple(item.strip() for item in typed.split(";") if item.strip())
            return state.with_value("hole", (*first, *others) or ("none",))
        if key in PAIRS:
            option_key, place = PAIRS[key]
            return self._with_usual(state, option_key, with_pair_part(self._effective(option_key), place, typed))
        if key in OUTLINE_PARTS:
            return self._with_usual(state, "outline", with_outline_part(self._effective("outline"), key, typed))
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
        return self._with_usual(state, key, typed)

    def _with_usual(self, state: SignDraft, key: str, typed: str) -> SignDraft:
        """Return the state with a value said, or with none where it is the usual one."""
        plain = typed.strip()
        usual = str(merged_values({key: BY_KEY[key].default}, self.house).get(key, ""))
        is_usual = plain == usual or (key in LENGTHS and plain == in_unit(usual, self.unit))
        return state.with_value(key, "" if is_usual else plain)

    def _holes(self, state: SignDraft) -> tuple[str, ...]:
        """Return all holes as they are said, or else the blank's own."""
        said = merged_values(self.house, state.values).get("hole", ())
        lines = tuple(said.splitlines()) if isinstance(said, str) else said
        kept = tuple(line.strip() for line in lines if line.strip())
        if len(kept) == 1 and kept[0].lower() == "none":
            return ()
        as_drilled = not kept or kept[0].lower() in ("auto", "own")
        return own_holes(self._effective("blank"), self.catalogue) if as_drilled else kept

    def _blank_height(self) -> str:
        return parts_of(self._effective("blank"), self.catalogue).height

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
        """Show again what is in the editor."""
        self._trial = None

    def undo(self) -> str | None:
        """Take the last change back, and return what it was in words; `None` when there is none."""
        self._trial = None
        return _in_words(self.history.undo())

    def redo(self) -> str | None:
        """Make the change again that was taken back last; `None` when there is none."""
        self._trial = None
        return _in_words(self.history.redo())

    @property
    def look(self) -> str:
        """Everything of the sign but its name, in a line."""
        state, self._trial = self._trial, None
        parts = [self.shown(key) for key in ("face", "layout", "blank", "surface", "artwork")]
        self._trial = state
        return ", ".join(file_shown(part) for part in parts)

    def summary(self, station: str) -> str:
        """Return a station in a few words, for when it is closed."""
        if station == "wood":
            return f"{self.shown('blank')}, {self.shown('surface')}"
        if station == "picture":
            return file_shown(self.shown("artwork"))
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
