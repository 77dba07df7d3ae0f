"""Values kept with the thing they were worked out for: once, apart from each other, and gone with it."""

from __future__ import annotations

import gc
from weakref import ref

from studio.basics.kept import KeptValue, KeptValues, Memory


class Thing:
    """Something that values are worked out for."""

    def __init__(self) -> None:
        self.memory: Memory = {}


def test_a_value_is_worked_out_once_for_each_owner() -> None:
    """Each of two things has its own value, worked out the first time only, even where it is nothing."""
    kept, calls = KeptValue[Thing, object](), []

    def nothing() -> None:
        calls.append(1)

    one, other = Thing(), Thing()
    assert [kept.of(one, nothing), kept.of(one, nothing), kept.of(other, nothing)] == [None, None, None]
    assert len(calls) == 2


def test_two_modules_do_not_meet() -> None:
    """What two modules keep with one thing under one key stays apart."""
    first, second = KeptValues[Thing, str, int](), KeptValues[Thing, str, int]()
    thing = Thing()
    assert (first.get(thing, "a", lambda: 1), second.get(thing, "a", lambda: 2)) == (1, 2)
    assert (first.get(thing, "a", lambda: 3), second.of(thing)) == (1, {"a": 2})


def test_no_more_are_kept_than_wanted() -> None:
    """With three at most, a fourth lets those before go; they are worked out again when asked for."""
    kept = KeptValues[Thing, int, int](most=3)
    thing = Thing()
    for key in range(4):
        kept.get(thing, key, lambda key=key: key)  # type: ignore[misc]
    assert kept.of(thing) == {3: 3}
    assert kept.get(thing, 0, lambda: 7) == 7


def test_values_go_with_their_owner() -> None:
    """A thing whose kept value leads back to it is let go of with it."""
    kept = KeptValue[Thing, Thing]()

    def seen_last() -> ref[Thing]:
        thing = Thing()
        assert kept.of(thing, lambda: thing) is thing
        return ref(thing)

    seen = seen_last()
    gc.collect()
    assert seen() is None
