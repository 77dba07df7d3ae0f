"""`sapwood render`: one sign's print, proof, thumbnail and report, written whole, read back, told.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.cli.sheets import sheets_lines
from studio.cli.sign import ordered_sign_on_paper
from studio.cli.summary import SAFETY, finding_lines, fit_lines, print_lines, spelling_lines
from studio.pipeline.make import Product, make
from studio.production.paperwork import pages_wanted, paperwork_told
from studio.production.save_on_paper import free_paths, pages_made
from studio.production.save_sign import save_product


def run(arguments: argparse.Namespace) -> int:
    """Make the sign and write its files."""
    sign, assets, wish = ordered_sign_on_paper(arguments)
    wanted = pages_wanted(getattr(arguments, "with"), sign, assets.catalogue)
    folder = Path(arguments.output or ".").expanduser()
    text, has_sheets = sign.letterings[0].text, wish is not None
    paths = free_paths(folder, text, wanted, has_sheets=has_sheets, overwrite=arguments.overwrite)
    product = make(sign, assets, strict=arguments.strict)
    pages = pages_made(product, wish, wanted, assets, assets.catalogue)
    written = save_product(
        product,
        paths,
        papers=assets.catalogue.papers,
        overwrite=arguments.overwrite,
        sheets=pages.pdf,
        beside=pages.beside,
    )
    if pages.sheets is not None and wish is not None:
        on_paper = sheets_lines(pages.sheets, wish)
    else:
        on_paper = print_lines(product.plan.sign, assets.catalogue.papers)
    _tell(product, written, on_paper)
    for line in paperwork_told(pages.beside, wanted):
        say(line)
    return ExitCode.SOME_REFUSED if product.plan.status == "refused" else ExitCode.OK


def _tell(product: Product, written: dict[str, Path], on_paper: tuple[str, ...]) -> None:
    planned = product.plan
    for line in (*fit_lines(planned), *spelling_lines(planned), *finding_lines(planned.findings)):
        say(line)
    for path in written.values():
        write(str(path))
    if product.print is None:
        say("No print was made: the sign is refused for the reasons above.")
        return
    for line in (f"Written: {', '.join(written)}.", *on_paper, SAFETY):
        say(line)
