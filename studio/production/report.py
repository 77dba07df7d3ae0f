"""A run's report, as `report.csv` for people and `report.jsonl` for programs, written row by row in list order.

Each row goes to the disk in one piece, so that a killed run leaves reports that can be read. The same rows always give
the same bytes.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Final

from studio.orders.spreadsheet import REPORT_COLUMNS, beside_report_columns, guarded
from studio.production.row_result import RunRow
from studio.storage.atomic_write import write_whole
from studio.storage.write_errors import output_error

CSV_NAME: Final = "report.csv"
JSONL_NAME: Final = "report.jsonl"
_CSV_MARK: Final = "\ufeff".encode()
"""Spreadsheet programs take a CSV without it for the system's old encoding."""


class ReportWriter:
    """Both reports of one run, open for the next row.

    Use as a context manager. Rows must come in list order; each has the same passed-through columns.
    """

    def __init__(
        self,
        folder: Path,
        passed_through: tuple[str, ...] = (),
        *,
        begin: Iterable[RunRow] = (),
        overwrite: bool = False,
    ) -> None:
        """Write headers and the rows that are known already, whole, and leave both files open at their ends.

        Args:
            folder: The run's folder; it must exist.
            passed_through: The list's own columns.
            begin: The first rows, kept from an earlier run.
            overwrite: Replace reports that are there, as in a resumed run.

        Raises:
            OutputError: A report is there already, or cannot be written.
        """
        self._passed = beside_report_columns(passed_through)
        csv_lines, json_lines = [_CSV_MARK + csv_line((*REPORT_COLUMNS, *self._passed))], []
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
        record = row.as_json()
        record["findings"] = " | ".join(f"{finding.code}: {finding.message}" for finding in row.findings)
        own = (_cell(record[name]) for name in REPORT_COLUMNS)
        return csv_line((*own, *(value for _, value in row.passed)))

    def _as_json(self, row: RunRow) -> bytes:
        values = (value for _, value in row.passed)
        return json_line(row.as_json() | dict(zip(self._passed, values, strict=True)))


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
