"""What lies on the bench as one value, and the way back and forth through its changes.

Invariant: a state is the text and the option values exactly as the command line would take them; an entry that was
never changed is not in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from studio.files.options import Value, merged_values

TEXT: Final = "text"
"""The key under which the name itself is told of; all other keys are options'."""
FIRST_TEXT: Final = "Pikewater"
MOST_STEPS: Final = 500


@dataclass(frozen=True, slots=True)
class BenchState:
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

    def with_value(self, key: str, value: Value) -> BenchState:
        """Return the state with one value said; an empty one is taken back."""
        return self.with_values({key: value})

    def with_values(self, changes: Mapping[str, Value]) -> BenchState:
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
        return BenchState(text, tuple(sorted(values.items())))

    def effective(self, house: Mapping[str, Value]) -> dict[str, Value]:
        """Return the values with those of the settings files under them."""
        return merged_values(house, self.values)


@dataclass(frozen=True, slots=True)
class Step:
    """One state of the history and what led to it, for coalescing and for telling."""

    state: BenchState
    what: str = ""


@dataclass(slots=True)
class History:
    """The states there were. Keystrokes in one field in one go make one step.

    Attributes:
        steps: From the oldest to the newest.
        place: Which of them lies on the bench.
    """

    steps: list[Step] = field(default_factory=lambda: [Step(BenchState())])
    place: int = 0
    is_open: bool = False

    @property
    def state(self) -> BenchState:
        """What lies on the bench."""
        return self.steps[self.place].state

    def change(self, state: BenchState, what: str, *, joins: bool = False) -> bool:
        """Put a new state on the bench, and tell whether it differs.

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
            self.steps.append(Step(state, what))
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
