"""What can be typed about paper: for one sign, and for a list."""

from __future__ import annotations

import argparse


def add_sign_paper(parser: argparse.ArgumentParser) -> None:
    """Add the paper of one sign, and where its sheets meet."""
    _added(parser).add_argument(
        "--seam", metavar="LENGTH", help="where sheets meet, up from the centre, e.g. 36mm; x=20mm for an upright one"
    )


def add_list_paper(parser: argparse.ArgumentParser) -> None:
    """Add the paper of a list, and how far apart signs lie on one sheet."""
    group = _added(parser)
    group.add_argument("--gap", metavar="LENGTH", help="between signs that share a sheet (4mm)")
    group.add_argument("--with-strip", action="store_true", help="the test strip on a sheet with the signs")


def add_strip_paper(parser: argparse.ArgumentParser) -> None:
    """Add the paper of the test strip."""
    _added(parser)


def _added(parser: argparse.ArgumentParser) -> argparse._ArgumentGroup:
    group = parser.add_argument_group("paper")
    group.add_argument("--paper", metavar="NAME|SIZE", help="sheets to print: letter, A4, 13x19in, 9inx12in, roll:24in")
    group.add_argument("--printer", metavar="NAME", help="the printer, as the settings know it")
    group.add_argument(
        "--printer-margins",
        metavar="usual|narrow|L,B,R,T",
        help="what it cannot print on: left, bottom, right, top (6.35mm,12.7mm,6.35mm,3.2mm)",
    )
    group.add_argument("--overlap", metavar="LENGTH", help="what neighbouring sheets both print (10mm)")
    return group
