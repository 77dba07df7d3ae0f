"""`sapwood ruler`: the ruler page of a printer, and its readings turned into the correction of every sheet.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from studio.cli.arguments import whole_number
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.model.printer import Margins
from studio.production.measure_printer import (
    EDGES,
    PROOF_TOLD,
    keep_readings,
    known_printer,
    margins_told,
    printer_name,
    ruler_paper,
    scale_lines,
    write_ruler_page,
)
from studio.sheets.ruler_readings import LONGEST_LADDER, SIDES, parse_reading
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.storage.catalogue import Catalogue


def run(arguments: argparse.Namespace) -> int:
    """Write the ruler page; with readings, keep them and write the proof page."""
    name = printer_name(arguments.printer)
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    paper = ruler_paper(shop.catalogue, name, arguments.paper)
    readings = tuple(parse_reading(text, side) for side in SIDES if (text := getattr(arguments, side)) is not None)
    margins = _margins(arguments, shop.catalogue, name)
    folder = Path(arguments.output or ".").expanduser()
    if not readings and margins is None:
        write(str(write_ruler_page(folder, name, paper, overwrite=arguments.overwrite)))
        for line in (
            f"Print it on {paper.told} at 100 % (Actual size, no fit), with the tray and quality that your signs take.",
            "Lay a steel ruler along each length and read which tick meets a whole millimetre. Then, for example:",
            f"  sapwood ruler --printer {_quoted(name)} --across 7@186 --feed 9@248 --ac 8@307 --bd 8@307",
            "Diagonals may be left out, and plain millimetres do too: --across 179.6. From the ladders at the edges:",
            f"  sapwood ruler --printer {_quoted(name)} --left 3 --bottom 13 --right 3 --top 3",
        ):
            say(line)
        return ExitCode.OK
    file, measured = keep_readings(name, paper, readings, margins, today=date.today().isoformat())
    if measured is not None:
        for line in scale_lines(measured, readings):
            say(line)
    if margins is not None:
        say(margins_told(margins))
    say(f"Kept in {file} as [printer.{name}]; sheets made with --printer {_quoted(name)} go by it from now on.")
    if measured is not None:
        # A proof page is made anew from the readings, so that an older one never stands for them.
        write(str(write_ruler_page(folder, name, paper, measured=measured, overwrite=True)))
        say(PROOF_TOLD)
    return ExitCode.OK


def _margins(arguments: argparse.Namespace, catalogue: Catalogue, name: str) -> Margins | None:
    """Return the margins read on the ladders; an edge that was not read keeps what is known of it."""
    read = {edge: getattr(arguments, edge) for edge in EDGES}
    if all(text is None for text in read.values()):
        return None
    known = known_printer(catalogue, name).margins
    edges = [
        getattr(known, f"{edge}_mm") if text is None else float(whole_number(text, f"--{edge}", 1, LONGEST_LADDER))
        for edge, text in read.items()
    ]
    return Margins(*edges)


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
