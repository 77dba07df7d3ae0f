"""A question about a list that would else be a guess: what it was taken for, and the ways to settle it.

Invariant: nothing of a list is shown or made while something in how it was read is a guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.events import Key
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static

from studio.orders.order_list import OrderList
from studio.orders.taken_for import Doubt
from studio.orders.told import ListWishes

_MOST_LINES = 9


class ListDoubted(Message):
    """A list was read, and something about it is a guess.

    Attributes:
        file: The list.
        orders: What it was taken for.
        said: What is known of it because somebody said so.
    """

    def __init__(self, file: Path, orders: OrderList, said: ListWishes) -> None:
        super().__init__()
        self.file = file
        self.orders = orders
        self.said = said


class ListQuestionScreen(ModalScreen[ListWishes | None]):
    """Asks one question; gives what the answer says of the list, `None` for leaving it closed."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave", show=False)]

    def __init__(self, doubt: Doubt, table: Sequence[str]) -> None:
        """Set up.

        Args:
            doubt: What is not sure.
            table: What the list was taken for, as lines.
        """
        super().__init__()
        self._doubt = doubt
        self._table = table

    def compose(self) -> ComposeResult:
        """Return the parts."""
        answers = [f"{number}  {answer.words}" for number, answer in enumerate(self._doubt.answers, 1)]
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = "Before the list is opened"
            with VerticalScroll(id="taken-for"):
                yield Static("\n".join(self._shown()), markup=False)
            yield Static(self._doubt.message, markup=False)
            yield OptionList(*answers, id="answers", markup=False)
            yield Static("Arrows and Enter, or a number, answer. Esc leaves the list closed.", markup=False)

    def on_mount(self) -> None:
        """Stand on the first answer."""
        parts = self.query_one("#taken-for")
        parts.styles.height = min(_MOST_LINES, len(self._shown()))
        answers = self.query_one("#answers", OptionList)
        answers.highlighted = 0
        answers.focus()

    def on_key(self, event: Key) -> None:
        """Answer by number."""
        if event.key.isdigit() and 1 <= int(event.key) <= len(self._doubt.answers):
            event.stop()
            self._answer(int(event.key) - 1)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Answer."""
        event.stop()
        self._answer(event.option_index)

    def action_leave(self) -> None:
        """Leave the list closed."""
        self.dismiss(None)

    def _answer(self, place: int) -> None:
        self.dismiss(self._doubt.answers[place].told)

    def _shown(self) -> list[str]:
        lines = [line.rstrip() for line in self._table]
        return lines if len(lines) <= _MOST_LINES else [*lines[: _MOST_LINES - 2], "  …", lines[-1]]
