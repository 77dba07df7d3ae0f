"""Values worked out once for a thing by a module above it, and kept with that thing for as long as it lasts.

A value of an object's own is a `cached_property`; this is for what others work out of it. Each module declares what it
keeps, with its types, and no two can meet under one name.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, Protocol, TypeAlias, TypeVar

Memory: TypeAlias = dict[Any, Any]
"""What was worked out for one thing, by who keeps it."""


class Keeper(Protocol):
    """A thing that others' values are kept with."""

    @property
    def memory(self) -> Memory:
        """What was worked out for it."""


Owner = TypeVar("Owner", bound=Keeper)
Key = TypeVar("Key")
Value = TypeVar("Value")


class KeptValue(Generic[Owner, Value]):
    """One value for each owner."""

    def of(self, owner: Owner, work_out: Callable[[], Value]) -> Value:
        """Return an owner's value, worked out the first time."""
        memory = owner.memory
        if self not in memory:
            memory[self] = work_out()
        value: Value = memory[self]
        return value


class KeptValues(Generic[Owner, Key, Value]):
    """Values by key for each owner."""

    def __init__(self, *, most: int | None = None) -> None:
        """Set up.

        Args:
            most: How many are kept for one owner; when there would be more, all before are let go.
        """
        self._most = most

    def of(self, owner: Owner) -> dict[Key, Value]:
        """Return what is kept for an owner so far."""
        kept: dict[Key, Value] | None = owner.memory.get(self)
        if kept is None:
            kept = owner.memory[self] = {}
        return kept

    def get(self, owner: Owner, key: Key, work_out: Callable[[], Value]) -> Value:
        """Return an owner's value of a key, worked out the first time."""
        kept = self.of(owner)
        if key not in kept:
            value = work_out()
            if self._most is not None and len(kept) >= self._most:
                kept.clear()
            kept[key] = value
        return kept[key]
