"""One row of a list made, in whichever process: its sign set up, fitted, drawn, written, proved.

Every row gives an answer; only a folder that cannot be written ends a run.
"""

from __future__ import annotations

import functools
import time
from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, Protocol, cast

from studio.basics.errors import OutputError, StudioError, VerificationError
from studio.model.finding import Finding, Status
from studio.model.sign import Sign
from studio.orders.order_row import OrderRow
from studio.orders.spreadsheet import LOOK_COLUMNS
from studio.pipeline.make import Product, make_planned
from studio.pipeline.plan import plan
from studio.pipeline.sign_report import versions
from studio.pipeline.types import Assets, Plan
from studio.production.contact_tile import tile_of
from studio.production.file_names import row_stem
from studio.production.journal import JournalEntry, is_whole, order_digest
from studio.production.row_result import RowState, RunRow
from studio.render.png.bands import BandedFile
from studio.storage.atomic_write import holds, let_go, write_whole

PRINTS: Final = "prints"
PROOFS: Final = "proofs"
BAD_ROW: Final = "bad-row"
"""Finding of a row that the list or its options made impossible."""
NOT_VERIFIED: Final = "not-verified"
"""Finding of a row whose file did not read back as ordered."""
FAILED: Final = "failed"
"""Finding of a row that met a bug or killed its worker."""
_MEND: Final = "Fix the row in the list, then resume the run."
_HELD_FILES: Final = 12
"""Files written last, which are on their way to the disk; older ones are there."""
_STATES: Final[dict[Status, RowState]] = {"ok": "made", "warn": "made-with-warnings", "refused": "refused"}
_DRY_STATES: Final[dict[Status, RowState]] = {"ok": "fits", "warn": "fits-with-warnings", "refused": "refused"}


class RowMaker(Protocol):
    """What turns an order into a sign, with the faces and pictures it is made from; one in each worker."""

    @property
    def assets(self) -> Assets:
        """Where faces and pictures come from."""
        ...

    def sign_of(self, order: OrderRow) -> Sign:
        """Return the order's sign; StudioError where its options are wrong."""
        ...

    def look_of(self, order: OrderRow) -> Mapping[str, str]:
        """Return the blank, artwork, face, surface and color of an order, as it has them or as they hold for all."""
        ...

    def materials(self, sign: Sign) -> Mapping[str, str]:
        """Return the SHA-256 of every file the sign is made from, by its name: faces, artwork."""
        ...


@dataclass(frozen=True, slots=True)
class RowSettings:
    """What holds for all rows of a run.

    Attributes:
        overwrite: Whether a row's files may be replaced.
        contact: Whether tiles for the contact sheet are drawn.
        proofs: Whether proofs are drawn.
    """

    folder: Path
    strict: bool = False
    dry_run: bool = False
    overwrite: bool = False
    contact: bool = True
    proofs: bool = True


@dataclass(frozen=True, slots=True)
class RowTask:
    """An order, and what an earlier run says of it.

    Attributes:
        as_it_was: Whether the row is only listed as the earlier run left it.
        wants_tile: Whether a kept row's tile must be drawn anew.
        stem: The name of its files without endings; empty for the one by row, order and text.
        key: What tells its entry in the journal from others.
        keeps: Whether what the earlier run made counts; otherwise the row is made anew.
    """

    order: OrderRow
    entry: JournalEntry | None = None
    as_it_was: bool = False
    wants_tile: bool = False
    stem: str = ""
    key: int = 0
    keeps: bool = True


@dataclass(frozen=True, slots=True)
class RowAnswer:
    """A finished row.

    Attributes:
        entry: For the journal; its result has no passed-through columns.
        kept: Whether an earlier run made it.
        tile: For the contact sheet; `None` when kept, or nothing stood.
        files: What stands in its files, by name, where they are not written yet.
    """

    entry: JournalEntry
    kept: bool = False
    tile: bytes | None = None
    files: tuple[tuple[str, bytes], ...] = ()


@dataclass(frozen=True, slots=True)
class _ToMake:
    """A row that must be made: its sign, the digest of all it depends on, and the names of print and proof."""

    sign: Sign
    digest: str
    names: tuple[str, str | None]


def set_up(maker: Callable[[], RowMaker], settings: RowSettings) -> Callable[[RowTask], RowAnswer]:
    """Return the work of one worker."""
    return RowWork(maker(), settings)


def work_setup(maker: Callable[[], RowMaker], settings: RowSettings) -> Callable[[], Callable[[RowTask], RowAnswer]]:
    """Return the set-up of workers, fit to be sent to other processes when `maker` is."""
    return functools.partial(set_up, maker, settings)


class RowWork:
    """Makes rows, one after another, into a folder of this machine."""

    def __init__(self, maker: RowMaker, settings: RowSettings) -> None:
        self._maker = maker
        self._settings = settings
        self._versions = versions()
        self._written: deque[Path] = deque()

    def __call__(self, task: RowTask) -> RowAnswer:
        """Make a row, or find that it is made.

        Raises:
            OutputError: Its files cannot be written.
        """
        return self.started(task)()

    def started(self, task: RowTask) -> Callable[[], RowAnswer]:
        """Do all of a row but writing its files, as `_started` does, and add how it looks to its answer."""
        rest = self._started(task)
        if task.as_it_was:
            return rest
        return functools.partial(self._with_look, task.order, rest)

    def _with_look(self, order: OrderRow, rest: Callable[[], RowAnswer]) -> RowAnswer:
        answer = rest()
        look = self._maker.look_of(order)
        return replace(
            answer, entry=replace(answer.entry, result=replace(answer.entry.result, **cast("dict[str, Any]", look)))
        )

    def settled(self, task: RowTask) -> tuple[RowAnswer | None, str]:
        """Return the answer for a row that need not be made, `None` for one that must, and the row's digest.

        Raises:
            OutputError: The folder cannot be read.
        """
        looked_up = self._looked_up(task)
        if isinstance(looked_up, RowAnswer):
            return (looked_up if task.as_it_was else self._with_look(task.order, _known(looked_up))), ""
        return None, looked_up.digest

    def _started(self, task: RowTask) -> Callable[[], RowAnswer]:
        """Do all of a row but writing its files, and return what does that and gives the answer `__call__` gives.

        The rest may be done in another thread, one row after another.

        Raises:
            OutputError: The folder cannot be read; the rest raises it where files cannot be written.
        """
        order, began = task.order, time.perf_counter()
        looked_up = self._looked_up(task)
        if isinstance(looked_up, RowAnswer):
            return _known(looked_up)
        try:
            write = self._made(order, looked_up.sign, looked_up.digest, looked_up.names)
        except OutputError:
            raise
        except VerificationError as problem:
            return _known(_not_verified(order, problem))
        except StudioError as problem:
            return _known(bad_row(order, problem.message, problem.advice))
        return functools.partial(self._ended, order, write, time.perf_counter() - began)

    def _looked_up(self, task: RowTask) -> RowAnswer | _ToMake:
        """Return the answer for a row that need not be made, or what there is to make."""
        order = task.order
        if task.as_it_was and task.entry is not None:
            return RowAnswer(task.entry, kept=True)
        if order.faults:
            return bad_row(order, " ".join(order.faults))
        if order.warnings and self._settings.strict:
            return _refused_as_doubtful(order)
        try:
            sign = self._maker.sign_of(order)
            digest = self._digest(sign, order)
            stem = task.stem or row_stem(order.row, order.text, order.order)
            names = (f"{PRINTS}/{stem}.png", f"{PROOFS}/{stem}.png" if self._settings.proofs else None)
            held = task.entry if task.keeps else None
            if held and is_whole(held, self._settings.folder, digest=digest, print_name=names[0], proof_name=names[1]):
                tile = tile_of(self._planned(sign), self._maker.assets) if task.wants_tile else None
                return RowAnswer(restated(held, order), kept=True, tile=tile)
        except OutputError:
            raise
        except StudioError as problem:
            return bad_row(order, _of_column(problem), problem.advice)
        return _ToMake(sign, digest, names)

    def _ended(self, order: OrderRow, write: Callable[[], RowAnswer], seconds: float) -> RowAnswer:
        """Write a row's files, and return its answer; `seconds` is what it took so far."""
        began = time.perf_counter()
        try:
            answer = write()
        except VerificationError as problem:
            return _not_verified(order, problem)
        seconds += time.perf_counter() - began
        return replace(answer, entry=replace(answer.entry, result=replace(answer.entry.result, seconds=seconds)))

    def ready(self, task: RowTask) -> None:
        """Have at hand what a row's sign needs, as its picture and faces; nothing is written.

        Raises:
            StudioError: The row cannot be made.
        """
        if (task.entry is None or not task.keeps) and not task.order.faults and not task.as_it_was:
            planned = self._planned(self._maker.sign_of(task.order))
            if not self._settings.dry_run:
                make_planned(planned, self._maker.assets, proof=self._settings.proofs, thumbnail=self._settings.contact)

    def _digest(self, sign: Sign, order: OrderRow) -> str:
        return order_digest(
            {
                "warnings": order.warnings,
                "sign": repr(sign),
                "strict": self._settings.strict,
                "materials": dict(self._maker.materials(sign)),
                "versions": self._versions,
            }
        )

    def _made(self, order: OrderRow, sign: Sign, digest: str, names: tuple[str, str | None]) -> Callable[[], RowAnswer]:
        """Fit, check and draw a row, and return what writes its files."""
        planned = self._planned(sign)
        tile = None
        if self._settings.dry_run:
            return lambda: RowAnswer(JournalEntry(digest, None, _result(order, planned, None, _DRY_STATES)))
        proofs, contact = self._settings.proofs, self._settings.contact
        product = make_planned(planned, self._maker.assets, proof=proofs, thumbnail=contact)
        if contact:
            tile = tile_of(product.plan, self._maker.assets, product.thumbnail or None)
        result = _result(order, planned, product, _STATES)
        return lambda: self._kept_as(product, names, digest, result, tile)

    def _kept_as(
        self, product: Product, names: tuple[str, str | None], digest: str, result: RunRow, tile: bytes | None
    ) -> RowAnswer:
        """Write a row's files, where it has any, and return its answer."""
        if product.print is None:
            return RowAnswer(JournalEntry(digest, None, result), tile=tile)
        self._write(names[0], product.print.file, product.print.verify)
        proof_sha256 = None
        if product.proof is not None and names[1] is not None:
            self._write(names[1], product.proof.file, functools.partial(_same, product.proof.file))
            proof_sha256 = product.proof.file.sha256()
        result = replace(result, print=names[0], proof=names[1], sha256=product.print.file.sha256())
        return RowAnswer(JournalEntry(digest, proof_sha256, result), tile=tile)

    def _planned(self, sign: Sign) -> Plan:
        """Fit and check; remedies are sought for a refused sign only, since that takes its time."""
        strict, assets = self._settings.strict, self._maker.assets
        planned = plan(sign, assets, strict=strict, remedies=False)
        return plan(sign, assets, strict=strict) if planned.status == "refused" else planned

    def _write(self, name: str, file: BandedFile, check: Callable[[bytes], None]) -> None:
        """Write one file; it is forced to the disk with all others at the end of the run.

        Args:
            name: From the run's folder.
            file: What stands in it.
            check: Says what is wrong with the bytes read back when they are others.
        """

        def read_back(part: Path) -> None:
            if not holds(part, file.parts):
                check(part.read_bytes())

        write_whole(
            self._settings.folder / name,
            file.parts,
            verify=read_back,
            overwrite=self._settings.overwrite,
            durable=False,
        )
        self._written.append(self._settings.folder / name)
        if len(self._written) > _HELD_FILES:
            let_go(self._written.popleft())


def _known(answer: RowAnswer) -> Callable[[], RowAnswer]:
    """Return an answer that nothing is left to do for."""
    return lambda: answer


def _of_column(problem: StudioError) -> str:
    """Return what is wrong with a row, with the column that it stands in."""
    return f"{problem.option.replace('_', '-')}: {problem.message}" if problem.option else problem.message


def _not_verified(order: OrderRow, problem: VerificationError) -> RowAnswer:
    return bad_row(order, problem.message, problem.advice, state="failed", code=NOT_VERIFIED)


def bad_row(
    order: OrderRow, message: str, remedy: str = "", *, state: RowState = "refused", code: str = BAD_ROW
) -> RowAnswer:
    """Return the answer for a row that nothing could be made of."""
    finding = Finding(code, "refuse", message, remedy=remedy)
    result = RunRow(order.row, order.line, order.order, order.text, state, findings=(finding,))
    return RowAnswer(JournalEntry("", None, as_ordered(result, order)))


def as_ordered(result: RunRow, order: OrderRow) -> RunRow:
    """Return a row of the report with what the list says of it now; how it looks is told by the maker."""
    own: dict[str, Any] = {name: value for name, value in order.options if name in LOOK_COLUMNS}
    return replace(
        result,
        row=order.row,
        line=order.line,
        order=order.order,
        text=order.text,
        quantity=order.quantity,
        quantity_cell=order.quantity_cell,
        note=order.note,
        options=order.options,
        **own,
    )


def _refused_as_doubtful(order: OrderRow) -> RowAnswer:
    """Return the answer for a row whose warnings refuse it, since everything doubtful is to be refused."""
    findings = tuple(Finding(code, "refuse", message, remedy=_MEND) for code, message in order.warnings)
    return RowAnswer(JournalEntry("", None, replace(bad_row(order, "").entry.result, findings=findings)))


def restated(entry: JournalEntry, order: OrderRow) -> JournalEntry:
    """Return an earlier run's entry with what the list says now: its line and quantity may have changed."""
    return replace(entry, result=as_ordered(entry.result, order))


def _result(order: OrderRow, planned: Plan, product: Product | None, states: Mapping[Status, RowState]) -> RunRow:
    """Return what the report says of a sign; sizes of the print where there is one."""
    letterings = planned.placement.letterings if planned.placement is not None else ()
    canvas = product.print.canvas if product is not None and product.print is not None else None
    doubtful = tuple(Finding(code, "warn", message, remedy=_MEND) for code, message in order.warnings)
    status: Status = "warn" if doubtful and planned.status == "ok" else planned.status
    result = RunRow(
        row=order.row,
        line=order.line,
        order=order.order,
        text=order.text,
        state=states[status],
        width_mm=canvas.width_mm if canvas else None,
        height_mm=canvas.height_mm if canvas else None,
        cap_height_mm=letterings[0].cap_height_mm if letterings else None,
        thinnest_stroke_mm=_least(measured.thinnest_stroke_mm for measured in planned.thickness),
        thinnest_gap_mm=_least(measured.thinnest_gap_mm for measured in planned.thickness),
        findings=(*doubtful, *planned.findings),
    )
    return as_ordered(result, order)


def _least(values: Iterable[float | None]) -> float | None:
    return min((value for value in values if value is not None), default=None)


def _same(ordered: BandedFile, found: bytes) -> None:
    if found != ordered.data:
        raise VerificationError("The proof did not read back as written.", advice="Check the disk.")
