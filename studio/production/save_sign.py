"""One sign made into a folder: drawn, written whole, read back, and told with its size.

Invariant: nothing that is there is replaced unless that was chosen; a folder that cannot be written loses nothing.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, TypeAlias

from studio.basics.errors import StudioError
from studio.basics.units import spoken_size
from studio.model.paper import Paper
from studio.model.sign import Sign
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.pipeline.sign_report import report_of
from studio.pipeline.types import Assets, Plan
from studio.production.file_names import single_stem
from studio.storage.atomic_write import read_back, ready_folder, write_whole

Instead: TypeAlias = Literal["ask", "replace", "keep-both"]
Progress: TypeAlias = Callable[[int, str], None]
"""Told the step, from 0 to `STEPS`, and what is being done."""

STEPS: Final = 4
ENDINGS: Final = {"print": "print.png", "proof": "proof.png", "thumbnail": "thumbnail.txt", "report": "report.json"}
SHEETS: Final = "sheets"
"""The kind of file that holds the sheets, made where paper was named."""
_MOST_COPIES: Final = 999


@dataclass(frozen=True, slots=True)
class Made:
    """A sign made.

    Attributes:
        files: What was written, by kind.
        size: The print's size in mm and inches, with its pixels.
        warnings: How many warnings the sign was made with.
    """

    files: Mapping[str, Path]
    size: str
    warnings: int


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Files of the same name that are there already; nothing was made."""

    files: tuple[Path, ...]


@dataclass(frozen=True, slots=True, eq=False)
class NotMade:
    """A sign that was refused, with the reasons."""

    planned: Plan


Outcome: TypeAlias = Made | InTheWay | NotMade


def make_sign(
    sign: Sign, assets: Assets, folder: Path, *, papers: Iterable[Paper], instead: Instead, progress: Progress
) -> Outcome:
    """Make a sign into a folder.

    Args:
        sign: The sign.
        assets: Where faces and pictures come from.
        folder: Where it goes; made when missing.
        papers: Those that the report looks for one that the print fits on.
        instead: What to do about files of the same name.
        progress: Told along the way.

    Raises:
        StudioError: The folder or a file cannot be written, or did not read back as ordered.
    """
    progress(0, "Fitting the name")
    planned = plan(sign, assets, remedies=False)
    if planned.status == "refused":
        return NotMade(planned)
    paths = paths_instead(sign.letterings[0].text, lambda stem: targets(folder, stem), instead)
    if isinstance(paths, InTheWay):
        return paths
    ready_folder(folder)
    progress(1, "Drawing the print")
    product = make_planned(planned, assets)
    progress(2, "Writing")
    files = save_product(product, paths, papers=papers, overwrite=instead == "replace")
    progress(STEPS, "Done")
    printed = product.print
    assert printed is not None
    canvas = printed.canvas
    size = f"{spoken_size(canvas.width_mm, canvas.height_mm)}, {canvas.width_px} x {canvas.height_px} px"
    return Made(files, size, sum(finding.severity == "warn" for finding in planned.findings))


def targets(folder: Path, stem: str, *, sheets: bool = False) -> dict[str, Path]:
    """Return the files of a sign, by kind; with its sheets where they are wanted."""
    paths = {kind: folder / f"{stem}-{ending}" for kind, ending in ENDINGS.items()}
    return paths | ({SHEETS: folder / f"{stem}-sheets.pdf"} if sheets else {})


def paths_instead(
    text: str, paths_of: Callable[[str], dict[str, Path]], instead: Instead
) -> dict[str, Path] | InTheWay:
    """Return where the files of a sign go, or those that are in the way.

    Args:
        text: The sign's first text, which names the files.
        paths_of: Where the files of a name go, by kind.
        instead: What to do about files that are there: `keep-both` takes the first of `name-2`, `name-3` and so on
            of which there is none.

    Raises:
        StudioError: There is no such name left.
    """
    stem = single_stem(text.replace("\n", " "))
    there = _there(paths_of(stem))
    if not there or instead == "replace":
        return paths_of(stem)
    if instead == "ask":
        return InTheWay(there)
    for number in range(2, _MOST_COPIES + 1):
        paths = paths_of(f"{stem}-{number}")
        if not _there(paths):
            return paths
    raise StudioError(f"{there[0].parent} holds {_MOST_COPIES} signs called {stem}.", advice="Choose another folder.")


def _there(paths: Mapping[str, Path]) -> tuple[Path, ...]:
    return tuple(path for path in paths.values() if os.path.lexists(path))


def save_product(
    product: Product,
    paths: Mapping[str, Path],
    *,
    papers: Iterable[Paper],
    overwrite: bool,
    sheets: bytes | None = None,
    beside: Mapping[str, bytes] | None = None,
) -> dict[str, Path]:
    """Write what was made of a sign, the report last, and return the paths of what there is by kind.

    Args:
        product: The sign; a refused one has its report, and its thumbnail where it was placed.
        paths: Where each kind of file goes, as `targets` tells.
        papers: Those that the report looks for one that the print fits on.
        overwrite: Whether files that are there are replaced.
        sheets: The PDF of its sheets, where they are wanted.
        beside: Pages that go with it, such as its press card, by kind.

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
    if sheets is not None:
        files.append((SHEETS, sheets, None))
    files += [(kind, data, None) for kind, data in (beside or {}).items()]
    kinds = [*(kind for kind, _, _ in files), "report"]
    names = {kind: str(path) if kind in kinds else None for kind, path in paths.items()}
    report = json.dumps(report_of(product.plan, product, names, papers), ensure_ascii=False, indent=2, allow_nan=False)
    files.append(("report", f"{report}\n".encode(), None))
    for kind, data, verify in files:
        write_whole(paths[kind], data, verify=read_back(data, verify), overwrite=overwrite)
    return {kind: paths[kind] for kind in kinds}
