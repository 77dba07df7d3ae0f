"""What happens between the parts of the studio.

Invariant: every message is a plain value; those from other threads carry nothing that a widget owns.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from textual.message import Message

from studio.orders.told import ListWishes

if TYPE_CHECKING:
    from studio.orders.order_row import OrderRow
    from studio.orders.told import ListWishes
    from studio.tui.engine.engine import Answer
    from studio.tui.orders.order_book import OrderBook, RowFact
    from studio.tui.status_lines import Tone


class Answered(Message):
    """A picture and its findings are ready."""

    def __init__(self, answer: Answer) -> None:
        super().__init__()
        self.answer = answer


class Met(Message):
    """Something went wrong off the interface's thread; `sentence` is for the person."""

    def __init__(self, sentence: str) -> None:
        super().__init__()
        self.sentence = sentence


class Typed(Message):
    """A field holds another text; `is_final` when Enter was pressed or a step was chosen."""

    def __init__(self, key: str, text: str, *, is_choice: bool = False) -> None:
        super().__init__()
        self.key = key
        self.text = text
        self.is_choice = is_choice


class CaretMoved(Message):
    """A key moved the caret within a field."""


class Dropped(Message):
    """A file was dropped on a field."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path = path


class WantsList(Message):
    """A field's list is asked for; `typed` narrows it from the start."""

    def __init__(self, key: str, typed: str = "") -> None:
        super().__init__()
        self.key = key
        self.typed = typed


class Mended(Message):
    """A remedy was chosen."""

    def __init__(self, finding: int, remedy: int) -> None:
        super().__init__()
        self.finding = finding
        self.remedy = remedy


class RowsKnown(Message):
    """What was found out about rows of a list."""

    def __init__(self, facts: Sequence[tuple[int, RowFact]]) -> None:
        super().__init__()
        self.facts = tuple(facts)


class ListOpened(Message):
    """A list was read; the remark tells what became of earlier fixes, `said` what somebody said of the list."""

    def __init__(self, book: OrderBook, remark: str = "", said: ListWishes | None = None) -> None:
        super().__init__()
        self.book = book
        self.remark = remark
        self.said = said or ListWishes()


class MadeFound(Message):
    """Which rows of a list are made in a folder already, by their number."""

    def __init__(self, book: OrderBook, folder: Path, made: Mapping[int, tuple[OrderRow, RowFact]]) -> None:
        super().__init__()
        self.book = book
        self.folder = folder
        self.made = made


class RunMoved(Message):
    """A row of a run is done.

    Attributes:
        number: The row's number.
        fact: What became of it.
        done: How many rows are done.
        total: Of how many.
    """

    def __init__(self, number: int, fact: RowFact, done: int, total: int) -> None:
        super().__init__()
        self.number = number
        self.fact = fact
        self.done = done
        self.total = total


class RunEnded(Message):
    """A run is over.

    Attributes:
        sentence: What to tell.
        tone: How.
        asks: Whether the folder holds a run and the person must say what to do.
    """

    def __init__(self, sentence: str, tone: Tone, *, asks: bool = False) -> None:
        super().__init__()
        self.sentence = sentence
        self.tone = tone
        self.asks = asks
