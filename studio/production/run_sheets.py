"""A run's signs on paper: small ones share sheets, large ones take several; one PDF, and the report says where each is.

The prints are read from the run's folder, one at a time, as they were written and proved.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO, Final

import numpy as np
from PIL import Image

from studio.basics.errors import OutputError, StudioError
from studio.model.sign import Sign
from studio.orders.order_list import OrderList
from studio.orders.order_row import OrderRow
from studio.pipeline.plan import plan
from studio.production.captions import caption_line
from studio.production.report import ReportWriter
from studio.production.row_result import MADE, RunRow
from studio.production.sign_sheets import kept_boxes, mirrored, sheet_name
from studio.production.sign_source import ShopMaker
from studio.production.strip_files import strip_piece
from studio.render.canvas import canvas_of
from studio.sheets.bottom_left import Footprint
from studio.sheets.gang import GAP_MM, GangSign, fits
from studio.sheets.gang_sheets import gang_sheets
from studio.sheets.page import PackedPicture, Page, packed_bytes, picture_of_png
from studio.sheets.pdf import write_pdf
from studio.sheets.seam_cost import CostMap, cost_map
from studio.sheets.sign_on_paper import SignOnPaper, Wish
from studio.sheets.sign_sheets import ink_box, sheets_of
from studio.storage.atomic_write import passing_file, write_stream

SHEETS_NAME: Final = "sheets.pdf"
_HEAD_BYTES: Final = 4096
_TRIM_INSET_MM: Final = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class RunSheets:
    """What was laid.

    Attributes:
        rows: All rows, those that are on a sheet with its number and place.
        shared: How many of the sheets hold several signs.
    """

    file: Path
    pages: int
    shared: int
    rows: tuple[RunRow, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    row: RunRow
    sign: Sign
    picture: PackedPicture


def lay_run(
    rows: Sequence[RunRow],
    orders: OrderList,
    maker: ShopMaker,
    folder: Path,
    wish: Wish,
    *,
    gap_mm: float = GAP_MM,
    with_strip: bool = False,
) -> RunSheets | None:
    """Lay a run's signs on sheets, and write them beside its reports; `None` when no sign was made.

    Args:
        rows: The run's rows, in list order.
        orders: The list.
        maker: Turns an order into its sign again.
        folder: The run's folder.
        wish: The paper and the printer.
        gap_mm: Kept between signs on one sheet.
        with_strip: Lay the test strip along, on a sheet that signs share.

    Raises:
        StudioError: A sign does not go on the paper, or a file cannot be read or written; the prints stay.
    """
    by_row = {order.row: order for order in orders.rows}
    jobs = [_job(row, by_row[row.row], maker, folder) for row in rows if row.state in MADE and row.print is not None]
    if not jobs:
        return None
    printable = wish.printer.field(wish.paper)
    small = [job for job in jobs if fits(_footprint(job.sign), printable.width_mm, printable.height_mm)]
    kept = {id(job) for job in small}
    pages: list[Page] = []
    where: dict[int, list[tuple[int, int]]] = {}
    if small or with_strip:
        signs = [
            GangSign(
                sheet_name(job.sign),
                job.sign.order,
                job.sign.blank.rim,
                job.sign.bleed_mm,
                job.picture,
                job.row.quantity,
            )
            for job in small
        ]
        signs += [strip_piece()] if with_strip else []
        shared = gang_sheets(signs, wish, caption_line, gap_mm=gap_mm)
        pages += shared.pages
        for place in shared.places:
            if place.sign == len(small):
                continue  # the test strip, which is no row
            where.setdefault(small[place.sign].row.row, []).append((place.sheet, place.number))
    shared_pages = len(pages)
    remarks: list[str] = []
    for job in jobs:
        if id(job) in kept:
            continue
        try:
            sheets = sheets_of(_on_paper(job, maker, folder), wish, caption_line)
        except StudioError as problem:
            message = f"row {job.row.row} {job.row.text[:40]!r}: {problem.message}"
            raise type(problem)(message, advice=problem.advice) from problem
        for _ in range(job.row.quantity):
            first = len(pages)
            pages += sheets.pages
            where.setdefault(job.row.row, []).extend((first + index + 1, 1) for index in range(len(sheets.pages)))
        remarks += [f"row {job.row.row}: {remark}" for remark in sheets.remarks]
    file = folder / SHEETS_NAME
    with passing_file(folder) as store:
        write_stream(file, functools.partial(_write, pages, store), overwrite=True)
    placed = tuple(_with_place(row, where.get(row.row, [])) for row in rows)
    ReportWriter(folder, orders.passed_through, orders.option_columns, begin=placed, overwrite=True).close()
    return RunSheets(file, len(pages), shared_pages, placed, tuple(remarks))


def _write(pages: list[Page], store: BinaryIO, stream: BinaryIO) -> None:
    write_pdf(pages, stream, title="Signs", store=store)


def _job(row: RunRow, order: OrderRow, maker: ShopMaker, folder: Path) -> _Job:
    assert row.print is not None
    file = folder / row.print
    try:
        with file.open("rb") as stream:
            head = picture_of_png(stream.read(_HEAD_BYTES))
    except OSError as problem:
        raise OutputError(
            f"The print of row {row.row}, {file}, cannot be read: {problem.strerror}.",
            advice="Resume the run, which makes it again.",
            ways=("resume",),
        ) from problem
    except StudioError as problem:
        raise type(problem)(f"row {row.row}: {problem.message}", advice=problem.advice) from problem
    picture = PackedPicture(
        head.width_px, head.height_px, head.dpi, functools.partial(_packed, file), row.sha256 or str(file)
    )
    return _Job(row, maker.sign_of(order), picture)


def _packed(file: Path) -> bytes:
    return packed_bytes(file.read_bytes())


def _footprint(sign: Sign) -> Footprint:
    return Footprint(sign.blank.rim, sign.bleed_mm)


def _on_paper(job: _Job, maker: ShopMaker, folder: Path) -> SignOnPaper:
    """Return a large sign for sheets of its own; it is fitted again for its lettering, and its pixels are read."""
    assert job.row.print is not None
    sign = job.sign
    with Image.open(folder / job.row.print) as picture:
        pixels = np.asarray(picture.convert("RGB"))
    canvas = canvas_of(sign)
    inset_mm = min(_TRIM_INSET_MM, canvas.waste_mm / 3)

    def costs() -> CostMap:
        placement = plan(sign, maker.assets, remedies=False).placement
        letterings = () if placement is None else placement.letterings
        return cost_map(
            [mirrored((*one.contours, *one.ring_contours)) for one in letterings],
            reach_mm=sign.surface.finest_stroke_mm,
            kept=kept_boxes(sign),
            pixels=pixels,
            dpi=sign.dpi,
            outline=(sign.blank.rim.contour(sign.bleed_mm),),
        )

    return SignOnPaper(
        sheet_name(sign),
        sign.order,
        sign.blank.rim,
        sign.bleed_mm,
        (canvas.width_mm / 2 - inset_mm, canvas.height_mm / 2 - inset_mm),
        job.picture,
        ink_box(pixels, sign.blank.rim, sign.bleed_mm, sign.dpi),
        costs,
    )


def _with_place(row: RunRow, spots: Sequence[tuple[int, int]]) -> RunRow:
    """Return a row with the sheets that it is on, and its places there, in the same order."""
    if not spots:
        return row
    sheets = sorted({sheet for sheet, _ in spots})
    places = [_ranges(sorted(number for on, number in spots if on == sheet)) for sheet in sheets]
    alone = all(place == "1" for place in places) and len(sheets) > 1
    return replace(row, sheet=_ranges(sheets), place="1" if alone else "; ".join(places))


def _ranges(numbers: Iterable[int]) -> str:
    """Return numbers as people write them: `1-3, 5`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
