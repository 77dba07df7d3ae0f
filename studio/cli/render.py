"""`sapwood render`: one sign's print, proof, thumbnail and report, written whole, read back, told.

stdout gets the paths of the files, one a line; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Callable
from pathlib import Path

from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write
from studio.cli.sign import ordered_sign
from studio.cli.summary import SAFETY, finding_lines, fit_lines, print_lines, spelling_lines
from studio.pipeline.make import Product, make
from studio.pipeline.sign_report import report_of
from studio.production.file_names import single_stem
from studio.storage.atomic_write import read_back, ready_folder, write_whole
from studio.storage.write_errors import taken

ENDINGS = {"print": "print.png", "proof": "proof.png", "thumbnail": "thumbnail.txt", "report": "report.json"}
"""Kind of file -> how its name ends."""


def run(arguments: argparse.Namespace) -> int:
    """Make the sign and write its files."""
    sign, assets = ordered_sign(arguments)
    folder = Path(arguments.output or ".").expanduser()
    stem = single_stem(sign.letterings[0].text)
    targets = {kind: folder / f"{stem}-{ending}" for kind, ending in ENDINGS.items()}
    if not arguments.overwrite:
        for target in targets.values():
            if os.path.lexists(target):
                raise taken(target)
    ready_folder(folder)
    product = make(sign, assets, strict=arguments.strict)
    written = write_product(product, targets, overwrite=arguments.overwrite)
    _tell(product, written)
    return ExitCode.SOME_REFUSED if product.plan.status == "refused" else ExitCode.OK


def write_product(product: Product, targets: dict[str, Path], *, overwrite: bool) -> dict[str, Path]:
    """Write a product's files, the report last, and return their paths by kind.

    Raises:
        OutputError: A file cannot be written.
        VerificationError: One did not read back as ordered; it was removed.
    """
    files: list[tuple[str, bytes, Callable[[bytes], None] | None]] = []
    if product.print is not None:
        files.append(("print", product.print.png, product.print.verify))
    if product.proof is not None:
        files.append(("proof", product.proof.png, None))
    if product.thumbnail:
        files.append(("thumbnail", product.thumbnail.encode("ascii"), None))
    kinds = [*(kind for kind, _, _ in files), "report"]
    names = {kind: str(targets[kind]) if kind in kinds else None for kind in targets}
    report = json.dumps(report_of(product.plan, product, names), ensure_ascii=False, indent=2, allow_nan=False)
    files.append(("report", f"{report}\n".encode(), None))
    for kind, data, verify in files:
        write_whole(targets[kind], data, verify=read_back(data, verify), overwrite=overwrite)
    return {kind: targets[kind] for kind in kinds}


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
