"""What a list is taken for, shown with its header and first row, and one question where something is a guess.

Invariant: no row of a list is shown or made before every guess about it has been answered.
"""

from __future__ import annotations

from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static

from studio.orders.taken_for import Answer, Doubt, TakenFor
from studio.orders.told import Told

_MOST_COLUMNS: Final = 8
_HEADER: Final = 16
_EXAMPLE: Final = 24


class DoubtScreen(ModalScreen[Told | None]):
    """Asks one thing about a list; answers with what is to be said of it, or with nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Cancel", show=False)]

    def __init__(self, taken_for: TakenFor, doubt: Doubt) -> None:
        """Set up.

        Args:
            taken_for: What the list is taken for so far.
            doubt: What is asked.
        """
        super().__init__()
        self._taken_for = taken_for
        self._doubt = doubt

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet") as sheet:
            sheet.border_title = "What is in this list?"
            sheet.border_subtitle = "Enter takes · Esc cancels"
            yield Static(columns_told(self._taken_for), markup=False)
            yield Static(f"\n{self._doubt.message}", markup=False)
            yield OptionList(*(answer.words for answer in self._doubt.answers), markup=False, compact=True)

    def on_mount(self) -> None:
        """Stand on the guess."""
        answers = self.query_one(OptionList)
        answers.highlighted = 0
        self.set_focus(answers)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Answer."""
        event.stop()
        self.dismiss(self._doubt.answers[event.option_index].told)

    def action_leave(self) -> None:
        """Answer nothing."""
        self.dismiss(None)


def columns_told(taken_for: TakenFor) -> str:
    """Return the columns with their header, first value and use, a line each."""
    lines = [
        f"{_cut(one.header or f'column {one.number}', _HEADER)}  {_cut(one.example, _EXAMPLE)}  {one.use}"
        for one in taken_for.columns[:_MOST_COLUMNS]
    ]
    more = len(taken_for.columns) - _MOST_COLUMNS
    return "\n".join([*lines, f"and {more} more columns"] if more > 0 else lines)


def which_text(taken_for: TakenFor) -> Doubt:
    """Return the question which column holds the text, with every column as an answer, that of now first."""
    columns = sorted(taken_for.columns, key=lambda one: one.use != "text")
    answers = tuple(
        Answer(
            f"{one.header or f'column {one.number}'}: {one.example}",
            Told(columns=(("text", (("", one.header or f"#{one.number}"),)),)),
        )
        for one in columns
    )
    return Doubt("text", "Which column holds what is to stand on the signs?", answers)


def _cut(text: str, width: int) -> str:
    line = " ".join(text.split())
    return f"{line[: width - 1]}…" if len(line) > width else f"{line:<{width}}"
