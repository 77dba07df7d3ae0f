"""The findings of a sign: each with its number, what was measured against which limit, and its remedies.

Invariant: the numbers are those that stand in the picture; severity is told in words as well as in colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from studio.model.finding import SAID, Finding
from studio.tui.editor.apply_remedy import Remedy
from studio.tui.lengths import Unit
from studio.tui.messages import Mended
from studio.tui.wording import advice_of, inches_of, message_of, wood_advice_of

_STYLES: Final = {"refuse": "bold $error", "warn": "bold $warning", "note": "$text-muted"}


@dataclass(frozen=True, slots=True)
class Told:
    """A finding with the remedies that can be applied."""

    finding: Finding
    remedies: tuple[Remedy, ...] = ()

    @property
    def advice(self) -> str:
        """What helps beside the remedies that a key applies: what only other wood can do, or what no key can."""
        return wood_advice_of(self.finding) if self.remedies else advice_of(self.finding)


class FindingsPane(OptionList):
    """The list of findings; Enter on a remedy applies it."""

    HELP = """\
# Findings

What was found about the sign, worst first. An **error** stops the print, a **warning** is
of something that will blur or fill in when pressed, a **note** is good to know.
Each tells what was measured and the limit.

Lines with an arrow are remedies that were tried and hold: **Enter** applies the one under the cursor, **F8** the
first one. **Ctrl+Z** takes it back. The numbers stand in the picture where the finding is.
"""

    def __init__(self, *, mend_key: str = "", id: str | None = None) -> None:
        """Set up.

        Args:
            mend_key: The key that applies the first remedy, as shown; empty where there is none.
            id: The widget's id.
        """
        super().__init__(id=id, markup=False, compact=True)
        self._mend_key = mend_key
        self._told: tuple[Told, ...] = ()
        self._shown: object = None

    @property
    def told(self) -> tuple[Told, ...]:
        """What is listed."""
        return self._told

    def show(self, told: Sequence[Told], nothing: str, *, is_well: bool = True, unit: Unit = "mm") -> None:
        """List findings, measures in the unit given first; `nothing` stands there when there are none."""
        self._told = tuple(told)
        key = (self._told, nothing, unit)
        if key == self._shown:
            return
        self._shown = key
        before = self.highlighted
        options = [
            option for number, one in enumerate(self._told) for option in _options(number, one, self._mend_key, unit)
        ]
        self.set_options(
            options or [Option(Content.styled("✓ " if is_well else "", "$success") + Content(nothing), id="nothing")]
        )
        if before is not None and before < len(options):
            self.highlighted = before

    def chosen(self) -> tuple[int, int] | None:
        """Return the finding and remedy meant: those under the cursor, else the first that has a remedy."""
        if self.highlighted is not None:
            place = _place_of(self.get_option_at_index(self.highlighted).id)
            if place is not None and place[0] < len(self._told) and self._told[place[0]].remedies:
                return place[0], max(0, place[1])
        return next(((number, 0) for number, one in enumerate(self._told) if one.remedies), None)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Apply the remedy under the cursor; a finding's own line is there to be read."""
        event.stop()
        place = _place_of(event.option_id)
        if place is not None and place[1] >= 0:
            self.post_message(Mended(*place))


def _options(number: int, told: Told, mend_key: str, unit: Unit) -> list[Option]:
    finding = told.finding
    head = Content.styled(f"{SAID[finding.severity]} {number + 1} ", _STYLES[finding.severity])
    inches = inches_of(finding)
    if inches and unit == "in":
        head += Content.styled(f"{inches}: ", "bold")
    text = head + Content(message_of(finding))
    if inches and unit == "mm":
        text += Content.styled(f" ({inches})", "$text-muted")
    if advice := told.advice:
        text += Content.styled(f" {advice}", "$text-muted")
    options = [Option(text, id=f"finding-{number}")]
    for place, remedy in enumerate(told.remedies):
        key = f"{mend_key} " if mend_key and place == 0 else ""
        line = Content.styled(f"  → {key}", "bold $accent") + Content(remedy.sentence)
        options.append(Option(line, id=f"remedy-{number}-{place}"))
    return options


def _place_of(option_id: str | None) -> tuple[int, int] | None:
    """Return the finding and remedy of a line; the remedy is -1 for the finding's own line."""
    kind, _, rest = (option_id or "").partition("-")
    if kind == "finding":
        return int(rest), -1
    if kind == "remedy":
        number, _, place = rest.partition("-")
        return int(number), int(place)
    return None
