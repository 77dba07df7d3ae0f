"""`sapwood render`: one sign's print, proof, thumbnail and report, written whole, read back, told.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.cli.sign import ordered_sign
from studio.cli.summary import SAFETY, finding_lines, fit_lines, print_lines, spelling_lines
from studio.pipeline.make import Product, make
from studio.production.file_names import single_stem
from studio.production.save_sign import save_product, targets
from studio.storage.atomic_write import ready_folder
from studio.storage.write_errors import taken


def run(arguments: argparse.Namespace) -> int:
    """Make the sign and write its files."""
    sign, assets = ordered_sign(arguments)
    folder = Path(arguments.output or ".").expanduser()
    stem = single_stem(sign.letterings[0].text)
    paths = targets(folder, stem)
    if not arguments.overwrite:
        for path in paths.values():
            if os.path.lexists(path):
                raise taken(path)
    ready_folder(folder)
    product = make(sign, assets, strict=arguments.strict)
    written = save_product(product, paths, overwrite=arguments.overwrite)
    _tell(product, written)
    return ExitCode.SOME_REFUSED if product.plan.status == "refused" else ExitCode.OK


def _tell(product: Product, written: dict[str, Path]) -> None:
    planned = product.plan
    for line in (*fit_lines(planned), *spelling_lines(planned.sign), *finding_lines(planned.findings)):
        say(line)
    for path in written.values():
        write(str(path))
    if product.print is None:
        say("No print was made: the sign is refused for the reasons above.")
        return
    for line in (f"Written: {', '.join(written)}.", *print_lines(planned.sign), SAFETY):
        say(line)
