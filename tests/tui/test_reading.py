"""What a person sees can be read: contrast of every colour in both themes, and the name in the picture."""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.theme import Theme

from studio.basics.colour import contrast_ratio, linear_from_code
from studio.tui.themes import DUSK, NOON

TEXT_ON_GROUND = 4.5
"""Source: WCAG 2.2, success criterion 1.4.3, contrast (minimum)."""
CONTROL_ON_GROUND = 3.0
"""Source: WCAG 2.2, success criterion 1.4.11, non-text contrast."""
TEXTS = ("foreground", "text-muted", "accent", "primary", "success", "warning", "error", "text-error", "text-warning")


def luminance(code: str) -> float:
    """Return a colour's relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    red, green, blue = (linear_from_code(part) for part in Color.parse(code).rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def variables(theme: Theme) -> dict[str, str]:
    """Return a theme's colours by the names that style sheets use."""
    return theme.to_color_system().generate() | theme.variables


def on(text: str, ground: str) -> float:
    """Return the contrast of a text's colour on a ground; a part that lets the ground through is laid on it."""
    laid = Color.parse(ground).blend(Color.parse(text), Color.parse(text).a)
    return contrast_ratio(luminance(laid.hex6), luminance(Color.parse(ground).hex6))


@pytest.mark.parametrize("theme", [DUSK, NOON], ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", ["background", "surface", "panel"])
@pytest.mark.parametrize("text", TEXTS)
def test_text_can_be_read(theme: Theme, ground: str, text: str) -> None:
    """Every colour of text has a contrast of 4.5 to 1 on every ground that it stands on."""
    known = variables(theme)
    if text.startswith("text-") and "auto" in known[text]:
        pytest.skip("chosen by the library for its ground, and darkened or lightened by a share of it")
    assert on(known[text], known[ground]) >= TEXT_ON_GROUND


@pytest.mark.parametrize("theme", [DUSK, NOON], ids=lambda theme: theme.name)
def test_controls_can_be_seen(theme: Theme) -> None:
    """Frames, and the cursor's row, have a contrast of 3 to 1 on the ground; text on the cursor's row one of 4.5."""
    known = variables(theme)
    assert on(known["frame"], known["background"]) >= CONTROL_ON_GROUND
    assert on(known["primary"], known["background"]) >= CONTROL_ON_GROUND
    assert on(known["background"], known["primary"]) >= TEXT_ON_GROUND
    assert on(known["placeholder"], known["surface"]) >= TEXT_ON_GROUND
    assert on(known["placeholder"], known["panel"]) >= TEXT_ON_GROUND
