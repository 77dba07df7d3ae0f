"""The printer's scale and skew against plane geometry: a parallelogram is known by its sides and diagonals.

Sources: the law of cosines, AC^2 - BD^2 = 4 AD AB cos A, and the parallelogram law (any handbook of plane geometry,
from memory); the check values were worked out from them by hand, apart from this program.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.basics.errors import SettingsError
from studio.model.printer import Printer
from studio.sheets.ruler_readings import Reading, Side, expected_mm, parse_reading, scale_of

SIDES: tuple[Side, ...] = ("across", "feed", "ac", "bd")


@pytest.mark.parametrize(
    ("typed", "share"), [("8@246", 0.99515), ("7@247", 1.00284), ("8@249", 1.00728), ("0@240", 1.0), ("10@249", 1.0)]
)
def test_vernier_readings(typed: str, share: float) -> None:
    """Tick k on whole millimetre N of a length L reads N / (L + 0.9 k) exactly."""
    assert parse_reading(typed, "feed").share == pytest.approx(share, abs=5e-6)


@given(st.floats(0.98, 1.02))
def test_the_best_tick_is_never_far_off(share: float) -> None:
    """For any scale within 2 % some tick of the 11 meets a whole millimetre to 0.074 mm."""
    misfit = min(abs((240 + 0.9 * tick) * share - round((240 + 0.9 * tick) * share)) for tick in range(11))

    assert misfit <= 0.0742


def test_the_worked_example() -> None:
    """Scales .9965 and 1.0042 with skew .0015 print 179.37, 241.0083, 300.6448 and 300.2164 mm, and come back."""
    lengths = {"across": 179.3700, "feed": 241.0083, "ac": 300.6448, "bd": 300.2164}
    printer = Printer(scale_across=0.9965, scale_feed=1.0042, skew=0.0015)

    assert expected_mm(printer) == pytest.approx(lengths, abs=5e-5)
    found = scale_of(tuple(Reading(side, lengths[side], True) for side in SIDES))
    assert found.scale_across == pytest.approx(0.9965, abs=1e-6)
    assert found.scale_feed == pytest.approx(1.0042, abs=1e-6)
    assert found.skew == pytest.approx(0.0015, abs=1e-6)


@given(st.floats(0.981, 1.019), st.floats(0.981, 1.019), st.floats(-0.015, 0.015))
def test_round_trip(across: float, feed: float, skew: float) -> None:
    """Any printer within bounds is found again from the lengths that it prints, and its correction undoes it."""
    printer = Printer(scale_across=across, scale_feed=feed, skew=skew)
    found = scale_of(tuple(Reading(side, length, True) for side, length in expected_mm(printer).items()))

    assert (found.scale_across, found.scale_feed, found.skew) == pytest.approx((across, feed, skew), abs=1e-9)
    a, b, c, d = found.correction
    x, y = 130.0, -95.0
    sent_x, sent_y = a * x + c * y, b * x + d * y
    assert (across * (sent_x + skew * sent_y), feed * sent_y) == pytest.approx((x, y), abs=1e-9)


def test_a_reading_off_by_a_quarter_millimetre() -> None:
    """Each side read 0.25 mm wrong puts a 260 mm sign off by at most 0.37 mm across and 0.28 along the feed."""
    wrong = scale_of((Reading("across", 180.25, False), Reading("feed", 240.25, False)))

    assert 260 * (wrong.scale_across - 1) == pytest.approx(0.361, abs=1e-3)
    assert 260 * (wrong.scale_feed - 1) == pytest.approx(0.271, abs=1e-3)


def test_small_skew_needs_the_vernier() -> None:
    """Diagonals 0.3 mm apart count as equal when read in plain millimetres, and as a skew when read on ticks."""
    sides = (Reading("across", 180, True), Reading("feed", 240, True))
    plain = scale_of((*sides, Reading("ac", 300.15, False), Reading("bd", 299.85, False)))
    fine = scale_of((*sides, Reading("ac", 300.15, True), Reading("bd", 299.85, True)))

    assert plain.skew == 0
    assert fine.skew == pytest.approx((300.15**2 - 299.85**2) / (4 * 180 * 240), rel=1e-6)


@pytest.mark.parametrize(
    ("typed", "side", "said"),
    [
        ("9@245", "across", "9@245 makes 234.4 mm of 180 mm.*It would fit --feed"),
        ("170", "across", r"-5.6 %.*print dialog scaled the page"),
        ("228.5", "feed", r"-4.8 %.*print dialog scaled"),
        ("11@190", "across", "there is no tick 11"),
        ("24", "feed", "makes 24.0 mm.*That cannot be"),
        ("abc", "feed", "'abc' is not a reading"),
        ("-240", "feed", "'-240' is not a reading"),
        ("7@", "feed", "'7@' is not a reading"),
        ("@240", "feed", "'@240' is not a reading"),
        ("", "feed", "'' is not a reading"),
        ("nan", "feed", "'nan' is not a reading"),
        ("99999999999999999999", "feed", "has no unit"),
    ],
)
def test_readings_that_cannot_be(typed: str, side: Side, said: str) -> None:
    """A reading that no printer gives is refused in a sentence with what to do."""
    with pytest.raises(SettingsError, match=said):
        parse_reading(typed, side)


def test_four_readings_of_no_one_figure() -> None:
    """Sides and diagonals that no parallelogram has together are refused with both figures."""
    readings = tuple(Reading(side, length, True) for side, length in zip(SIDES, (180, 240, 302, 301), strict=True))

    with pytest.raises(
        SettingsError, match=r"cannot belong to one figure: .*300.0 mm in the mean, and 301.5 mm was read"
    ):
        scale_of(readings)


@pytest.mark.parametrize(("left_out", "said"), [("across", "--across"), ("feed", "--feed"), ("bd", "--ac but no --bd")])
def test_a_reading_is_missing(left_out: Side, said: str) -> None:
    """Both sides are needed, and both diagonals or none."""
    readings = tuple(
        Reading(side, {"across": 180, "feed": 240}.get(side, 300), True) for side in SIDES if side != left_out
    )

    with pytest.raises(SettingsError, match=said):
        scale_of(readings)


def test_the_frame_is_a_right_angled_triangle() -> None:
    """180, 240 and 300 mm are 3 : 4 : 5, so that an untouched page reads exactly true."""
    assert math.hypot(180, 240) == 300
    assert expected_mm(Printer()) == {"across": 180, "feed": 240, "ac": 300, "bd": 300}
