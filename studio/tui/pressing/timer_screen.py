"""The press station: cautions, then the steps of one surface against the clock, for one sign or two alternating.

Invariant: cautions are shown before any step; the clock runs on whatever is typed, and leaving asks while it runs.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Digits, Static

from studio.basics.errors import StudioError
from studio.sheets.pressing.steps import PressCard
from studio.sheets.pressing.timer import PressTimer, SignAtPress, clock_face, timer_for
from studio.tui.dialogs.question import Choice, QuestionScreen
from studio.tui.keys import AT_THE_PRESS, Key, bindings, footer_keys
from studio.tui.status_lines import HintLine, KeyLine, ToldLine

_TICK_S: Final = 0.2
_RING_AGAIN_S: Final = 3.0
_RINGS: Final = 6
"""A press that is due rings so often, every `_RING_AGAIN_S` seconds, until it is seen to."""
_STATES: Final = {
    "ready": "Space starts the clock",
    "running": "running · Space pauses",
    "paused": "paused · Space goes on",
    "over": "TIME IS UP",
    "done": "all steps done",
}


class SignPane(Vertical):
    """One sign at the press: its step, the clock, what to do, and what comes next."""

    def __init__(self, number: int) -> None:
        super().__init__(id=f"sign-{number}", classes="press-sign")

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield Static("", classes="press-title", markup=False)
        yield Static("", classes="press-heat", markup=False)
        yield Digits("", classes="press-clock")
        yield Static("", classes="press-state", markup=False)
        yield Static("", classes="press-told", markup=False)
        yield Static("", classes="press-next", markup=False)

    def show(self, sign: SignAtPress, now_s: float, *, is_chosen: bool) -> None:
        """Show how a sign stands."""
        self.border_title = sign.name
        self.set_class(is_chosen, "chosen")
        state = sign.state(now_s)
        self.set_class(state == "over", "over")
        step, left = sign.step, sign.left(now_s)
        self._set("press-title", f"Step {sign.place + 1} of {len(sign.steps)}: {step.title}" if step else "Done")
        self._set("press-heat", step.figures if step else "Switch the press off when the last sign is out.")
        clock = "" if left is None else clock_face(left)
        if (digits := self.query_one(Digits)).value != clock:
            digits.update(clock)
        words = _STATES[state]
        if step is not None and left is None:
            words = "no clock · Enter when it is done"
        elif state == "over" and step is not None:
            words += ": open the press" if step.takes_press else ": go on"
        self._set("press-state", words)
        self._set("press-told", step.told if step else "")
        coming = sign.steps[sign.place + 1 :]
        lines = [f"{step.title}, {step.figures}" if step.figures else step.title for step in coming]
        self._set("press-next", "\n".join(["Then:", *lines]) if lines else "")

    def _set(self, part: str, text: str) -> None:
        static = self.query_one(f".{part}", Static)
        if str(static.content) != text:
            static.update(text)


class PressScreen(Screen[None]):
    """The press station."""

    own_keys: ClassVar[tuple[Key, ...]] = AT_THE_PRESS
    """The keys of this screen, for help and menu."""
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(AT_THE_PRESS),
        Binding("right,left", "other_sign", show=False),
    ]
    HELP = """\
# The press station

The steps of your surface in order, with heat in °F and °C and a clock. Space starts and pauses the clock, Enter goes on
to the next step. A bell rings when the time is up; a closed press goes on ringing. `2` sets up a second sign: while one
cools, the other goes in, and the press is never closed on both. Figures are from assets/surfaces.toml and your own
sapwood.toml; the instructions of the makers of press, ink, paper and blank come first.
"""

    def __init__(self, card: PressCard, clock: Callable[[], float] = time.monotonic) -> None:
        """Set up.

        Args:
            card: The steps of the surface.
            clock: The time in seconds that only grow.
        """
        super().__init__(id="press")
        self.card = card
        self.clock = clock
        self.timer: PressTimer = timer_for(card, ("Sign 1",))
        self._is_warned = False
        self._rings: dict[tuple[str, int], int] = {}

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with VerticalScroll(id="press-cautions", can_focus=False):
            yield Static("\n".join(f"! {caution}" for caution in self.card.cautions), markup=False)
        with Horizontal(id="press-signs"):
            yield SignPane(1)
            yield SignPane(2)
        yield ToldLine()
        yield KeyLine(footer_keys(AT_THE_PRESS), getattr(self.app, "keymap", {}))

    def on_mount(self) -> None:
        """Show the cautions, and begin to look at the clock."""
        self.query_one("#press-signs").display = False
        self._hint(f"Press, {self.card.surface}. Read this first, then press Enter.")
        self._tell(f"Figures: {self.card.figures_from}.", "plain")
        self.set_interval(_TICK_S, self.look)

    def look(self) -> None:
        """Look at the clock: show it, and ring where a time is up."""
        if not self._is_warned:
            return
        now = self.clock()
        self.timer, due = self.timer.rung(now)
        for sign in due:
            step = sign.step
            assert step is not None
            what = "open the press" if step.takes_press else "go on to the next step"
            self._tell(f"{sign.name}: the time of “{step.title}” is up, {what}.", "warn")
            self.app.bell()
        for sign in self.timer.signs:
            self._ring_again(sign, now)
        for pane, sign in zip(self.query(SignPane), self.timer.signs, strict=False):
            pane.show(sign, now, is_chosen=sign is self.timer.sign)

    def _ring_again(self, sign: SignAtPress, now: float) -> None:
        """Ring once more for a press that stays closed."""
        left = sign.left(now)
        if sign.step is None or not sign.step.takes_press or left is None or left > 0 or sign.started_s is None:
            return
        place = (sign.name, sign.place)
        rings = int(-left // _RING_AGAIN_S)
        if self._rings.get(place, 0) < rings <= _RINGS:
            self._rings[place] = rings
            self.app.bell()

    # Keys

    def action_next_step(self) -> None:
        """Go on: past the cautions, then from step to step."""
        if not self._is_warned:
            self._is_warned = True
            self.query_one("#press-cautions").display = False
            self.query_one("#press-signs").display = True
            self.query(SignPane).last().display = False
            self._hint(f"Press, {self.card.surface}. Makers' instructions come first.")
            self._tell("2 sets up a second sign: while one cools, the other is pressed.", "plain")
        else:
            self.timer = self.timer.next_step()
            self._say_step()
        self.look()

    def action_step_back(self) -> None:
        """Go back one step."""
        if self._is_warned:
            self.timer = self.timer.previous_step()
            self._say_step()
            self.look()

    def action_clock(self) -> None:
        """Start or pause the clock of the chosen sign."""
        if not self._is_warned:
            return
        now = self.clock()
        if self.timer.sign.least_s is None:
            self._tell("This step has no clock. Enter when it is done.", "plain")
            return
        try:
            is_running = self.timer.sign.started_s is not None
            self.timer = self.timer.pause(now) if is_running else self.timer.start(now)
            self._tell("Paused." if is_running else "The clock is running.", "plain" if is_running else "busy")
        except StudioError as problem:
            self._tell(str(problem), "bad")
        self.look()

    def action_other_sign(self) -> None:
        """Choose the other sign."""
        if self._is_warned and len(self.timer.signs) > 1:
            self.timer = self.timer.choose(self.timer.chosen + 1)
            self._tell(f"The keys now control {self.timer.sign.name.lower()} now.", "plain")
            self.look()

    def action_second_sign(self) -> None:
        """Set up a second sign beside the first, or choose it."""
        if not self._is_warned:
            return
        if len(self.timer.signs) == 1:
            second = timer_for(self.card, ("Sign 2",)).signs[0]
            self.timer = PressTimer((*self.timer.signs, second), chosen=1)
            self.query(SignPane).last().display = True
            self._tell("Sign 2 begins at its first step. Tab goes from one to the other.", "good")
        else:
            self.timer = self.timer.choose(1)
        self.look()

    def action_first_sign(self) -> None:
        """Choose the first sign."""
        if self._is_warned:
            self.timer = self.timer.choose(0)
            self.look()

    def action_leave(self) -> None:
        """Go back to the sign; ask while a clock runs."""
        now = self.clock()
        busy = [sign.name for sign in self.timer.signs if sign.holds_press(now)]
        if not busy:
            self.dismiss()
            return

        def chosen(answer: str | None) -> None:
            if answer == "end":
                self.dismiss()

        told = f"The press is closed on {busy[0].lower()}. Its clock is lost if you leave now."
        stop = Choice("end", "Leave the press", "l", "warning")
        self.app.push_screen(QuestionScreen("The clock is running", told, (stop,)), chosen)

    def _say_step(self) -> None:
        step = self.timer.sign.step
        self._tell(f"{self.timer.sign.name}: {step.title}." if step else f"{self.timer.sign.name} is done.", "good")

    def _hint(self, sentence: str) -> None:
        self.query_one(HintLine).sentence = sentence

    def _tell(self, sentence: str, tone: str) -> None:
        self.query_one(ToldLine).tell(sentence, tone)  # type: ignore[arg-type]
