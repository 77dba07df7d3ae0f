"""The studio's colours, dark and light: pale wood, pine and lake water.

Invariant: style sheets name these colours by their part only, so that any other theme fits as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from textual.theme import Theme

from studio.terminal.capabilities import has_light_ground, is_colourless

DUSK: Final = Theme(
    name="pikewater-dusk",
    primary="#d9a866",
    secondary="#7fa8a3",
    accent="#e8c58f",
    foreground="#e9e2d4",
    background="#171512",
    surface="#201d19",
    panel="#2c2822",
    success="#8fb573",
    warning="#e0a03c",
    error="#e2725b",
    dark=True,
    variables={
        "footer-key-foreground": "#e8c58f",
        "input-selection-background": "#d9a866 40%",
        "text-muted": "#b5ac9c",
        "placeholder": "#b5ac9c",
        "frame": "#7d7263",
        "border-blurred": "#7d7263",
    },
)
NOON: Final = Theme(
    name="pikewater-noon",
    primary="#7a4e18",
    secondary="#2f6f6b",
    accent="#6b4412",
    foreground="#2a241c",
    background="#f4efe4",
    surface="#ebe4d5",
    panel="#ddd3bf",
    success="#2f5f20",
    warning="#744600",
    error="#9a2a16",
    dark=False,
    variables={
        "footer-key-foreground": "#6b4412",
        "input-selection-background": "#8a5a1e 30%",
        "text-muted": "#574d3f",
        "placeholder": "#574d3f",
        "frame": "#857a68",
        "border-blurred": "#857a68",
    },
)
TERMINAL_DARK: Final = "ansi-dark"
TERMINAL_LIGHT: Final = "ansi-light"
SAID: Final[Mapping[str, tuple[str, str]]] = {
    DUSK.name: ("dusk", "Pale wood on a dark ground"),
    NOON.name: ("noon", "Dark wood on a light ground"),
    TERMINAL_DARK: ("terminal, dark", "The terminal's own colours, for a dark ground"),
    TERMINAL_LIGHT: ("terminal, light", "The terminal's own colours, for a light ground"),
}
"""What each theme is called in the menu, and what it looks like."""
CYCLE: Final = tuple(SAID)


def first_theme(environment: Mapping[str, str], chosen: str = "") -> str:
    """Return the theme to begin with: the one chosen, or one that goes with the terminal's own ground."""
    light = has_light_ground(environment)
    if is_colourless(environment):
        return TERMINAL_LIGHT if light else TERMINAL_DARK
    return chosen or (NOON.name if light else DUSK.name)
