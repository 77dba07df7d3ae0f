"""`sapwood ruler`: the ruler page of a printer, and its readings turned into the correction of every sheet.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.cli.arguments import whole_number
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.errors import SettingsError
from studio.model.printer import Margins, Printer
from studio.sheets.ruler_readings import Reading, parse_reading, scale_of
from studio.storage.atomic_write import ready_folder, write_whole
from studio.storage.printer_entry import file_for_printer, keep_printer
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.model.paper import Paper
    from studio.storage.catalogue import Catalogue

_SIGN_MM: Final = 254.0
"""What an error is told of: a sign of 10 in."""
_NAME: Final = re.compile(r"[\w][\w .-]{0,39}")
_EDGES: Final = ("left", "bottom", "right", "top")


def run(arguments: argparse.Namespace) -> int:
    """Write the ruler page; with readings, keep them and write the proof page."""
    name = arguments.printer.strip()
    if not _NAME.fullmatch(name):
        raise SettingsError(
            f"--printer: {arguments.printer[:50]!r} is no name for a printer.",
            advice="Take up to 40 letters, digits, dashes and spaces, such as kitchen or office-inkjet.",
        )
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    paper = _paper(shop.catalogue, name, arguments.paper)
    readings = tuple(
        parse_reading(text, side)
        for side in ("across", "feed", "ac", "bd")
        if (text := getattr(arguments, side)) is not None
    )
    margins = _margins(arguments, shop.catalogue, name)
    if not readings and margins is None:
        _write_page(name, paper, arguments, measured=None)
        _tell_reading(name, paper)
        return ExitCode.OK
    measured = None
    if readings:
        found = scale_of(readings)
        measured = replace(found, name=name, measured=date.today().isoformat(), measured_paper=paper.name)
    file = file_for_printer(name)
    keep_printer(file, measured or Printer(name), margins=margins, has_scale=measured is not None)
    if measured is not None:
        _tell_scale(measured, readings)
    if margins is not None:
        edges = (margins.left_mm, margins.bottom_mm, margins.right_mm, margins.top_mm)
        say("Margins: " + ", ".join(f"{edge} {size:g} mm" for edge, size in zip(_EDGES, edges, strict=True)) + ".")
    say(f"Kept in {file} as [printer.{name}]; sheets made with --printer {name} go by it from now on.")
    if measured is not None:
        _write_page(name, paper, arguments, measured=measured)
        say("Print the proof page at 100 %: tick 0 meets 180 across, 240 along the feed and 300 on both diagonals.")
    return ExitCode.OK


def _paper(catalogue: Catalogue, name: str, asked: str | None) -> Paper:
    """Return the sheet that is measured: as asked, else the one the printer was measured on or holds, else letter."""
    known = next((printer for printer in catalogue.printers if printer.name == name), Printer())
    paper = catalogue.paper(asked or known.measured_paper or known.paper or "letter")
    if paper.is_roll:
        raise SettingsError(
            f"The ruler page is a sheet; {paper.name} is a roll.", advice="Cut one sheet of it, and use --paper letter."
        )
    return paper


def _margins(arguments: argparse.Namespace, catalogue: Catalogue, name: str) -> Margins | None:
    """Return the margins read on the ladders; an edge that was not read keeps what is known of it."""
    read = {edge: getattr(arguments, edge) for edge in _EDGES}
    if all(text is None for text in read.values()):
        return None
    known = next((printer for printer in catalogue.printers if printer.name == name), Printer()).margins
    edges = [
        getattr(known, f"{edge}_mm") if text is None else float(whole_number(text, f"--{edge}", 1, 15))
        for edge, text in read.items()
    ]
    return Margins(*edges)


def _write_page(name: str, paper: Paper, arguments: argparse.Namespace, *, measured: Printer | None) -> None:
    from studio.production.captions import caption_line
    from studio.sheets.pdf import pdf_bytes
    from studio.sheets.ruler_page import ruler_page

    page = ruler_page(paper.width_mm, paper.height_mm, caption_line, printer=name, paper=paper.name, measured=measured)
    folder = Path(arguments.output or ".").expanduser()
    ready_folder(folder)
    kind = "ruler" if measured is None else "ruler-proof"
    target = folder / f"{re.sub(r'[^A-Za-z0-9_-]+', '-', name).strip('-') or 'printer'}-{kind}.pdf"
    title = f"{'Ruler page' if measured is None else 'Proof of the correction'}, {name}"
    # A proof page is made anew from the readings, so that the last one never stands for them.
    write_whole(target, pdf_bytes((page,), title=title), overwrite=arguments.overwrite or measured is not None)
    write(str(target))


def _tell_reading(name: str, paper: Paper) -> None:
    for line in (
        f"Print it on {paper.told} at 100 % (Actual size, no fit), with the tray and quality that your signs take.",
        "Lay a steel ruler along each length and read which tick meets a whole millimetre. Then, for example:",
        f"  sapwood ruler --printer {name} --across 7@186 --feed 9@248 --ac 8@307 --bd 8@307",
        "The diagonals may be left out, and plain millimetres do too: --across 179.6. From the ladders at the edges:",
        f"  sapwood ruler --printer {name} --left 3 --bottom 13 --right 3 --top 3",
    ):
        say(line)


def _tell_scale(printer: Printer, readings: tuple[Reading, ...]) -> None:
    say(f"{printer.name} on {printer.measured_paper}:")
    for axis, scale in (("across", printer.scale_across), ("along the feed", printer.scale_feed)):
        off = (scale - 1) * _SIGN_MM
        told = f"{abs(off):.2f} mm too {'large' if off > 0 else 'small'}" if abs(off) >= 0.005 else "true"
        say(f"  {axis}: {scale:.5f} of true size; a 10 in sign came out {told}")
    has_diagonals = any(reading.side == "ac" for reading in readings)
    if not has_diagonals:
        say("  skew: not read (no diagonals), taken as none")
    elif printer.skew == 0:
        say("  skew: none")
    else:
        lean = printer.skew * _SIGN_MM
        say(f"  skew: a 10 in upright leaned {abs(lean):.2f} mm to the {'right' if lean > 0 else 'left'}")
    if not all(reading.is_vernier for reading in readings):
        say("  Read in plain millimetres, good to about 0.3 mm on a 10 in sign; the ticks are good to 0.1 mm.")
