"""Contrast against worked ratios of the WCAG 2.x formula, and the transfer curve against worked codes."""

from __future__ import annotations

import pytest

from studio.basics.colour import code_from_linear, contrast_ratio, linear_from_code, luminance, parse_colour

WORKED = [
    ("#000000", "#ffffff", 21.0),
    ("#777777", "#ffffff", 4.4781),
    ("#767676", "#ffffff", 4.5422),
    ("#959595", "#ffffff", 2.9953),
    ("#949494", "#ffffff", 3.0335),
    ("#595959", "#ffffff", 7.0047),
    ("#5a5a5a", "#ffffff", 6.8969),
    ("#0000ff", "#ffffff", 8.5925),
    ("#ff0000", "#ffffff", 3.9985),
    ("#00ff00", "#ffffff", 1.3722),
    ("#ff0000", "#0000ff", 2.1489),
    ("#000000", "#deb887", 11.312),
    ("#3b2314", "#deb887", 7.8748),
]
"""Source: two independent public implementations of the WCAG 2.x ratio, run side by side."""
LINEAR = {
    10: 0.003035269835488375,
    11: 0.003346535763899161,
    118: 0.18116424424986022,
    119: 0.184474994500441,
    128: 0.21586050011389926,
    188: 0.5028864580325687,
    255: 1.0,
}
"""Source: IEC 61966-2-1, worked in double precision by another implementation."""


@pytest.mark.parametrize(("first", "second", "expected"), WORKED)
def test_contrast_ratios(first: str, second: str, expected: float) -> None:
    """Ratios agree with the worked ones to their last digit, whichever colour comes first."""
    lights = [luminance(parse_colour(colour).linear) for colour in (first, second)]
    assert contrast_ratio(*lights) == pytest.approx(expected, abs=1e-3 if expected > 10 else 5.1e-5)
    assert contrast_ratio(*lights) == contrast_ratio(*reversed(lights))


@pytest.mark.parametrize("code", LINEAR)
def test_linear_light_of_codes(code: int) -> None:
    """Codes become the worked linear light, and come back."""
    assert linear_from_code(code) == pytest.approx(LINEAR[code], abs=1e-12)
    assert code_from_linear(LINEAR[code]) == pytest.approx(code, abs=1e-9)


@pytest.mark.parametrize(("light", "code"), [(0.5, 187.516), (0.18, 117.646)])
def test_codes_of_linear_light(light: float, code: float) -> None:
    """Half light and middle grey have the worked codes (source as above)."""
    assert code_from_linear(light) == pytest.approx(code, abs=1e-3)
