"""What came of a list: counted while it is made, told at its end in sentences, or as one object for programs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final

from studio.cli.diagnostics import ExitCode, log_trace, say
from studio.cli.output import write
from studio.cli.summary import SAFETY
from studio.cli.wording import message_of, remedy_of
from studio.orders.order_list import OrderList
from studio.production.report import CSV_NAME, JSONL_NAME
from studio.production.row_result import SOUND
from studio.production.run import RowDone, RunOptions, RunRecord
from studio.production.run_folder import has_run

_SHOWN_ROWS: Final = 12
_SHOWN_CODES: Final = 8
_ROWS_OF_A_CODE: Final = 8
_NAMES_A_LINE: Final = 3


@dataclass(slots=True)
class RunTally:
    """The rows of a run, counted as they come.

    Attributes:
        states: How many are in which state.
        kept: Numbers of the rows that an earlier run made.
        troubled: The first rows that were refused or failed.
        doubtful: By code of a warning, the numbers of the first rows that have it, and how many there are.
    """

    states: Counter[str] = field(default_factory=Counter)
    kept: list[int] = field(default_factory=list)
    kept_sound: int = 0
    troubled: list[RowDone] = field(default_factory=list)
    doubtful: dict[str, list[int]] = field(default_factory=dict)

    def add(self, done: RowDone) -> None:
        """Count a row."""
        row = done.row
        self.states[row.state] += 1
        if done.kept:
            self.kept.append(row.row)
            self.kept_sound += row.state in SOUND
        if row.state not in SOUND and len(self.troubled) < _SHOWN_ROWS:
            self.troubled.append(done)
        for code in dict.fromkeys(finding.code for finding in row.findings if finding.severity == "warn"):
            self.doubtful.setdefault(code, []).append(row.row)
        if done.trace:
            log_trace(done.trace)

    @property
    def total(self) -> int:
        """How many rows have come."""
        return self.states.total()

    @property
    def ill(self) -> int:
        """How many were refused or failed."""
        return sum(count for state, count in self.states.items() if state not in SOUND)

    @property
    def warned(self) -> int:
        """How many were made, or fit, with warnings."""
        return self.states["made-with-warnings"] + self.states["fits-with-warnings"]

    @property
    def code(self) -> ExitCode:
        """How the program ends."""
        return ExitCode.SOME_REFUSED if self.ill else ExitCode.OK

    def tell(self, options: RunOptions, record: RunRecord, *, as_json: bool) -> None:
        """Say what came of the list and what to do next; the report's and the sheet's paths go to stdout."""
        _tell_files(record, options)
        for done in self.troubled:
            reasons = [finding for finding in done.row.findings if finding.severity == "refuse"]
            told = f"{message_of(reasons[0])} {remedy_of(reasons[0])}".strip() if reasons else done.row.state
            say(f"row {done.row.row} (line {done.row.line}) {done.row.text[:40]!r}: {told}")
        if self.ill > len(self.troubled):
            say(f"... and {self.ill - len(self.troubled)} more; see the report.")
        for code, rows in list(self.doubtful.items())[:_SHOWN_CODES]:
            more = f" and {len(rows) - _ROWS_OF_A_CODE} more" if len(rows) > _ROWS_OF_A_CODE else ""
            listed = ", ".join(map(str, rows[:_ROWS_OF_A_CODE]))
            say(f"warning {code}: row{'s' * (len(rows) != 1)} {listed}{more}")
        say(f"{', '.join(self._counts(options))}.")
        if options.dry_run:
            if not has_run(options.folder):
                say(f"Nothing was made. Report: {options.folder / CSV_NAME}")
            return
        if not as_json:
            write(str(options.folder / CSV_NAME))
            if record.pages:
                first = "contact.html" if len(record.pages) > 2 else record.pages[0]
                write(str(options.folder / first))
        if self.total > self.ill:
            say("The prints are already mirrored: leave the printer's own mirror off, and print at 100 %.")
            say(SAFETY)
        if self.ill:
            report = options.folder / CSV_NAME
            say(f"Fix those rows, then run again with --resume; finished signs are kept. Report: {report}")

    def as_json(self, orders: OrderList, options: RunOptions, record: RunRecord, code: int) -> dict[str, object]:
        """Return the run as one object: what the list was taken for, totals, what was kept and removed, pages."""
        taken = orders.taken_for
        return {
            "run": {
                "list": options.list_name or None,
                "folder": str(options.folder.absolute()),
                "taken_for": {
                    "saved_as": taken.saved_as,
                    "delimiter": taken.delimiter or None,
                    "header_line": taken.header_line or None,
                    "known_as": taken.known_as or None,
                    "columns": [{"number": one.number, "header": one.header, "use": one.use} for one in taken.columns],
                    "first_signs": list(taken.first),
                },
                "remarks": list(orders.remarks),
                "rows": len(orders.rows),
                "totals": dict(self.states),
                "kept": self.kept,
                "warnings": {name: len(rows) for name, rows in self.doubtful.items()},
                "removed": record.removed,
                "left": record.left,
                "pages": record.pages,
                "reports": [] if options.dry_run and has_run(options.folder) else [CSV_NAME, JSONL_NAME],
                "exit_code": int(code),
            }
        }

    def _counts(self, options: RunOptions) -> list[str]:
        parts = [f"{self.total - self.ill} {'fit' if options.dry_run else 'made'}"]
        for count, what in (
            (self.kept_sound, "of them already made"),
            (self.warned, "of them with warnings"),
            (self.states["refused"], "refused"),
            (self.states["failed"], "failed"),
        ):
            if count:
                parts.append(f"{count} {what}")
        return parts


def _tell_files(record: RunRecord, options: RunOptions) -> None:
    """Name and count what was removed of an earlier run."""
    if record.began_anew:
        say(f"There was no run in {options.folder} to resume; this one started at the first row.")
    for names, what in ((record.removed, "Removed"), (record.left, "Kept, since they were changed by hand")):
        if names:
            gone = f" ({record.rows_gone} finished rows are not in the list any longer)" if record.rows_gone else ""
            say(f"{what}: {len(names)} file{'s' * (len(names) != 1)} of the earlier run{gone}:")
            for place in range(0, len(names), _NAMES_A_LINE):
                say(f"  {', '.join(names[place : place + _NAMES_A_LINE])}")
