"""`sapwood preview`: the sign in the terminal, as the customer sees it or as it goes to the printer.

stdout gets the picture alone; the words go to stderr.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from typing import TYPE_CHECKING, Final

from studio.cli.arguments import whole_number
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.cli.sign import ordered_sign
from studio.cli.summary import finding_lines, fit_lines
from studio.pipeline.cache import print_base_for, proof_base_for, thumbnail_for
from studio.pipeline.plan import plan
from studio.render.ascii_art import COLUMNS, TONES
from studio.terminal.ansi import ascii_tones, block_lines
from studio.terminal.capabilities import colour_depth, first_cell_kind

if TYPE_CHECKING:
    from studio.model.blank import Blank
    from studio.pipeline.types import Plan
    from studio.storage.assets import FileAssets

_SHORTEST: Final = 20
_LONGEST: Final = 400
_LINES_LEFT: Final = 4
"""Lines of the terminal kept for words."""


def run(arguments: argparse.Namespace) -> int:
    """Show the sign."""
    asked = None if arguments.width is None else whole_number(arguments.width, "--width", _SHORTEST, _LONGEST)
    sign, assets = ordered_sign(arguments)
    planned = plan(sign, assets)
    if planned.placement is not None:
        write(_picture(planned, assets, arguments, asked), is_picture=True)
    for line in (*fit_lines(planned), *finding_lines(planned.findings)):
        say(line)
    if arguments.as_printed and planned.placement is not None:
        say("As printed: mirrored, with the marks in the waste.")
    return ExitCode.SOME_REFUSED if planned.status == "refused" else ExitCode.OK


def _picture(planned: Plan, assets: FileAssets, arguments: argparse.Namespace, asked: int | None) -> str:
    """Return the lines of a sign that stands."""
    sign, placement = planned.sign, planned.placement
    assert placement is not None
    depth = colour_depth(os.environ, is_terminal=sys.stdout.isatty(), encoding=sys.stdout.encoding or "")
    plain = arguments.ascii or depth == "none"
    kind = first_cell_kind(os.environ)
    columns = asked or (COLUMNS if plain else _columns_of_terminal(sign.blank))
    if arguments.as_printed:
        pixels = print_base_for(sign, assets).print_of(placement, order=sign.order).pixels()
        return ascii_tones(pixels, columns, TONES) if plain else block_lines(pixels, columns, kind, depth)
    if plain:
        return thumbnail_for(sign, assets, columns).draw(placement)
    longer_px = 4 * max(columns, int(columns * sign.blank.height_mm / sign.blank.width_mm))
    return block_lines(proof_base_for(sign, assets, longer_px).pixels_of(placement), columns, kind, depth)


def _columns_of_terminal(blank: Blank) -> int:
    """Return the most characters across at which the whole sign stands on the screen."""
    size = shutil.get_terminal_size()
    by_height = int(2 * (size.lines - _LINES_LEFT) * blank.width_mm / blank.height_mm)
    return max(min(size.columns, by_height, _LONGEST), min(size.columns, 2 * _SHORTEST), _SHORTEST)
