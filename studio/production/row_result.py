"""One row of a run's report: what became of one order of the list."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias, cast, get_args

from studio.model.finding import SAID, Finding, Severity, Where
from studio.orders.spreadsheet import LOOK_COLUMNS, REPORT_COLUMNS

_MEANT: Final[dict[str, Severity]] = {word: severity for severity, word in SAID.items()}
RowState: TypeAlias = Literal["made", "made-with-warnings", "refused", "failed", "fits", "fits-with-warnings"]
MADE: Final[frozenset[RowState]] = frozenset({"made", "made-with-warnings"})
SOUND: Final[frozenset[RowState]] = MADE | {"fits", "fits-with-warnings"}
"""States of a row that counts as done; the others make a run end with code 1."""


@dataclass(frozen=True, slots=True)
class RunRow:
    """What became of one row. Lengths in mm; what was never measured is `None`.

    Attributes:
        print: The print's path from the run's folder, with forward slashes; `None` when there is none.
        proof: The proof's, likewise.
        sha256: Of the print file.
        sheet: Which pages of the run's sheets it is on, such as `1-2`; `None` without sheets.
        place: Which places it has there, sheet by sheet.
        passed: The columns passed through, by the list's own names.
        blank, artwork, face, surface, color: As the row has them, or as they hold for the run.
        options: The row's own sign options.
        quantity_cell: What the list has for a quantity that is none.
    """

    row: int
    line: int
    order: str
    text: str
    state: RowState
    quantity: int = 1
    print: str | None = None
    proof: str | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    cap_height_mm: float | None = None
    thinnest_stroke_mm: float | None = None
    thinnest_gap_mm: float | None = None
    findings: tuple[Finding, ...] = ()
    seconds: float = 0.0
    sha256: str | None = None
    sheet: str | None = None
    place: str | None = None
    passed: tuple[tuple[str, str], ...] = ()
    note: str = ""
    blank: str = ""
    artwork: str = ""
    face: str = ""
    surface: str = ""
    color: str = ""
    options: tuple[tuple[str, str], ...] = ()
    quantity_cell: str = ""

    def as_json(self) -> dict[str, object]:
        """Return the report's own columns in their order; lengths and seconds to three places, the rest as it is."""
        record: dict[str, object] = {name: getattr(self, name) for name in REPORT_COLUMNS}
        for name in (*_LENGTHS, "seconds"):
            record[name] = _to_three_places(record[name])
        record["findings"] = [
            finding.as_json() | {"measured": _finite(finding.measured), "limit": _finite(finding.limit)}
            for finding in self.findings
        ]
        return record


_LENGTHS: Final = ("width_mm", "height_mm", "cap_height_mm", "thinnest_stroke_mm", "thinnest_gap_mm")


def row_from_json(record: Mapping[str, object]) -> RunRow:
    """Return the row that `as_json` gave, without the columns passed through.

    Raises:
        ValueError: The record is not one of those.
    """
    try:
        findings = record["findings"]
        if not isinstance(findings, list):
            raise ValueError("findings are no list")
        state = record["state"]
        if state not in get_args(RowState):
            raise ValueError(f"unknown state {state!r}")
        look: dict[str, Any] = {name: _text(record.get(name, "")) for name in LOOK_COLUMNS}
        return RunRow(
            row=_whole(record["row"]),
            line=_whole(record["line"]),
            order=_text(record["order"]),
            text=_text(record["text"]),
            state=cast(RowState, state),
            quantity=_whole(record["quantity"]),
            print=_text_or_none(record["print"]),
            proof=_text_or_none(record["proof"]),
            width_mm=_number_or_none(record["width_mm"]),
            height_mm=_number_or_none(record["height_mm"]),
            cap_height_mm=_number_or_none(record["cap_height_mm"]),
            thinnest_stroke_mm=_number_or_none(record["thinnest_stroke_mm"]),
            thinnest_gap_mm=_number_or_none(record["thinnest_gap_mm"]),
            findings=tuple(_finding(item) for item in findings),
            seconds=_number_or_none(record["seconds"]) or 0.0,
            sha256=_text_or_none(record["sha256"]),
            sheet=_text_or_none(record.get("sheet")),
            place=_text_or_none(record.get("place")),
            note=_text(record.get("note", "")),
            options=tuple((_text(name), _text(value)) for name, value in _pairs(record.get("options", []))),
            quantity_cell=_text(record.get("quantity_cell", "")),
            **look,
        )
    except (KeyError, TypeError, AttributeError) as problem:
        raise ValueError(f"not a row of a report: {problem}") from problem


def _pairs(value: object) -> list[list[object]]:
    if not isinstance(value, list) or not all(isinstance(pair, list) and len(pair) == 2 for pair in value):
        raise ValueError("options are no pairs")
    return value


def _finding(item: Mapping[str, object]) -> Finding:
    where = item["where"]
    severity = _MEANT.get(str(item["severity"]))
    if not isinstance(where, dict) or severity is None:
        raise ValueError("not a finding")
    return Finding(
        code=_text(item["code"]),
        severity=severity,
        message=_text(item["message"]),
        where=Where(**where),
        measured=_number_or_none(item["measured"]),
        limit=_number_or_none(item["limit"]),
        unit=_text(item["unit"]),
        remedy=_text(item["remedy"]),
    )


def _to_three_places(value: object) -> float | None:
    return float(f"{value:.3f}") if isinstance(value, int | float) and math.isfinite(value) else None


def _finite(value: float | None) -> float | None:
    """Return the value, or `None` for what JSON has no number for."""
    return value if value is not None and math.isfinite(value) else None


def _whole(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise ValueError(f"{value!r} is no whole number")
    return value


def _number_or_none(value: object) -> float | None:
    if value is not None and (not isinstance(value, int | float) or isinstance(value, bool)):
        raise ValueError(f"{value!r} is no number")
    return value


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is no text")
    return value


def _text_or_none(value: object) -> str | None:
    return None if value is None else _text(value)
