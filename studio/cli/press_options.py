"""What can be typed about the press, the ruler page, and the pages beside a print."""

from __future__ import annotations

import argparse
from typing import Final


def add_press(parser: argparse.ArgumentParser) -> None:
    """Add the options of `sapwood press`."""
    parser.add_argument("--surface", metavar="NAME", help="what the dye goes into (default: the settings', or painted)")
    parser.add_argument("--painted", action="store_true", help="the surface lies on painted wood")
    parser.add_argument("--no-timer", action="store_true", help="the card alone, without the countdown")
    parser.add_argument("--json", action="store_true", help="the card as JSON on stdout")
    parser.add_argument("--paper", metavar="NAME", help="paper of the card's page (default: letter)")


def add_ruler(parser: argparse.ArgumentParser) -> None:
    """Add the options of `sapwood ruler`."""
    parser.add_argument("--printer", metavar="NAME", required=True, help="what the printer is called in the settings")
    parser.add_argument("--paper", metavar="NAME", help="the sheet (default: the printer's, or letter)")
    sides = {"across": "A to D, 180 mm", "feed": "D to C, 240 mm", "ac": "A to C, 300 mm", "bd": "D to B, 300 mm"}
    for side, line in sides.items():
        parser.add_argument(f"--{side}", metavar="TICK@MM", help=f"the reading of {line}; or plain millimetres")
    for edge in ("left", "bottom", "right", "top"):
        parser.add_argument(f"--{edge}", metavar="N", help=f"the first whole line of the ladder at the {edge} edge")


_OF_A_SIGN: Final = "pages beside it: template,card,approval,hanging, or all; one-file joins them to the sheets"


def add_pages(parser: argparse.ArgumentParser, told: str = _OF_A_SIGN) -> None:
    """Add the option for pages beside a print, or beside those of a list."""
    parser.add_argument("--with", metavar="PAGES", help=told)
