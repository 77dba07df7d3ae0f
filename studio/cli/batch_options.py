"""What can be typed after `sapwood batch` besides the sign options."""

from __future__ import annotations

import argparse


def add_batch_options(parser: argparse.ArgumentParser) -> None:
    """Add how a list is made, and what it is."""
    parser.add_argument("--resume", action="store_true", help="go on where an earlier run stopped")
    parser.add_argument("--dry-run", action="store_true", help="fit and check all, write no sign")
    parser.add_argument("--jobs", metavar="N", help="processes at work (default: one a core, at most 4)")
    parser.add_argument("--cluster", metavar="tcp://HOST:8786|local", help="make the signs on a dask cluster")
    parser.add_argument("--rows", metavar="3,7-12", help="only these rows of the list")
    parser.add_argument("--on-error", metavar="stop|continue", default="continue", help="after a refused sign")
    parser.add_argument("--json", action="store_true", help="a line of JSON a row on stdout, and one of the run")
    parser.add_argument("--without", metavar="proofs,contact", help="leave proofs or the contact sheet out")
    group = parser.add_argument_group("the list")
    group.add_argument(
        "--columns", metavar="text=HEADER,…", help="which column is what: text, order, quantity, ignore …"
    )
    group.add_argument("--header", metavar="LINE|none", help="the line that holds the headers")
    group.add_argument("--delimiter", metavar="SIGN", help="what separates the columns: comma, semicolon, tab, bar …")
    group.add_argument("--encoding", metavar="NAME", help="how the list is encoded, e.g. cp1252")
    group.add_argument("--sheet", metavar="NAME", help="which sheet of a workbook")
    group.add_argument("--list", dest="list_name", metavar="NAME", help="as kept in sapwood.toml under [lists.NAME]")
    group.add_argument("--keep-list", metavar="NAME", help="keep all that for lists with the same headers")
