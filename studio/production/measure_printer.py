"""A printer measured: its ruler page written, its readings kept in the settings, and told in sentences.

Invariant: both front ends go this way, so that a reading means the same in either.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Final

from studio.basics.errors import SettingsError
from studio.model.paper import Paper
from studio.model.printer import Margins, Printer
from studio.production.captions import caption_line
from studio.sheets.pdf import pdf_bytes
from studio.sheets.ruler_page import ruler_page
from studio.sheets.ruler_readings import Reading, scale_of
from studio.storage.atomic_write import ready_folder, write_whole
from studio.storage.catalogue import Catalogue
from studio.storage.printer_entry import file_for_printer, keep_printer

EDGES: Final = ("left", "bottom", "right", "top")
PROOF_TOLD: Final = (
    "Print the proof page at 100 %: tick 0 meets 180 across, 240 along the feed and 300 on both diagonals."
)
_SIGN_MM: Final = 254.0
"""What an error is told of: a sign of 10 in."""
_NAME: Final = re.compile(r"[\w][\w .-]{0,39}")


def printer_name(text: str) -> str:
    """Return a printer's name as typed.

    Raises:
        SettingsError: It is none that a settings file and a file name can hold.
    """
    name = text.strip()
    if not _NAME.fullmatch(name):
        raise SettingsError(
            f"{text[:50]!r} is not a name for a printer.",
            advice="Take up to 40 letters, digits, dashes and spaces, such as kitchen or office-inkjet.",
            option="printer",
        )
    return name


def known_printer(catalogue: Catalogue, name: str) -> Printer:
    """Return what is known of a printer; one that is new has the usual margins and no scale."""
    return next((printer for printer in catalogue.printers if printer.name == name), Printer(name))


def ruler_paper(catalogue: Catalogue, name: str, asked: str | None = None) -> Paper:
    """Return the sheet that a printer is measured on: as asked, else the one it was measured on or holds, else letter.

    Raises:
        SettingsError: It is a roll, or not known.
    """
    known = known_printer(catalogue, name)
    paper = catalogue.paper(asked or known.measured_paper or known.paper or "letter")
    if paper.is_roll:
        raise SettingsError(
            f"The ruler page is a sheet; {paper.name} is a roll.",
            advice="Cut one sheet of it, and take letter paper.",
            ways=("paper",),
        )
    return paper


def write_ruler_page(
    folder: Path, name: str, paper: Paper, *, measured: Printer | None = None, overwrite: bool = False
) -> Path:
    """Write a printer's ruler page, or the proof page of its correction, and return the file.

    Raises:
        SettingsError: The sheet is too small.
        OutputError: It cannot be written.
    """
    page = ruler_page(paper.width_mm, paper.height_mm, caption_line, printer=name, paper=paper.name, measured=measured)
    kind, title = ("ruler", "Ruler page") if measured is None else ("ruler-proof", "Proof of the correction")
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-") or "printer"
    target = folder / f"{stem}-{kind}.pdf"
    ready_folder(folder)
    write_whole(target, pdf_bytes((page,), title=f"{title}, {name}"), overwrite=overwrite)
    return target


def keep_readings(
    name: str, paper: Paper, readings: tuple[Reading, ...], margins: Margins | None, *, today: str
) -> tuple[Path, Printer | None]:
    """Keep what was read, and return the settings file with the printer as measured; `None` for margins alone.

    Args:
        name: Of the printer.
        paper: The sheet that was read.
        readings: Of the ruler page; empty for margins alone.
        margins: As read on the ladders; `None` for readings alone.
        today: The day, such as 2026-05-31.

    Raises:
        SettingsError: The readings do not go together, or the printer is off by too much.
        OutputError: The settings file cannot be written.
    """
    measured = None
    if readings:
        measured = replace(scale_of(readings), name=name, measured=today, measured_paper=paper.name)
    file = file_for_printer(name)
    keep_printer(file, measured or Printer(name), margins=margins, has_scale=measured is not None)
    return file, measured


def scale_lines(printer: Printer, readings: tuple[Reading, ...]) -> tuple[str, ...]:
    """Return what readings came to, told of a 10 in sign."""
    lines = [f"{printer.name} on {printer.measured_paper}:"]
    for axis, scale in (("across", printer.scale_across), ("along the feed", printer.scale_feed)):
        off = (scale - 1) * _SIGN_MM
        told = f"{abs(off):.2f} mm too {'large' if off > 0 else 'small'}" if abs(off) >= 0.005 else "true"
        lines.append(f"  {axis}: {scale:.5f} of true size; a 10 in sign came out {told}")
    if not any(reading.side == "ac" for reading in readings):
        lines.append("  skew: not read (no diagonals), taken as none")
    elif printer.skew == 0:
        lines.append("  skew: none")
    else:
        lean = printer.skew * _SIGN_MM
        lines.append(f"  skew: a 10 in upright leaned {abs(lean):.2f} mm to the {'right' if lean > 0 else 'left'}")
    if not all(reading.is_vernier for reading in readings):
        lines.append("  Read in plain millimetres, good to 0.3 mm on a 10 in sign; the ticks are good to 0.1 mm.")
    return tuple(lines)


def margins_told(margins: Margins) -> str:
    """Return margins in words."""
    edges = (margins.left_mm, margins.bottom_mm, margins.right_mm, margins.top_mm)
    return "Margins: " + ", ".join(f"{edge} {size:g} mm" for edge, size in zip(EDGES, edges, strict=True)) + "."
