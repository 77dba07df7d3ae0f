"""A printer measured in the studio: its ruler page written, then each reading asked for with a drawing of where it is.

Invariant: nothing is kept before the last reading is in; a reading that cannot be is told at once and asked for again.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import ClassVar, Final, NamedTuple

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from studio.basics.errors import SettingsError, StudioError
from studio.model.paper import Paper
from studio.model.printer import Margins
from studio.production.measure_printer import (
    EDGES,
    PROOF_TOLD,
    keep_readings,
    known_printer,
    printer_name,
    ruler_paper,
    scale_lines,
    write_ruler_page,
)
from studio.sheets.ruler_readings import LONGEST_LADDER, NOMINAL_MM, SIDES, Reading, Side, parse_reading, tick_mm
from studio.storage.catalogue import Catalogue

_COLUMNS: Final = 25
_ROWS: Final = 11


class Question(NamedTuple):
    """One thing asked for: what it is known by, its words, and whether it may be left empty."""

    key: str
    told: str
    may_skip: bool


def _side_question(side: Side, words: str, may_skip: bool) -> Question:
    whole = round(tick_mm(side, 7))
    told = f"{words}, {NOMINAL_MM[side]:g} mm. Which tick meets a whole millimetre? Type it like 7@{whole}"
    return Question(side, f"{told}; or plain millimetres.", may_skip)


QUESTIONS: Final = (
    Question("printer", "What is the printer called? Such as kitchen.", False),
    Question("paper", "Which paper is it measured on? The one your signs take. Then the ruler page is written.", False),
    _side_question("across", "ACROSS, from A to D", False),
    _side_question("feed", "FEED, from D to C", False),
    _side_question("ac", "DIAGONAL ac, from A to C", True),
    _side_question("bd", "DIAGONAL bd, from D to B", True),
    *(
        Question(edge, f"The ladder at the {edge} edge: the smallest number whose line is whole.", True)
        for edge in EDGES
    ),
)


class Measured(NamedTuple):
    """A printer measured: its name, and a sentence about what was kept."""

    name: str
    sentence: str


class RulerScreen(ModalScreen[Measured | None]):
    """Asks for a printer and its readings; gives what was kept, nothing where it was left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", show=False),
        Binding("up,shift+tab", "question_back", "Back", show=False),
    ]

    def __init__(self, catalogue: Callable[[], Catalogue], folder: Path) -> None:
        """Set up.

        Args:
            catalogue: Gives what can be chosen by name.
            folder: Where the pages are written.
        """
        super().__init__()
        self._catalogue = catalogue
        self._folder = folder
        self._place = 0
        self._typed: dict[str, str] = {}
        self._paper: Paper | None = None

    @property
    def question(self) -> Question:
        """What is asked for now."""
        return QUESTIONS[self._place]

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet", id="ruler") as sheet:
            sheet.border_title = "Measure a printer"
            sheet.border_subtitle = "Enter goes on · ↑ goes back · Esc leaves"
            with Horizontal(id="ruler-parts"):
                yield Static("", id="ruler-drawing")
                yield Static("", id="ruler-question", markup=False)
            yield Input(id="ruler-input")
            yield Static("", id="ruler-told", markup=False)

    def on_mount(self) -> None:
        """Ask the first question."""
        self._ask()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take an answer, or say what is wrong with it."""
        event.stop()
        text = event.value.strip()
        try:
            told = self._take(self.question, text)
        except StudioError as problem:
            self._tell(_in_words(str(problem)))
            return
        self._typed[self.question.key] = text
        if self._place + 1 == len(QUESTIONS):
            self._finish()
            return
        self._place += 1
        self._ask(told)

    def action_question_back(self) -> None:
        """Ask the question before once more."""
        self._place = max(0, self._place - 1)
        self._ask()

    def action_leave(self) -> None:
        """Leave everything as it was."""
        self.dismiss(None)

    def _take(self, question: Question, text: str) -> str:
        """Check an answer, and return what to say about it.

        Raises:
            StudioError: It cannot be.
        """
        if not text and question.may_skip:
            return ""
        if question.key == "printer":
            printer_name(text)
        elif question.key == "paper":
            name = self._typed["printer"]
            self._paper = ruler_paper(self._catalogue(), name, text or None)
            file = write_ruler_page(self._folder, name, self._paper, overwrite=True)
            return f"Written: {file}. Print it at 100 %, then read it with a steel ruler."
        elif question.key in EDGES:
            if not text.isdecimal() or not 1 <= int(text) <= LONGEST_LADDER:
                raise SettingsError(f"{text[:20]!r} is not a line of the ladder; they go from 1 to {LONGEST_LADDER}.")
        else:
            reading = parse_reading(text, question.key)  # type: ignore[arg-type]
            return f"{reading.length_mm:.2f} mm, {(reading.share - 1) * 100:+.2f} %."
        return ""

    def _finish(self) -> None:
        """Keep all readings, write the proof page, and say so."""
        name, paper = self._typed["printer"], self._paper
        assert paper is not None
        readings: tuple[Reading, ...] = tuple(parse_reading(self._typed[s], s) for s in SIDES if self._typed[s])
        try:
            file, measured = keep_readings(name, paper, readings, self._margins(name), today=date.today().isoformat())
            assert measured is not None
            proof = write_ruler_page(self._folder, name, paper, measured=measured, overwrite=True)
        except StudioError as problem:
            self._tell(_in_words(str(problem)))
            return
        words = " ".join(line.strip() for line in scale_lines(measured, readings))
        self.dismiss(Measured(name, f"{words} Kept in {file}. {PROOF_TOLD} It is {proof}."))

    def _margins(self, name: str) -> Margins | None:
        """Return the margins that were typed; an edge left empty keeps what is known of it."""
        if not any(self._typed[edge] for edge in EDGES):
            return None
        known = known_printer(self._catalogue(), name).margins
        return Margins(*(float(self._typed[edge] or getattr(known, f"{edge}_mm")) for edge in EDGES))

    def _ask(self, told: str = "") -> None:
        question = self.question
        field = self.query_one("#ruler-input", Input)
        value = self._typed.get(question.key, "")
        if question.key == "paper" and not value:
            value = ruler_paper(self._catalogue(), self._typed["printer"]).name
        field.value = value
        field.cursor_position = len(value)
        skip = " Leave it empty to skip." if question.may_skip else ""
        count = f"{self._place + 1} of {len(QUESTIONS)}\n\n"
        self.query_one("#ruler-question", Static).update(f"{count}{question.told}{skip}")
        self.query_one("#ruler-drawing", Static).update(drawing(question.key))
        self._tell(told)
        field.focus()

    def _tell(self, sentence: str) -> None:
        self.query_one("#ruler-told", Static).update(sentence)


def _in_words(sentence: str) -> str:
    """Return a sentence with the names of lines as they stand on the page, in place of the command's options."""
    for side, name in (("across", "ACROSS"), ("feed", "FEED"), ("ac", "DIAGONAL ac"), ("bd", "DIAGONAL bd")):
        sentence = re.sub(rf"--{side}\b", name, sentence)
    return sentence


def drawing(key: str) -> Text:
    """Return the ruler page in small, with what is asked for drawn in full and all else dotted.

    Args:
        key: A length (`across`, `feed`, `ac`, `bd`), an edge, or anything else for the page alone.
    """
    cells = [[" "] * _COLUMNS for _ in range(_ROWS)]
    across, up = _COLUMNS - 7, _ROWS - 3
    shares = [(_ROWS - 2 - step, round(step * across / up)) for step in range(up + 1)]
    lines: dict[str, list[tuple[int, int]]] = {
        "across": [(_ROWS - 2, 3 + column) for column in range(across + 1)],
        "feed": [(row, 3 + across) for row in range(_ROWS - 2, 0, -1)],
        "ac": [(row, 3 + share) for row, share in shares],
        "bd": [(row, 3 + across - share) for row, share in shares],
    }
    for name in sorted(lines, key=lambda name: name == key):
        for row, column in lines[name]:
            cells[row][column] = "█" if name == key else "·"
    if key in lines:
        start, end = lines[key][0], lines[key][-1]
        cells[start[0]][start[1]] = "0"
        cells[end[0]][end[1]] = "≡"
    for step in range(_ROWS - 4):
        places = {
            "left": (step + 2, step // 3), "right": (step + 2, _COLUMNS - 1 - step // 3),
            "bottom": (_ROWS - 1, 8 + step), "top": (0, 8 + step),
        }  # fmt: skip
        if key in places:
            row, column = places[key]
            cells[row][column] = "█"
    corners = {"A": (_ROWS - 1, 2), "D": (_ROWS - 1, _COLUMNS - 3), "B": (0, 2), "C": (0, _COLUMNS - 3)}
    for letter, (row, column) in corners.items():
        cells[row][column] = letter
    return Text("\n".join("".join(row) for row in cells), no_wrap=True)
