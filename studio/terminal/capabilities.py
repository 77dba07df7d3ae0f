"""What the terminal is able to show, told by its environment; asked by commands and studio alike.

Invariant: asked once at the start; nothing here writes to the terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from studio.terminal.cells import CellKind
    from studio.terminal.palette import Depth

_DRAWS_SEXTANTS: Final = (
    "KITTY_WINDOW_ID",
    "WEZTERM_EXECUTABLE",
    "WEZTERM_PANE",
    "WT_SESSION",
    "GHOSTTY_RESOURCES_DIR",
)
"""Set by terminals that draw these shapes themselves instead of asking a font (general knowledge, not measured)."""
_DRAWING_PROGRAMS: Final = frozenset({"ghostty", "wezterm"})
_VTE_WITH_SEXTANTS: Final = 6200
_FEW_COLOURS: Final = ("linux", "ansi", "vt", "cygwin")
"""Terminals of 16 colours, by how their name begins (general knowledge, not measured)."""
_INSTEAD: Final = (
    "sapwood render “Marlow & Tess” makes a sign without the studio; sapwood --help lists all that it can do."
)


class _Stream(Protocol):
    @property
    def encoding(self) -> str | None: ...

    def isatty(self) -> bool: ...


def reason_against(
    environment: Mapping[str, str], stdin: _Stream | None = None, screen: _Stream | None = None
) -> str | None:
    """Return why the studio cannot open here, with what to do instead; `None` when it can.

    Args:
        environment: The process environment.
        stdin: Where keys come from.
        screen: Where the studio draws, which is the error stream; standard output stays free.
    """
    keys = sys.stdin if stdin is None else stdin
    drawn = sys.stderr if screen is None else screen
    if keys is None or drawn is None or not keys.isatty() or not drawn.isatty():
        return f"The studio needs a terminal with a keyboard, and there is none here. {_INSTEAD}"
    if environment.get("TERM", "") in ("dumb", "unknown"):
        return f"This terminal (TERM={environment['TERM']}) cannot place text on the screen. {_INSTEAD}"
    encoding = (drawn.encoding or "ascii").lower().replace("-", "").replace("_", "")
    if encoding != "utf8":
        return (
            f"This terminal is set to {drawn.encoding or 'ASCII'}, and the studio needs UTF-8. "
            f"Start it with PYTHONUTF8=1 and a UTF-8 locale, such as LC_ALL=C.UTF-8 sapwood. {_INSTEAD}"
        )
    return None


def is_colourless(environment: Mapping[str, str]) -> bool:
    """Whether colours are not wanted: NO_COLOR set and not empty, as its convention says."""
    return bool(environment.get("NO_COLOR"))


def colour_depth(environment: Mapping[str, str], *, is_terminal: bool, encoding: str) -> Depth:
    """Return how many colours may be used: none unless the terminal is one that can show blocks."""
    terminal = environment.get("TERM", "")
    if not is_terminal or is_colourless(environment) or terminal in ("", "dumb", "unknown"):
        return "none"
    if encoding.lower().replace("-", "").replace("_", "") != "utf8":
        return "none"
    if environment.get("COLORTERM", "").lower() in ("truecolor", "24bit"):
        return "truecolor"
    return "16" if terminal.startswith(_FEW_COLOURS) else "256"


def first_cell_kind(environment: Mapping[str, str]) -> CellKind:
    """Return the finest cells that the terminal is known to draw without gaps.

    Quadrants are of the block elements, as half blocks are, and nearly every font has them; the console's own fonts of
    512 letters often have not.
    """
    if is_colourless(environment):
        return "braille"
    if environment.get("TMUX") or environment.get("STY"):
        return "quadrant"  # what lies behind a multiplexer cannot be told
    if any(environment.get(name) for name in _DRAWS_SEXTANTS):
        return "sextant"
    if environment.get("TERM", "").startswith(("foot", "xterm-kitty", "xterm-ghostty")):
        return "sextant"
    if environment.get("TERM_PROGRAM", "").lower() in _DRAWING_PROGRAMS:
        return "sextant"
    version = environment.get("VTE_VERSION", "")
    if version.isdigit() and int(version) >= _VTE_WITH_SEXTANTS:
        return "sextant"
    return "half" if environment.get("TERM", "").startswith(_FEW_COLOURS) else "quadrant"


def has_light_ground(environment: Mapping[str, str]) -> bool | None:
    """Return whether the terminal says that its background is light; `None` when it says nothing.

    Some terminals state it as COLORFGBG, such as `0;15`; 7 and 15 are the light ones.
    """
    ground = environment.get("COLORFGBG", "").rpartition(";")[2]
    return int(ground) in (7, 15) if ground.isdigit() else None
