from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from studio.basics.errors import OutputError
from studio.model.finding import Finding, Where, found
from studio.orders.order_list import read_orders
from studio.orders.spreadsheet import REPORT_COLUMNS
from studio.production.report import ReportWriter
from studio.production.row_result import RunRow, row_from_json

MADE = RunRow(
    row=1,
    line=2,
    order="P-1",
    text="Marlow & Tess",
    state="made-with-warnings",
    quantity=2,
    print="prints/0001-p-1-marlow-tess.png",
    proof="proofs/0001-p-1-marlow-tess.png",
    width_mm=272.0,
    height_mm=272.04999,
    cap_height_mm=41.23456,
    thinnest_stroke_mm=0.9,
    thinnest_gap_mm=None,
    findings=(
        found("thin-stroke", "Thin.", where=Where(0, "e", 1.5, -2.0), measured=0.9, limit=1.05, remedy="Bolder."),
        found("reads-from", "Reads from 3 m."),
    ),
    seconds=0.01234,
    sha256="ab" * 32,
    passed=(("Cabin", "Birch"), ("state", "=1+1")),
)
REFUSED = RunRow(
    row=2,
    line=3,
    order="",
    text='=HYPERLINK("http://x")\nsecond, "line"',
    state="refused",
    passed=(("Cabin", "-x"), ("state", "")),
)


def report(folder: Path, rows: tuple[RunRow, ...]) -> None:
    """Write a report of rows in a fresh folder."""
    with ReportWriter(folder, ("Cabin", "state")) as writer:
        for row in rows:
            writer.add(row)


def records(folder: Path) -> list[dict[str, str]]:
    """Return the CSV report's rows by column."""
    text = (folder / "report.csv").read_bytes().decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_the_csv_has_every_column_in_order(tmp_path: Path) -> None:
    """The report's own columns come first, those passed through follow, one of the same name set apart."""
    report(tmp_path, (MADE, REFUSED))
    rows = records(tmp_path)
    assert list(rows[0]) == [*REPORT_COLUMNS, "Cabin", "list_state"]
    assert rows[0]["findings"] == "thin-stroke: Thin. | reads-from: Reads from 3 m."
    assert (rows[0]["width_mm"], rows[0]["height_mm"], rows[0]["cap_height_mm"]) == ("272", "272.05", "41.235")
    assert (rows[0]["thinnest_gap_mm"], rows[1]["print"], rows[1]["sha256"]) == ("", "", "")
    assert (rows[0]["quantity"], rows[0]["seconds"]) == ("2", "0.012")


def test_the_csv_opens_in_a_spreadsheet(tmp_path: Path) -> None:
    """It starts with the mark spreadsheets need, every line ends in CR LF, and no cell starts a formula."""
    report(tmp_path, (MADE, REFUSED))
    data = (tmp_path / "report.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbfrow,line,order,text,state,quantity,")
    assert data.endswith(b"\r\n")
    assert data.count(b"\n") - data.count(b"\r\n") == 1  # the line end within the second text
    rows = records(tmp_path)
    assert rows[1]["text"] == "'" + REFUSED.text
    assert (rows[0]["list_state"], rows[1]["Cabin"]) == ("'=1+1", "'-x")
    assert not any(cell[:1] in {*"=+-@\t\r"} for row in rows for cell in row.values() if cell)


def test_each_json_line_is_a_row_unguarded(tmp_path: Path) -> None:
    """The JSON lines hold the texts as they are, numbers as numbers, and findings in full."""
    report(tmp_path, (MADE, REFUSED))
    lines = [json.loads(line) for line in (tmp_path / "report.jsonl").read_text(encoding="utf-8").splitlines()]
    assert list(lines[0]) == [*REPORT_COLUMNS, "Cabin", "list_state"]
    assert lines[0]["findings"][0] == MADE.findings[0].as_json()
    assert (lines[0]["height_mm"], lines[0]["thinnest_gap_mm"]) == (272.05, None)
    assert lines[1]["text"] == REFUSED.text
    assert (lines[0]["list_state"], lines[1]["findings"]) == ("=1+1", [])


def test_rows_are_on_the_disk_as_soon_as_they_are_added(tmp_path: Path) -> None:
    """A report that is still open can be read up to its last row."""
    with ReportWriter(tmp_path, ("Cabin", "state")) as writer:
        for count, row in enumerate((MADE, REFUSED), 1):
            writer.add(row)
            assert len(records(tmp_path)) == count
            assert len((tmp_path / "report.jsonl").read_text().splitlines()) == count


def test_a_resumed_report_has_the_same_bytes(tmp_path: Path) -> None:
    """Beginning with rows kept from an earlier run, read back from JSON, gives what one run in a piece gives."""
    whole, resumed = tmp_path / "whole", tmp_path / "resumed"
    whole.mkdir(), resumed.mkdir()
    report(whole, (MADE, REFUSED))
    report(resumed, (MADE,))
    kept = replace(row_from_json(json.loads(json.dumps(MADE.as_json()))), passed=MADE.passed)
    with ReportWriter(resumed, ("Cabin", "state"), begin=[kept], overwrite=True) as writer:
        writer.add(REFUSED)
    for name in ("report.csv", "report.jsonl"):
        assert (resumed / name).read_bytes() == (whole / name).read_bytes()


def test_a_report_is_not_overwritten_unasked(tmp_path: Path) -> None:
    """A folder that holds a report keeps it."""
    report(tmp_path, (MADE,))
    before = (tmp_path / "report.csv").read_bytes()
    with pytest.raises(OutputError, match="Replace it"):
        ReportWriter(tmp_path)
    assert (tmp_path / "report.csv").read_bytes() == before


def test_a_report_can_be_the_next_order_list(tmp_path: Path) -> None:
    """Reading the report as an order list gives text, order, quantity and the list's own columns back."""
    report(tmp_path, (MADE, REFUSED))
    orders = read_orders((tmp_path / "report.csv").read_bytes(), option_names=frozenset())
    assert [(row.text, row.order, row.quantity) for row in orders.rows] == [
        (MADE.text, "P-1", 2),
        (REFUSED.text, "", 1),
    ]
    assert orders.rows[1].extra == (("Cabin", "-x"), ("list_state", ""))
    assert not any(row.faults for row in orders.rows)


@pytest.mark.parametrize("row", [MADE, REFUSED, RunRow(3, 4, "", "", "failed", findings=(Finding("x", "note", "y"),))])
def test_a_row_comes_back_from_json(row: RunRow) -> None:
    """A row read back from its JSON gives the same JSON again."""
    record = json.loads(json.dumps(row.as_json()))
    assert row_from_json(record).as_json() == record


@pytest.mark.parametrize(
    "change",
    [
        {"row": "1"},
        {"row": True},
        {"state": "great"},
        {"findings": None},
        {"findings": [3]},
        {"findings": [{}]},
        {"sha256": 3},
        {"width_mm": "wide"},
        {"text": None},
    ],
)
def test_a_record_that_is_no_row_is_refused(change: dict[str, object]) -> None:
    """Anything else than a row's own JSON is a ValueError."""
    with pytest.raises(ValueError, match=r"."):
        row_from_json(MADE.as_json() | change)
    with pytest.raises(ValueError, match=r"."):
        row_from_json({})


def test_numbers_json_has_no_word_for_are_left_out(tmp_path: Path) -> None:
    """An endless measurement becomes nothing rather than broken JSON."""
    odd = replace(MADE, width_mm=float("inf"), findings=(found("thin-stroke", "x", measured=float("nan")),))
    report(tmp_path, (odd,))
    line = json.loads((tmp_path / "report.jsonl").read_text())
    assert (line["width_mm"], line["findings"][0]["measured"]) == (None, None)


def test_a_full_disk_while_adding_is_told(tmp_path: Path) -> None:
    """A row that the disk does not take is an error with a way out."""
    with ReportWriter(tmp_path, ("Cabin", "state")) as writer:
        kept = writer._streams
        with Path("/dev/full").open("ab", buffering=0) as full:
            writer._streams = (full, full)
            with pytest.raises(OutputError, match="disk is full"):
                writer.add(MADE)
        writer._streams = kept
