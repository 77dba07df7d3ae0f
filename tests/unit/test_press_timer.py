"""The step timer by a clock of the test's own: start, pause, bell, next step, and two signs at one press."""

from __future__ import annotations

import pytest

from studio.basics.errors import SettingsError
from studio.cli.press import BELL, count_down
from studio.model.press_figures import Span, figures_of
from studio.sheets.pressing.steps import Step, press_card
from studio.sheets.pressing.timer import PressTimer, SignAtPress, clock_face

STEPS = (
    Step("Lint-roll", "Roll."),
    Step("Film on", "Press the film.", span=Span(20, 20), takes_press=True),
    Step("Film cools", "Let it cool.", span=Span(300, 600)),
    Step("Press", "Press.", span=Span(50, 50), takes_press=True),
)


def _timer(*names: str) -> PressTimer:
    return PressTimer(tuple(SignAtPress(name, STEPS) for name in names or ("A",)))


def test_counts_down_and_rings_once() -> None:
    """A step of 20 s has 15 left after 5, rings at 20 and never again, and counts up after that."""
    timer = _timer().next_step().start(100.0)

    assert timer.sign.left(105.0) == 15.0
    assert timer.rung(119.9)[1] == ()
    timer, due = timer.rung(120.0)
    assert [sign.name for sign in due] == ["A"]
    assert timer.rung(121.0)[1] == ()
    assert timer.sign.left(127.0) == -7.0
    assert timer.sign.state(127.0) == "over"


def test_a_pause_stops_the_clock() -> None:
    """Time that passes while the clock is paused does not count."""
    timer = _timer().next_step().start(0.0).pause(8.0)

    assert timer.sign.left(1000.0) == 12.0
    assert timer.sign.state(1000.0) == "paused"
    assert timer.start(1000.0).sign.left(1005.0) == 7.0


def test_a_step_without_a_time_waits_for_a_key() -> None:
    """An untimed step is ready until the next one is asked for; starting it changes nothing."""
    timer = _timer()

    assert timer.sign.left(5.0) is None
    assert timer.start(5.0) == timer
    assert timer.next_step().sign.step == STEPS[1]


def test_the_last_step_leads_to_the_end() -> None:
    """After the last step the sign is done, and further keys leave it so."""
    timer = _timer()
    for _ in range(6):
        timer = timer.next_step()

    assert timer.sign.state(0.0) == "done"
    assert timer.start(1.0) == timer
    assert timer.previous_step().sign.step == STEPS[3]


def test_two_signs_alternate_at_one_press() -> None:
    """While one sign is in the press the other cannot go in; while the first cools, it can."""
    timer = _timer("sign 1", "sign 2").next_step().start(0.0)
    second = timer.choose(1).next_step()

    with pytest.raises(SettingsError, match=r"The press is closed on sign 1 for 0:12 more") as caught:
        second.start(8.0)
    assert "Take sign 1 out first" in caught.value.advice
    with pytest.raises(SettingsError, match="closed on sign 1 and its time is up"):
        second.start(25.0)

    alternating = second.choose(0).next_step().start(30.0).choose(1).start(31.0)
    assert [sign.state(40.0) for sign in alternating.signs] == ["running", "running"]
    assert alternating.signs[0].left(40.0) == 290.0
    assert alternating.signs[1].left(40.0) == 11.0


def test_both_bells_ring_when_both_are_due() -> None:
    """Two steps that are due between two looks ring both."""
    timer = _timer("1", "2").next_step().start(0.0).next_step().start(20.0).choose(1).next_step().start(20.0)

    assert [sign.name for sign in timer.rung(400.0)[1]] == ["1", "2"]


@pytest.mark.parametrize(
    ("seconds", "face"),
    [
        (50, "0:50"),
        (49.2, "0:50"),
        (0.2, "0:01"),
        (0, "0:00"),
        (90, "1:30"),
        (3600, "1:00:00"),
        (-7.0, "+0:07"),
        (-65.5, "+1:05"),
    ],
)
def test_clock_faces(seconds: float, face: str) -> None:
    """A clock shows the second that is running, and counts up with a plus when the time is over."""
    assert clock_face(seconds) == face


def test_the_countdown_of_the_command() -> None:
    """The command's countdown asks before each step, counts timed ones down by the clock, and rings at zero."""
    clock, shown, asked = [0.0], [], []

    def wait(seconds: float) -> None:
        clock[0] += seconds

    def ask(question: str) -> str:
        asked.append(question)
        return ""

    card = press_card(figures_of("bare", {"moisture": "380F 50s", "press": "380F 2s"}))
    count_down(card, now=lambda: clock[0], wait=wait, ask=ask, show=lambda line, renew: shown.append(line))

    assert len(asked) == len(card.steps)
    assert clock[0] == 52.0
    assert "    0:50 left" in shown and "    0:01 left" in shown
    assert sum(BELL in line for line in shown) == 2
    assert shown[-1].startswith("All steps are done")


def test_the_countdown_ends_at_q() -> None:
    """`q` ends the countdown and says to take the piece out."""
    shown: list[str] = []
    card = press_card(figures_of("bare", {"press": "380F 2s"}))
    count_down(
        card, now=lambda: 0.0, wait=lambda s: None, ask=lambda q: "q", show=lambda line, renew: shown.append(line)
    )

    assert shown[-1] == "Stopped. If a piece is in the press, take it out now."
