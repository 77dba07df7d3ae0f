"""A run's report, as `report.csv` for people and `report.jsonl` for programs, written row by row in list order.

Each row goes to the disk in one piece, so that a killed run leaves reports that can be read. The same rows always give
the same bytes.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Final

from studio.model.options import option_keys
from studio.orders.spreadsheet import REPORT_COLUMNS, beside_report_columns, guarded
from studio.production.row_result import RunRow
from studio.storage.atomic_write import write_whole
from studio.storage.write_errors import output_error

CSV_NAME: Final = "report.csv"
JSONL_NAME: Final = "report.jsonl"
_CSV_MARK: Final = "\ufeff".encode()
"""Spreadsheet programs take a CSV without it for the system's old encoding."""


@dataclass(frozen=True, slots=True)
class ReportColumns:
    """The columns that a list adds to the report's own.

    Attributes:
        passed_through: Columns copied as they are, by the list's own names.
        options: The list's columns of sign options.
    """

    passed_through: tuple[str, ...] = ()
    options: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """All columns of the report, in the order in which they stand."""
        return (*REPORT_COLUMNS, *self._options, *self._passed)

    def record_of(self, row: RunRow) -> dict[str, object]:
        """Return a row as it stands in the report, by column."""
        options, passed = dict(row.options), dict(row.passed)
        record = row.as_json() | {name: options.get(name, "") for name in self._options}
        return record | {name: passed.get(own, "") for name, own in zip(self._passed, self.passed_through, strict=True)}

    @property
    def _options(self) -> tuple[str, ...]:
        return tuple(name for name in self.options if name not in REPORT_COLUMNS)

    @property
    def _passed(self) -> tuple[str, ...]:
        return beside_report_columns(self.passed_through, option_keys())


class ReportWriter:
    """Both reports of one run, open for the next row.

    Use as a context manager. Rows must come in list order; each has the same passed-through columns.
    """

    def __init__(
        self,
        folder: Path,
        passed_through: tuple[str, ...] = (),
        options: tuple[str, ...] = (),
        *,
        begin: Iterable[RunRow] = (),
        overwrite: bool = False,
    ) -> None:
        """Write headers and the rows that are known already, whole, and leave both files open at their ends.

        Args:
            folder: The run's folder; it must exist.
            passed_through: The list's own columns.
            options: The list's columns of sign options.
            begin: The first rows, kept from an earlier run.
            overwrite: Replace reports that are there, as in a resumed run.

        Raises:
            OutputError: A report is there already, or cannot be written.
        """
        self._columns = ReportColumns(passed_through, options)
        csv_lines, json_lines = [_CSV_MARK + csv_line(self._columns.names)], []
        for row in begin:
            csv_lines.append(self._as_csv(row))
            json_lines.append(self._as_json(row))
        self._files = (folder / CSV_NAME, folder / JSONL_NAME)
        for file, lines in zip(self._files, (csv_lines, json_lines), strict=True):
            write_whole(file, b"".join(lines), overwrite=overwrite, durable=False)
        try:
            self._streams = tuple(file.open("ab", buffering=0) for file in self._files)
        except OSError as problem:
            raise output_error(problem, self._files[0]) from problem

    def __enter__(self) -> ReportWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def add(self, row: RunRow) -> None:
        """Write the next row to both reports.

        Raises:
            OutputError: The disk does not take it.
        """
        for stream, file, line in zip(self._streams, self._files, (self._as_csv(row), self._as_json(row)), strict=True):
            append_line(stream, line, file)

    def close(self) -> None:
        """Close both files; a second time does nothing."""
        for stream in self._streams:
            stream.close()

    def _as_csv(self, row: RunRow) -> bytes:
        record = self._columns.record_of(row)
        record["quantity"] = row.quantity_cell or row.quantity
        record["findings"] = " | ".join(f"{finding.code}: {finding.message}" for finding in row.findings)
        return csv_line(map(_cell, record.values()))

    def _as_json(self, row: RunRow) -> bytes:
        return json_line(self._columns.record_of(row))


def append_line(stream: io.FileIO, line: bytes, file: Path) -> None:
    """Write a whole line to an open file in one go, so that a killed process leaves no half line.

    Raises:
        OutputError: The disk does not take it.
    """
    rest = memoryview(line)
    try:
        while rest:
            rest = rest[stream.write(rest) :]
    except OSError as problem:
        raise output_error(problem, file) from problem


def csv_line(cells: Iterable[str]) -> bytes:
    """Return cells as one CSV line, quoted where needed, with formulas made harmless."""
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerow([guarded(cell) for cell in cells])
    return stream.getvalue().encode("utf-8", "replace")


def json_line(record: dict[str, object]) -> bytes:
    """Return a record as one line of JSON."""
    return (json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8", "replace")


def _cell(value: object) -> str:
    """Return a report value as a cell: nothing for what was not measured, numbers without needless places."""
    if value is None:
        return ""
    return str(int(value)) if isinstance(value, float) and value.is_integer() else str(value)
