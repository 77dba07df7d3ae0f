"""The best ways to set the name on the bench, stepped through with one key, each told with its price in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from studio.composing.reason import price_in_words

if TYPE_CHECKING:
    from studio.layout.placement import Composed
    from studio.model.options import Value

MOST_WAYS: Final = 3


@dataclass(frozen=True, slots=True)
class Way:
    """One way to set the name: what it changes on the bench, and what is said of it."""

    changes: Mapping[str, Value]
    words: str


class OtherWays:
    """The ways of one name, and which of them lies on the bench."""

    def __init__(self) -> None:
        self._ways: tuple[Way, ...] = ()
        self._at = 0

    def take(self, composed: Composed, as_it_is: Mapping[str, Value]) -> None:
        """Take over what was weighed for a name, the way it was set first."""
        chosen, *others = composed.candidates[:MOST_WAYS] or (None,)
        self._at = 0
        self._ways = (
            ()
            if chosen is None
            else (
                Way(as_it_is, composed.reason),
                *(
                    Way(dict(as_it_is) | dict(one.changes), f"{' / '.join(one.lines)}: {price_in_words(one, chosen)}")
                    for one in others
                ),
            )
        )

    def is_of(self, lying: Mapping[str, Value]) -> bool:
        """Whether what lies on the bench is the way that was stepped to last."""
        return bool(self._ways) and dict(self._ways[self._at].changes) == dict(lying)

    def next(self) -> tuple[Way, str] | None:
        """Step to the next way, and return it with its place such as `2 of 3`; `None` when there is only one."""
        if len(self._ways) < 2:
            return None
        self._at = (self._at + 1) % len(self._ways)
        return self._ways[self._at], f"{self._at + 1} of {len(self._ways)}"
