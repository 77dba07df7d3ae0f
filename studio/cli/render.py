"""`sapwood render`: one sign's print, proof, thumbnail and report, written whole, read back, told.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.cli.sheets import sheets_lines
from studio.cli.sign import ordered_sign_on_paper
from studio.cli.summary import SAFETY, finding_lines, fit_lines, print_lines, spelling_lines
from studio.pipeline.make import Product, make
from studio.production.file_names import single_stem
from studio.production.paperwork import (
    PaperworkMaker,
    check_paperwork,
    paperwork_files,
    paperwork_targets,
    paperwork_told,
    parse_paperwork,
)
from studio.production.save_sign import save_product, targets
from studio.production.sign_sheets import sheet_name, sheets_for, sheets_pdf
from studio.storage.atomic_write import ready_folder
from studio.storage.write_errors import taken


def run(arguments: argparse.Namespace) -> int:
    """Make the sign and write its files."""
    sign, assets, wish = ordered_sign_on_paper(arguments)
    folder = Path(arguments.output or ".").expanduser()
    stem = single_stem(sign.letterings[0].text)
    paths = targets(folder, stem, sheets=wish is not None)
    wanted = parse_paperwork(getattr(arguments, "with")) if getattr(arguments, "with") is not None else None
    if wanted is not None:
        check_paperwork(sign, wanted, assets.catalogue)
        paths |= paperwork_targets(folder, stem, wanted, has_sheets=wish is not None)
    if not arguments.overwrite:
        for path in paths.values():
            if os.path.lexists(path):
                raise taken(path)
    ready_folder(folder)
    product = make(sign, assets, strict=arguments.strict)
    sheets = sheets_for(product, wish) if wish is not None and product.print is not None else None
    pdf = sheets_pdf(sheets.pages, sheets.title) if sheets is not None else None
    beside: dict[str, bytes] = {}
    if wanted is not None and product.print is not None:
        maker = PaperworkMaker(product, assets, assets.catalogue, wish, sheets.tiling if sheets is not None else None)
        pages = sheets.pages if sheets is not None else ()
        title = sheets.title if sheets is not None else sheet_name(product.plan.sign)
        beside, joined = paperwork_files(maker, wanted, pages, title=title)
        pdf = joined or pdf
    papers = assets.catalogue.papers
    written = save_product(product, paths, papers=papers, overwrite=arguments.overwrite, sheets=pdf, beside=beside)
    on_paper = print_lines(product.plan.sign, papers)
    _tell(product, written, sheets_lines(sheets, wish) if sheets is not None and wish is not None else on_paper)
    if wanted is not None and beside:
        for line in paperwork_told(beside, wanted):
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
